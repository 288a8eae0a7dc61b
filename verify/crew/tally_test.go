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

// simulate runs the world through the rule.
func simulate(w world, jobs int, seed uint64) *tally {
	t := new(tally)
	known := newKnown(&w)
	rng := rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15))
	for range jobs {
		lots, truths := w.fill(rng)
		t.judge(lots, truths)
		for i := range lots {
			if truths[i].density >= target && known != nil && known.prob(&lots[i]) >= confidence {
				t.goodKnown++
			}
		}
	}
	return t
}

// judge takes the verdicts of one section: CLOSE where the target is shown and nothing is suspicious.
func (t *tally) judge(lots []measure.Lot, truths []truth) {
	r := Judge(lots, target*lb, nil)
	told := suspicions(lots, r)
	t.jobs++
	t.count(told, lots, r)
	for i, p := range r.Lots {
		closed := p.ProbAtTarget >= confidence && told[i] == ""
		guarded := stat.ProbAtLeast(lots[i].Density, lots[i].U, lots[i].DOF, target*lb) >= confidence
		t.bay(truths[i], p.ProbAtTarget, closed, guarded, told[i])
	}
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
	for _, p := range Swaps(lots, r) {
		told[p.Low], told[p.High] = "swap", "swap"
	}
	for i, p := range r.Lots {
		switch {
		case p.Over > OverAbove || stat.ProbAtLeast(lots[i].Density, lots[i].U, lots[i].DOF, ceiling*lb) >= 0.95:
			told[i] = "over"
		case p.Bad > BadAbove && told[i] == "":
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
	for code, n := range map[string]*int{"bad": &t.badTold, "over": &t.overTold, "swap": &t.swapTold} {
		if has[code] {
			*n++
		}
	}
}

func share(n, of int) float64 { return float64(n) / float64(of) }

// underConfident is the least of observed share good − stated probability over the bins with enough bays for their
// standard error to stay under 0.005, and the bin it stands in.
func (t *tally) calibration() (least float64) {
	least = math.Inf(1)
	for b, n := range t.binned {
		if n < 200 {
			continue
		}
		d := share(t.binnedGood[b], n) - t.stated[b]/float64(n)
		least = math.Min(least, d)
	}
	return least
}
