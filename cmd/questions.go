package cmd

import (
	"fmt"
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
