package sheets

import (
	"bytes"
	_ "embed"
	"html/template"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/say/lang"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/plan"
)

// paper is what the template of the two sheets shows (sheets.tmpl): all of it is text, written here
// in the job's units, so that the template decides nothing but the layout. html/template escapes
// names that come from the files.
type paper struct {
	Lang                  string // of HTML
	Job, Site, Crew, Date string
	Aim, Ceiling          string
	Size, Long, Mass      string // unit names
	Roof                  []roofSection
	RoofTicks, TruckTicks []tick
	Bag                   string // see bagLine
	Load                  string
	Unknown               string // sections that the load is without, since nothing is known of their bays; empty where there are none
	Bulges                bool   // a section's face is netting or a membrane
	Step                  string
	Boxes                 []int
	Times                 []int // lines for three bays each, to write down when feed started and stopped
	WeighFirst            []int
	Blower                string
	InBags                bool
	Empties               string // asks for them, where bags are counted
	Vented                bool   // a section has a channel under its sheathing, or may have one
}

// tick is one caution with its box. What is looked for gets a box for none of it and a blank for
// where it is: a tick then says what somebody looked at, not that a sentence was read.
type tick struct{ LookFor, Text string }

// roofSection is one table of the roof sheet, and roofRow a bay in it. Sizes are printed where they
// are known; where they are the section's typical ones they are printed small, for somebody to
// measure and write over.
type roofSection struct {
	Name, Note string
	Open       bool // its face is open or gives: three depths can be read, and it bulges
	Rows       []roofRow
}

// roofRow is a bay on the roof sheet, in the words and units that it is printed in.
type roofRow struct {
	Bay, Shape         string // shape: empty for a box
	Width, Depth, Long string
	Planned            bool // the sizes are the section's typical ones, to be measured
	Fifth              bool // a heavier line below it
	Aim, Look          string
}

// spareRows are the empty rows at the end of each section, for bays that nobody counted.
const spareRows = 2

// newPaper lays the plan out on paper: the roof sheet has what is measured and watched at the bays,
// the truck sheet what is counted at the machine. Cautions go to the sheet where they can be acted
// on.
func newPaper(p *plan.Plan, cautions []verify.Caution) paper {
	u := say.UnitsOf(p.Job)
	set := &p.Job.Settings
	d := paper{
		Lang: u.Tag(), Job: p.Job.Name, Site: set.Site, Crew: set.Crew, Date: set.Date,
		Aim: u.Target(set.Aim), Ceiling: u.Target(set.Ceiling),
		Size: u.Of(verify.Size).Name, Long: u.Of(verify.Length).Name, Mass: u.Of(verify.Mass).Name,
		Step: say.Bags(set.BagStep), Unknown: unknownLine(u, p), Boxes: boxes(p.Load), Bag: bagLine(u, set), InBags: inBags(p), Empties: u.S(countEmpties), WeighFirst: numbers(p.WeighFirst),
		Load: loadLine(u, p), Blower: u.S("least 80 in of water"), // SWS 4.1101.5
	}
	if d.InBags {
		d.Times = numbers((len(p.Bays) + spareRows + 2) / 3)
	}
	if u.System == model.SI {
		d.Blower = u.S("least 20 kPa")
	}
	for i := range p.Sections {
		d.Roof = append(d.Roof, newRoofSection(u, p, &p.Sections[i]))
	}
	for _, s := range blind(p) {
		d.Roof = append(d.Roof, blankSection(u, s))
	}
	d.Bulges = slices.ContainsFunc(d.Roof, func(s roofSection) bool { return s.Open })
	for _, c := range cautions {
		d.Vented = d.Vented || c.Code == "vent-space"
		ticks := &d.RoofTicks
		if slices.Contains(atTheTruck, c.Code) {
			ticks = &d.TruckTicks
		}
		*ticks = append(*ticks, tick{u.S(c.LookFor), u.S(c.Text)})
	}
	return d
}

// bagLine says what a bag weighs: "25 lb a bag by the label"; empty where nobody says.
func bagLine(u say.Units, set *model.Settings) string {
	switch bag := plan.BagWeight(set); {
	case math.IsNaN(bag):
		return ""
	case len(set.BagChecks) > 0:
		return u.F("%s a bag as weighed.", plainMass(u, bag))
	default:
		return u.F("%s a bag by the label.", plainMass(u, bag))
	}
}

// atTheTruck are the cautions that are ticked at the truck: about the machine, the house and what
// may be in its materials. The others are ticked where the bays are.
var atTheTruck = []verify.Code{"jam", "dust", "static", "service-drop", "combustion", "asbestos", "vermiculite", "lead", "label", "crawl-space"}

// newRoofSection is a section's table: its bays that are not filled yet, and some empty rows.
func newRoofSection(u say.Units, p *plan.Plan, sec *plan.Section) roofSection {
	s := roofSection{Name: sec.Section.Name, Note: sectionNote(u, sec), Open: sec.Section.OpenFace()}
	for i := range p.Bays {
		if b := &p.Bays[i]; b.Section == sec.Section && !b.Filled {
			s.add(newRoofRow(u, b))
		}
	}
	return s.withSpare()
}

// blankSection is the table of a section of whose bays nothing is known but how many there are:
// each has its row all the same.
func blankSection(u say.Units, s *model.Section) roofSection {
	t := roofSection{Name: s.Name, Note: u.S("sizes not known: measure them"), Open: s.OpenFace()}
	var names []string
	for n := range max(s.Expected, 0) {
		names = append(names, plan.NextName(names))
		t.add(roofRow{Bay: names[n], Planned: true})
	}
	return t.withSpare()
}

// add appends a row, every fifth over a heavier line so that the eye keeps its row.
func (s *roofSection) add(row roofRow) {
	row.Fifth = len(s.Rows)%5 == 4
	s.Rows = append(s.Rows, row)
}

// withSpare adds empty rows at the section's end, for bays that nobody planned.
func (s roofSection) withSpare() roofSection {
	s.Rows = append(s.Rows, make([]roofRow, spareRows)...)
	return s
}

// blind are the sections of whose bays no sizes are known.
func blind(p *plan.Plan) []*model.Section {
	return slices.DeleteFunc(slices.Clone(p.Job.Sections), func(s *model.Section) bool { return !slices.Contains(p.Blind, s.Name) })
}

// unknownLine names the sections that the load is without.
func unknownLine(u say.Units, p *plan.Plan) string {
	var names []string
	for _, s := range blind(p) {
		name := s.Name
		if s.Expected > 0 {
			name += " (" + u.Count(s.Expected, "bay", "bays") + ")"
		}
		names = append(names, name)
	}
	if names == nil {
		return ""
	}
	return u.F("Not in it: %s. No sizes are known there.", u.List(names))
}

// shapeWord is a bay's shape as the sheet says it; empty for a box.
func shapeWord(p *model.Piece) string {
	switch d := p.Dims(); {
	case d.Shape != model.ShapeUnsaid && d.Shape != model.ShapeBox:
		return d.Shape.String()
	case !d.LengthFollows:
		return "skew"
	}
	return ""
}

// boxesInRow is how many boxes for empties the truck sheet has side by side; they fill whole rows.
const boxesInRow = 7

// sectionNote says how many bays a section has and what they take.
func sectionNote(u say.Units, sec *plan.Section) string {
	n := u.Count(sec.Bays, "bay", "bays")
	if math.IsNaN(sec.Bags) {
		return u.F("%s, %s in all", n, u.Mass(sec.Mass, model.Pound))
	}
	return u.F("%s, %s bags in all", n, tenths(sec.Bags))
}

// tenths prints a sum of bags to a tenth.
func tenths(x float64) string { return strconv.FormatFloat(x, 'f', 1, 64) }

// newRoofRow is one bay with what it takes at the aim and the count to stop at: at Look more went
// in than it can hold. No count invites to stop before the stall.
func newRoofRow(u say.Units, b *plan.Bay) roofRow {
	row := roofRow{Bay: b.Name, Planned: b.Typical}
	piece := &b.Section.Typical
	if !b.Typical {
		piece = b.Bay.Pieces[0]
	}
	row.Shape = shapeWord(piece)
	row.Width, row.Depth, row.Long = size(u, piece.Width), size(u, piece.Depth), u.Measured(piece.Dims().Length)
	for _, x := range []struct {
		to   *string
		size model.Reading
		show func(float64) string
	}{{&row.Width, piece.Width2, u.Size}, {&row.Depth, piece.Depth2, u.Size}, {&row.Long, piece.Length2, u.Length}} {
		if x.size.State != model.Absent { // the other end, or the other side
			*x.to += " / " + x.show(x.size.Mean())
		}
	}
	aim, look := counts(u, b)
	row.Aim, row.Look = say.Glyph(aim), say.Glyph(look) // read at arm's length
	return row
}

// counts are what a bay takes at the aim, to the step that the crew tells apart, and what to stop
// and look at.
func counts(u say.Units, b *plan.Bay) (aim, look string) {
	switch step := b.Section.Settings.BagStep; {
	case math.IsNaN(b.Bags):
		return massOr(u, b.Mass), massOr(u, b.LookAtMass)
	case step > 0:
		return say.Bags(math.Round(b.Bags/step) * step), say.Bags(b.LookAt)
	}
	return say.Bags(b.Bags), say.Bags(b.LookAt)
}

// size prints a width or depth as it was read.
func size(u say.Units, r model.Reading) string {
	if r.State == model.Absent {
		return ""
	}
	return u.Size(r.Mean())
}

// massOr prints a mass to a pound, the job's units permitting; nothing where there is none.
func massOr(u say.Units, x float64) string {
	if math.IsNaN(x) {
		return ""
	}
	return u.Mass(x, model.Pound)
}

// plainMass writes a mass that was given, not measured, with as many digits as it was given: 25 lb,
// 23.5 lb.
func plainMass(u say.Units, x float64) string {
	unit := u.Of(verify.Mass)
	return strconv.FormatFloat(x/unit.SI, 'g', 4, 64) + " " + unit.Name
}

// boxes numbers the empties: what is to be loaded and a row more, in whole rows.
func boxes(l plan.Load) []int {
	if l.Bags > 0 {
		rows := 1 + (int(l.Bags)+boxesInRow-1)/boxesInRow
		return numbers(rows * boxesInRow)
	}
	return numbers(60)
}

// numbers are those from 1 to n.
func numbers(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i + 1
	}
	return all
}

//go:embed sheets.tmpl
var sheetsTemplate string

// WriteHTML writes the two sheets as one page that needs nothing else.
func WriteHTML(w io.Writer, p *plan.Plan, cautions []verify.Caution) error {
	return written(w, sheetsTemplate, say.UnitsOf(p.Job).Language, newPaper(p, cautions))
}

// written lays a page out in a language; what a terminal would obey is not in it. In a template s
// says a sentence, and h one that has markup of its own; what is filled in is escaped.
func written(w io.Writer, layout string, l lang.Language, page any) error {
	t, err := template.New("").Funcs(template.FuncMap{
		"s": l.F,
		"h": func(english string, args ...any) template.HTML {
			for i, x := range args {
				args[i] = template.HTMLEscaper(x)
			}
			return template.HTML(l.F(english, args...))
		},
	}).Parse(layout)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := t.Execute(&b, page); err != nil {
		return err
	}
	_, err = w.Write(screen.HTML(b.Bytes()))
	return err
}

// todo is what the template of the to-do sheet shows: the open bays with their orders, in the log's
// order.
type todo struct {
	Lang      string // of HTML
	Job, Site string
	Close     string   // the verdict that asks for nothing
	Cautions  []string // that hold for some of the orders
	Rows      []todoRow
}

// todoRow is a bay on the list of what is left to do.
type todoRow struct {
	Bay    string
	Stands []string // its mark and words, between which a line may break
	Order  string
}

// todoOf gathers the bays that are not CLOSE, nor decided, nor withdrawn.
func todoOf(f *verify.Findings) todo {
	w := say.New(f)
	t := todo{Lang: w.Tag(), Job: f.Job.Name, Site: f.Job.Settings.Site, Close: w.Verdict(verify.Close)}
	for i := range f.Bays {
		x := &f.Bays[i]
		if x.Bay.Struck || x.IsDecided() || x.Verdict == verify.Close && x.State != verify.NotFilled || x.Now.Action == "" {
			continue
		}
		stands := strings.SplitAfter(say.Mark(x.Verdict)+"\u00a0"+w.Verdict(x.Verdict), "·")
		if x.State == verify.NotFilled {
			stands = []string{w.S("not filled")}
		}
		order, cautions := w.NowAndCautions(x)
		for _, text := range cautions {
			if !slices.Contains(t.Cautions, text) {
				t.Cautions = append(t.Cautions, text)
			}
		}
		t.Rows = append(t.Rows, todoRow{strings.TrimSpace(x.Bay.Section.Name + " " + x.Bay.Name), stands, order})
	}
	return t
}

//go:embed todo.tmpl
var todoTemplate string

// WriteTodo writes the open bays with their orders as a page for the roof.
func WriteTodo(w io.Writer, f *verify.Findings) error {
	return written(w, todoTemplate, say.UnitsOf(f.Job).Language, todoOf(f))
}

// AppendTodo appends the open bays with their orders as lines for a screen.
func AppendTodo(dst []byte, f *verify.Findings) []byte {
	t := &text{screen.Page{Dst: dst, Width: textWidth}, say.UnitsOf(f.Job)}
	list := todoOf(f)
	t.linef(t.u.S("%s: %s to do"), f.Job.Name, t.u.Count(len(list.Rows), "bay", "bays"))
	if len(list.Cautions) > 0 {
		t.wrap(0, strings.Join(list.Cautions, " "))
	}
	for _, row := range list.Rows {
		t.wrap(2, row.Bay+" "+strings.Join(row.Stands, "")+": "+row.Order)
	}
	return t.Dst
}
