// The lots of a section as evidence, and what they share.
//
// A measured lot (measure.Lot, kg/m³) becomes an evidence: everything divided by the target. Its
// errors are of two kinds. Those that are the lot's own go into the variance v and are integrated
// with the likelihood (likelihood.go). Those that all lots share cannot be: an error of the bag
// weight does not average out over bays. They are unknowns like μ and τ, and are integrated around
// the rest: the section is computed once for each of a few values of the shared error, its states,
// and the answers are averaged by the states' weights, prior weight times the likelihood that the
// lots have in the state. Five errors are shared, and states returns the product of their nodes:
//
//   - the habit of reading fresh counts: two nodes (byHabit);
//
//   - the bag weight, and what the readings of a tape share: relative errors. Where they are the
//     same share of every lot they are one scale error, which needs no nodes: it is carried in
//     closed form (scale); else three nodes of the Gauss–Hermite rule (byScale);
//
//   - the bias of the counts, where a total speaks about it: none, or three nodes (byBias);
//
//   - rate and scatter of the feed time: feed.go.
//
// Errors that only neighbors share, the readings of a running counter, are chain.go's.
//
// Lots that are alike in everything say the same and are gathered into one evidence that counts
// several times.

package crew

import (
	"math"
	"slices"
	"sort"

	"bayproof/verify/measure"
)

// evidence is one lot as the rule sees it. Densities are shares of the target, variances squares of
// that.
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

// link ties a lot to one reading of the running counter. The zero value is no reading.
type link struct {
	reading int     // its number in the job's counters
	coef    float64 // of the error of that reading in the density, signed, per bag
	v       float64 // variance of the reading, bags²; 0 where it is exact
}

// variance is the variance in bags² of a reading that the lot has; 0 where it has none or the
// reading is exact.
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

// alone returns the evidence with its counter readings taken as noise of its own: v + Σ
// coef²·variance. That is what the lot would be if its neighbors had readings of their own.
func (e evidence) alone() evidence {
	e.v += sq(e.in.coef)*e.in.v + sq(e.out.coef)*e.out.v
	e.in, e.out = link{}, link{}
	return e
}

// scaled returns the evidence with its density multiplied by f, and with it everything that is
// proportional to a density; variances by f². scale remembers f.
func (e evidence) scaled(f float64) evidence {
	e.x, e.half, e.v, e.scale = e.x*f, e.half*f, e.v*f*f, e.scale*f
	e.bag, e.count, e.short = e.bag*f, e.count*f*f, e.short*f
	e.feed, e.near = e.feed*f, e.near*f
	e.in.coef, e.out.coef = e.in.coef*f, e.out.coef*f
	return e
}

// leastVariance is the least variance of a lot, (0.2 % of the target)²: it keeps a likelihood from
// becoming a spike that no grid can see.
const leastVariance = 4e-6

// evidenceOf returns the evidence of the lots that have a density, and the index of each among the
// lots given. Left out are those marked in left, those whose density is not finite or below 0, and
// those whose own or counting uncertainty is NaN. target in kg/m³, > 0; odds and left by lot, nil
// for none; lots beyond the end of odds have 1. The evidence is the workspace's memory.
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

// compareFeed sets near, where some lot was timed: the density at which a lot's feed is compared
// with its count. It is the count x drawn to the median m of the timed counts as if densities
// scattered by s = feedNear·m about it,
//
//	near = (x·s² + m·count)/(s² + count)
//
// so that one bad count does not decide where the logarithm of its density is linearized.
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
	// The upper of two middle ones: which does not matter, as it only says where a logarithm is
	// linearized.
	median := counts[len(counts)/2]
	for j := range lots {
		e, v := &lots[j], sq(feedNear*median)
		e.near = (e.x*v + median*e.count) / (v + e.count)
	}
}

// relative divides a lot by the target (kg/m³):
//
//   - x and v: density, and its variance by sizes and weighings, widened for few degrees of
//     freedom; and by the count where that is noise of the lot's own;
//
//   - half instead of the latter where the count is fresh: then it is an interval;
//
//   - kappa, tape: Common and Shared as shares of the lot's density, widened too; 0 for a lot of
//     density 0;
//
//   - count, bag: the count's variance by readings of its own, and the density of one bag; count
//     only where it is noise;
//
//   - in, out: the counter readings (tie); short: one counting step where nobody said that the bay
//     was stalled (oneSided).
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

// oneSided takes in that the true count may fall short of the count by anything from 0 to one step
// (short): an interval a step wide below the reading, x − short/2 ± short/2. The interval of a
// fresh count, if there was one, becomes noise with the variance half²/3 of a uniform error.
func (e *evidence) oneSided() {
	e.v += sq(e.half) / 3
	e.half = e.short / 2
	e.x -= e.half
}

// byItself returns P(density ≥ target) by the lot's own reading alone, nothing taken from the crew:
// the mean of Φ((z − 1)/s) over z in x ± half, from ∫Φ dz = z·Φ + φ, with s² = v + (kappa² +
// tape²)·x², counter readings taken as noise. It is for lots with half > 0, as oneSided leaves
// them.
func (e *evidence) byItself() float64 {
	a := e.alone()
	s := math.Sqrt(a.v + (sq(e.kappa)+sq(e.tape))*sq(e.x))
	integral := func(z float64) float64 { return z*cdf(z) + density(z) }
	z, w := (a.x-1)/s, a.half/s
	return (integral(z+w) - integral(z-w)) / (2 * w)
}

// tie takes over the readings of the counter. Those that bound the lot's first stretch, the first
// that counts against it and the first after that which counts for it, become links. Others (of a
// top-up later in the day) count as noise of the lot's own, (coef·U)².
func (e *evidence) tie(terms []measure.Term, target float64) {
	// A copy: the lot's own terms are not sorted.
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

// widening returns the factor on a variance that was estimated with ν degrees of freedom: ν/(ν −
// 2), the variance of Student's t, below fewDegrees. That runs away at ν = 2, so from leastDegrees
// = 3 down it goes on as 3·(3/ν)^1.5, equal at 3. At ν = 1 that is 15.6, which still covers the
// square of the ratio of the 95 % points, (6.314/1.645)² = 14.7; below 1 it is what it is at 1. 1
// for NaN. (The second formula is derived here.)
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

// mostTimes bounds how many lots one evidence stands for, so that a product of likelihoods can be
// scaled before it leaves the range of a float64 (see scaleAfter).
const mostTimes = 8

// gather makes one evidence, which counts so many times, of lots that are alike in everything. They
// say the same about the crew, and the same is said about each. of has for each lot the index of
// the evidence that stands for it. Lots on a counter differ by their readings and stay apart.
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

// countedIn returns how many lots the evidence stands for that were counted in steps.
func countedIn(lots []evidence) (n int) {
	for i := range lots {
		if lots[i].bag > 0 {
			n += lots[i].times
		}
	}
	return n
}

// count returns how many lots the evidence stands for.
func count(lots []evidence) (n int) {
	for i := range lots {
		n += lots[i].times
	}
	return n
}

func sq(x float64) float64 { return x * x }

// state is one value of what all lots of a section share, with the lots as they read in it. The
// answer for the section is the mean over the states, each weighted by exp(logWeight) times the
// likelihood that the lots have in it.
type state struct {
	lots      []evidence
	wide      float64 // relative standard uncertainty of a scale that is one for all lots; integrated in closed form (see scale)
	tape      float64 // the part of it that the tape's readings share
	logWeight float64 // ln of prior weight, of the change of unit of the lots' likelihoods, and of what the totals say
	told      told
}

// told is what a total says about the errors of the lots' counts together (see table.total). The
// zero value says nothing.
type told struct {
	over float64 // bags that the lots hold, as they read in the state, more than the total
	rest float64 // bags²: variance of that by all but the lots' own counts
	log  float64 // ln of its likelihood before the lots have been asked, which logWeight has
}

// summed tells whether a total says something about the error of the lot's count: whether it was
// counted in steps, with readings of its own.
func (e *evidence) summed() bool { return e.count > 0 && e.bag > 0 && e.half == 0 }

// bags returns how many bags the counted lots hold together as they read, Σ x/bag.
func bags(lots []evidence) (sum float64) {
	for i := range lots {
		if e := &lots[i]; e.bag > 0 {
			sum += e.x / e.bag * float64(e.times)
		}
	}
	return sum
}

// apart is the difference between lots in a relative common error above which it is integrated by
// nodes.
const apart = 0.002

// context is what is known about a section besides its lots. The zero value is nothing.
type context struct {
	own, job *totals // what the empties of the section, and of the job, say about the counts; nil for nothing
	step     float64 // bags
	others   []priorPart
	boxes    []box
}

// box is a test box: its density, a share of the target, and the variance of that.
type box struct{ x, v float64 }

// states returns the states of a section: all combinations of the nodes of the errors that its lots
// share, in the order habit, bag weight, tape, bias, feed. Weights are as in state; they need not
// add up to 1.
//
// A state may change what the lots read. Then a total, which was set against the log, is off by the
// change: held keeps what the log holds.
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

// byHabit makes two states of a section with fresh counts: these round the same way, so that all of
// them are off by the same share, ± readingHabit, of their half-width. Counts that may fall short
// (short > 0) have an interval for another reason and stay.
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

// byScale integrates a relative error κ·z that lots share, z standard normal, κ by lot (of): where
// the bags weigh κ·z less than was taken for granted, or the tape reads so much too little, true
// densities are x/(1 − κ·z).
//
// Where κ is the same for all lots, to within apart, it is one scale error and goes into wide. Else
// z is taken at the three nodes of the Gauss–Hermite rule (Abramowitz & Stegun 25.4.46): it moves
// densities by less than the rest of their uncertainty, so that more nodes change nothing. Where
// every lot has at least half of the largest κ, the mean κ goes into wide and only the differences
// go by nodes, as if they were another error.
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

// meanOf returns the mean of something over the lots.
func meanOf(lots []evidence, of func(*evidence) float64) (mean float64) {
	for i := range lots {
		mean += of(&lots[i]) * float64(lots[i].times)
	}
	return mean / float64(count(lots))
}

// hermite3 returns the Gauss–Hermite rule with three nodes for a standard normal variable: exact
// for polynomials up to the fifth degree.
func hermite3() [3]struct{ z, weight float64 } {
	return [3]struct{ z, weight float64 }{{-math.Sqrt(3), 1. / 6}, {0, 2. / 3}, {math.Sqrt(3), 1. / 6}}
}

// byBias integrates a bias β of the counts, in bags a bay, that a total can tell of: every count of
// the section holds β bags more than went in, β = 0 with prior probability noBias, else β ~ N(0,
// step²). A total is a reading of the sum,
//
//	over + more ~ N(n·β + short, u²)
//
// with n counted lots, by over bags too many in the log, and more by which the lots read more in
// this state than in the log. So given that β is not 0 its posterior by the totals is normal, with
//
//	precision 1/step² + Σ (n/u)²,  mean Σ n·(over + more − short)/u² / precision
//
// and is taken at its three Gauss–Hermite nodes. A node's weight is the prior density over the
// node's own normal density, times the totals' likelihood: the same for all three but for rounding.
// Held against the closed form by TestBiasAgainstClosedForm.
//
// Given β, what is left of the total says something about the errors of single counts, and through
// them about μ: that is table.total's, and told hands it over, of the section's own total or else
// of the job's. Without a total no bias is modeled: nothing could tell it. Without a step (c.step ≤
// 0) β is 0.
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
	// What the lots' own counting errors bring to u² is taken off: table.total puts it back node by
	// node, as the readings tell of it.
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

// moved returns the state with every lot changed, and its weight multiplied. Likelihoods are
// densities per share of the density as read: where change multiplied a lot's density by f, its
// likelihood is multiplied by f too.
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

// scale is the common relative error δ ~ N(0, wide²) of all densities as read: true ones are x/(1 −
// δ). Against the densities as read it is the same as a target that is known only to that, 1 − δ,
// and it needs no nodes. Derived here:
//
// The priors of μ and τ speak of the true ones, μ/(1 − δ) and τ/(1 − δ) with μ and τ as read. So
// the prior of the μ that stands in the grid is wider (see grid.component), and given μ and τ what
// is left of δ is to first order normal, with m and σ mean and standard deviation of the prior of
// μ, and slope that of the logarithm of the prior in ln τ:
//
//	sd² = wide²·σ²/(σ² + wide²·μ²)
//	mean = sd²·(1 + μ·(m − μ)/σ² + slope),  slope = (ln SpreadMedian − ln τ)/SpreadLogSD²
//
// sd and slope hardly depend on μ and τ: they are taken once, at their posterior means.
type scale struct{ wide, sd, slope float64 }

// newScale returns the scale at a posterior mean of μ and of ln τ, shares of the target.
func newScale(wide, mu, logTau float64) scale {
	return scale{wide, wide * meanPriorSD / math.Sqrt(sq(meanPriorSD)+sq(wide*mu)), (math.Log(SpreadMedian) - logTau) / sq(SpreadLogSD)}
}

// scale returns the common scale with relative standard uncertainty wide, at the table's posterior
// means of μ and ln τ.
func (t *table) scale(wide float64) scale {
	var all, mu, logTau float64
	for at, w := range t.weight {
		all += w
		mu += w * t.mu[at%len(t.mu)]
		logTau += w * t.logTau[at/len(t.mu)]
	}
	return newScale(wide, mu/all, logTau/all)
}

// aim returns the mean 1 − E δ of the target against the densities as read, at a μ. Its standard
// deviation is sd.
func (s *scale) aim(mu float64) float64 {
	return 1 - sq(s.sd)*(1+mu*(meanPrior-mu)/sq(meanPriorSD)+s.slope)
}
