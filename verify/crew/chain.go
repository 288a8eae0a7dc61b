package crew

import (
	"math"
	"sort"
)

// chain is a section whose lots share readings of the running counter: lot j reads
//
//	xⱼ = yⱼ + cⱼ·(ε_out − ε_in) + own error,   ε ~ N(0, U²), one and the same ε in the lot after it.
//
// The errors take the values of an even lattice. Given (μ, τ) and the rate, sums over them run along the chain: forward they
// give the likelihood of all lots, forward and backward together what each lot's reading is given all the others. A
// likelihood hangs on the difference of two errors alone.
type chain struct {
	g    *grid
	lots []evidence
	rule *rateRule
	by   common
	hops []hop // in the order of the counter; lots without one stand anywhere

	length  int       // of all hops' differences together
	good    []float64 // [hop, difference] at the node in view
	goodCut []float64 // what of it lies above the target
	tails   []tails   // by μ
	room    *scratch
	mix     []byRate // [hop, difference]: the likelihood at each rate
	from    []byRate // [hop, error of its first reading, backward]: weight, with all lots before it
	aft     []byRate // error of a hop's last reading: weight, with all lots after it
	back    []byRate // the same for its first reading
	between []byRate // [difference]: weight, without the hop's own likelihood
}

// byRate holds a number for each rate of the rule.
type byRate = [chainRates]float64

// tails are the hops' likelihoods as bad and as over-full, and what of them lies above the target; [hop, difference].
type tails struct{ bad, over, badCut, overCut []float64 }

// hop is one lot of the chain.
type hop struct {
	lot     int
	in, out errors  // of its readings
	linked  bool    // the first reading is the last one of the hop before
	x0      float64 // the density as read at the least difference
	shift   float64 // and by how much less it is for each step of the difference
	at      int     // place of its differences among all
	first   int     // place of the errors of its first reading among all
}

// errors are the weights of what a reading may be off by, low steps of the lattice and on. A reading that is exact, or is not
// there, has the one error 0.
type errors struct {
	low    int
	weight []float64
}

// width is the number of differences of the two readings' errors.
func (h *hop) width() int { return len(h.in.weight) + len(h.out.weight) - 1 }

// x is the density as read with the errors of the readings put right.
func (h *hop) x(d int) float64 { return h.x0 - float64(d)*h.shift }

// Points of the lattice. One error in seven hundred lies beyond latticeReach; a step wider than latticeStep of the
// narrowest error, or latticeSharp of the narrowest likelihood, would show.
const (
	latticeStep  = 0.9  // of U
	latticeReach = 3.2  // of U
	latticeSharp = 1.2  // of the spread of a lot's likelihood, with a usual τ
	latticeSmall = 0.25 // of the widest U: a reading surer than that is noise of its lots
	latticeMost  = 12   // points to either side
)

func newChain(s *scratch, at *placed, lots []evidence, rule *rateRule, by common) *chain {
	c := &chain{g: at.g, lots: resolvable(lots), rule: rule, by: by, room: s}
	c.link()
	c.layOut()
	c.narrow(at)
	return c
}

// layOut makes room for what is summed.
func (c *chain) layOut() {
	longest, errors := 0, 0
	c.length = 0
	for p := range c.hops {
		h := &c.hops[p]
		least := h.out.low - h.in.low - len(h.in.weight) + 1
		h.x0 = c.lots[h.lot].x - h.shift*float64(least)
		h.at, h.first = c.length, errors
		c.length += h.width()
		errors += len(h.in.weight)
		longest = max(longest, h.width())
	}
	c.tails = make([]tails, len(c.g.mu))
	c.good, c.goodCut = c.room.take(c.length), c.room.take(c.length)
	c.mix, c.from = make([]byRate, c.length), make([]byRate, errors)
	c.aft, c.back, c.between = make([]byRate, longest), make([]byRate, longest), make([]byRate, longest)
}

// resolvable turns readings that are much surer than the surest of the others into noise of the lots: no lattice has room for
// both.
func resolvable(lots []evidence) []evidence {
	most := 0.0
	for i := range lots {
		most = max(most, lots[i].in.variance(), lots[i].out.variance())
	}
	out := make([]evidence, len(lots))
	for j, e := range lots {
		if -e.in.coef != e.out.coef && e.in.coef != 0 && e.out.coef != 0 { // two stretches that weigh differently
			e.v += sq(e.in.coef) * e.in.v
			e.in = link{}
		}
		for _, l := range []*link{&e.in, &e.out} {
			if l.v < sq(latticeSmall)*most {
				e.v += sq(l.coef) * l.v
				l.v = 0
			}
		}
		out[j] = e
	}
	return out
}

// link puts the lots into the order of the counter and lays out their lattice.
func (c *chain) link() {
	order := make([]int, len(c.lots))
	for j := range order {
		order[j] = j
	}
	sort.SliceStable(order, func(a, b int) bool { return c.lots[order[a]].out.reading < c.lots[order[b]].out.reading })
	step := latticeOf(c.lots)
	c.hops = make([]hop, len(order))
	for p, j := range order {
		e := &c.lots[j]
		h := hop{lot: j, in: errorsOf(&e.in, step), out: errorsOf(&e.out, step)}
		h.shift = step * math.Max(math.Abs(e.in.coef), math.Abs(e.out.coef))
		if e.out.coef < 0 || e.in.coef > 0 {
			h.shift = -h.shift
		}
		if p > 0 {
			before := &c.lots[order[p-1]]
			h.linked = e.in.coef != 0 && before.out.coef != 0 && e.in.reading == before.out.reading
		}
		c.hops[p] = h
	}
}

// latticeOf returns the step of the lattice, bags.
func latticeOf(lots []evidence) float64 {
	step, widest := math.Inf(1), 0.0
	for j := range lots {
		e := &lots[j]
		for _, l := range []*link{&e.in, &e.out} {
			if v := l.variance(); v > 0 {
				u := math.Sqrt(v)
				step, widest = min(step, latticeStep*u), max(widest, u)
				step = min(step, latticeSharp*math.Sqrt(e.v+sq(SpreadMedian))/math.Abs(l.coef))
			}
		}
	}
	return max(step, latticeReach*widest/latticeMost)
}

// errorsOf returns a reading's errors on the lattice; their weights sum to 1.
func errorsOf(l *link, step float64) errors {
	v := l.variance()
	if v == 0 {
		return errors{0, []float64{1}}
	}
	reach := int(math.Ceil(latticeReach*math.Sqrt(v)/step - 1e-9))
	w := make([]float64, 2*reach+1)
	sum := 0.0
	for i := range w {
		w[i] = math.Exp(-0.5 * sq(float64(i-reach)*step) / v)
		sum += w[i]
	}
	for i := range w {
		w[i] /= sum
	}
	return errors{-reach, w}
}
