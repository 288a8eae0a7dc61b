package sheets

import (
	"fmt"
	"math"
	"unicode/utf8"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/plan"
)

// AppendText appends the plan for a screen of 72 columns.
func AppendText(dst []byte, p *plan.Plan) []byte {
	t := &text{screen.Page{Dst: dst, Width: textWidth}, say.UnitsOf(p.Job)}
	t.linef(t.u.S("%s: plan for %s"), p.Job.Name, bayCount(t.u, p))
	if p.Job.Terms != nil {
		t.wrap(0, t.u.F("Judged by %s.", t.u.TermsOf(p.Job)))
	}
	t.linef("")
	t.wrap(0, loadLine(t.u, p))
	if text := unknownLine(t.u, p); text != "" {
		t.wrap(0, text)
	}
	if filled(p) < p.WeighFirst {
		t.wrap(0, t.u.F("First %d bays: weigh what is left of the last bag. That tells early how the crew packs.", p.WeighFirst))
	}
	if set := &p.Job.Settings; inBags(p) && math.IsNaN(set.BagsLoaded-set.BagsLeft) {
		t.wrap(0, t.u.S(countEmpties))
	}
	for i := range p.Sections {
		t.linef("")
		t.section(p, &p.Sections[i])
	}
	for _, name := range p.Blind {
		t.linef("")
		t.wrap(0, t.u.F("%s: not planned. No sizes are known there. Give width, depth and length in sections.csv, or log them.", name))
	}
	t.hold(p)
	return t.Dst
}

// countEmpties is said wherever bags are counted: a count that is read too high shows in nothing
// else.
const countEmpties = "Count the empties at the day's end: nothing else checks the counts."

// inBags tells whether the job counts bags: whether anybody said what one weighs.
func inBags(p *plan.Plan) bool { return !math.IsNaN(plan.BagWeight(&p.Job.Settings)) }

// text is the plan as lines for a terminal. What it is given may hold names from the files, and is
// cleaned here.
type text struct {
	screen.Page
	u say.Units
}

// textWidth is the widest line, in characters.
const textWidth = 72

// linef writes a line, clean of what a terminal would obey.
func (t *text) linef(format string, args ...any) { t.Line(screen.Clean(fmt.Sprintf(format, args...))) }

// wrap writes a paragraph in lines that fit, each after the indent.
func (t *text) wrap(indent int, s string) { t.Told("", indent, s) }

// bayCount heads the plan: "14 bays, 3 filled". A plan can be made again while the work goes on.
func bayCount(u say.Units, p *plan.Plan) string {
	s := u.Count(len(p.Bays), "bay", "bays")
	if n := filled(p); n > 0 {
		return u.F("%s, %d filled", s, n)
	}
	return s
}

// filled counts the bays that need nothing any more.
func filled(p *plan.Plan) (n int) {
	for _, b := range p.Bays {
		if b.Filled {
			n++
		}
	}
	return n
}

// loadLine says what to bring: bags, with the chance that they last; pounds where nobody said what
// a bag weighs; what is still to be opened where the log has used some already. Chances are given
// in 20, which a crew reads better than percent.
func loadLine(u say.Units, p *plan.Plan) string {
	l, set := p.Load, &p.Job.Settings
	if math.IsNaN(l.Bags) {
		return u.F("%s at %s %s. No bag weight is given, so not in bags.", u.Mass(l.Mass, model.Pound), u.Target(set.Aim), u.Of(verify.Density).Name)
	}
	if l.Used > 0 {
		return u.F("Have %.0f bags left to open. Used: %s, expected in all: %s. They last, %.0f times in 20.", l.Left, say.Bags(l.Used), tenths(l.Expected), l.Chance*20)
	}
	return u.F("Load %.0f bags. Expected: %s, at %s %s. They last, %.0f times in 20.", l.Bags, tenths(l.Expected), u.Target(set.Aim), u.Of(verify.Density).Name, l.Chance*20)
}

// bayLine is a line of a section's table: bay, volume, at the aim, stop and look from, what it
// could hide.
const bayLine = "  %-12s %9s %9s %8s %8s"

// section writes one section: its bays in groups of equals, then what its way of counting can
// close.
func (t *text) section(p *plan.Plan, sec *plan.Section) {
	t.linef("%s: %s", sec.Section.Name, sectionNote(t.u, sec))
	t.linef(bayLine, t.u.S("bay"), t.u.S("volume"), t.u.S("at aim"), t.u.S("look>="), t.u.S("hides"))
	for _, g := range groups(p.Bays, sec.Section) {
		t.group(g)
	}
	if sec.FromLog {
		t.wrap(2, t.u.F("Logged so far: %s, %s.", t.u.Spread(sec.Mean, sec.SD), t.u.Of(verify.Density).Name))
	}
	t.ways(sec)
}

// group writes bays with the same figures as one line.
func (t *text) group(g []plan.Bay) {
	b := &g[0]
	name := b.Name
	if len(g) > 1 {
		name = t.u.F("%s to %s", name, g[len(g)-1].Name)
	}
	if utf8.RuneCountInString(name) > 12 {
		t.linef("  %s", name)
		name = ""
	}
	aim, look := counts(t.u, b)
	t.linef(bayLine, name, t.u.Volume(b.Volume), aim, look, t.u.Length(b.Hides))
}

// groups cuts a section's bays into runs of equals: bays that are planned with the section's
// typical sizes have the same figures, and one line does for a run of them.
func groups(bays []plan.Bay, s *model.Section) [][]plan.Bay {
	var out [][]plan.Bay
	for _, b := range bays {
		switch n := len(out); {
		case b.Section != s:
		case n > 0 && b.Typical && out[n-1][0].Typical:
			out[n-1] = append(out[n-1], b)
		default:
			out = append(out, []plan.Bay{b})
		}
	}
	return out
}

// hold names the bays that stay open for the inspector. They are drawn before the work from a seed
// that is printed with them, so that anybody can draw them again, and nobody can have chosen them.
func (t *text) hold(p *plan.Plan) {
	if len(p.Hold) == 0 {
		return
	}
	t.linef("")
	t.wrap(0, t.u.F("To be left open for the inspector (seed %d). Not for the crew. The prompt names each once its count is on disk:", p.HoldSeed))
	for _, h := range p.Hold {
		t.linef("  "+t.u.S("%s: number %d in fill order (%s)"), h.Section.Name, h.Place, h.Name)
	}
}

// ways says what the section's way of counting is worth: how many good bays the rule would let
// close, and what would close eight in ten: a better count, or more material.
func (t *text) ways(sec *plan.Section) {
	now := sec.Ways[0]
	t.wrap(2, t.u.F("Counted as now: %s. About %s of the good bays close at %s.", t.way(now), t.u.F("%.0f in 10", tens(now.Closed)), t.u.Target(sec.Aim)))
	if now.Closed >= eightInTen {
		return
	}
	t.linef("  %s", t.u.S("What would close 8 in 10:"))
	none := true
	for i, w := range sec.Ways {
		if math.IsNaN(w.AimFor) {
			continue
		}
		none = false
		cure := t.way(w)
		if i == 0 {
			cure = t.u.S("as now")
		}
		if w.More > 0 { // the share of material above the aim, told as one bag in so many
			cure = t.u.F("%s, packed to %s (one bag in %.0f more)", cure, t.u.Target(w.AimFor), 1/w.More)
		}
		t.wrap(4, cure)
	}
	if none {
		t.linef("    %s", t.u.S("nothing below the ceiling: weigh each bay and measure it twice"))
	}
}

// eightInTen is the share that the plan itself looks for.
const eightInTen = 0.8

// tens says a share in round words: a forecast is no better than that. All of them only where it is
// as good as all.
func tens(p float64) float64 {
	n := math.Round(p * 10)
	if n == 10 && p < 0.995 || n == 10*eightInTen && p < eightInTen {
		n--
	}
	return n
}

// way says a way of counting. A scale's ± is printed to a quarter of itself.
func (t *text) way(w plan.Way) string {
	switch w.Code {
	case plan.WayPart:
		return t.u.F("part bags weighed to ± %s", t.u.Mass(w.Within, w.Within/4))
	case plan.WayRunning:
		return t.u.F("one running counter, to %s bag", say.Bags(w.Step))
	case plan.WayQuarter:
		return t.u.S("bags read to 1/4")
	}
	if math.IsNaN(w.Step) {
		return t.u.F("weighed to ± %s", t.u.Mass(w.Within, w.Within/4))
	}
	counting := w.Counting
	if counting == model.CountingUnsaid {
		counting = model.CountingEnds // what holds where nothing is said
	}
	return t.u.F("bags read to %s, %s", say.Bags(w.Step), t.u.S(counting.String()))
}
