package cmd

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/model/joblog"
	"bayproof/report/say"
)

const startHelp = `Type one of these:
  bayproof start JOB                        asks a few questions, Enter takes
                                            what stands in brackets
  bayproof start JOB --bag-weight "25 lb"   answers one ahead
  bayproof start JOB --section "north slope, rafter, 14, 2x6 at 24, 12"
                                            a section: name, kind, how many
                                            bays, framing, length; may repeat

It makes the folder JOB with job.csv and sections.csv, which any spreadsheet
opens, and never writes over a file that is there. What your jobs have in
common can be kept as your defaults; only start reads them.

Then: bayproof plan JOB, and bayproof log JOB at the truck.`

// startOptions are the flags of start.
type startOptions struct {
	env      *Env
	dir      string
	settings map[string]string
	sections []string
	yes      bool
}

// newStart builds the command that sets up a job's folder.
func newStart(env *Env) *cobra.Command {
	o := &startOptions{env: env}
	cmd := &cobra.Command{
		Use:   "start JOB",
		Short: "sets up a job folder by asking",
		Long:  startHelp,
		Args:  oneJob,

		ValidArgsFunction: once(completeFolder),
	}
	settings := attachSettings(cmd)
	cmd.Flags().StringArrayVar(&o.sections, "section", nil, "a section as `NAME, KIND, BAYS, FRAMING, LENGTH`; may repeat")
	_ = cmd.RegisterFlagCompletionFunc("section", cobra.NoFileCompletions)
	cmd.Flags().BoolVarP(&o.yes, "yes", "y", false, "ask nothing: flags and defaults only")
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		o.dir, o.settings = args[0], settings.given()
		return o.run()
	}
	return cmd
}

func (o *startOptions) run() error {
	if err := o.free(); err != nil {
		return err
	}
	q := &questions{o: o, values: map[string]string{}}
	if err := q.defaults(); err != nil {
		return err
	}
	for name, text := range o.settings {
		if bad := q.refused(name, text); bad != nil {
			return withHint(fmt.Errorf("--%s: %s", strings.ReplaceAll(name, "_", "-"), bad.What), bad.Hint)
		}
	}
	for name, text := range o.settings {
		q.values[name] = text
	}
	for _, text := range o.sections {
		row, err := parseSection(strings.Split(text, ","), q.units())
		if err != nil {
			return withHint(fmt.Errorf("--section %q: %w", text, err), `as in --section "north slope, rafter, 14, 2x6 at 24, 12"`)
		}
		q.sections = append(q.sections, row)
	}
	if !o.yes {
		q.from = newAsking(o.env)
		defer q.from.Close()
		q.ask()
	}
	return o.write(q)
}

// free makes sure that nothing would be written over.
func (o *startOptions) free() error {
	for _, name := range []string{"job.csv", "sections.csv"} {
		_, err := os.Lstat(filepath.Join(o.dir, name))
		if err == nil {
			return withHint(fmt.Errorf("%s is there already, and start writes over nothing", filepath.Join(o.dir, name)),
				"edit it in a spreadsheet, or name another folder; bayproof log "+o.dir+" goes on with the job")
		}
		if !errors.Is(err, fs.ErrNotExist) {
			return plainPath(err)
		}
	}
	return nil
}

// write makes the folder and its files once they are known to read without a fault.
func (o *startOptions) write(q *questions) error {
	job, sections := q.jobTable(), q.sectionTable()
	if faults := q.check(job, sections); len(faults) > 0 {
		for _, f := range faults {
			printError(o.env.Stderr, f.Src.File+": "+f.What, f.Hint)
		}
		return exitStatus(exitFault)
	}
	var m made
	if err := m.folder(o.dir); err != nil {
		m.undo()
		return err
	}
	files := []struct {
		name string
		data []byte
	}{{"job.csv", job}, {"sections.csv", sections}}
	for _, f := range files {
		name := filepath.Join(o.dir, f.name)
		if err := writeNew(name, f.data); err != nil {
			m.undo()
			return writeTrouble(name, err)
		}
		m.add(name)
	}
	fmt.Fprintf(o.env.Stdout, "%s is set up: job.csv with %s, sections.csv with %s.\n", o.dir,
		say.Count(len(q.values), "setting", "settings"), say.Count(len(q.sections), "section", "sections"))
	if q.values["bag_weight"] == "" && q.values["bag_checks"] == "" {
		io.WriteString(o.env.Stdout, "Still open: what a bag weighs. Without it only weighed masses can be logged:\nput bag_weight and the label's net weight into job.csv.\n")
	}
	fmt.Fprintf(o.env.Stdout, "Next: bayproof plan %s, and at the truck bayproof log %s\n", o.dir, o.dir)
	return nil
}

// writeNew writes a file that is not there yet, as a whole or not at all.
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

// check reads what would be written as check will.
func (q *questions) check(job, sections []byte) []model.Fault {
	files := joblog.Overlay(joblog.Overlay(joblog.Overlay(nothing{}, "job.csv", job), "sections.csv", sections), joblog.LogName, []byte(emptyLog))
	_, faults := joblog.Read(files, "", joblog.Options{})
	return faults
}

// nothing is an empty folder.
type nothing struct{}

func (nothing) Open(name string) (fs.File, error) {
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// table writes a table for a spreadsheet: a byte order mark, so that it is taken for UTF-8, and guarded text.
func table(rows [][]string) []byte {
	var b bytes.Buffer
	io.WriteString(&b, "\ufeff")
	for _, row := range rows {
		for i, c := range row {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(csvCell(c))
		}
		b.WriteString("\r\n")
	}
	return b.Bytes()
}

// csvCell quotes a cell that needs it.
func csvCell(s string) string {
	if strings.ContainsAny(s, ",\"\r\n;") || strings.TrimSpace(s) != s {
		return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
	}
	return s
}

// questions is what start asks, and what it knows so far.
type questions struct {
	o        *startOptions
	from     asking // nil where nothing is asked
	over     bool   // no more answers come: the rest takes its default
	values   map[string]string
	kept     []string // defaults that came from the user's file
	sections []sectionRow
}

// question is one setting that is asked about.
type question struct {
	name, ask, why, fallback string
}

// asked are the questions about settings, in their order. Each has a default and says why it is asked.
func asked() []question {
	return []question{
		{"site", "where is the job", "heads the sheets and the record", ""},
		{"crew", "who does it", "heads the sheets and the record", ""},
		{"target", "least density accepted", "3.5 lb/ft3 is the published floor (Standard Work Specifications 4.1103.1)", "3.5 lb/ft3"},
	}
}

// ask goes through the questions; what a flag answered is not asked.
func (q *questions) ask() {
	fmt.Fprintln(q.o.env.Stdout, "Enter takes what stands in [brackets], or leaves it open.\nEverything can be changed later in job.csv and sections.csv.")
	for _, x := range asked() {
		q.setting(x)
	}
	q.bag()
	q.marks()
	q.counting()
	if len(q.o.sections) == 0 {
		q.askSections()
	}
	q.keep()
}

// line asks for one line; where no more come it is empty.
func (q *questions) line(ask, why, fallback string) string {
	if q.over {
		return fallback
	}
	prompt := "> "
	if fallback != "" {
		prompt = "[" + fallback + "] "
	}
	answer, err := q.from.Ask(fmt.Sprintf("\n%s?\n  (%s)\n%s", upperFirst(ask), why, prompt))
	if err != nil {
		q.over = true
		return fallback
	}
	if answer = strings.TrimSpace(answer); answer == "" {
		return fallback
	}
	return answer
}

// upperFirst makes a question begin like a sentence.
func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// setting asks for one setting until the answer can be one.
func (q *questions) setting(x question) {
	if _, given := q.o.settings[x.name]; given {
		return
	}
	fallback := x.fallback
	if v := q.values[x.name]; v != "" {
		fallback = v
	}
	for {
		answer := q.line(x.ask, x.why, fallback)
		if answer == "" {
			return
		}
		bad := q.refused(x.name, answer)
		if bad == nil {
			q.values[x.name] = answer
			return
		}
		q.complain(bad)
		if q.over {
			return
		}
	}
}

func (q *questions) complain(bad *model.Fault) {
	fmt.Fprintf(q.o.env.Stdout, "  %s; %s\n", bad.What, bad.Hint)
}

// refused tells what is wrong with a setting's text, among the answers so far.
func (q *questions) refused(name, text string) *model.Fault {
	r, _ := joblog.NewResolver(nil)
	given := []joblog.Given{}
	if v := q.values["units"]; v != "" && name != "units" { // what a bare number is in
		given = append(given, joblog.Given{Name: "units", Text: v})
	}
	given = append(given, joblog.Given{Name: name, Text: text, Src: model.Source{File: name, Line: 1}})
	_, faults := r.Job("", given)
	for i, f := range faults {
		if f.Src.File == name && !related(f) {
			return &faults[i]
		}
	}
	return nil
}

// related tells whether a fault is about two settings together; those are looked at once all are known.
func related(f model.Fault) bool {
	return strings.Contains(f.What, " is below ") || strings.Contains(f.What, "no default target")
}

// jobTable is job.csv, in the order of the table of settings.
func (q *questions) jobTable() []byte {
	rows := [][]string{{"name", "value"}}
	if q.values["date"] == "" {
		q.values["date"] = q.o.env.Now().Format("2006-01-02")
	}
	for _, def := range model.SettingDefs() {
		if v := q.values[def.Name]; v != "" {
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

// bag asks for the weight of a bag: the label's, which is net, or weighed ones, with or without their wrapper.
func (q *questions) bag() {
	if q.o.settings["bag_weight"] != "" || q.o.settings["bag_checks"] != "" {
		return
	}
	fallback := q.values["bag_weight"]
	ask, why := "net weight of a bag by its label, or bags you weighed as in 25.3; 25.1; 25.2", "pounds come from bags; Enter leaves it open"
	for {
		answer := q.line(ask, why, fallback)
		name := "bag_weight"
		if strings.Contains(answer, ";") {
			name = "bag_checks"
		}
		if answer == "" {
			return
		}
		if bad := q.refused(name, answer); bad != nil {
			q.complain(bad)
			if q.over {
				return
			}
			continue
		}
		q.wrapper(name, q.withUnit(answer))
		return
	}
}

// withUnit adds the unit to a bare weight, so that the file says it.
func (q *questions) withUnit(weight string) string {
	if strings.Trim(weight, "0123456789./;- ") == "" {
		return weight + " " + q.units().Unit(model.ShowMass).Symbol
	}
	return weight
}

// wrapper asks whether the weight holds the wrapper; a single weighed bag with its wrapper becomes a check with a tare.
func (q *questions) wrapper(name, weight string) {
	tare := ""
	if q.values["bag_tare"] == "" && q.o.settings["bag_tare"] == "" {
		tare = q.line("weighed with its wrapper? then what the wrapper weighs", "only what is blown counts; a label's weight is net", "no")
	}
	if a, ok := model.ParseAnswer(tare); tare != "" && !(ok && a == model.No) {
		if bad := q.refused("bag_tare", tare); bad != nil {
			q.complain(bad)
		} else {
			name = "bag_checks"
			q.values["bag_tare"] = q.withUnit(tare)
			delete(q.values, "bag_weight")
		}
	}
	q.values[name] = weight
}

// marks asks what part of a bag the crew can tell.
func (q *questions) marks() {
	if q.o.settings["bag_step"] != "" {
		return
	}
	fallback := "no"
	if s := q.values["bag_step"]; s == "1/4" || s == "0.25" {
		fallback = "yes"
	}
	answer := q.line("marks inside the hopper, to read a quarter of a bag", "without marks nobody reads less than half a bag", fallback)
	a, ok := model.ParseAnswer(answer)
	switch {
	case ok && a == model.Yes:
		q.values["bag_step"] = "1/4"
	case !ok && q.refused("bag_step", answer) == nil:
		q.values["bag_step"] = answer
	default:
		q.values["bag_step"] = "1/2"
	}
}

// counting asks how a bay's count starts.
func (q *questions) counting() {
	if q.o.settings["counting"] != "" {
		return
	}
	fallback := q.values["counting"]
	if fallback == "" {
		fallback = "ends"
	}
	for {
		answer := q.line("does each bay start from a full hopper (fresh), run on from the last one (running), or are start and end read (ends)",
			"says what a count is worth", fallback)
		if c, ok := model.ParseCounting(answer); ok {
			q.values["counting"] = c.String()
			return
		}
		fmt.Fprintln(q.o.env.Stdout, "  fresh, running or ends")
		if q.over {
			return
		}
	}
}

// sectionRow is a row of sections.csv as start writes it.
type sectionRow struct{ name, kind, bays, spacing, width, depth, length string }

// thick is what a nominal 2-in member measures, in: the clear width is the spacing less it.
const thick = 1.5

// framing reads "2x6 at 24" as the clear width and depth between dressed members, and "22.5 x 5.5" as they are.
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

// parseSection reads name, kind, bays, framing, length.
func parseSection(cells []string, units model.System) (sectionRow, error) {
	for len(cells) < 5 {
		cells = append(cells, "")
	}
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	row := sectionRow{name: cells[0], kind: cells[1], bays: cells[2]}
	if row.name == "" {
		return row, fmt.Errorf("a name is missing")
	}
	if len(cells) > 5 {
		return row, fmt.Errorf("%d values, not five", len(cells))
	}
	if err := sectionKind(row.kind); err != nil {
		return row, err
	}
	if n, err := strconv.Atoi(row.bays); row.bays != "" && (err != nil || n < 0) {
		return row, fmt.Errorf("%s is no number of bays", row.bays)
	}
	var err error
	if row.spacing, row.width, row.depth, err = framing(cells[3], units); err != nil {
		return row, err
	}
	form, _ := cell.Column("length", units)
	plain, bad := form.Plain(cells[4])
	if bad != nil {
		return row, fmt.Errorf("%s", bad.What)
	}
	row.length = plain
	return row, nil
}

// kinds are the kinds of section that sections.csv knows.
func kinds() []string { return []string{"rafter", "wall", "floor", "knee wall"} }

// sectionKind refuses a word that sections.csv would refuse later.
func sectionKind(text string) error {
	for _, k := range kinds() {
		if text == "" || strings.EqualFold(text, k) {
			return nil
		}
	}
	return fmt.Errorf("%s is no kind of section: %s", text, strings.Join(kinds(), ", "))
}

// askSections asks for one section after the other until a name stays empty.
func (q *questions) askSections() {
	for n := 1; !q.over; n++ {
		name := q.line(fmt.Sprintf("section %d, a run of like bays as in north slope", n), "bays are compared within it; Enter: no more", "")
		if name == "" {
			return
		}
		q.askSection(name)
	}
}

// askSection asks what is known of a section, each thing until the answer can be one.
func (q *questions) askSection(name string) {
	cells := []string{name, "", "", "", ""}
	for i, x := range []question{
		{ask: "rafter, wall, floor or knee wall", why: "cautions and the record go by it", fallback: "rafter"},
		{ask: "how many bays, counted from outside", why: "so that none is forgotten"},
		{ask: "framing as in 2x6 at 24, or clear width x depth", why: "for the plan only; the tape counts"},
		{ask: "length of a usual bay", why: "for the plan only"},
	} {
		for !q.over {
			cells[i+1] = q.line("  "+name+": "+x.ask, x.why, x.fallback)
			_, err := parseSection(cells, q.units())
			if err == nil {
				break
			}
			fmt.Fprintf(q.o.env.Stdout, "  %s\n", err)
			cells[i+1] = ""
		}
	}
	row, err := parseSection(cells, q.units())
	if err == nil {
		q.sections = append(q.sections, row)
	}
}

// sectionTable is sections.csv.
func (q *questions) sectionTable() []byte {
	rows := [][]string{{"section", "kind", "bays", "spacing", "width", "depth", "length", "covers", "bags_used", "label_r", "note"}}
	for _, s := range q.sections {
		rows = append(rows, []string{cell.GuardText(s.name), s.kind, s.bays, s.spacing, s.width, s.depth, s.length, "", "", "", ""})
	}
	return table(rows)
}

// defaultsFile is the user's own file of defaults, in the platform's usual place.
func defaultsFile() (string, error) {
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, "bayproof", "defaults.csv"), nil
}

// defaults takes the user's own defaults, which stand behind flags and answers.
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
		return withHint(plainPath(err), "your defaults: mend the permissions of "+file+", or delete it")
	}
	files := joblog.Overlay(joblog.Overlay(nothing{}, "job.csv", data), joblog.LogName, []byte(emptyLog))
	job, faults := joblog.Read(files, "", joblog.Options{})
	if len(faults) > 0 {
		return withHint(fmt.Errorf("%s:%d: %s", file, faults[0].Src.Line, faults[0].What), faults[0].Hint, "mend or delete "+file)
	}
	for _, def := range model.SettingDefs() {
		if job.Settings.From[def.Name] == model.OriginJob && !def.OneJob {
			q.values[def.Name] = job.Settings.Raw[def.Name]
			q.kept = append(q.kept, def.Name)
		}
	}
	if len(q.kept) > 0 {
		fmt.Fprintf(q.o.env.Stderr, "bayproof: your defaults (%s): %s\n", file, strings.Join(q.kept, ", "))
	}
	return nil
}

// keep offers to keep what jobs have in common, where nothing is kept yet.
func (q *questions) keep() {
	file, err := defaultsFile()
	if err != nil || q.over || len(q.kept) > 0 {
		return
	}
	answer := q.line("keep crew, bag and counting as your defaults for the next job", file, "no")
	if a, _ := model.ParseAnswer(answer); a != model.Yes {
		return
	}
	rows := [][]string{{"name", "value"}}
	for _, def := range model.SettingDefs() {
		if v := q.values[def.Name]; v != "" && !def.OneJob {
			rows = append(rows, []string{def.Name, cell.GuardText(v)})
		}
	}
	if err = os.MkdirAll(filepath.Dir(file), 0o777); err == nil {
		err = writeNew(file, table(rows))
	}
	if err != nil {
		printWarning(q.o.env.Stderr, "defaults not kept: "+err.Error())
	}
}

// made are the files and folders that a command has made so far, so that one that fails can take them away again.
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
	for i := len(missing) - 1; i >= 0; i-- {
		m.add(missing[i])
	}
	return writeTrouble(dir, err)
}

// add notes what was made.
func (m *made) add(name string) { *m = append(*m, name) }

// undo takes everything away again, the last one first. A folder in which somebody else put something stays.
func (m *made) undo() {
	for i := len(*m) - 1; i >= 0; i-- {
		_ = os.Remove((*m)[i])
	}
	*m = nil
}
