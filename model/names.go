package model

import (
	"fmt"
	"hash/maphash"
	"strings"
	"unicode"
)

// Fold makes names that differ only in case, spaces or characters that do not show the same.
func Fold(name string) string {
	for i := 0; i < len(name); i++ {
		if c := name[i]; c >= 'A' && c <= 'Z' || c == ' ' || c >= 0x80 {
			return strings.Map(func(r rune) rune {
				if unicode.IsSpace(r) || Invisible(r) {
					return -1
				}
				return unicode.ToLower(r)
			}, name)
		}
	}
	return name
}

// name finds the section and the bay of every row; a row without them is a fault and is passed over.
func (a *Assembler) name() {
	named := false
	for i := range a.job.Log {
		if named = a.job.Log[i].Section != ""; named {
			break
		}
	}
	for i := range a.job.Log {
		e := &a.job.Log[i]
		e.Index = i
		if entryDefs()[e.Kind].Nameless {
			a.nameless(e)
			continue
		}
		if a.badName(e, named) {
			continue
		}
		a.byRow[i] = a.bayOf(e, i)
		a.byRow[i].rows++
	}
	a.makeRoom()
}

// nameless checks a row that belongs to no bay.
func (a *Assembler) nameless(e *Entry) {
	if e.Bay != "" {
		a.fault(e, "bay", "leave the bay blank", "a %s row belongs to no bay, and this one names %s", e.Kind, e.Bay)
	}
}

// badName makes the faults of a row without a name.
func (a *Assembler) badName(e *Entry, named bool) bool {
	switch {
	case totals(e):
		a.fault(e, "section", "delete the row: the log holds bays only", "a row of totals")
	case e.Section == "" && named:
		a.fault(e, "section", "fill the name down; a row of totals is deleted", "section is blank")
	case e.Bay == "":
		a.fault(e, "bay", "name it; only count and set rows have no bay", "bay is blank")
	default:
		return false
	}
	return true
}

// totals knows the last row that many a spreadsheet has.
func totals(e *Entry) bool {
	if e.Bay != "" && e.Section != "" {
		return false
	}
	word := Fold(e.Section + e.Bay) // one of the two is blank
	switch strings.TrimSuffix(word, ":") {
	case "total", "totals", "sum", "grandtotal", "subtotal":
		return true
	}
	return false
}

// bayOf finds or makes the row's bay.
func (a *Assembler) bayOf(e *Entry, row int) *gathered {
	if g := a.recent; g != nil && g.bay.Name == e.Bay && g.bay.Section.Name == e.Section {
		return g
	}
	section := a.sectionOf(e)
	folded := Fold(e.Bay)
	slot := a.bays.slot(section, folded)
	g := *slot
	if g == nil {
		g = a.slabs.gathered()
		*g = gathered{bay: a.slabs.bay(), folded: folded, above: a.lastOf(section), first: row, place: -1}
		g.bay.Section, g.bay.Name = section, e.Bay
		*slot, a.tail = g, g
		a.order = append(a.order, g)
	} else if g.bay.Name != e.Bay {
		in, hint := oneWay(e.Bay, g.bay.Name)
		a.fault(e, "bay", hint, "bay %s differs from %s on line %d only in %s", e.Bay, g.bay.Name, a.job.Log[g.first].Src.Line, in)
	}
	a.recent = g
	return g
}

// lastOf is the bay of a section that the log named first after all its others; nil where it has none yet.
func (a *Assembler) lastOf(section *Section) *gathered {
	if a.tail != nil && a.tail.bay.Section == section {
		return a.tail
	}
	if a.tail != nil {
		a.lastIn[a.tail.bay.Section] = a.tail
	}
	return a.lastIn[section]
}

// sectionOf finds or makes the row's section.
func (a *Assembler) sectionOf(e *Entry) *Section {
	if g := a.recent; g != nil && g.bay.Section.Name == e.Section {
		return g.bay.Section
	}
	key := Fold(e.Section)
	s := a.sections[key]
	if s == nil {
		s = a.slabs.section()
		*s = *NewSection(e.Section, a.job.Settings)
		s.Src = e.Src
		if a.listed && e.Section != "" {
			a.warn(e, "section-not-listed", "section %s is not in sections.csv", e.Section)
		}
		a.sections[key] = s
	}
	if s.Name != e.Section {
		in, hint := oneWay(e.Section, s.Name)
		a.fault(e, "section", hint, "section %s differs from %s on line %d%s only in %s", e.Section, s.Name,
			s.Src.Line, inFile(s.Src, e.Src), in)
	}
	if !s.Listed && !a.used[s] {
		a.used[s] = true
		a.job.Sections = append(a.job.Sections, s)
	}
	return s
}

// oneWay says what two names that fold to one differ in, and what to do.
func oneWay(a, b string) (in, hint string) {
	if r, ok := unseen(a, b); ok {
		return fmt.Sprintf("%U, which does not show", r), "type the name anew on both rows"
	}
	return "case or spaces", "write it one way"
}

// inFile names the file of a place where it is another one.
func inFile(src, other Source) string {
	if src.File == other.File {
		return ""
	}
	return " of " + src.File
}

// bayTable finds the bays of a job by section and folded name. A map would hash every new name twice, to look for it and
// to put it in; a review reads millions. Open addressing, at most half full.
type bayTable struct {
	seed  maphash.Seed
	slots []*gathered // as many as a power of two
}

// reset empties the table and makes room for n bays.
func (t *bayTable) reset(n int) {
	if t.seed == (maphash.Seed{}) {
		t.seed = maphash.MakeSeed()
	}
	size := 8
	for size < 2*n {
		size *= 2
	}
	t.slots = zeroed(t.slots, size)
}

// slot returns where the bay stands, or where it is to be put: the slot holds nil then.
func (t *bayTable) slot(section *Section, folded string) **gathered {
	last := uint64(len(t.slots) - 1)
	for i := maphash.String(t.seed, folded) & last; ; i = (i + 1) & last {
		if g := t.slots[i]; g == nil || g.folded == folded && g.bay.Section == section {
			return &t.slots[i]
		}
	}
}
