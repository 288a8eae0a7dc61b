package record

import (
	"fmt"
	"slices"
	"strconv"
	"unicode/utf8"

	"bayproof/verify"
)

// The first screen is for whoever signs the job off: one line that says how far it is, the bays to be seen to, the pounds by
// section. It counts and sums nothing that the findings have not counted; details stand further down, one link away.

// fact is a name with a value.
type fact struct{ Name, Value string }

// Long tells whether a value needs the room of two.
func (f fact) Long() bool { return utf8.RuneCountInString(f.Value) > 24 }

// given leaves out the facts whose value nobody gave. Papers do not use it: there an empty value is a line to fill in by hand.
func given(facts ...fact) []fact {
	return slices.DeleteFunc(facts, func(f fact) bool { return f.Value == "" })
}

// when is a text that stands only under a condition, empty else.
func when(holds bool, text string) string {
	if !holds {
		return ""
	}
	return text
}

// Facts open the page: whose job it is.
func (p *page) Facts() []fact {
	s := &p.f.Job.Settings
	return given(
		fact{"Site", s.Site}, fact{"Date", s.Date}, fact{"Crew", s.Crew}, fact{"Installer", s.Installer}, fact{"Programme", s.Program}, fact{"Work order", s.WorkOrder},
		fact{"Material", joined(" · ", s.Material, s.Manufacturer, s.Product, s.Lot)},
	)
}

// Differs names the settings that a verdict rests on and that are not the usual; empty where all are.
func (p *page) Differs() string { return p.NotDefault(p.f.Job) }

// Headline says in one line what a supervisor wants to know first: how many bays may be closed. Bays that were forgotten are
// open too.
func (p *page) Headline() string {
	t := p.f.Totals
	open := t.Add + t.Probe + t.Measure + t.NotFilled + t.NotInLog
	switch {
	case t.Bays == 0:
		return "No bay is in the log"
	case open == 0 && t.Close == 1:
		return "The one bay may be closed"
	case open == 0:
		return "All " + plural(t.Close, "bay", "bays") + " may be closed"
	case t.Close == 0:
		return fmt.Sprintf("No bay of %d may be closed yet", t.Bays+t.NotInLog)
	}
	return fmt.Sprintf("%d of %d bays may be closed; %s something first", t.Close, t.Bays+t.NotInLog, plural(open, "asks for", "ask for"))
}

// tile is one count of bays.
type tile struct {
	mark
	Count         int
	Means, Counts string // what it means; the count's name among the findings' totals
}

// Tiles count the bays by verdict, then those that have none because they were not filled or not logged.
func (p *page) Tiles() []tile {
	t := p.f.Totals
	counts := map[verify.Verdict]int{verify.Add: t.Add, verify.Probe: t.Probe, verify.Measure: t.Measure, verify.Close: t.Close}
	var out []tile
	for _, o := range outcomes() {
		out = append(out, tile{o.mark, counts[o.verdict], o.means, o.Class})
	}
	if t.NotFilled > 0 {
		out = append(out, tile{notFilled(), t.NotFilled, "in the log, no material yet", "not_filled"})
	}
	if t.NotInLog > 0 {
		out = append(out, tile{notInLog(), t.NotInLog, "counted, and nobody logged them", "not_in_log"})
	}
	return out
}

// Notes say what the counts alone do not: what the CLOSE rest on, closings too early, bags that no bay took.
func (p *page) Notes() []string {
	t := p.f.Totals
	var out []string
	if t.Close > 0 {
		out = append(out, fmt.Sprintf("Of %d CLOSE, %d by their own count and %d with the help of the crew's other bays.", t.Close, t.CloseOwn, t.CloseCrew))
	}
	if t.ClosedNotClose > 0 {
		out = append(out, plural(t.ClosedNotClose, "bay was", "bays were")+" closed without being CLOSE.")
	}
	if text := p.Unaccounted(p.f); text != "" {
		out = append(out, text)
	}
	if text := p.Counts(p.f); text != "" {
		out = append(out, text)
	}
	return out
}

// firstShown is how many bays the list of what to do shows before it points to the table.
const firstShown = 12

// todo are the bays that ask for something, in the order of verdicts and then of the log.
func (p *page) todo() []*bay {
	var out []*bay
	for _, o := range outcomes() {
		for _, b := range p.bays {
			if b.Judged() && b.Verdict == o.verdict && o.verdict != verify.Close {
				out = append(out, b)
			}
		}
	}
	return out
}

// First are the bays to be seen to first.
func (p *page) First() []*bay { all := p.todo(); return all[:min(len(all), firstShown)] }

// Rest is the number of bays that the list leaves to the table.
func (p *page) Rest() int { return max(0, len(p.todo())-firstShown) }

// materialRow is one line of the table of material: cells of masses, bags and areas, counts of bays.
type materialRow struct {
	Name, Link, Bays, Expected, Area, Covers, Required, Installed, Over, Bags, Density, Close string
	Light, Missing                                                                            bool // too few pounds, too few bays
}

// Material is the section's line.
func (s *section) Material() materialRow {
	closed := 0
	for _, b := range s.filled() {
		if b.Verdict == verify.Close {
			closed++
		}
	}
	return s.p.material(s.Name, s.ID, s.sums, closed)
}

// Total is the job's line. It has no density: sections have targets of their own.
func (p *page) Total() materialRow {
	t := p.f.Totals
	sum := verify.Section{Bays: t.Bays - t.NotFilled, Missing: t.NotInLog, Mass: t.Mass, MassRequired: t.MassRequired, Bags: t.Bags, Density: nan()}
	// A section that does not say how many bays it has is expected to have those that it has.
	for _, s := range p.f.Sections {
		sum.Expected += max(s.Expected, s.Bays)
		sum.Area += s.Area
		sum.Covers += s.Covers // NaN where a section does not say
	}
	row := p.material("Job", "", &sum, t.Close)
	row.Density = ""
	return row
}

// material sets out sums in cells: how much the filled volume asks for at the target, how much went in, and by how much that is
// over. Signs are written: a section that is light is seen by its minus.
func (p *page) material(name, link string, s *verify.Section, closed int) materialRow {
	over := p.mass(s.Mass - s.MassRequired)
	if s.Mass > s.MassRequired {
		over = "+" + over
	}
	row := materialRow{
		Name: name, Link: link, Bays: strconv.Itoa(s.Bays), Expected: blank, Area: p.area(s.Area), Covers: p.area(s.Covers),
		Required: p.mass(s.MassRequired), Installed: p.mass(s.Mass), Over: over, Bags: bags(s.Bags),
		Density: orBlank(p.Pooled(s)), Close: strconv.Itoa(closed), Light: s.Mass < s.MassRequired, Missing: s.Missing > 0,
	}
	if s.Expected >= 0 {
		row.Expected = strconv.Itoa(s.Expected)
	}
	return row
}
