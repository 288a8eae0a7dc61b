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
	Pairs   []Pair // neighbours that look swapped
	Named   []bool // lots that are over-full or stand in a pair: no evidence for the others

	MeanOver bool // the section's mean lies over the ceiling

	alone []Posterior // what the section's own lots say, before the job's other sections were asked; nil where there are none
	wide  float64     // relative standard uncertainty of what all lots have in common
	context
}

// Seen is what is known besides masses and sizes.
type Seen struct {
	// Odds holds for each lot a factor on the likelihood of its being bad: what was seen at the bay. 1 says nothing; nil
	// says nothing about any.
	Odds []float64
	// Unordered says that the lots' order is not the order of filling: neighbours are not compared.
	Unordered bool
}

// Judge integrates mean, spread and rate of bad bays over the fixed priors and returns what every lot's density is then
// known to be. The lots are in fill order, the target is in kg/m³.
//
// The posterior weight of (μ, τ, r) is the prior times ∏ⱼ Lⱼ, Lⱼ = (1 − o)(1 − r)·G + (1 − o)·r·B + o·O with the lots'
// likelihoods under a good, a bad and an over-full bay. For each lot P(density ≥ target) is the mean over that posterior
// of the share of Lⱼ that lies above the target.
//
// A lot that is named over-full or as one of a swapped pair says nothing about the crew: its mass belongs elsewhere. The
// others are judged again without it.
func Judge(lots []measure.Lot, target float64, seen Seen) Result {
	c := context{}
	f := infer(lots, target, seen.Odds, nil, &c)
	defer f.release()
	return judgeNamed(lots, target, seen, &c, f)
}

// judgeNamed is Judge with what is known about the section besides its lots, and its inference with all of them.
func judgeNamed(lots []measure.Lot, target float64, seen Seen, c *context, f *inference) Result {
	r := f.result(len(lots), c)
	if !seen.Unordered {
		r.Pairs = swaps(lots, r)
	}
	r.Named = r.name()
	if !slices.Contains(r.Named, true) {
		return r
	}
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

// Again judges a section that JudgeJob gave the result of with other lots: all else that was known about it stands, the totals too,
// as what is blown in after they were counted is counted with the next.
func (r *Result) Again(s *Section) Result {
	c := r.context
	f := infer(s.Lots, s.Target, s.Seen.Odds, nil, &c)
	defer f.release()
	return judgeNamed(s.Lots, s.Target, s.Seen, &c, f)
}

// BySection is P(density ≥ target) of a lot by its section's own lots, without the job's other sections.
func (r *Result) BySection(lot int) float64 {
	if r.alone == nil {
		return r.Lots[lot].ProbAtTarget
	}
	return r.alone[lot].ProbAtTarget
}

// name tells which lots are over-full or stand in a pair.
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

// judge is Judge with every lot as evidence for all that is not left out.
func judge(lots []measure.Lot, target float64, odds []float64, left []bool, c *context) Result {
	f := infer(lots, target, odds, left, c)
	defer f.release()
	return f.result(len(lots), c)
}

// result answers for so many lots. What does not exist is NaN.
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

// oddOnes is the 90 % interval of the number of lots that are bad or over-full: the sum of independent yes and no, each with its
// lot's probability.
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

// Predictive is the distribution that all other lots predict for one lot's density: with it the lot's own reading can be
// changed without going through the section again. What the lot itself has taught about the crew stays out of it.
type Predictive struct {
	own    evidence
	target float64 // kg/m³
	nodes  []predictiveNode
}

// predictiveNode is one (μ, τ) with its weight without the lot, and the lot as it reads there.
type predictiveNode struct {
	others
	mu, tau float64
	x, v    float64 // the lot as read, readings shared with neighbours put right
	factor  float64 // what densities are multiplied by in the node's state of what lots share
	scale   *scale
}

func (p *Predictive) add(mu, tau, x, v, factor float64, sc *scale, o others) {
	p.nodes = append(p.nodes, predictiveNode{o, mu, tau, x, v, factor, sc})
}

// Change is another reading of the same lot, in kg/m³.
type Change struct {
	Add   float64 // more density
	Var   float64 // variance added to the lot's own; taken away where negative
	Whole bool    // Var is all of the lot's variance instead: neither its count nor shared readings count any more
	Odds  float64 // factor on the odds of its being bad; 0 leaves them
}

// Predict returns the predictives of some lots, in the order of which, of the section that r is the result of. A lot that is no
// evidence for the others is asked with all lots, any other one without those that are none.
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
		l.say(&n.others, &all, &above)
		s := n.shares()
		weight += s.good*all.good + s.bad*all.bad + s.over*all.over
	}
	if p.own.short == 0 || c.Whole {
		atTarget = unit(l.pass / weight)
	}
	return atTarget, unit(l.bad / weight)
}

// asRead is the lot's density, a share of the target, with its neighbours' readings put right. With a fresh count the
// habit of reading it goes too.
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

// Mean returns the lot's density in kg/m³ as all evidence has it, its own reading and the other lots, and by how much
// that is above what it reads with its neighbours' readings put right. A fresh count is taken at the middle of its
// interval. NaN where the lot has no density.
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
