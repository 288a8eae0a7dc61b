package record

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
)

// The views are made once, before any template runs. A template ranges over the sections of the
// page and the bays of a section and calls what it shows; so a part of the page that shows one
// thing more needs a method here or in bay.go and its place in the template.
// TestTemplatesNameWhatThereIs holds the names in the templates against these types, since nothing
// compiles them.

// sums and judged give what is embedded below a name of its own: a section's and a bay's findings.
type (
	sums   = verify.Section
	judged = verify.Bay
)

// section is one section of the job as the templates see it: its findings and, made from them,
// names, figures and drawings. No figure of a section upgrades a bay.
type section struct {
	*sums
	p               *page
	ID              string // of its evidence in the page, section-1
	Whole, Name     string // its name, "all bays" where the job's only one has none; the name cut for drawings and titles
	Bays            []*bay // in fill order; those not filled at the end, as the log names them
	check           verify.DesignCheck
	Figures, Beside []figure // charts of densities, the drift under a low one; distribution and drift, where there are bays enough
	Map             []mapBay
}

// bay is one bay as the templates see it: a row of the table of bays, a card with its evidence, a
// line of what to do.
type bay struct {
	*judged
	mark
	p         *page
	set       *model.Settings // of its section
	ID        string          // of its card in the page, bay-1
	sectionID string          // of its section there
	Name, Of  string          // its name and its section's, cut; the section's empty where it has none
}

// setSections makes the views of all sections and bays, then what is drawn of them. Their ids
// follow the order of the findings, so that a link from one part of the page to another needs
// nothing but them.
func (p *page) setSections() {
	checks := verify.DesignChecks(p.f)
	of := map[*model.Section]*section{}
	for i := range p.f.Sections {
		found := &p.f.Sections[i]
		name := cmp.Or(found.Section.Name, "all bays")
		s := &section{sums: found, p: p, ID: "section-" + strconv.Itoa(i+1), Whole: name, Name: brief(name), check: checks[i]}
		of[found.Section] = s
		p.Sections = append(p.Sections, s)
	}
	for i := range p.f.Bays {
		found := &p.f.Bays[i]
		b := &bay{
			judged: found, mark: markOf(found), p: p, set: &found.Bay.Section.Settings,
			ID: "bay-" + strconv.Itoa(i+1), Name: brief(found.Bay.Name), Of: brief(found.Bay.Section.Name),
		}
		p.bays = append(p.bays, b)
		// A bay without a section among the findings has no part of the page to stand in; the
		// findings have all sections.
		if s := of[found.Bay.Section]; s != nil {
			s.Bays = append(s.Bays, b)
			b.sectionID = s.ID
		}
	}
	// Along the order of filling, as the machine went: drift and neighbours can be seen only so.
	for _, s := range p.Sections {
		slices.SortStableFunc(s.Bays, func(a, b *bay) int { return cmp.Compare(a.place(), b.place()) })
	}
	for i, s := range p.Sections {
		s.setFigures(i + 1)
	}
	p.setMap()
}

// place is a bay's place in fill order from 1; one that was not filled comes last.
func (b *bay) place() int {
	if b.Bay.Order == 0 {
		return math.MaxInt
	}
	return b.Bay.Order
}

// Key is the bay's name with its section's before it, whole: it marks what on the page is the
// bay's.
func (b *bay) Key() string { return joined(" ", b.Bay.Section.Name, b.Bay.Name) }

// half is the half-width of a bay's expanded interval, kg/m³; NaN where it cannot be stated. How
// many digits of a density are written follows from it.
func (b *bay) half() float64 { return (b.Hi - b.Lo) / 2 }

// reads writes the bay's density, with its interval and as many digits as tell it from the target.
func (b *bay) reads() string { return b.p.density(b.Density, b.half(), b.set.Target) }

// filled are the bays of a section that have a verdict, in fill order. Those withdrawn or without
// material stand in the map and the tables, not in figures.
func (s *section) filled() []*bay { return judgedOf(s.Bays) }

// judgedOf are those of some bays that have a verdict.
func judgedOf(bays []*bay) []*bay {
	return slices.DeleteFunc(slices.Clone(bays), func(b *bay) bool { return !b.Judged() })
}

// Limits places the section's target, aim and ceiling for the drawings of its bays; nil where none
// is drawn.
func (s *section) Limits() *interval {
	if filled := s.filled(); len(filled) > 0 {
		return filled[0].Interval()
	}
	return nil
}

// Title says what was found in a section, as the title of its chart: how many bays may be closed,
// and which may not.
func (s *section) Title() string {
	filled, named := s.filled(), map[verify.Verdict][]string{}
	for _, b := range filled {
		named[b.Verdict] = append(named[b.Verdict], b.Name)
	}
	title := fmt.Sprintf("%d of %d bays may be closed", len(named[verify.Close]), len(filled))
	switch {
	case len(filled) == 0:
		return "no bay is filled yet"
	// All may be closed: a sentence for one bay, and for several.
	case len(named[verify.Close]) == len(filled) && len(filled) == 1:
		title = "its one bay may be closed"
	case len(named[verify.Close]) == len(filled):
		title = "all " + plural(len(filled), "bay", "bays") + " may be closed"
	}
	var rest []string
	for _, o := range outcomes() {
		if names := named[o.verdict]; o.verdict != verify.Close && len(names) > 0 {
			rest = append(rest, nameList(names)+" "+o.Word)
		}
	}
	return joined("; ", title, strings.Join(rest, ", "))
}

// packing is how a section was packed as a whole, in table cells: its pooled density; the mean and
// the spread of its bays' true densities; what nineteen bays in twenty exceed; which way it drifts;
// in how many bays all sizes were measured.
type packing struct{ Pooled, Mean, SD, Lower, Drift, Measured string }

// Packing returns a section's figures as a whole. Mean and spread are freed of the noise of
// measuring; the lower tolerance limit holds at 90 %.
func (s *section) Packing() packing {
	return packing{
		Pooled:   orBlank(s.p.Pooled(s.sums)),
		Mean:     s.p.figure(s.Mean, s.SD),
		SD:       s.p.density(s.SD, nan(), nan()),
		Lower:    s.p.density(s.LowerTolerance, nan(), s.Section.Settings.Target),
		Drift:    s.p.Drift(s.sums),
		Measured: fmt.Sprintf("%d of %d", s.Measured, len(s.Bays)),
	}
}

// Facts are the figures of a section as a whole, above its bays' evidence; none where it holds no
// material.
func (s *section) Facts() []fact {
	if s.sums.Bays == 0 {
		return nil
	}
	unit, row := " "+s.p.unit(verify.Density), s.Packing()
	facts := given(
		fact{"All its material over all its volume", row.Pooled + unit},
		fact{"The crew packs to", when(row.Mean != blank, row.Mean+unit)},
		fact{"From bay to bay (sd)", when(row.Mean != blank, row.SD+unit)},
		fact{"Bay by bay", s.p.Alike(s.sums)},
		fact{"Sizes measured", row.Measured + " bays"},
		fact{"Not in the log", when(s.Missing > 0, plural(s.Missing, "bay", "bays"))},
	)
	for i := range s.Boxes {
		facts = append(facts, fact{"Test box", s.p.Box(s.sums, &s.Boxes[i])})
	}
	return facts
}

// mark is how a verdict or a state looks: a word, a shape and a pattern, never a colour alone.
type mark struct {
	Word  string
	Class string // names the colour, the pattern (p-…) and the shape (s-…)
}

// The marks of bays that have no verdict: withdrawn, logged without material, counted and never
// logged, not filled on purpose; and of those whose verdict a person passed over.
func decided() mark   { return mark{"DECIDED", "decided"} }
func leftOut() mark   { return mark{"LEFT", "left"} }
func struck() mark    { return mark{"STRUCK", "struck"} }
func notFilled() mark { return mark{"NOT FILLED", "open"} }
func notInLog() mark  { return mark{"NOT IN LOG", "missing"} }

// outcome is how one verdict is shown and what it means.
type outcome struct {
	mark
	verdict verify.Verdict
	symbol  string // the chart library's shape; the drawn shapes are the same
	means   string
}

// outcomes are the verdicts in the order in which they are told: what is to be done first. Lists,
// legends, charts and tiles all go by this table.
func outcomes() []outcome {
	row := func(v verify.Verdict, class, symbol, means string) outcome {
		return outcome{mark{say.Verdict(v), class}, v, symbol, means}
	}
	return []outcome{
		row(verify.Add, "add", "triangle", "short: the numbers prove it"),
		row(verify.Probe, "probe", "diamond", "may hide a void, or some went elsewhere"),
		row(verify.Measure, "measure", "emptyCircle", "can't tell yet"),
		row(verify.Close, "close", "rect", "enough in, nothing points to a void"),
	}
}

// markOf is the mark of a bay as it stands.
func markOf(b *verify.Bay) mark {
	switch b.State {
	case verify.Struck:
		return struck()
	case verify.NotFilled:
		return notFilled()
	}
	return verdictMark(b.Verdict)
}

// verdictMark is the mark of a verdict, for a bay as it stands and for one as it stood when a row
// was logged.
func verdictMark(v verify.Verdict) mark {
	for _, o := range outcomes() {
		if o.verdict == v {
			return o.mark
		}
	}
	return mark{say.Verdict(v), "measure"} // whatever it is, it closes nothing
}
