package sheets

import (
	"fmt"
	"math"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify/plan"
)

// ways says how many good bays would close and what would close eight in ten.
func (t *text) ways(sec *plan.Section) {
	now := sec.Ways[0]
	t.wrap("  ", fmt.Sprintf("Counted as now (%s), about %s of the good bays close at %s.", t.way(now), tens(now.Closed), t.u.Target(sec.Aim)))
	if now.Closed >= eightInTen {
		return
	}
	t.line("  What would close 8 in 10:")
	any := false
	for i, w := range sec.Ways {
		if math.IsNaN(w.AimFor) {
			continue
		}
		any = true
		t.wrap("    ", t.cure(i, w))
	}
	if !any {
		t.line("    nothing below the ceiling: weigh each bay and measure it twice")
	}
}

// cure says what a way of counting asks for.
func (t *text) cure(i int, w plan.Way) string {
	s := t.way(w)
	if i == 0 {
		s = "as now"
	}
	if w.More <= 0 {
		return s
	}
	return s + fmt.Sprintf(", packed to %s (one bag in %.0f more)", t.u.Target(w.AimFor), 1/w.More)
}

// eightInTen is the share that the plan itself looks for.
const eightInTen = 0.8

// tens says a share in round words.
func tens(p float64) string {
	n := math.Round(p * 10)
	if n == 10 && p < 0.995 {
		n = 9
	}
	return fmt.Sprintf("%.0f in 10", n)
}

// way says a way of counting.
func (t *text) way(w plan.Way) string {
	switch w.Code {
	case plan.WayPart:
		return "part bags weighed to ± " + t.u.Mass(w.Within, w.Within/4)
	case plan.WayRunning:
		return "one running counter, to " + say.Bags(w.Step) + " bag"
	case plan.WayQuarter:
		return "bags read to 1/4"
	}
	if math.IsNaN(w.Step) {
		return "weighed to ± " + t.u.Mass(w.Within, w.Within/4)
	}
	return "bags read to " + say.Bags(w.Step) + ", " + countingWord(w.Counting)
}

// countingWord is the way that holds where none is said: bags with both ends read.
func countingWord(c model.Counting) string {
	if c == model.CountingUnsaid {
		return model.CountingEnds.String()
	}
	return c.String()
}
