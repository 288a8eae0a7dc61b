package crew

import (
	"math"
	"math/rand/v2"

	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

const (
	target     = 3.5
	ceiling    = 4.5
	confidence = 0.95
)

// calibration bins of the stated probability.
var binEdges = [...]float64{0.80, 0.85, 0.90, 0.95, 0.98, 0.995, 1.0000001}

// tally counts what became of the bays of many jobs of one world.
type tally struct {
	jobs, bays                    int
	good, goodClosed, goodGuarded int
	goodKnown                     int
	goodOthers, goodOthersClosed  int // bays that nobody touched on purpose
	short, shortClosed            int
	closed, closedFarShort        int // more than 3 % below the target
	guarded                       int
	doubt                         float64 // sum of 1 − p over the closed
	voids, voidsClosed, voidsTold int     // empty by a quarter or more
	clean                         int     // sections free of suspicion
	badTold, overTold, swapTold   int     // sections in which each code stands
	driftTold                     int
	binned, binnedGood            [len(binEdges) - 1]int
	stated                        [len(binEdges) - 1]float64
}

// simulate runs the world through the rule for so many jobs, and on until at least so many bays
// were closed (at most eight times the jobs).
func simulate(w world, jobs, closings int, seed uint64) *tally {
	t := new(tally)
	known := newKnown(&w)
	rng := rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15))
	for t.jobs < jobs || t.closed < closings && t.jobs < 8*jobs {
		lots, truths := w.fill(rng)
		if w.asFilled {
			t.follow(lots, truths)
		} else {
			t.judge(lots, truths)
		}
		for i := range lots {
			if known != nil && truths[i].density >= target && known.prob(&lots[i]) >= confidence {
				t.goodKnown++
			}
		}
	}
	return t
}

// judge takes the verdicts of one section: CLOSE where the target is shown and nothing is
// suspicious.
func (t *tally) judge(lots []measure.Lot, truths []truth) {
	r := Judge(lots, target*lb, Seen{})
	told := suspicions(lots, r)
	t.jobs++
	t.count(told, lots, r)
	for i, p := range r.Lots {
		t.verdict(&lots[i], truths[i], p.ProbAtTarget, told[i])
	}
}

// follow takes each bay's verdict when it was the last one logged.
func (t *tally) follow(lots []measure.Lot, truths []truth) {
	t.jobs++
	for i := range lots {
		r := Judge(lots[:i+1], target*lb, Seen{})
		t.verdict(&lots[i], truths[i], r.Lots[i].ProbAtTarget, suspicions(lots[:i+1], r)[i])
	}
}

func (t *tally) verdict(lot *measure.Lot, of truth, p float64, told string) {
	guarded := stat.ProbAtLeast(lot.Density, lot.U, lot.DOF, target*lb) >= confidence
	t.bay(of, p, p >= confidence && told == "", guarded, told)
}

func (t *tally) bay(of truth, p float64, closed, guarded bool, told string) {
	t.bays++
	good := of.density >= target
	inc := func(n *int, yes bool) {
		if yes {
			*n++
		}
	}
	inc(&t.good, good)
	inc(&t.short, !good)
	inc(&t.goodClosed, good && closed)
	inc(&t.goodGuarded, good && guarded)
	inc(&t.guarded, guarded)
	inc(&t.goodOthers, good && !of.touched)
	inc(&t.goodOthersClosed, good && !of.touched && closed)
	inc(&t.shortClosed, !good && closed)
	inc(&t.closed, closed)
	inc(&t.closedFarShort, closed && of.density < 0.97*target)
	if closed {
		t.doubt += 1 - p
	}
	if of.empty >= 0.25 {
		t.voids++
		inc(&t.voidsClosed, closed)
		inc(&t.voidsTold, told != "" || p <= 1-confidence)
	}
	for b := range t.binned {
		if p >= binEdges[b] && p < binEdges[b+1] {
			t.binned[b]++
			t.stated[b] += p
			inc(&t.binnedGood[b], good)
		}
	}
}

// suspicions returns the code that stands at each lot, as the checker gives them.
func suspicions(lots []measure.Lot, r Result) []string {
	told := make([]string, len(lots))
	for _, p := range r.Pairs {
		told[p.Low], told[p.High] = "swap", "swap"
	}
	for i, p := range r.Lots {
		switch {
		case p.Over > OverAbove || stat.ProbAtLeast(lots[i].Density, lots[i].U, lots[i].DOF, ceiling*lb) >= 0.95:
			told[i] = "over"
		case p.ShortOfCrew() && told[i] == "":
			told[i] = "bad"
		}
	}
	return told
}

func (t *tally) count(told []string, lots []measure.Lot, r Result) {
	has := map[string]bool{}
	for _, c := range told {
		has[c] = true
	}
	if !has["bad"] && !has["over"] && !has["swap"] {
		t.clean++
	}
	if trend, _ := Trending(lots, r); trend.Found {
		t.driftTold++
	}
	for code, n := range map[string]*int{"bad": &t.badTold, "over": &t.overTold, "swap": &t.swapTold} {
		if has[code] {
			*n++
		}
	}
}

func share(n, of int) float64 { return float64(n) / float64(of) }

// calibration returns the bin in which the observed share good lies farthest below the stated
// probability, measured in excess over what chance does: the difference, and its standard error.
func (t *tally) calibration() (least, se float64) {
	worst := math.Inf(1)
	for b, n := range t.binned {
		if n < 300 {
			continue
		}
		p := t.stated[b] / float64(n)
		d, e := share(t.binnedGood[b], n)-p, math.Sqrt(p*(1-p)/float64(n))
		if d+2*e < worst {
			worst, least, se = d+2*e, d, e
		}
	}
	return least, se
}
