package record

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"bayproof/verify"
)

// glance is what a supervisor sees first.
type glance struct {
	Headline string
	Tiles    []tile
	Notes    []string
	First    []todo
	Rest     int // bays to be seen to that the list leaves to the table
	Sections []sectionRow
	Total    sectionRow
}

// tile is one count of bays.
type tile struct {
	mark
	Count int
	Means string
}

// todo is one bay with what is to be done about it.
type todo struct {
	mark
	Link, Section, Bay, Do string
}

// firstShown is how many bays the list of what to do shows before it points to the table.
const firstShown = 12

func (b *builder) glance() glance {
	t := b.f.Totals
	g := glance{Headline: b.headline(), Notes: b.glanceNotes()}
	for _, v := range verdicts() {
		g.Tiles = append(g.Tiles, tile{verdictMark(v), count(t, v), meaning(v)})
	}
	if n := t.NotFilled; n > 0 {
		g.Tiles = append(g.Tiles, tile{mark{"NOT FILLED", "open"}, n, "in the log, no material yet"})
	}
	if n := t.NotInLog; n > 0 {
		g.Tiles = append(g.Tiles, tile{mark{"NOT IN LOG", "missing"}, n, "counted, and nobody logged them"})
	}
	g.First = b.todo()
	if len(g.First) > firstShown {
		g.Rest = len(g.First) - firstShown
		g.First = g.First[:firstShown]
	}
	for i := range b.f.Sections {
		g.Sections = append(g.Sections, b.sectionRow(&b.f.Sections[i], i))
	}
	g.Total = b.totalRow()
	return g
}

func (b *builder) headline() string {
	t := b.f.Totals
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
	return fmt.Sprintf("%d of %d bays may be closed; %d %s something first", t.Close, t.Bays+t.NotInLog, open, verb(open, "asks for", "ask for"))
}

func (b *builder) glanceNotes() []string {
	t := b.f.Totals
	var out []string
	if t.Close > 0 {
		out = append(out, fmt.Sprintf("Of %d CLOSE, %d by their own count and %d with the help of the crew's other bays.", t.Close, t.CloseOwn, t.CloseCrew))
	}
	if t.ClosedNotClose > 0 {
		out = append(out, plural(t.ClosedNotClose, "bay was", "bays were")+" closed without being CLOSE.")
	}
	if text := b.words.Unaccounted(b.f); text != "" {
		out = append(out, text)
	}
	return out
}

func count(t verify.Totals, v verify.Verdict) int {
	switch v {
	case verify.Close:
		return t.Close
	case verify.Add:
		return t.Add
	case verify.Probe:
		return t.Probe
	}
	return t.Measure
}

func meaning(v verify.Verdict) string {
	switch v {
	case verify.Close:
		return "target shown, nothing suspicious"
	case verify.Add:
		return "shown to be short"
	case verify.Probe:
		return "may hide a void, or went elsewhere"
	}
	return "what is known cannot tell"
}

func verb(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// todo lists every bay that asks for something, the surest shortage first, in the order of verdicts.
func (b *builder) todo() []todo {
	var out []todo
	for _, v := range verdicts() {
		for i := range b.f.Bays {
			bay := &b.f.Bays[i]
			if v == verify.Close || !bay.Judged() || bay.Verdict != v {
				continue
			}
			out = append(out, todo{verdictMark(v), bayID(i), brief(bay.Bay.Section.Name), brief(bay.Bay.Name), b.doNow(bay)})
		}
	}
	return out
}

// head opens the page: whose job, and what about it differs from the usual.
type head struct {
	Job     string
	Facts   []fact
	Differs string // line two; empty where every setting is the default
}

// fact is a name with a value.
type fact struct{ Name, Value string }

// Long tells whether a value needs the room of two.
func (f fact) Long() bool { return utf8.RuneCountInString(f.Value) > 24 }

func (b *builder) head() head {
	s := &b.f.Job.Settings
	h := head{Job: b.f.Job.Name}
	for _, f := range []fact{
		{"Site", s.Site}, {"Date", s.Date}, {"Crew", s.Crew}, {"Installer", s.Installer}, {"Programme", s.Program}, {"Work order", s.WorkOrder},
		{"Material", joined(" · ", s.Material, s.Manufacturer, s.Product, s.Lot)},
	} {
		if f.Value != "" {
			h.Facts = append(h.Facts, f)
		}
	}
	h.Differs = b.words.NotDefault(b.f.Job)
	return h
}

func joined(sep string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), sep)
}
