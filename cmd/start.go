package cmd

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/cell"
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

// startOptions are the flags of start.
type startOptions struct {
	common
	sections []string // each name, kind, bays, framing, length, and so on
	yes      bool     // nothing is asked
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
	q := &questions{o: o, values: map[string]string{}}
	if err := o.programme.read(); err != nil {
		return err
	}
	if err := o.free(q); err != nil {
		return err
	}
	if err := q.defaults(); err != nil {
		return err
	}
	for name, text := range o.settings {
		if o.programme.terms.Govern(name) {
			return withHint(fmt.Errorf("--%s: the program's terms say it", strings.ReplaceAll(name, "_", "-")), "leave it out: what "+o.programme.file+" says holds")
		}
		if bad := q.refused(name, text); bad != nil {
			return withHint(fmt.Errorf("--%s: %s", strings.ReplaceAll(name, "_", "-"), bad.What), bad.Hint)
		}
	}
	maps.Copy(q.values, o.settings) // once all are looked at: units among them say what a bare number is in
	for _, text := range o.sections {
		row, _, err := parseSection(strings.Split(text, ","), q.units())
		if err != nil {
			return withHint(fmt.Errorf("--section %q: %w", text, err), `as in --section "north slope, rafter, 14, 2x6 at 24, 12"`)
		}
		q.sections = append(q.sections, row)
	}
	if !o.yes {
		q.from = newAsking(o.env)
		defer q.from.Close()
		if q.ask(); q.failed != nil {
			return q.failed
		}
	}
	return o.write(q)
}

// free makes sure that nothing would be written over, before anything is asked. A job whose log is
// not begun may be gone on with: what its files say is not asked again, and rows are only added to
// them.
func (o *startOptions) free(q *questions) error {
	dir := o.args[0]
	there := func(name string) (bool, error) {
		_, err := os.Lstat(filepath.Join(dir, name))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return false, plainPath(err)
		}
		return err == nil, nil
	}
	for _, name := range []string{"job.csv", "sections.csv", joblog.LogName, joblog.ProgrammeName} {
		is, err := there(name)
		switch {
		case err != nil:
			return err
		case !is:
			continue
		case name == joblog.ProgrammeName && o.programme.terms == nil:
			continue // it holds
		case o.yes || name != "job.csv" && name != "sections.csv":
			return withHint(fmt.Errorf("%s is there already, and start writes over nothing", filepath.Join(dir, name)),
				"edit it in a spreadsheet, or name another folder; bayproof log "+inQuotes(dir)+" goes on with the job")
		}
		q.there = append(q.there, name)
	}
	if len(q.there) == 0 {
		return nil
	}
	folder, err := openJob(dir)
	if err != nil {
		return err
	}
	defer folder.Close()
	job, faults := joblog.Read(joblog.Overlay(folder.FS, joblog.LogName, []byte(emptyLog)), joblog.LogName, joblog.Options{})
	if len(faults) > 0 {
		return faultAt(faults[0])
	}
	q.had = map[string]bool{}
	for _, def := range model.SettingDefs() {
		if job.Settings.From[def.Name] == model.OriginJob {
			q.values[def.Name], q.had[def.Name] = job.Settings.Raw[def.Name], true
		}
	}
	for name := range o.settings {
		if q.had[name] {
			return withHint(fmt.Errorf("%s says %s already", filepath.Join(dir, "job.csv"), name), "change it there")
		}
	}
	for _, s := range job.Sections {
		q.before = append(q.before, s.Name)
	}
	q.tell("", fmt.Sprintf("Going on with %s: %s and %s are there.", dir, say.Count(len(q.had), "setting", "settings"), say.Count(len(q.before), "section", "sections")))
	return nil
}

// write makes the folder and its files once they are known to read without a fault, as check will
// read them. Where a file cannot be written, what was made before it goes again.
func (o *startOptions) write(q *questions) error {
	if q.values["date"] == "" { // a job begins today unless said otherwise
		q.values["date"] = o.env.Now().Format("2006-01-02")
	}
	if lang := localeLanguage(o.env.Getenv); q.values["lang"] == "" && lang != "en" && q.refused("lang", lang) == nil && lang != "" {
		q.values["lang"] = lang // what the system speaks, where bayproof does
	}
	rows := [][]string{{"section", "kind", "bays", "spacing", "shape", "width", "depth", "length", "face", "holes", "vent_space", "unvented", "climate_zone", "covers", "bags_used", "label_r", "note"}}
	for _, s := range q.sections {
		var row []string
		for _, column := range rows[0] {
			row = append(row, cell.GuardText(s[column]))
		}
		rows = append(rows, row)
	}
	maps.DeleteFunc(q.values, func(name, _ string) bool { return o.programme.terms.Govern(name) }) // a default of the user's own that would hold nothing
	dir, job, sections := o.args[0], q.settingTable(true), table(rows)
	whole := map[string][]byte{"job.csv": job, "sections.csv": sections}
	written := []string{"job.csv", "sections.csv"}
	if o.programme.terms != nil {
		written = append(written, joblog.ProgrammeName)
		whole[joblog.ProgrammeName] = o.programme.raw
	}
	for _, name := range q.there { // rows are added to what stands there
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			return plainPath(err)
		}
		head, rows, _ := bytes.Cut(whole[name], []byte("\n"))
		first, _, _ := bytes.Cut(data, []byte("\n"))
		if strip := func(b []byte) string { return strings.Trim(string(b), "\ufeff\r") }; len(rows) > 0 && strip(first) != strip(head) {
			return withHint(fmt.Errorf("%s has other columns than start writes", filepath.Join(dir, name)), "add its rows in a spreadsheet")
		}
		if len(data) > 0 && data[len(data)-1] != '\n' {
			rows = append([]byte("\r\n"), rows...)
		}
		whole[name] = append(data, rows...)
	}
	files := joblog.Overlay(nothing{}, joblog.LogName, []byte(emptyLog))
	for _, name := range written {
		files = joblog.Overlay(files, name, whole[name])
	}
	read, faults := joblog.Read(files, "", joblog.Options{})
	if len(faults) > 0 {
		for _, f := range faults {
			printError(o.env.Stderr, f.String(), f.Hint)
		}
		return exitStatus(exitFault)
	}
	var m made
	if err := m.folder(dir); err != nil {
		m.undo()
		return err
	}
	for _, file := range written {
		name := filepath.Join(dir, file)
		if slices.Contains(q.there, file) {
			if err := addTo(name, whole[file]); err != nil {
				return writeTrouble(name, err)
			}
			continue
		}
		if err := writeNew(name, whole[file]); err != nil {
			m.undo()
			return writeTrouble(name, err)
		}
		m = append(m, name)
	}
	if q.left {
		fmt.Fprintf(o.env.Stdout, "\nKept in %s: what was answered so far. bayproof start %s goes on with it.\n", screen.Clean(dir), screen.Clean(inQuotes(dir)))
		return nil
	}
	set, text := &read.Settings, fmt.Sprintf("%s is set up: job.csv with %s, sections.csv with %s.\n", screen.Clean(dir),
		say.Count(len(q.values), "setting", "settings"), say.Count(len(q.before)+len(q.sections), "section", "sections"))
	if set.From["aim"] == model.OriginDefault {
		u := set.Units.Unit(model.ShowDensity)
		text += fmt.Sprintf("Pack to %.3g %s, a tenth over the target: nearer to it a count to a quarter of a bag does not show that the bay reaches it.\n", u.In(set.Aim), u.Symbol)
	}
	if lang := q.values["lang"]; lang != "" && o.settings["lang"] == "" {
		text += fmt.Sprintf("job.csv says lang %s, this computer's language: the crew reads it. For English write en there.\n", lang)
	}
	if q.values["bag_weight"] == "" && q.values["bag_checks"] == "" {
		text += "Still open: what a bag weighs. Without it only weighed masses can be logged: put bag_weight and the label's net weight into job.csv.\n"
	}
	if slices.ContainsFunc(q.sections, func(r sectionRow) bool { return r["face"] == "netting" || r["face"] == "membrane" }) {
		text += "Netting and membrane stand out: measure the bulge after filling, and log it as bulge.\n"
	}
	if q.hoses {
		text += "Two machines or hoses: type machine A at the prompt before its bays, machine B before the other's. Each has its own count, test box and empties.\n"
	}
	text += fmt.Sprintf("Next: bayproof plan %s, and at the truck bayproof log %s", dir, dir)
	q.tell("", text)
	return nil
}

// questions is what start asks, and what it knows so far.
type questions struct {
	o        *startOptions
	from     asking // nil where nothing is asked
	over     bool   // no more answers come: the rest takes its default
	failed   error  // why, where they did not just end: nothing is written
	left     bool   // somebody left with questions open
	hoses    bool   // there is a second machine or hose
	values   map[string]string
	kept     []string        // defaults that came from the user's file
	there    []string        // files of the job that are there already
	had      map[string]bool // settings that they say
	before   []string        // sections that they name
	sections []sectionRow
}

// question is one thing that is asked, in words that end in a question mark and a reason in
// parentheses.
type question struct {
	answered           []string // the settings that answer it ahead, the one it asks for first
	ask, why, fallback string
	more               string            // what ? says beyond the reason
	shown              map[string]string // how a default of the user's own is shown, where not as it is; others give way to fallback
	take               func(q *questions, name, answer string) string
	into               func(row sectionRow, units model.System, answer string) error // takes the answer to a question about a section
}

// asked are the questions about the job that what is known so far leaves, in their order. Whoever
// takes an answer says what is wrong with it, or nothing; then the question is asked again. An
// empty answer leaves the setting open.
func (q *questions) asked() []question {
	list := []question{
		{answered: []string{"site"}, ask: "where is the job", why: "heads the sheets and the record", take: (*questions).setting},
		{answered: []string{"crew"}, ask: "who does it", why: "heads the sheets and the record", take: (*questions).setting},
		{answered: []string{"bag_weight", "bag_checks"}, ask: "net weight of a bag by its label, or bags you weighed as in 25.3; 25.1; 25.2", why: "pounds come from bags; Enter leaves it open",
			more: "The label says it: net weight. Weighing three or more bags is better: write them with ; between.", take: (*questions).bag},
		{answered: []string{"bag_step", "weigh_within"}, ask: "how do you tell a part of a bag: scale, marks in the hopper, or neither", why: "a part bag weighed at each bay closes nearly every good bay; quarters of a bag close seven in ten", fallback: "neither",
			more:  "scale: any that shows a pound; write 0.5 lb where it shows half pounds. marks: a quarter of a bag can be read. neither: nobody reads less than half a bag.",
			shown: map[string]string{"1/4": "marks", "0.25": "marks"}, take: (*questions).parts},
		{answered: []string{"counting"}, ask: "does each bay start from a full hopper (fresh), run on from the last one (running), or are start and end read (ends)",
			why: "says what a count is worth", fallback: "ends", more: "running: one count since the morning, read at the end of each bay. It closes the most bays.", take: (*questions).counting},
		{ask: "is there a second machine or hose, yes or no", why: "a count belongs to its machine", fallback: "no", take: (*questions).second},
		{answered: []string{"to_stall"}, ask: "will every bay be blown until the flow stops by itself, yes or no", why: "only then do a crew's bays speak for each other; ? says what stalled means", more: stalled, take: (*questions).setting},
	}
	return slices.DeleteFunc(list, func(x question) bool {
		ahead := func(name string) bool {
			_, given := q.o.settings[name]
			return given || q.had[name] || q.o.programme.terms.Govern(name)
		}
		if x.answered == nil { // the second machine, asked where a count runs on
			return q.had["counting"] || q.values["counting"] != model.CountingRunning.String()
		}
		return slices.ContainsFunc(x.answered, ahead)
	})
}

// sectionRow is a row of sections.csv as start writes it, by its columns: cells as text, with a
// unit where they are not in the job's.
type sectionRow map[string]string

// into takes an answer for a column of a section as it stands; oneOf takes one of its words, and
// nothing for none.
func into(column string) func(sectionRow, model.System, string) error {
	return func(row sectionRow, _ model.System, answer string) error { row[column] = answer; return nil }
}

func oneOf(column string, words ...string) func(sectionRow, model.System, string) error {
	return func(row sectionRow, _ model.System, answer string) error {
		low := strings.ToLower(answer)
		if answer != "" && !slices.Contains(words, low) {
			return fmt.Errorf("%s: %s or %s", answer, strings.Join(words[:len(words)-1], ", "), words[len(words)-1])
		}
		row[column] = low
		return nil
	}
}

// about are the questions about one section, in the order of the cells after its name; which of
// them are asked hangs on what is known of it.
func (row sectionRow) about() []question {
	list := []question{
		{ask: "rafter, wall, floor or knee wall", why: "cautions and the record go by it", fallback: "rafter", more: "floor: an attic floor or a cantilever; knee wall: the triangle behind it.", into: sectionRow.kind},
		{ask: "how many bays, counted from outside", why: "so that none is forgotten", into: sectionRow.bays},
		{ask: "framing as in 2x6 at 24, or clear width x depth", why: "for the plan only; the tape counts", more: "Clear is between framing, where material can be: an old 2x6 is not 5 1/2.", into: sectionRow.framing},
		{ask: "length of a usual bay", why: "for the plan only", into: sectionRow.long},
		{ask: "what holds the material: rigid, netting or membrane", why: "netting and membrane stand out, and the bulge is measured", fallback: "rigid", more: "rigid: boards, drywall, siding. The bulge is measured after filling, at mid-width.", into: oneOf("face", "rigid", "netting", "membrane")},
	}
	if row["face"] == "rigid" {
		list = append(list, question{ask: "may another hole be made where a bay needs one: drill, ask or no", why: "orders go by it", fallback: "ask", more: "drill: the siding is off. ask: a finished face. no: another way is found.", into: oneOf("holes", "drill", "ask", "no")})
	}
	switch row["kind"] {
	case "rafter", "":
		list = append(list, question{ask: "is a channel left open for air under the sheathing: yes, no, or unvented", why: "depths are below it; an unvented roof has its own rules", more: "yes: 1 in or more, with eave vents. unvented: no ventilation above the bays by design; then the climate zone is asked.", into: sectionRow.channel})
	case "knee wall":
		list = append(list, question{ask: "shape of a bay: wedge (a triangle), box or taper", why: "a wedge holds half of a box", fallback: "wedge", into: oneOf("shape", "wedge", "box", "taper")})
	}
	if row["unvented"] == "yes" {
		list = append(list, question{ask: "climate zone, as in 4A", why: "the code's table for unvented roofs goes by it", into: into("climate_zone")})
	}
	return list
}

// answerTo is what became of a question.
type answerTo uint8

const (
	given answerTo = iota
	goBack
)

// ask goes through the questions; what a flag answered is not asked. back goes one back.
func (q *questions) ask() {
	q.tell("", "Enter takes what stands in [brackets], or leaves it open. ? explains, back goes back.\nEverything can be changed later in job.csv and sections.csv.")
	for at := 0; ; at = len(q.asked()) - 1 {
		q.through(at, q.asked, q.general)
		if len(q.o.sections) > 0 || q.over || q.askSections() != goBack || len(q.asked()) == 0 {
			break
		}
	}
	q.keep()
}

// through asks a list of questions from one on, which may grow with the answers; back goes one
// back, and from the first out of it.
func (q *questions) through(at int, list func() []question, ask func(question) answerTo) answerTo {
	for at < len(list()) && !q.left {
		if ask(list()[at]) != goBack {
			at++
		} else if at--; at < 0 {
			return goBack
		}
	}
	return given
}

// general asks one question about the job.
func (q *questions) general(x question) answerTo {
	name := append(x.answered, "")[0]
	if own, as := q.values[name], x.shown[q.values[name]]; as != "" {
		x.fallback = as
	} else if own != "" && x.shown == nil {
		x.fallback = own
	}
	return q.until(x, func(answer string) string {
		if answer == "" {
			return ""
		}
		return x.take(q, name, answer)
	})
}

// second takes whether there is a second machine.
func (q *questions) second(_, answer string) string {
	a, ok := model.ParseAnswer(answer)
	if q.hoses = a == model.Yes; !ok {
		return "yes or no"
	}
	return ""
}

// askSections asks for one section after the other, until there is no more. back at the first name
// goes back to the questions about the job, later into the section before.
func (q *questions) askSections() answerTo {
	blank := false
	for !q.over {
		n := len(q.before) + len(q.sections) + 1
		x := question{ask: fmt.Sprintf("section %d, a run of like bays as in north slope, or no more", n), why: "bays are compared within it; all on one line: north slope, rafter, 14, 2x6 at 24, 12, rigid, ask, no"}
		answer, to := q.line(x)
		switch low := strings.ToLower(answer); {
		case to == goBack && len(q.sections) == 0:
			return goBack
		case to == goBack:
			last := q.sections[len(q.sections)-1]
			q.sections = q.sections[:len(q.sections)-1]
			q.askSection(last, len(last.about())-1)
		case answer == "" && !q.over && !blank, low == "yes", low == "y":
			blank = true
			q.tell("  ", "the next section's name, or no more")
		case answer == "", low == "no more", low == "no", low == "none", low == "done":
			return given
		default:
			blank = false
			row, known, err := parseSection(strings.Split(answer, ","), q.units())
			switch {
			case err != nil:
				q.tell("  ", err.Error())
			case slices.ContainsFunc(slices.Concat(q.before, q.names()), func(name string) bool { return model.Fold(name) == model.Fold(row["section"]) }):
				q.tell("  ", row["section"]+" is there already")
			default:
				q.askSection(row, known) // what the line left out
			}
		}
	}
	return given
}

// names are the sections answered so far.
func (q *questions) names() (names []string) {
	for _, s := range q.sections {
		names = append(names, s["section"])
	}
	return names
}

// askSection asks what is known of a section from one of its questions on, each until the answer
// can be one.
func (q *questions) askSection(row sectionRow, from int) {
	to := q.through(from, row.about, func(x question) answerTo {
		x.ask = "  " + row["section"] + ": " + x.ask
		return q.until(x, func(answer string) string {
			if err := x.into(row, q.units(), answer); err != nil {
				return err.Error()
			}
			return ""
		})
	})
	if to != goBack {
		q.sections = append(q.sections, row)
	}
}

// until asks until take has no complaint about the answer, or no more answers come.
func (q *questions) until(x question, take func(answer string) string) answerTo {
	for {
		answer, to := q.line(x)
		if to == goBack || q.left {
			return to
		}
		complaint := take(answer)
		if complaint == "" {
			return given
		}
		q.tell("  ", complaint)
		if q.over {
			return given
		}
	}
}

// line asks for one line and returns it, or the fallback where it is empty or no more lines come. ?
// explains, and it is asked again.
func (q *questions) line(x question) (string, answerTo) {
	width := q.o.env.width() - 1
	for !q.over {
		prompt := "> "
		if x.fallback != "" {
			prompt = "[" + x.fallback + "] "
		}
		lead := len(x.ask) - len(strings.TrimLeft(x.ask, " "))
		text := x.ask[lead:]
		if lead == 0 {
			text = strings.ToUpper(text[:1]) + text[1:]
		}
		var b strings.Builder
		for _, line := range slices.Concat(screen.Fill(x.ask[:lead], "  ", text+"?", width), screen.Fill("  (", "  ", x.why+")", width)) {
			b.WriteString(line + "\n")
		}
		answer, err := q.from.Ask("\n" + b.String() + prompt)
		if err != nil {
			q.over, q.left = true, q.o.env.StdinTerminal
			if !errors.Is(err, io.EOF) {
				q.failed = err
			}
			break
		}
		switch answer = strings.TrimSpace(answer); strings.ToLower(answer) {
		case "":
			return x.fallback, given
		case "back":
			return "", goBack
		case "?":
			text := x.more
			if text == "" {
				text = x.why
			}
			q.tell("  ", text)
		default:
			return answer, given
		}
	}
	return x.fallback, given
}

// tell shows lines as wide as the screen.
func (q *questions) tell(indent, text string) {
	for _, line := range strings.Split(text, "\n") {
		for _, part := range screen.Fill(indent, indent, screen.Clean(line), q.o.env.width()-1) {
			fmt.Fprintln(q.o.env.Stdout, part)
		}
	}
}

// setting takes a setting as it is typed.
func (q *questions) setting(name, answer string) string {
	bad := q.refused(name, answer)
	if bad != nil {
		return bad.What + "; " + bad.Hint
	}
	q.values[name] = answer
	return ""
}

// bag takes what a bag weighs: the label's figure, which is net, or several bags that were weighed,
// and asks what the wrapper weighs. A single bag weighed with its wrapper is no label: it becomes a
// check with a tare.
func (q *questions) bag(name, answer string) string {
	if strings.Contains(answer, ";") {
		name = "bag_checks"
	}
	if bad := q.refused(name, answer); bad != nil {
		return bad.What + "; " + bad.Hint
	}
	weight, tare := q.withUnit(answer), ""
	if name == "bag_checks" && q.values["bag_tare"] == "" && q.o.settings["bag_tare"] == "" {
		tare, _ = q.line(question{ask: "weighed with its wrapper? then what the wrapper weighs", why: "only what is blown counts; a label's weight is net", fallback: "no"})
	}
	if a, ok := model.ParseAnswer(tare); tare != "" && !(ok && a == model.No) {
		if bad := q.refused("bag_tare", tare); bad != nil {
			fmt.Fprintf(q.o.env.Stdout, "  %s; %s\n", screen.Clean(bad.What), screen.Clean(bad.Hint))
		} else {
			name = "bag_checks"
			q.values["bag_tare"] = q.withUnit(tare)
			delete(q.values, "bag_weight")
		}
	}
	q.values[name] = weight
	return ""
}

// withUnit adds the unit to a bare weight, so that the file says it.
func (q *questions) withUnit(weight string) string {
	if strings.Trim(weight, "0123456789./;- ") == "" {
		return weight + " " + q.units().Unit(model.ShowMass).Symbol
	}
	return weight
}

// parts takes how a part of a bag is told: by a scale, whose ± may be said, by marks, or by
// neither; a fraction is the step itself.
func (q *questions) parts(name, answer string) string {
	if a, ok := model.ParseAnswer(answer); ok { // marks or none
		answer = map[model.Answer]string{model.Yes: "marks"}[a]
	}
	switch low := strings.ToLower(answer); {
	case strings.HasPrefix(low, "mark"):
		q.values[name] = "1/4"
	case strings.HasPrefix(low, "scale"):
		q.values[name] = "1/4"
		q.tell("  ", "weigh what is left of the open bag at each bay: 1 + 14.5 lb. Its scale is taken to be right to 1 lb.")
	case low == "", low == "neither", low == "none":
		q.values[name] = "1/2"
	case q.refused(name, answer) == nil:
		q.values[name] = answer
	case q.refused("weigh_within", answer) == nil:
		q.values[name], q.values["weigh_within"] = "1/4", q.withUnit(answer)
	default:
		return "scale, marks or neither"
	}
	return ""
}

// counting takes how a bay's count starts.
func (q *questions) counting(name, answer string) string {
	c, ok := model.ParseCounting(answer)
	if !ok {
		return "fresh, running or ends"
	}
	q.values[name] = c.String()
	return ""
}

// stalled says what the hose man states with a yes.
const stalled = "Stalled: with feed and air on and the hose clear, nothing more goes in, and drawing the tube back a little changes nothing. " +
	"A jam is no stall, and stopping at a count is none. Put stall no into the row of a bay that did not stall."

// refused tells what is wrong with a setting's text, among the answers so far; nil where nothing
// is. The reader of job.csv is asked, so that no answer is taken here that check would refuse.
func (q *questions) refused(name, text string) *model.Fault {
	r, _ := joblog.NewResolver(nil)
	given := []joblog.Given{}
	if v := q.values["units"]; v != "" && name != "units" { // what a bare number is in
		given = append(given, joblog.Given{Name: "units", Text: v})
	}
	given = append(given, joblog.Given{Name: name, Text: text, Src: model.Place{Source: model.Source{File: name, Line: 1}}})
	_, faults := r.Job("", given)
	for i, f := range faults {
		// A fault about two settings together waits until all are known.
		related := strings.Contains(f.What, " is below ") || strings.Contains(f.What, "no default target")
		if f.Src.File == name && !related {
			return &faults[i]
		}
	}
	return nil
}

// settingTable is a job.csv of what is known, in the order of the table of settings: all of it, or
// what holds for the next job too.
func (q *questions) settingTable(all bool) []byte {
	rows := [][]string{{"name", "value"}}
	for _, def := range model.SettingDefs() {
		if v := q.values[def.Name]; v != "" && (all && !q.had[def.Name] || !all && !def.OneJob) {
			rows = append(rows, []string{def.Name, cell.GuardText(v)})
		}
	}
	return table(rows)
}

// units is the system that bare figures are in.
func (q *questions) units() model.System {
	u, _ := model.ParseSystem(q.values["units"])
	return u
}

// thick is what a nominal 2-in member measures, in: the clear width is the spacing less it.
const thick = 1.5

// framing reads "2x6 at 24" as the clear width and depth between dressed members, and "22.5 x 5.5"
// as they are. Lumber is named by what it measured before it was dried and planed: a 2x6 is 1.5 by
// 5.5 in, so that members 24 in on center leave 22.5 in. Names of lumber are in inches whatever the
// job's units are, which the cells then say.
func framing(text string, units model.System) (spacing, width, depth string, err error) {
	text = strings.ToLower(strings.TrimSpace(text))
	if text == "" {
		return "", "", "", nil
	}
	if m := regexp.MustCompile(`^2 ?[x×] ?(\d+) ?(?:at|@|,)? ?(\d+(?:\.\d+)?) ?(?:in|oc|o\.c\.)?$`).FindStringSubmatch(text); m != nil {
		nominal, _ := strconv.Atoi(m[1])
		deep, ok := model.DressedInches(nominal)
		on, _ := strconv.ParseFloat(m[2], 64)
		if !ok || on <= thick {
			return "", "", "", fmt.Errorf("framing %s: 2x4, 2x6, 2x8, 2x10 or 2x12 at 12 to 24", text)
		}
		in := ""
		if units == model.SI {
			in = " in"
		}
		return cell.FormatNumber(on) + in, cell.FormatNumber(on-thick) + in, cell.FormatNumber(deep) + in, nil
	}
	parts := regexp.MustCompile(`\s*[x×]\s*|\s+by\s+`).Split(text, -1)
	if len(parts) != 2 {
		return "", "", "", fmt.Errorf("framing %s: write 2x6 at 24, or clear width x depth as in 22.5 x 5.5", text)
	}
	for i, name := range []string{"width", "depth"} {
		form, _ := cell.Column(name, units)
		plain, bad := form.Plain(parts[i])
		if bad != nil {
			return "", "", "", fmt.Errorf("%s", bad.What)
		}
		parts[i] = plain
	}
	return "", parts[0], parts[1], nil
}

// framing takes the framing of a usual bay.
func (row sectionRow) framing(units model.System, text string) error {
	spacing, width, depth, err := framing(text, units)
	if err == nil {
		row["spacing"], row["width"], row["depth"] = spacing, width, depth
	}
	return err
}

// kind takes what a section is. The triangle behind a knee wall holds half of a box.
func (row sectionRow) kind(units model.System, text string) error {
	if err := oneOf("kind", "rafter", "wall", "floor", "knee wall")(row, units, text); err != nil {
		return err
	}
	if row["shape"] = ""; row["kind"] == "knee wall" {
		row["shape"] = "wedge"
	}
	return nil
}

// bays takes how many there are.
func (row sectionRow) bays(_ model.System, text string) error {
	if n, err := strconv.Atoi(text); text != "" && (err != nil || n < 0) {
		return fmt.Errorf("%s is no number of bays", text)
	}
	row["bays"] = text
	return nil
}

// long takes the length of a usual bay.
func (row sectionRow) long(units model.System, text string) error {
	form, _ := cell.Column("length", units)
	plain, bad := form.Plain(text)
	if bad != nil {
		return errors.New(bad.What)
	}
	row["length"] = plain
	return nil
}

// channel takes whether air passes under the sheathing: unvented is no, and by design.
func (row sectionRow) channel(_ model.System, text string) error {
	a, ok := model.ParseAnswer(text)
	switch {
	case strings.EqualFold(text, "unvented"):
		row["vent_space"], row["unvented"] = "no", "yes"
	case !ok && text != "":
		return errors.New("yes, no or unvented")
	default:
		row["vent_space"], row["unvented"] = a.String(), ""
	}
	return nil
}

// parseSection reads a section's name and the answers about it in their order, as they stand behind
// --section and as they are typed on one line; known is how many it has. All but the name may be
// missing.
func parseSection(cells []string, units model.System) (row sectionRow, known int, err error) {
	row = sectionRow{"section": strings.TrimSpace(cells[0])}
	if row["section"] == "" {
		return row, 0, errors.New("a name is missing")
	}
	for _, text := range cells[1:] {
		list := row.about()
		if known == len(list) {
			return row, known, fmt.Errorf("%d values, not %d", len(cells), known+1)
		}
		if err := list[known].into(row, units, strings.TrimSpace(text)); err != nil {
			return row, known, err
		}
		known++
	}
	return row, known, nil
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
func (q *questions) defaults() error {
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
	files := joblog.Overlay(joblog.Overlay(nothing{}, "job.csv", data), joblog.LogName, []byte(emptyLog))
	job, faults := joblog.Read(files, "", joblog.Options{})
	if len(faults) > 0 {
		faults[0].Src.File = file
		return withHint(errors.New(faults[0].String()), faults[0].Hint, "correct or delete "+file)
	}
	for _, def := range model.SettingDefs() {
		if job.Settings.From[def.Name] == model.OriginJob && !def.OneJob && !q.had[def.Name] {
			q.values[def.Name] = job.Settings.Raw[def.Name]
			q.kept = append(q.kept, def.Name)
		}
	}
	if len(q.kept) > 0 {
		fmt.Fprintf(q.o.env.Stderr, "bayproof: your defaults (%s): %s\n", file, strings.Join(q.kept, ", "))
	}
	return nil
}

// keep offers to keep what jobs have in common, where nothing is kept yet: a file that is there is
// the user's to edit. That it cannot be written is no reason to lose the job.
func (q *questions) keep() {
	file, err := defaultsFile()
	if err != nil || q.over || len(q.kept) > 0 {
		return
	}
	keep := false
	q.until(question{ask: "keep crew, bag and counting as your defaults for the next job, yes or no", why: file, fallback: "no"}, func(answer string) string {
		a, ok := model.ParseAnswer(answer)
		if keep = a == model.Yes; !ok {
			return "yes or no"
		}
		return ""
	})
	if !keep || q.over {
		return
	}
	if err = os.MkdirAll(filepath.Dir(file), 0o777); err == nil {
		err = writeNew(file, q.settingTable(false))
	}
	if err != nil {
		printWarning(q.o.env.Stderr, "defaults not kept: "+err.Error())
	}
}
