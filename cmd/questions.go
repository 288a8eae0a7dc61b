package cmd

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/model/joblog"
)

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
	fmt.Fprintln(q.o.env.Stdout, "Enter takes what stands in [brackets]. Everything can be changed later in job.csv and sections.csv.")
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
	answer, err := q.from.Ask(fmt.Sprintf("\n%s?\n  (%s)\n[%s] ", upperFirst(ask), why, fallback))
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
	for _, n := range []string{"units"} {
		if v := q.values[n]; v != "" && n != name {
			given = append(given, joblog.Given{Name: n, Text: v})
		}
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
	if err != nil {
		return nil // none kept
	}
	files := joblog.Overlay(joblog.Overlay(nothing{}, "job.csv", data), joblog.LogName, []byte(emptyLog))
	job, faults := joblog.Read(files, "", joblog.Options{})
	if len(faults) > 0 {
		return withHint(fmt.Errorf("%s:%d: %s", file, faults[0].Src.Line, faults[0].What), faults[0].Hint, "mend or delete "+file)
	}
	for _, def := range model.SettingDefs() {
		if job.Settings.From[def.Name] == model.OriginJob && !slices.Contains(ofOneJob(), def.Name) {
			q.values[def.Name] = job.Settings.Raw[def.Name]
			q.kept = append(q.kept, def.Name)
		}
	}
	if len(q.kept) > 0 {
		fmt.Fprintf(q.o.env.Stderr, "bayproof: your defaults (%s): %s\n", file, strings.Join(q.kept, ", "))
	}
	return nil
}

// ofOneJob are the settings that belong to one job and are never kept for the next.
func ofOneJob() []string {
	return []string{"job", "site", "date", "work_order", "lot", "delivery", "bag_checks", "bag_tare", "bags_loaded", "bags_left", "blower_pressure", "cfm50_before", "cfm50_after"}
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
		if v := q.values[def.Name]; v != "" && !slices.Contains(ofOneJob(), def.Name) {
			rows = append(rows, []string{def.Name, cell.GuardText(v)})
		}
	}
	if err := os.MkdirAll(filepath.Dir(file), 0o777); err == nil {
		err = writeNew(file, table(rows))
	}
	if err != nil {
		printWarning(q.o.env.Stderr, "defaults not kept: "+err.Error())
	}
}
