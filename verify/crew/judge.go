// The rule for one section: Judge, and Predict, which answers "what if this bay read otherwise".
//
// Judge computes the posterior with all lots as evidence, names those that are not like the rest
// (over-full, or booked to a neighbor), and computes it again without these: their mass belongs
// elsewhere and says nothing about the crew.
//
// A "what if" need not do all that again. What all other lots say about one lot is a weight for
// every node of (μ, τ), with what they say about the rate; it does not change when the lot's own
// reading does. Predict keeps these weights, and Predictive.Prob integrates a changed reading over
// them.

package crew

import (
	"math"
	"slices"

	"bayproof/verify/measure"
)

// Result is what a section's lots say about each other.
type Result struct {
	Lots    []Posterior // in the order of the lots given
	Process Process
	Pairs   []Pair // neighbors that look swapped
	Named   []bool // lots that are over-full or stand in a pair: no evidence for the others

	MeanOver bool // the section's mean lies over the ceiling

	alone []Posterior // what the section's own lots say, before the job's other sections were asked; nil where there are none
	wide  float64     // relative standard uncertainty of what all lots have in common
	// unordered is what Seen said, as a result is remembered with it.
	unordered bool
	context
}

// Seen is what is known besides masses and sizes. The zero value is nothing.
type Seen struct {
	// Odds holds for each lot a factor on the likelihood of its being bad: what was seen at the
	// bay. 1 says nothing; nil says nothing about any.
	Odds []float64
	// Unordered says that the lots' order is not the order of filling: neighbors are not compared.
	Unordered bool
}

// Judge returns what every lot's density is known to be with the section's other lots as evidence:
// μ, τ and the rate of bad bays integrated over the fixed priors (see the package comment for the
// model). The lots are in fill order, the target is in kg/m³.
//
// A lot that is named over-full, or as one of a swapped pair, says nothing about the crew: the
// others are judged again without it, and keep what they get then. Its own figures are those of the
// first time.
//
// Figures of a lot without a density are NaN, and so are those of the process where no lot has one.
// Judge does not change its arguments.
func Judge(lots []measure.Lot, target float64, seen Seen) Result {
	c := context{}
	f := infer(lots, target, seen.Odds, nil, &c)
	defer f.release()
	return judgeNamed(lots, target, seen, &c, f)
}

// judgeNamed is Judge with what is known about the section besides its lots (c), and f, its
// inference with all of them.
func judgeNamed(lots []measure.Lot, target float64, seen Seen, c *context, f *inference) Result {
	r := f.result(len(lots), c)
	r.unordered = seen.Unordered
	if !seen.Unordered {
		r.Pairs = swaps(lots, r)
	}
	r.Named = r.name()
	if !slices.Contains(r.Named, true) {
		return r
	}
	// Those named are left out, and the rest is computed anew: what a misbooked mass did to μ and τ
	// is undone.
	again := judge(lots, target, seen.Odds, r.Named, c)
	if again.Process.Lots == 0 {
		return r
	}
	for i, named := range r.Named {
		if !named {
			r.Lots[i] = again.Lots[i]
		} else if r.Lots[i].Over > OverAbove { // it counts among the odd ones
			again.Process.OddLo, again.Process.OddHi = again.Process.OddLo+1, again.Process.OddHi+1
		}
	}
	r.Process, r.wide = again.Process, again.wide
	return r
}

// Again judges the lots of a section anew that JudgeJob gave r as the result of. All else that was
// known about it stands: the other sections, and the totals too, as what is blown in after they
// were counted is counted with the next.
func (r *Result) Again(s *Section) Result {
	c := r.context
	f := infer(s.Lots, s.Target, s.Seen.Odds, nil, &c)
	defer f.release()
	return judgeNamed(s.Lots, s.Target, s.Seen, &c, f)
}

// BySection returns P(density ≥ target) of a lot by its section's own lots, without the job's other
// sections.
func (r *Result) BySection(lot int) float64 {
	if r.alone == nil {
		return r.Lots[lot].ProbAtTarget
	}
	return r.alone[lot].ProbAtTarget
}

// name marks the lots that are over-full or stand in a pair.
func (r *Result) name() []bool {
	named := make([]bool, len(r.Lots))
	for i := range r.Lots {
		named[i] = r.Lots[i].Over > OverAbove
	}
	for _, p := range r.Pairs {
		named[p.Low], named[p.High] = true, true
	}
	return named
}

// judge is Judge with every lot as evidence for all that is not left out, and nothing named.
func judge(lots []measure.Lot, target float64, odds []float64, left []bool, c *context) Result {
	f := infer(lots, target, odds, left, c)
	defer f.release()
	return f.result(len(lots), c)
}

// result returns the figures of a section of so many lots. What does not exist is NaN.
func (f *inference) result(lots int, c *context) Result {
	n := math.NaN()
	r := Result{Lots: make([]Posterior, lots), Process: Process{Mean: n, UMean: n, SD: n, USD: n, Rate: n, LowerTolerance: n}, context: *c}
	for i := range r.Lots {
		r.Lots[i] = Posterior{n, n, n, n, n, asRead{n, n, n, n, n}}
	}
	if len(f.known) == 0 {
		return r
	}
	sums := f.sums(nil, c)
	for j, i := range f.place {
		r.Lots[i] = sums.posterior(f.of[j], &f.known[j])
	}
	r.Process = sums.process(len(f.known), f.target)
	r.Process.OddLo, r.Process.OddHi = oddOnes(r.Lots)
	r.wide = sums.wide
	return r
}

// oddOnes returns the 90 % interval, from the 5 % to the 95 % quantile, of the number of lots that
// are bad or over-full: a sum of independent yes and no, each with its lot's probability
// (Poisson-binomial distribution, by recurrence over the lots). Lots without figures are left out.
func oddOnes(lots []Posterior) (lo, hi int) {
	chance := []float64{1} // by number
	for i := range lots {
		p := unit(lots[i].Bad + lots[i].Over)
		if math.IsNaN(p) {
			continue
		}
		chance = append(chance, 0)
		for n := len(chance) - 1; n >= 0; n-- {
			chance[n] *= 1 - p
			if n > 0 {
				chance[n] += chance[n-1] * p
			}
		}
	}
	below := 0.0
	lo = -1
	for n, c := range chance {
		below += c
		if lo < 0 && below > 0.05 {
			lo = n
		}
		if below >= 0.95-1e-12 {
			return lo, n
		}
	}
	return max(lo, 0), len(chance) - 1
}

// Predictive is the distribution that all other lots predict for one lot's density. With it the
// lot's own reading can be changed without computing the section again. What the lot itself has
// taught about the crew stays out of it. The zero value predicts nothing.
type Predictive struct {
	own    evidence
	target float64 // kg/m³
	nodes  []predictiveNode
}

// predictiveNode is one (μ, τ) with its weight without the lot, and the lot as it reads there.
type predictiveNode struct {
	others
	mu, tau float64 // shares of the target
	x, v    float64 // the lot as read, readings shared with neighbors put right
	factor  float64 // what densities are multiplied by in the node's state of what lots share
	scale   *scale
}

// add keeps a node: (μ, τ), the lot's reading x with variance v there, the state's factor and
// scale, and the weights without the lot.
func (p *Predictive) add(mu, tau, x, v, factor float64, sc *scale, o others) {
	p.nodes = append(p.nodes, predictiveNode{o, mu, tau, x, v, factor, sc})
}

// Change is another reading of the same lot: a change of its density in kg/m³ and of its variance
// in (kg/m³)². The zero value changes nothing.
type Change struct {
	Add   float64 // more density
	Var   float64 // variance added to the lot's own; taken away where negative
	Whole bool    // Var is all of the lot's variance instead: neither its count nor shared readings count any more
	Odds  float64 // factor on the odds of its being bad; 0 leaves them
}

// Predict returns the predictives of the lots in which, in that order, of the section that r is the
// result of. A lot that was named, and so is no evidence for the others, is asked with all lots;
// any other one without those that were named. Lots without a density get the zero value.
func (r *Result) Predict(s *Section, which []int) []Predictive {
	out := make([]Predictive, len(which))
	for _, left := range [][]bool{r.Named, nil} {
		f := infer(s.Lots, s.Target, s.Seen.Odds, left, &r.context)
		var keep, own, filled []int
		for k, i := range which {
			if j := slices.Index(f.place, i); j >= 0 && r.Named[i] == (left == nil) {
				keep, own, filled = append(keep, f.of[j]), append(own, j), append(filled, k)
			}
		}
		if len(keep) > 0 {
			sums := f.sums(keep, &r.context)
			for n, k := range filled {
				out[k] = sums.others[n]
				out[k].own, out[k].target = f.known[own[n]], f.target
			}
		}
		f.release()
		if !slices.Contains(r.Named, true) {
			break
		}
	}
	return out
}

// Prob returns P(density ≥ target) and P(bad) after a change; NaN where the lot has no density.
//
// Over the nodes, with weights of the components by the others and the likelihoods of the changed
// reading, both are posterior means: the part of the sum that lies above the target, and the bad
// part, over the whole. The reading is x + Add with variance v + Var, at least leastVariance; with
// Whole it is the reading with its neighbors' put right, without an interval, with variance Var.
// Where nobody said that the lot stalled, the probability is that of its own reading, unless Whole
// says that it was weighed.
//
// Without a change it agrees with Judge to 1e-7; with one, to a few thousandths with judging the
// changed lot, as the other lots still believe what they learned from the lot as it was
// (TestPredictAnswersLikeJudge).
func (p *Predictive) Prob(c Change) (atTarget, bad float64) {
	if len(p.nodes) == 0 {
		return math.NaN(), math.NaN()
	}
	half, odds := p.own.half, p.own.odds
	if c.Odds > 0 {
		odds *= c.Odds
	}
	whole := 0.0
	if c.Whole {
		half, whole = 0, p.asRead()
	}
	if p.own.short > 0 && !c.Whole { // the crew says nothing for it, whatever it reads
		e := p.own
		e.x, e.v = e.x+c.Add/p.target, math.Max(e.v+c.Var/sq(p.target), leastVariance)
		atTarget = e.byItself()
	}
	var l lotSums
	weight := 0.0
	for i := range p.nodes {
		n := &p.nodes[i]
		x, v := n.x+c.Add/p.target*n.factor, n.v+c.Var/sq(p.target)*sq(n.factor)
		if c.Whole {
			x, v = (whole+c.Add/p.target)*n.factor, c.Var/sq(p.target)*sq(n.factor)
		}
		r := reading{x, math.Sqrt(math.Max(v, leastVariance)), half * n.factor}
		all := r.parts(n.mu, n.tau, odds)
		cut := n.scale.cut(n.mu, n.tau)
		above := cut.of(&r, odds, all)
		l.addAt(&n.others, &all, &above)
		s := n.shares()
		weight += s.good*all.good + s.bad*all.bad + s.over*all.over
	}
	if p.own.short == 0 || c.Whole {
		atTarget = unit(l.pass / weight)
	}
	return atTarget, unit(l.bad / weight)
}

// asRead returns the lot's density, a share of the target, with its neighbors' readings put right:
// the mean over the nodes by all other lots. A fresh count is returned as it was read, without the
// habit of reading it.
func (p *Predictive) asRead() float64 {
	if p.own.half > 0 {
		return p.own.x
	}
	var x, weight float64
	for i := range p.nodes {
		n := &p.nodes[i]
		x, weight = x+n.all*n.x/n.factor, weight+n.all
	}
	return x / weight
}

// Mean returns the lot's density in kg/m³ as all evidence has it, its own reading and the other
// lots, and by how much that is above what it reads with its neighbors' readings put right. Both
// are means over the nodes and the three components (reading.means). A fresh count is taken at the
// middle of its interval, with half²/3 as variance. NaN where the lot has no density.
func (p *Predictive) Mean() (density, above float64) {
	var weight, y, more float64
	for i := range p.nodes {
		n := &p.nodes[i]
		r := reading{x: n.x, sd: math.Sqrt(math.Max(n.v+sq(p.own.half*n.factor)/3, leastVariance))}
		all, s, mean := r.parts(n.mu, n.tau, p.own.odds), n.shares(), r.means(n.mu, n.tau)
		g, b, o := s.good*all.good, s.bad*all.bad, s.over*all.over
		sum := g*mean.good + b*mean.bad + o*mean.over
		weight += g + b + o
		y += sum / n.factor
		more += (sum - (g+b+o)*n.x) / n.factor
	}
	return y / weight * p.target, more / weight * p.target
}
