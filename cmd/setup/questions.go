package setup

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/model/joblog"
	"bayproof/report/screen"
)

// Questions is what start asks, and what it knows so far.
type Questions struct {
	Values   map[string]string // settings as they are typed, by their names
	Sections []Section         // those that are added
	Hoses    bool              // there is a second machine or hose

	Flags  map[string]string // settings that are answered ahead
	Had    map[string]bool   // those that the job's own file says
	Terms  *joblog.Terms     // of the program; nil for none
	Before []string          // sections that the job's own file names

	From   Asker
	Out    io.Writer
	Width  int   // columns that a line may take
	Person bool  // somebody types the answers
	ended  error // why no more answers come
}

// Asker gives the answers: it shows a question and returns what was typed, or io.EOF where no more
// answers come.
type Asker interface {
	Ask(question string) (string, error)
}

// Over tells whether no more answers come: the rest takes its default.
func (q *Questions) Over() bool { return q.ended != nil }

// Failed is why no more answers come, where they did not just end.
func (q *Questions) Failed() error {
	if errors.Is(q.ended, io.EOF) {
		return nil
	}
	return q.ended
}

// Left tells whether somebody left with questions open.
func (q *Questions) Left() bool { return q.Over() && q.Person }

// question is one thing that is asked, in words that end in a question mark and a reason in
// parentheses.
type question struct {
	answered           []string // the settings that answer it ahead, the one it asks for first
	ask, why, fallback string
	more               string            // what ? says beyond the reason
	shown              map[string]string // how a default of the user's own is shown, where not as it is; others give way to fallback
	take               func(answer string) error
}

// aboutJob are the questions about the job that what is known so far leaves, in their order. Whoever
// takes an answer says what is wrong with it, or nothing; then the question is asked again. An
// empty answer leaves the setting open.
func (q *Questions) aboutJob() []question {
	list := []question{
		{answered: []string{"site"}, ask: "where is the job", why: "heads the sheets and the record", take: q.setting("site")},
		{answered: []string{"crew"}, ask: "who does it", why: "heads the sheets and the record", take: q.setting("crew")},
		{answered: []string{"bag_weight", "bag_checks"}, ask: "net weight of a bag by its label, or bags you weighed as in 25.3; 25.1; 25.2", why: "pounds come from bags; Enter leaves it open",
			more: "The label says it: net weight. Weighing three or more bags is better: write them with ; between.", take: q.bag},
		{answered: []string{"bag_step", "weigh_within"}, ask: "how do you tell a part of a bag: scale, marks in the hopper, or neither", why: "a part bag weighed at each bay closes nearly every good bay; quarters of a bag close seven in ten", fallback: "neither",
			more:  "scale: any that shows a pound; write 0.5 lb where it shows half pounds. marks: a quarter of a bag can be read. neither: nobody reads less than half a bag.",
			shown: map[string]string{"1/4": "marks", "0.25": "marks"}, take: q.parts},
		{answered: []string{"counting"}, ask: "does each bay start from a full hopper (fresh), run on from the last one (running), or are start and end read (ends)",
			why: "says what a count is worth", fallback: "ends", more: "running: one count since the morning, read at the end of each bay. It closes the most bays.", take: q.counting},
		{ask: "is there a second machine or hose, yes or no", why: "a count belongs to its machine", fallback: "no", take: yesOrNo(&q.Hoses)},
		{answered: []string{"to_stall"}, ask: "will every bay be blown until the flow stops by itself, yes or no", why: "only then do a crew's bays speak for each other; ? says what stalled means", more: stalled, take: q.setting("to_stall")},
	}
	ahead := func(name string) bool {
		_, given := q.Flags[name]
		return given || q.Had[name] || q.Terms.Govern(name)
	}
	list = slices.DeleteFunc(list, func(x question) bool {
		if x.answered == nil { // the second machine, asked where a count runs on
			return q.Had["counting"] || q.Values["counting"] != model.CountingRunning.String()
		}
		return slices.ContainsFunc(x.answered, ahead)
	})
	for i := range list {
		x := &list[i]
		if x.answered == nil {
			continue
		}
		if own := q.Values[x.answered[0]]; x.shown[own] != "" {
			x.fallback = x.shown[own]
		} else if own != "" && x.shown == nil {
			x.fallback = own
		}
	}
	return list
}

// stalled says what the hose man states with a yes.
const stalled = "Stalled: with feed and air on and the hose clear, nothing more goes in, and drawing the tube back a little changes nothing. " +
	"A jam is no stall, and stopping at a count is none. Put stall no into the row of a bay that did not stall."

// Ask goes through the questions; what a flag answered is not asked, nor sections where some are
// given. back goes one back.
func (q *Questions) Ask() {
	q.Tell("", "Enter takes what stands in [brackets], or leaves it open. ? explains, back goes back.\nEverything can be changed later in job.csv and sections.csv.")
	given := len(q.Sections) > 0
	for at := 0; ; at = len(q.aboutJob()) - 1 {
		q.through(at, q.aboutJob)
		if given || q.Over() || !q.askSections() || len(q.aboutJob()) == 0 {
			return
		}
	}
}

// Offer asks for a yes or a no, which is the default.
func (q *Questions) Offer(ask, why string) (yes bool) {
	q.until(question{ask: ask, why: why, fallback: "no", take: yesOrNo(&yes)})
	return yes
}

// through asks a list of questions from one on, which may grow with the answers; back goes one
// back, and from the first out of it.
func (q *Questions) through(at int, list func() []question) (back bool) {
	for at < len(list()) && !q.Left() {
		if !q.until(list()[at]) {
			at++
		} else if at--; at < 0 {
			return true
		}
	}
	return false
}

// until asks until there is no complaint about the answer, or no more answers come.
func (q *Questions) until(x question) (back bool) {
	for {
		answer, back := q.line(x)
		if back || q.Left() {
			return back
		}
		complaint := x.take(answer)
		if complaint == nil {
			return false
		}
		q.Tell("  ", complaint.Error())
		if q.Over() {
			return false
		}
	}
}

// line asks for one line and returns it, or the fallback where it is empty or no more lines come. ?
// explains, and it is asked again.
func (q *Questions) line(x question) (answer string, back bool) {
	for !q.Over() {
		answer, err := q.From.Ask(q.laidOut(x))
		if err != nil {
			q.ended = err
			break
		}
		switch answer = strings.TrimSpace(answer); strings.ToLower(answer) {
		case "":
			return x.fallback, false
		case "back":
			return "", true
		case "?":
			q.Tell("  ", cmp.Or(x.more, x.why))
		default:
			return answer, false
		}
	}
	return x.fallback, false
}

// laidOut is a question as it is shown, with the reason and its default below it.
func (q *Questions) laidOut(x question) string {
	text := strings.TrimLeft(x.ask, " ")
	indent := x.ask[:len(x.ask)-len(text)]
	if indent == "" {
		text = strings.ToUpper(text[:1]) + text[1:]
	}
	lines := slices.Concat([]string{""}, screen.Fill(indent, "  ", text+"?", q.Width), screen.Fill("  (", "  ", x.why+")", q.Width))
	if x.fallback == "" {
		return strings.Join(append(lines, "> "), "\n")
	}
	return strings.Join(append(lines, "["+x.fallback+"] "), "\n")
}

// Tell shows lines as wide as the screen.
func (q *Questions) Tell(indent, text string) {
	for line := range strings.SplitSeq(text, "\n") {
		for _, part := range screen.Fill(indent, indent, screen.Clean(line), q.Width) {
			fmt.Fprintln(q.Out, part)
		}
	}
}

// yesOrNo takes an answer that is one of the two.
func yesOrNo(yes *bool) func(string) error {
	return func(answer string) error {
		a, ok := model.ParseAnswer(answer)
		if *yes = a == model.Yes; !ok {
			return errors.New("yes or no")
		}
		return nil
	}
}

// setting takes a setting as it is typed.
func (q *Questions) setting(name string) func(string) error {
	return func(answer string) error {
		if answer == "" {
			return nil
		}
		if bad := q.Refused(name, answer); bad != nil {
			return errors.New(bad.What + "; " + bad.Hint)
		}
		q.Values[name] = answer
		return nil
	}
}

// bag takes what a bag weighs: the label's figure, which is net, or several bags that were weighed.
func (q *Questions) bag(answer string) error {
	name := "bag_weight"
	if strings.Contains(answer, ";") {
		name = "bag_checks"
	}
	if err := q.setting(name)(answer); err != nil || answer == "" {
		return err
	}
	q.Values[name] = q.withUnit(answer)
	if name == "bag_checks" && q.Values["bag_tare"] == "" {
		q.tare()
	}
	return nil
}

// tare asks what the wrapper of weighed bags weighs. Bags weighed with it stand for the label's
// weight too.
func (q *Questions) tare() {
	tare, _ := q.line(question{ask: "weighed with its wrapper? then what the wrapper weighs", why: "only what is blown counts; a label's weight is net", fallback: "no"})
	if a, ok := model.ParseAnswer(tare); tare == "" || ok && a == model.No {
		return
	}
	if bad := q.Refused("bag_tare", tare); bad != nil {
		fmt.Fprintf(q.Out, "  %s; %s\n", screen.Clean(bad.What), screen.Clean(bad.Hint))
		return
	}
	q.Values["bag_tare"] = q.withUnit(tare)
	delete(q.Values, "bag_weight")
}

// withUnit adds the unit to a bare weight, so that the file says it.
func (q *Questions) withUnit(weight string) string {
	if strings.Trim(weight, "0123456789./;- ") == "" {
		return weight + " " + q.units().Unit(model.ShowMass).Symbol
	}
	return weight
}

// parts takes how a part of a bag is told: by a scale, whose ± may be said, by marks, or by
// neither; a fraction is the step itself.
func (q *Questions) parts(answer string) error {
	if a, ok := model.ParseAnswer(answer); ok {
		answer = map[model.Answer]string{model.Yes: "marks", model.No: "neither"}[a]
	}
	step := ""
	switch low := strings.ToLower(answer); {
	case strings.HasPrefix(low, "mark"):
		step = "1/4"
	case strings.HasPrefix(low, "scale"):
		step = "1/4"
		q.Tell("  ", "weigh what is left of the open bag at each bay: 1 + 14.5 lb. Its scale is taken to be right to 1 lb.")
	case low == "", low == "neither", low == "none":
		step = "1/2"
	case q.Refused("bag_step", answer) == nil:
		step = answer
	case q.Refused("weigh_within", answer) == nil:
		step = "1/4"
		q.Values["weigh_within"] = q.withUnit(answer)
	default:
		return errors.New("scale, marks or neither")
	}
	q.Values["bag_step"] = step
	return nil
}

// counting takes how a bay's count starts.
func (q *Questions) counting(answer string) error {
	c, ok := model.ParseCounting(answer)
	if !ok {
		return errors.New("fresh, running or ends")
	}
	q.Values["counting"] = c.String()
	return nil
}

// Refused tells what is wrong with a setting's text, among the answers so far; nil where nothing
// is. The reader of job.csv is asked, so that no answer is taken here that check would refuse.
func (q *Questions) Refused(name, text string) *model.Fault {
	r, _ := joblog.NewResolver(nil)
	given := []joblog.Given{{Name: name, Text: text, Src: model.Place{Source: model.Source{File: name, Line: 1}}}}
	if v := q.Values["units"]; v != "" && name != "units" { // what a bare number is in
		given = append(given, joblog.Given{Name: "units", Text: v})
	}
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

// JobFile is a job.csv of those settings that are known and wanted, in the order of the table of
// settings.
func (q *Questions) JobFile(wanted func(model.SettingDef) bool) []byte {
	rows := [][]string{{"name", "value"}}
	for _, def := range model.SettingDefs() {
		if v := q.Values[def.Name]; v != "" && wanted(def) {
			rows = append(rows, []string{def.Name, v})
		}
	}
	return table(rows)
}

// units is the system that bare figures are in.
func (q *Questions) units() model.System {
	u, _ := model.ParseSystem(q.Values["units"])
	return u
}

// table writes a table for a spreadsheet: a byte order mark, so that it is taken for UTF-8, no cell
// that a spreadsheet would run, and in quotes every cell that one of the separators known to
// spreadsheets could cut, or whose spaces at the ends would be lost.
func table(rows [][]string) []byte {
	b := []byte("\ufeff")
	for _, row := range rows {
		for i, c := range row {
			if i > 0 {
				b = append(b, ',')
			}
			b = screen.Quote(b, cell.GuardText(c), ",;") // with a comma as the decimal mark, a spreadsheet takes ; for the separator
		}
		b = append(b, "\r\n"...)
	}
	return b
}
