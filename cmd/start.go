package cmd

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"bayproof/cmd/demo"
	"bayproof/cmd/setup"
	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report/say"
	"bayproof/report/screen"
)

const startHelp = `Type one of these:
  bayproof start JOB                        asks a few questions; Enter takes
                                            what stands in brackets
  bayproof start JOB --bag-weight "25 lb"   answers one ahead
  bayproof start JOB --section "north slope, rafter, 14, 2x6 at 24, 12"
                                            a section: name, kind, how many
                                            bays, framing, length, and what
                                            else is asked; may repeat
  bayproof start JOB --programme FILE       copies the program's terms into the
                                            job: there they hold

It makes the folder JOB with job.csv and sections.csv. Any spreadsheet opens
them. Nothing that is there is written over. ? explains a question, back goes
back one. Ctrl-C stops and keeps your answers: type start again to go on. Keep
what your jobs share as your defaults; only start reads them.

Then: bayproof plan JOB, and bayproof log JOB at the truck.`

// startOptions are the flags of start, and what is there of the job already.
type startOptions struct {
	common
	sections []string // each name, kind, bays, framing, length, and so on
	yes      bool     // nothing is asked

	q     *setup.Questions
	there []string // files of the job that are there already
	kept  []string // settings that came from the user's own defaults
}

// newStart builds the command that sets up a job's folder.
func newStart(env *Env) *cobra.Command {
	o := &startOptions{common: common{env: env}}
	cmd := o.command("start JOB", "sets up a job folder by asking", startHelp, oneJob, once(completeFolder), o.run)
	o.settingFlags(cmd)
	o.programmeFlag(cmd, "copy the program's terms in `FILE` into the job, where they hold")
	cmd.Flags().StringArrayVar(&o.sections, "section", nil, "a section as `NAME, KIND, BAYS, FRAMING, LENGTH`; may repeat")
	_ = cmd.RegisterFlagCompletionFunc("section", cobra.NoFileCompletions)
	cmd.Flags().BoolVarP(&o.yes, "yes", "y", false, "ask nothing: flags and defaults only")
	return cmd
}

// run takes what the flags and the user's defaults say, asks for the rest, and writes the job's two
// files.
func (o *startOptions) run() error {
	if err := o.readProgramme(); err != nil {
		return err
	}
	o.q = &setup.Questions{Values: map[string]string{}, Flags: o.settings, Had: map[string]bool{}, Terms: o.programme.terms,
		Out: o.env.Stdout, Width: o.env.width() - 1, Person: o.env.StdinTerminal}
	if err := o.free(); err != nil {
		return err
	}
	if err := o.defaults(); err != nil {
		return err
	}
	if err := o.takeFlags(); err != nil {
		return err
	}
	if !o.yes {
		from := newAsking(o.env)
		defer from.Close()
		o.q.From = from
		o.q.Ask()
		o.keep()
		if err := o.q.Failed(); err != nil {
			return err
		}
	}
	return o.write()
}

// takeFlags takes the settings and the sections of the command line.
func (o *startOptions) takeFlags() error {
	for name, text := range o.settings {
		flag := "--" + strings.ReplaceAll(name, "_", "-")
		if o.programme.terms.Govern(name) {
			return withHint(fmt.Errorf("%s: the program's terms say it", flag), "leave it out: what "+o.programme.file+" says holds")
		}
		if bad := o.q.Refused(name, text); bad != nil {
			return withHint(fmt.Errorf("%s: %s", flag, bad.What), bad.Hint)
		}
	}
	maps.Copy(o.q.Values, o.settings) // once all are looked at: units among them say what a bare number is in
	for _, text := range o.sections {
		if err := o.q.Add(text); err != nil {
			return withHint(fmt.Errorf("--section %q: %w", text, err), `as in --section "north slope, rafter, 14, 2x6 at 24, 12"`)
		}
	}
	return nil
}

// free makes sure that nothing would be written over, before anything is asked. A job whose log is
// not begun may be gone on with.
func (o *startOptions) free() error {
	dir := o.args[0]
	for _, name := range []string{"job.csv", "sections.csv", joblog.LogName, joblog.ProgrammeName} {
		_, err := os.Lstat(filepath.Join(dir, name))
		switch {
		case errors.Is(err, fs.ErrNotExist):
			continue
		case err != nil:
			return plainPath(err)
		case name == joblog.ProgrammeName && o.programme.terms == nil:
			continue // it holds
		case o.yes || name != "job.csv" && name != "sections.csv":
			return withHint(fmt.Errorf("%s is there already, and start writes over nothing", filepath.Join(dir, name)),
				"edit it in a spreadsheet, or name another folder; bayproof log "+inQuotes(dir)+" goes on with the job")
		}
		o.there = append(o.there, name)
	}
	if len(o.there) == 0 {
		return nil
	}
	return o.goOn()
}

// goOn takes what the files of a job say that is gone on with: it is not asked again, and rows are
// only added to them.
func (o *startOptions) goOn() error {
	dir, q := o.args[0], o.q
	folder, err := openJob(dir)
	if err != nil {
		return err
	}
	defer folder.Close()
	job, faults := joblog.Read(joblog.Overlay(folder.FS, joblog.LogName, []byte(emptyLog)), joblog.LogName, joblog.Options{})
	if len(faults) > 0 {
		return faultAt(faults[0])
	}
	for name, from := range job.Settings.From {
		if from == model.OriginJob {
			q.Values[name], q.Had[name] = job.Settings.Raw[name], true
		}
	}
	for name := range o.settings {
		if q.Had[name] {
			return withHint(fmt.Errorf("%s says %s already", filepath.Join(dir, "job.csv"), name), "change it there")
		}
	}
	for _, s := range job.Sections {
		q.Before = append(q.Before, s.Name)
	}
	q.Tell("", fmt.Sprintf("Going on with %s: %s and %s are there.", dir, say.Count(len(q.Had), "setting", "settings"), say.Count(len(q.Before), "section", "sections")))
	return nil
}

// write makes the folder and its files once they are known to read without a fault, as check will
// read them, and says what is there now.
func (o *startOptions) write() error {
	o.settle()
	files := map[string][]byte{"job.csv": o.q.JobFile(func(def model.SettingDef) bool { return !o.q.Had[def.Name] }), "sections.csv": o.q.SectionsFile()}
	if o.programme.terms != nil {
		files[joblog.ProgrammeName] = o.programme.raw
	}
	for _, name := range o.there {
		data, err := grown(filepath.Join(o.args[0], name), files[name])
		if err != nil {
			return err
		}
		files[name] = data
	}
	withLog := maps.Clone(files)
	withLog[joblog.LogName] = []byte(emptyLog)
	job, faults := joblog.Read(&joblog.Held{Files: withLog}, "", joblog.Options{})
	if len(faults) > 0 {
		for _, f := range faults {
			printError(o.env.Stderr, f.String(), f.Hint)
		}
		return exitStatus(exitFault)
	}
	if err := o.put(files); err != nil {
		return err
	}
	o.report(&job.Settings)
	return nil
}

// settle takes what is not asked: a job begins today unless said otherwise, its crew reads what the
// system speaks where bayproof does, and a default of the user's own gives way to the program.
func (o *startOptions) settle() {
	values := o.q.Values
	if values["date"] == "" {
		values["date"] = o.env.Now().Format("2006-01-02")
	}
	if lang := localeLanguage(o.env.Getenv); values["lang"] == "" && lang != "" && lang != "en" && o.q.Refused("lang", lang) == nil {
		values["lang"] = lang
	}
	maps.DeleteFunc(values, func(name, _ string) bool { return o.programme.terms.Govern(name) })
}

// grown is a file of a job that is there, with the rows of a new one behind its own.
func grown(name string, added []byte) ([]byte, error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, plainPath(err)
	}
	header := func(file []byte) (head string, rows []byte) {
		line, rows, _ := bytes.Cut(file, []byte("\n"))
		return strings.Trim(string(line), "\ufeff\r"), rows
	}
	has, _ := header(data)
	wants, rows := header(added)
	if len(rows) > 0 && has != wants {
		return nil, withHint(fmt.Errorf("%s has other columns than start writes", name), "add its rows in a spreadsheet")
	}
	if len(data) > 0 && data[len(data)-1] != '\n' {
		data = append(data, "\r\n"...)
	}
	return append(data, rows...), nil
}

// put writes the files: rows are added to what is there. Where one cannot be written, what was made
// before it goes again.
func (o *startOptions) put(files map[string][]byte) error {
	var m made
	if err := m.folder(o.args[0]); err != nil {
		m.undo()
		return err
	}
	for _, file := range []string{"job.csv", "sections.csv", joblog.ProgrammeName} {
		name, data := filepath.Join(o.args[0], file), files[file]
		if data == nil {
			continue
		}
		if slices.Contains(o.there, file) {
			if err := addTo(name, data); err != nil {
				return writeTrouble(name, err)
			}
			continue
		}
		if err := writeNew(name, data); err != nil {
			m.undo()
			return writeTrouble(name, err)
		}
		m = append(m, name)
	}
	return nil
}

// report says what was set up, what is still open, and what comes next.
func (o *startOptions) report(set *model.Settings) {
	dir, q := o.args[0], o.q
	if q.Left() {
		fmt.Fprintf(o.env.Stdout, "\nKept in %s: what was answered so far. bayproof start %s goes on with it.\n", screen.Clean(dir), screen.Clean(inQuotes(dir)))
		return
	}
	lines := []string{fmt.Sprintf("%s is set up: job.csv with %s, sections.csv with %s.", screen.Clean(dir),
		say.Count(len(q.Values), "setting", "settings"), say.Count(len(q.Before)+len(q.Sections), "section", "sections"))}
	add := func(format string, args ...any) { lines = append(lines, fmt.Sprintf(format, args...)) }
	if set.From["aim"] == model.OriginDefault {
		u := set.Units.Unit(model.ShowDensity)
		add("Pack to %.3g %s, a tenth over the target: nearer to it a count to a quarter of a bag does not show that the bay reaches it.", u.In(set.Aim), u.Symbol)
	}
	if lang := q.Values["lang"]; lang != "" && o.settings["lang"] == "" {
		add("job.csv says lang %s, this computer's language: the crew reads it. For English write en there.", lang)
	}
	if q.Values["bag_weight"] == "" && q.Values["bag_checks"] == "" {
		add("Still open: what a bag weighs. Without it only weighed masses can be logged: put bag_weight and the label's net weight into job.csv.")
	}
	if slices.ContainsFunc(q.Sections, func(s setup.Section) bool { return s["face"] == "netting" || s["face"] == "membrane" }) {
		add("Netting and membrane stand out: measure the bulge after filling, and log it as bulge.")
	}
	if q.Hoses {
		add("Two machines or hoses: type machine A at the prompt before its bays, machine B before the other's. Each has its own count, test box and empties.")
	}
	add("Next: bayproof plan %s, and at the truck bayproof log %s", dir, dir)
	q.Tell("", strings.Join(lines, "\n"))
}

// defaultsFile is the user's own file of defaults, in the platform's usual place.
func defaultsFile() (string, error) {
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, "bayproof", "defaults.csv"), nil
}

// defaults takes the user's own defaults, which stand behind flags and answers. The file is a
// job.csv and read as one. It is named on stderr with what it gave, so that nobody wonders where a
// crew's name came from.
func (o *startOptions) defaults() error {
	file, err := defaultsFile()
	if err != nil {
		return nil // no such place here
	}
	data, err := os.ReadFile(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil // none kept
	case err != nil: // not to be taken for none: the job would be set up without them
		return withHint(plainPath(err), "your defaults: correct the permissions of "+file+", or delete it")
	}
	job, faults := joblog.Read(&joblog.Held{Files: map[string][]byte{"job.csv": data, joblog.LogName: []byte(emptyLog)}}, "", joblog.Options{})
	if len(faults) > 0 {
		faults[0].Src.File = file
		return withHint(errors.New(faults[0].String()), faults[0].Hint, "correct or delete "+file)
	}
	for _, def := range model.SettingDefs() {
		if job.Settings.From[def.Name] == model.OriginJob && !def.OneJob && !o.q.Had[def.Name] {
			o.q.Values[def.Name] = job.Settings.Raw[def.Name]
			o.kept = append(o.kept, def.Name)
		}
	}
	if len(o.kept) > 0 {
		fmt.Fprintf(o.env.Stderr, "bayproof: your defaults (%s): %s\n", file, strings.Join(o.kept, ", "))
	}
	return nil
}

// keep offers to keep what jobs have in common, where nothing is kept yet: a file that is there is
// the user's to edit. That it cannot be written is no reason to lose the job.
func (o *startOptions) keep() {
	file, err := defaultsFile()
	if err != nil || o.q.Over() || len(o.kept) > 0 {
		return
	}
	if !o.q.Offer("keep crew, bag and counting as your defaults for the next job, yes or no", file) || o.q.Over() {
		return
	}
	if err = os.MkdirAll(filepath.Dir(file), 0o777); err == nil {
		err = writeNew(file, o.q.JobFile(func(def model.SettingDef) bool { return !def.OneJob }))
	}
	if err != nil {
		printWarning(o.env.Stderr, "defaults not kept: "+err.Error())
	}
}

const demoHelp = `Type one of these:
  bayproof demo             writes the demo job and its record to
                            ./bayproof-demo
  bayproof demo FOLDER      the same somewhere else

The demo is an old boathouse turned into a home: good bays and bad ones,
one forgotten, every kind of entry. People and figures are invented. Open
its bays.csv in a spreadsheet to see what a log looks like.`

// demoFolder is where the demo goes when nobody says where.
const demoFolder = "bayproof-demo"

// newDemo builds the command that writes the demo job, prints its verdicts and writes its record.
// Open bays are no failure here: the demo has some on purpose.
func newDemo(env *Env) *cobra.Command {
	c := common{env: env}
	return c.command("demo [FOLDER]", "writes the demo job and its record", demoHelp, atMostOne("demo takes one folder, not %d"), once(completeFolder), func() error {
		dir := append(c.args, demoFolder)[0]
		if err := copyJob(demo.Job(), dir); err != nil {
			return err
		}
		job := common{env: env, args: []string{dir}, format: formatText}
		if err := (&checkOptions{common: job}).run(); err != nil && !isStatus(err, exitOpen) {
			return err
		}
		return (&recordOptions{common: job}).run()
	})
}

// copyJob writes every file of a job folder into dir, or none. A file that is already there and
// says the same is left alone; one that says something else stops everything before the first
// write: it may be somebody's work.
func copyJob(job fs.FS, dir string) error {
	missing, err := missingFiles(job, dir)
	if err != nil {
		return err
	}
	var m made
	for _, name := range missing {
		data, err := fs.ReadFile(job, name)
		name = filepath.FromSlash(name)
		to := target{shown: filepath.Join(dir, name), folder: dir, name: name, inJob: true}
		if err == nil {
			err = m.folder(filepath.Dir(to.shown))
		}
		if err == nil {
			err = to.write(whole(data))
		}
		if err != nil {
			m.undo()
			return err
		}
		m = append(m, to.shown)
	}
	return nil
}

// missingFiles lists the job's files that dir does not have yet, in a fixed order, and refuses a
// folder where one of them says something else.
func missingFiles(job fs.FS, dir string) ([]string, error) {
	var missing []string
	err := fs.WalkDir(job, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		want, err := fs.ReadFile(job, name)
		if err != nil {
			return err
		}
		target := filepath.Join(dir, filepath.FromSlash(name))
		switch have, err := os.ReadFile(target); {
		case errors.Is(err, fs.ErrNotExist):
			missing = append(missing, name)
		case err != nil:
			return err
		case !bytes.Equal(have, want):
			return withHint(fmt.Errorf("%s is there already and was changed: it is not overwritten", target),
				"name another folder: bayproof demo FOLDER")
		}
		return nil
	})
	return missing, err
}

// writeNew writes a file that is not there yet, as a whole or not at all. O_EXCL makes sure of it:
// whatever has come there while the questions were asked, a link among it, stays.
func writeNew(name string, data []byte) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		os.Remove(name)
	}
	return err
}

// addTo adds to a file what data has more than the file, in one write.
func addTo(name string, data []byte) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_APPEND, 0o666)
	if err != nil {
		return err
	}
	info, err := f.Stat()
	if err == nil && info.Size() < int64(len(data)) {
		_, err = f.Write(data[info.Size():])
	}
	return errors.Join(err, f.Sync(), f.Close())
}

// made are the files and folders that a command has made so far, so that one that fails can take
// them away again: start and demo make a job or nothing.
type made []string

// folder makes a folder and those above it.
func (m *made) folder(dir string) error {
	var missing []string
	for at := filepath.Clean(dir); ; at = filepath.Dir(at) {
		if _, err := os.Stat(at); !errors.Is(err, fs.ErrNotExist) || at == filepath.Dir(at) {
			break
		}
		missing = append(missing, at)
	}
	err := os.MkdirAll(dir, 0o777)
	slices.Reverse(missing)
	*m = append(*m, missing...)
	return writeTrouble(dir, err)
}

// undo takes everything away again, the last one first. A folder in which somebody else put
// something stays.
func (m *made) undo() {
	for _, name := range slices.Backward(*m) {
		_ = os.Remove(name)
	}
	*m = nil
}
