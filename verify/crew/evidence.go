package crew

import (
	"math"
	"slices"
	"sort"

	"bayproof/verify/measure"
)

// evidence is one lot as the rule sees it. Densities are shares of the target, variances their squares.
type evidence struct {
	x       float64 // density as read
	v       float64 // variance of the error that is this lot's alone, widened for few degrees of freedom
	half    float64 // half-width of the interval that a fresh count is; 0 where the count is not fresh
	kappa   float64 // relative standard uncertainty of the bag weight in this lot
	tape    float64 // relative standard uncertainty by what all readings of the tape share
	bag     float64 // density of one bag, where the lot was counted
	count   float64 // variance of the count by readings of its own
	feed    float64 // density that a feed rate of 1 kg/s makes; 0 where feed was not timed
	near    float64 // density by the count, drawn towards the median of the section's: where feed is compared with it
	short   float64 // density of one step by which the true count may fall short; 0 where the stall was said
	in      link    // reading of the counter at the start
	out     link    // and at the end
	odds    float64 // factor on the likelihood of a bad bay from what the log says besides its masses; 1 for none
	setting int     // of the machine, for feed
	scale   float64 // what densities were multiplied by since they were read (see states)
	times   int     // so many lots are alike in all this
}

// link ties a lot to a reading of the running counter.
type link struct {
	reading int
	coef    float64 // of the error of that reading in the density, signed, per bag
	v       float64 // variance of the reading, bags²; 0 where it is exact
}

// variance is that of a reading that the lot has; 0 where it has none.
func (l *link) variance() float64 {
	if l.coef == 0 {
		return 0
	}
	return l.v
}

// chained tells whether some lot reads the running counter, and not exactly.
func chained(lots []evidence) bool {
	for i := range lots {
		if e := &lots[i]; e.in.variance() > 0 || e.out.variance() > 0 {
			return true
		}
	}
	return false
}

// alone is the evidence with the readings of the counter taken as noise of the lot's own.
func (e evidence) alone() evidence {
	e.v += sq(e.in.coef)*e.in.v + sq(e.out.coef)*e.out.v
	e.in, e.out = link{}, link{}
	return e
}

// scaled is the evidence with its density and all errors multiplied by f.
func (e evidence) scaled(f float64) evidence {
	e.x, e.half, e.v, e.scale = e.x*f, e.half*f, e.v*f*f, e.scale*f
	e.bag, e.count, e.short = e.bag*f, e.count*f*f, e.short*f
	e.feed, e.near = e.feed*f, e.near*f
	e.in.coef, e.out.coef = e.in.coef*f, e.out.coef*f
	return e
}

// leastVariance keeps a likelihood from becoming a spike that no grid can see: a relative 0.2 %.
const leastVariance = 4e-6

// evidenceOf returns the evidence of the lots that have a density and are not left out, and where each stands among the lots
// given. target in kg/m³; odds and left by lot, nil for none; lots to come beyond them have 1.
func evidenceOf(ws *workspace, lots []measure.Lot, target float64, odds []float64, left []bool) (known []evidence, place []int) {
	known, place = ws.lots.take(len(lots))[:0], ws.ints.take(len(lots))[:0]
	for i := range lots {
		l := &lots[i]
		x := l.Density / target
		if left != nil && left[i] || !(x >= 0) || math.IsInf(x, 0) || math.IsNaN(l.Own) || math.IsNaN(l.Count) {
			continue
		}
		e := relative(l, target)
		if i < len(odds) {
			e.odds = odds[i]
		}
		known, place = append(known, e), append(place, i)
	}
	compareFeed(known)
	return known, place
}

// compareFeed finds where each lot's feed is compared with its count: the count, drawn to the median as a density of that spread.
func compareFeed(lots []evidence) {
	var counts []float64
	for j := range lots {
		if lots[j].timed() {
			counts = append(counts, lots[j].x)
		}
	}
	if len(counts) == 0 {
		return
	}
	slices.Sort(counts)
	median := counts[len(counts)/2]
	for j := range lots {
		e, v := &lots[j], sq(feedNear*median)
		e.near = (e.x*v + median*e.count) / (v + e.count)
	}
}

// relative divides a lot by the target (kg/m³). Where the count is fresh its interval replaces Count. Of a counter's
// readings the two that bound the lot's longest stretch are kept as links; others (a top-up later in the day) count as
// noise of its own.
func relative(l *measure.Lot, target float64) evidence {
	e := evidence{x: l.Density / target, odds: 1, scale: 1, times: 1}
	e.v = sq(l.Own/target) * widening(l.OwnDOF)
	if l.Interval > 0 {
		e.half = l.Interval / target
	} else {
		e.v += sq(l.Count / target)
	}
	e.bag, e.short = l.PerBag/target, l.OneSided/target
	if e.bag > 0 && e.half == 0 {
		e.count = sq(l.Count / target)
	}
	if l.Feed > 0 && l.Volume > 0 {
		e.feed, e.setting = l.Feed/l.Volume/target, l.Setting
	}
	if l.Density > 0 {
		e.tape = l.Shared / l.Density
		if l.SharedDOF > 0 {
			e.tape *= math.Sqrt(widening(l.SharedDOF))
		}
	}
	if l.Density > 0 && l.Common > 0 {
		e.kappa = l.Common / l.Density * math.Sqrt(widening(l.CommonDOF))
	}
	if len(l.Terms) > 0 {
		e.tie(l.Terms, target)
	}
	e.v = math.Max(e.v, leastVariance)
	if e.short > 0 {
		e.oneSided()
	}
	return e
}

// oneSided: the true count falls short of the count by anything from nothing to one step. That is an interval, a step wide,
// below the reading. A fresh count has an interval already: its own becomes noise.
func (e *evidence) oneSided() {
	e.v += sq(e.half) / 3
	e.half = e.short / 2
	e.x -= e.half
}

// byItself is P(density ≥ target) by the lot's own reading alone, nothing taken from the crew: the mean of Φ((z − 1)/s) over z
// in x ± half, s with all that is common counted in, from ∫Φ = z·Φ + φ.
func (e *evidence) byItself() float64 {
	a := e.alone()
	s := math.Sqrt(a.v + (sq(e.kappa)+sq(e.tape))*sq(e.x))
	integral := func(z float64) float64 { return z*cdf(z) + density(z) }
	z, w := (a.x-1)/s, a.half/s
	return (integral(z+w) - integral(z-w)) / (2 * w)
}

// tie takes over the readings of the counter.
func (e *evidence) tie(terms []measure.Term, target float64) {
	terms = append([]measure.Term(nil), terms...)
	sort.Slice(terms, func(i, j int) bool { return terms[i].Reading < terms[j].Reading })
	var in, out measure.Term
	for _, t := range terms {
		switch {
		case t.Coef < 0 && in.Coef == 0:
			in = t
		case t.Coef > 0 && out.Coef == 0 && (in.Coef == 0 || t.Reading > in.Reading):
			out = t
		default:
			e.v += sq(t.Coef * t.U / target)
		}
	}
	e.in = link{in.Reading, in.Coef / target, in.U * in.U}
	e.out = link{out.Reading, out.Coef / target, out.U * out.U}
}

// widening is the factor on a variance that was estimated with ν degrees of freedom: ν/(ν − 2), the variance of
// Student's t, below 15. That runs away at 2, so from 3 down it goes on as 3·(3/ν)^1.5, which at ν = 1 (15.6) still
// covers the square of the ratio of the 95 % points, (6.314/1.645)² = 14.7.
func widening(dof float64) float64 {
	switch {
	case math.IsNaN(dof) || dof >= fewDegrees:
		return 1
	case dof > leastDegrees:
		return dof / (dof - 2)
	}
	r := leastDegrees / math.Max(dof, 1)
	return leastDegrees * r * math.Sqrt(r)
}

// Lots that are alike in everything say the same about the crew, and the same is said about each. mostTimes bounds how many
// of them one evidence stands for, so that a product of likelihoods can be scaled before it leaves the range of a float64.
const mostTimes = 8

// gather makes one evidence, that counts so many times, of lots that are alike in everything. of tells for each lot which
// evidence stands for it. Lots on a counter differ by their readings and stay apart.
func gather(ws *workspace, lots []evidence) (distinct []evidence, of []int) {
	of = make([]int, len(lots))
	if chained(lots) {
		for j := range of {
			of[j] = j
		}
		return lots, of
	}
	distinct = ws.lots.take(len(lots))[:0]
	for j := range lots {
		at := 0
		for at < len(distinct) && (distinct[at].times == mostTimes || !distinct[at].like(&lots[j])) {
			at++
		}
		if at == len(distinct) {
			distinct = append(distinct, lots[j])
			distinct[at].times = 0
		}
		distinct[at].times++
		of[j] = at
	}
	return distinct, of
}

// like tells whether two lots off the counter are the same evidence.
func (e *evidence) like(o *evidence) bool {
	return e.x == o.x && e.v == o.v && e.half == o.half && e.kappa == o.kappa && e.odds == o.odds &&
		e.tape == o.tape && e.bag == o.bag && e.count == o.count && e.short == o.short &&
		e.feed == o.feed && e.setting == o.setting
}

// countedIn is the number of lots among them that were counted by steps.
func countedIn(lots []evidence) (n int) {
	for i := range lots {
		if lots[i].bag > 0 {
			n += lots[i].times
		}
	}
	return n
}

// count is the number of lots that some evidence stands for.
func count(lots []evidence) (n int) {
	for i := range lots {
		n += lots[i].times
	}
	return n
}

func sq(x float64) float64 { return x * x }

// state is one state of what all lots of a section share, with the lots as they read in it. The answer is the mean over
// the states, each by its prior weight times the likelihood that the lots have in it.
type state struct {
	lots      []evidence
	wide      float64 // relative standard uncertainty of a scale that is one for all lots; integrated in closed form (see scale)
	tape      float64 // the part of it that the tape's readings share
	logWeight float64 // ln of prior weight, of the change of unit of the lots' likelihoods, and of what the totals say
	told      told
}

// told is what a total says about the errors of the lots' counts together (see table.multiply). The zero value is nothing.
type told struct {
	over float64 // bags that the lots hold, as they read in the state, more than the total
	rest float64 // bags²: variance of that by all but the lots' own counts
	log  float64 // ln of its likelihood before the lots have been asked, which logWeight has
}

// summed tells whether a total says something about the error of the lot's count: one by steps, of readings of its own.
func (e *evidence) summed() bool { return e.count > 0 && e.bag > 0 && e.half == 0 }

// bags is how much the counted lots hold together as they read.
func bags(lots []evidence) (sum float64) {
	for i := range lots {
		if e := &lots[i]; e.bag > 0 {
			sum += e.x / e.bag * float64(e.times)
		}
	}
	return sum
}

// apart is the difference in a relative common error between lots above which it is integrated by nodes.
const apart = 0.002

// context is what is known about a section besides its lots.
type context struct {
	own, job *totals // what the empties of the section, and of the job, say about the counts; nil for nothing
	step     float64 // bags
	others   []priorPart
	boxes    []box
}

// box is a test box: its density and the variance of that.
type box struct{ x, v float64 }

// states lists the nodes of what lots share: the habit of reading fresh counts, the bag weight, what the tape's readings share,
// the bias of the counts, rate and scatter of the feed. A relative error that is the same share of every lot only shifts the target against all of them,
// which the sums hold in closed form (wide).
func states(lots []evidence, c *context) []state {
	all := []state{{lots: lots}}
	all = expand(all, byHabit)
	all = expand(all, func(s state) []state { return byScale(s, func(e *evidence) float64 { return e.kappa }) })
	all = expand(all, func(s state) []state { return byScale(s, func(e *evidence) float64 { return e.tape }) })
	for i := range all {
		all[i].tape = meanOf(lots, func(e *evidence) float64 { return e.tape })
	}
	held := bags(lots)
	all = expand(all, func(s state) []state { return byBias(s, bags(s.lots)-held, c) })
	all = expand(all, byFeed)
	for i := range all {
		all[i].told.over += bags(all[i].lots) - held
	}
	return all
}

// expand replaces every state by the states that one more shared error makes of it.
func expand(all []state, by func(state) []state) []state {
	var out []state
	for _, s := range all {
		out = append(out, by(s)...)
	}
	return out
}

// byHabit: fresh counts round the same way, so that all of them are off by the same share of their half-width.
func byHabit(s state) []state {
	fresh := false
	for i := range s.lots {
		fresh = fresh || s.lots[i].half > 0 && s.lots[i].short == 0
	}
	if !fresh {
		return []state{s}
	}
	habit := func(share float64) state {
		return s.moved(0.5, func(e evidence) evidence {
			if e.short == 0 {
				e.x += share * e.half
			}
			return e
		})
	}
	return []state{habit(-readingHabit), habit(readingHabit)}
}

// byScale: where the bags weigh κ·z less than was taken for granted, or the tape reads so much too little, z standard normal,
// densities are x/(1 − κ·z). z is taken at the three nodes of the Gauss–Hermite rule (Abramowitz & Stegun 25.4.46): it moves
// densities by less than the rest of their uncertainty, so that more nodes change nothing.
func byScale(s state, of func(*evidence) float64) []state {
	low, high, mean := math.Inf(1), 0.0, meanOf(s.lots, of)
	for i := range s.lots {
		low, high = math.Min(low, of(&s.lots[i])), math.Max(high, of(&s.lots[i]))
	}
	if high-low <= apart {
		s.wide = math.Hypot(s.wide, mean)
		return []state{s}
	}
	if low > high/2 { // all have some of it: the mean in closed form, what they differ by as if it were another error
		s.wide = math.Hypot(s.wide, mean)
	} else {
		mean = 0
	}
	var out []state
	for _, n := range hermite3() {
		out = append(out, s.moved(n.weight, func(e evidence) evidence { return e.scaled(1 / (1 - (of(&e)-mean)*n.z)) }))
	}
	return out
}

// meanOf is the mean of something over the lots.
func meanOf(lots []evidence, of func(*evidence) float64) (mean float64) {
	for i := range lots {
		mean += of(&lots[i]) * float64(lots[i].times)
	}
	return mean / float64(count(lots))
}

// hermite3 is the rule of Gauss and Hermite with three nodes for a standard normal variable.
func hermite3() [3]struct{ z, weight float64 } {
	return [3]struct{ z, weight float64 }{{-math.Sqrt(3), 1. / 6}, {0, 2. / 3}, {math.Sqrt(3), 1. / 6}}
}

// byBias: every count of the section holds β bags more than went in, nought with prior weight noBias, else N(0, step²). A total
// says over ~ N(n·β + short, u²). Where β is not nought its posterior by the totals is normal; it is taken at three nodes. What a
// total says about the errors of the counts given β, and by them about the crew's mean, is left to the nodes (told). Without a
// total no bias is modelled: nothing could tell it. more is by how many bags the lots read more in the state than in the log.
func byBias(s state, more float64, c *context) []state {
	var says []*totals
	for _, t := range []*totals{c.own, c.job} {
		if t != nil {
			says = append(says, t)
		}
	}
	if len(says) == 0 {
		return []state{s}
	}
	log := func(beta float64) (sum float64) { // likelihood of the totals
		for _, t := range says {
			sum += t.log(more - t.short - float64(t.lots)*beta)
		}
		return sum
	}
	first := says[0]
	rest := sq(first.u)
	for j := range s.lots {
		if e := &s.lots[j]; e.summed() {
			rest -= e.count / sq(e.bag) * float64(e.times)
		}
	}
	at := func(beta, weight float64) state {
		out := s.moved(weight, func(e evidence) evidence {
			e.x -= beta * e.bag
			return e
		})
		out.logWeight += log(beta)
		out.told = told{first.over - first.short - beta*float64(first.lots-countedIn(s.lots)), rest, first.log(more - first.short - float64(first.lots)*beta)}
		return out
	}
	if !(c.step > 0) {
		return []state{at(0, 1)}
	}
	out := []state{at(0, noBias)}
	precision, mean := 1/sq(c.step), 0.0
	for _, t := range says {
		n := float64(t.lots)
		precision += sq(n / t.u)
		mean += n * (t.over + more - t.short) / sq(t.u)
	}
	mean /= precision
	sd := 1 / math.Sqrt(precision)
	for _, n := range hermite3() { // the prior N(0, step²) over the node's own N(mean, sd²), times the likelihood, is one for all nodes
		beta := mean + n.z*sd
		ratio := math.Exp(-0.5*sq(beta/c.step)+0.5*sq(n.z)) * sd / c.step
		out = append(out, at(beta, (1-noBias)*n.weight*ratio))
	}
	return out
}

// moved is the state with every lot changed. A likelihood is per share of the density as read: where a lot's density was
// multiplied by f, so is its likelihood per share.
func (s state) moved(weight float64, change func(evidence) evidence) state {
	out := s
	out.lots, out.logWeight = make([]evidence, len(s.lots)), s.logWeight+math.Log(weight)
	for j, e := range s.lots {
		out.lots[j] = change(e)
		if f := out.lots[j].scale / e.scale; f != 1 {
			out.logWeight += float64(e.times) * math.Log(f)
		}
	}
	return out
}

// scale is the common relative error δ ~ N(0, wide²) of all densities as read. Against the densities as read it is the same
// as a target known only to that: N(1 − δ). The priors of μ and τ are those of the true ones, μ/(1 − δ) and τ/(1 − δ): so
// the prior of the μ that stands in the grid is widened (see grid), and given μ and τ what is left of δ is normal with
//
//	sd² = wide²·σ²/(σ² + wide²·μ²), σ the standard deviation of the prior of μ,
//	mean = sd²·d ln prior/dδ = sd²·(1 + μ·(m − μ)/σ² + slope of the prior of ln τ)  to first order.
//
// sd and the slope hardly hang on μ and τ: they are taken once, at the posterior means.
type scale struct{ wide, sd, slope float64 }

func newScale(wide, mu, logTau float64) scale {
	return scale{wide, wide * meanPriorSD / math.Sqrt(sq(meanPriorSD)+sq(wide*mu)), (math.Log(SpreadMedian) - logTau) / sq(SpreadLogSD)}
}

// aim is the mean of the target against the densities as read, at a μ. Its standard deviation is sd.
func (s *scale) aim(mu float64) float64 {
	return 1 - sq(s.sd)*(1+mu*(meanPrior-mu)/sq(meanPriorSD)+s.slope)
}
