// From the posterior on the grid to figures.
//
// Every figure is a posterior mean: a sum over the nodes of μ, τ and r, weighted by the posterior,
// divided by the sum of the weights. sums collects numerators and denominators, for each state of
// what the lots share (evidence.go); states are added by what they are worth, and only then is
// divided. What is said about one lot needs the posterior without that lot's own reading in two
// places: the chance of its components, prior shares times likelihoods, and the mean μ that it is
// compared with, since a lot that is short has drawn the section's mean down. The lot's own
// likelihood is divided out of the node's weights for that.
//
// Nodes below a small share of the highest weight are left out (forget). Accuracy: see the package
// comment.

package crew

import (
	"math"

	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// forget is the share of the highest weight below which a node takes no part in the answers.
const forget = 1e-3

// forgetAlone is the same where only what a verdict rests on is asked: whether a section's own lots
// show the target.
const forgetAlone = 0.03

// forgetState is by how much ln of a state's weight may be below the highest before the lots are
// asked: exp(−12) is 6e-6.
const forgetState = 12

// sums are sums over the nodes of the quantities that the answers are made of, each times the
// node's posterior weight, in units of exp(log). Divided by weight they are posterior means.
// Densities are shares of the target.
type sums struct {
	log, weight              float64 // logarithm of the unit; Σ weight
	mu, mu2, tau, tau2, rate float64 // Σ weight·μ, weight·μ², weight·τ, weight·τ², weight·r
	logTau, logTau2          float64 // Σ weight·ln τ, weight·(ln τ)²
	// relative standard uncertainty of the common scale (see state)
	wide float64
	// share of the highest weight below which a node is left out
	forget float64
	lots   []lotSums // by evidence
	rows   []tauRow  // for the quantile of μ − 1.645 τ
	others []Predictive
}

// lotSums are those of one lot: pass is P(density ≥ target), bad P(bad), over P(over-full). x is
// its density as read, with the readings that it shares with its neighbors put right, x2 the square
// of that and v the variance that is left. rest, mu and mu2 are weight, weight·μ and weight·μ² by
// all other lots, in units of the lot's own likelihood.
type lotSums struct{ pass, bad, over, x, x2, v, rest, mu, mu2 float64 }

// tauRow is what the nodes of one τ say about μ: weight, weight·μ and weight·μ². step is the
// distance to the next τ, wide the relative standard uncertainty of all that lots share, tape the
// part of it that the tape's readings share.
type tauRow struct{ tau, step, wide, tape, weight, mu, mu2 float64 }

// inference is a section on its way to an answer: its lots as evidence, and for each state of what
// they share the table of their likelihoods on a grid where the posterior lies.
type inference struct {
	known    []evidence // the lots that have a density
	place    []int      // by known: its place among the lots given
	distinct []evidence // those that differ
	of       []int      // by known: which of distinct stands for it
	states   []state
	tables   []*table // by state
	ws       *workspace
	target   float64 // kg/m³
	// share of the highest weight below which a node is left out
	forget float64
}

// infer places the grids of a section. target is in kg/m³, odds by lot or nil (see Seen), left
// marks lots to leave out or is nil, c is what is known besides. A target that is not above 0, or
// no lot with a density, gives an inference without states. States whose prior weight is negligible
// (forgetState) are left out. The caller must call release once, after which nothing of the
// inference may be used.
//
// Along a counter the grid is placed by the lots with every reading their own: the same lots
// without their coupling.
func infer(lots []measure.Lot, target float64, odds []float64, left []bool, c *context) *inference {
	f := &inference{target: target, forget: forget, ws: workspaces.Get().(*workspace)}
	f.ws.since(workspace{})
	if !(target > 0) {
		return f
	}
	f.known, f.place = evidenceOf(f.ws, lots, target, odds, left)
	if len(f.known) == 0 {
		return f
	}
	f.distinct, f.of = gather(f.ws, f.known)
	all := states(f.distinct, c)
	most := math.Inf(-1)
	for i := range all {
		most = math.Max(most, all[i].logWeight)
	}
	for _, s := range all {
		if s.logWeight < most-forgetState {
			continue
		}
		// Along a counter the table is only to say where to look, with every error its lot's own.
		lots, steps, total := s.lots, muSteps, s.told
		if chained(lots) {
			steps, total = chainSteps, told{} // of a counter's errors it knows the last reading's only
			lots = make([]evidence, len(s.lots))
			for j, e := range s.lots {
				lots[j] = e.alone()
			}
		}
		f.states, f.tables = append(f.states, s), append(f.tables, place(f.ws, lots, s.lots, total, steps, s.wide, c))
	}
	return f
}

// release gives the inference's memory back.
func (f *inference) release() { workspaces.Put(f.ws) }

// mix puts the prior of a job's other sections (c.others) beside the fixed one: likelihoods and
// grids stay.
func (f *inference) mix(c *context) {
	for i, t := range f.tables {
		fixed := t.prior
		t.mix(f.ws, f.states[i].wide, c)
		t.exchange(f.ws, fixed)
	}
}

// summary returns what the section's lots say about μ, τ and r, for the job's other sections. Along
// a counter it is what they would say with every error their own, which is less.
func (f *inference) summary() summary {
	total := &sums{log: math.Inf(-1)}
	for i, t := range f.tables {
		s := &sums{log: t.log + f.states[i].logWeight}
		for at := range t.weight {
			s.node(t.grid, at/len(t.mu), at%len(t.mu), t.byRate[at*len(t.rates):][:len(t.rates)], t.rates)
		}
		total.add(s)
	}
	return total.summary(len(f.known))
}

// sums adds up the posterior over all states, each weighted by its prior weight times what the lots
// are worth in it. keep lists distinct lots whose predictives are kept in others, in that order.
// Nil where no lot has a density.
func (f *inference) sums(keep []int, c *context) *sums {
	var total *sums
	for i := range f.states {
		st, t := &f.states[i], f.tables[i]
		s := &sums{wide: st.wide, forget: f.forget, lots: make([]lotSums, len(st.lots)), others: make([]Predictive, len(keep))}
		mark := *f.ws
		if chained(st.lots) {
			newChain(f.ws, t, st.lots, t.scale(st.wide), c).sum(s, keep)
		} else {
			t.sum(f.ws, s, t.scale(st.wide), keep)
		}
		f.ws.since(mark)
		s.log += st.logWeight
		for i := range s.rows {
			// wide has the tape's shared part once; three times more of it make it double (see
			// lower).
			s.rows[i].wide, s.rows[i].tape = math.Sqrt(sq(st.wide)+3*sq(st.tape)), st.tape // see lower
		}
		if total == nil {
			total = s
			continue
		}
		total.add(s)
	}
	return total
}

// add brings in the sums of another state, in the larger of the two units.
func (s *sums) add(o *sums) {
	if o.log > s.log {
		s.times(math.Exp(s.log - o.log))
		s.log = o.log
	}
	o.times(math.Exp(o.log - s.log))
	s.weight, s.rate = s.weight+o.weight, s.rate+o.rate
	s.mu, s.mu2, s.tau, s.tau2 = s.mu+o.mu, s.mu2+o.mu2, s.tau+o.tau, s.tau2+o.tau2
	s.logTau, s.logTau2 = s.logTau+o.logTau, s.logTau2+o.logTau2
	for j := range s.lots {
		s.lots[j].add(1, &o.lots[j])
	}
	s.rows = append(s.rows, o.rows...)
	for k := range s.others {
		s.others[k].nodes = append(s.others[k].nodes, o.others[k].nodes...)
	}
}

// times multiplies all sums by f.
func (s *sums) times(f float64) {
	for _, p := range []*float64{&s.weight, &s.rate, &s.mu, &s.mu2, &s.tau, &s.tau2, &s.logTau, &s.logTau2} {
		*p *= f
	}
	for j := range s.lots {
		l := s.lots[j]
		s.lots[j] = lotSums{}
		s.lots[j].add(f, &l)
	}
	for i := range s.rows {
		r := &s.rows[i]
		r.weight, r.mu, r.mu2 = r.weight*f, r.mu*f, r.mu2*f
	}
	for k := range s.others {
		for i := range s.others[k].nodes {
			n := &s.others[k].nodes[i]
			n.all, n.bad = n.all*f, n.bad*f
		}
	}
}

// add adds f times another lot's sums.
func (l *lotSums) add(f float64, o *lotSums) {
	l.pass, l.bad, l.over = l.pass+f*o.pass, l.bad+f*o.bad, l.over+f*o.over
	l.x, l.x2, l.v = l.x+f*o.x, l.x2+f*o.x2, l.v+f*o.v
	l.rest, l.mu, l.mu2 = l.rest+f*o.rest, l.mu+f*o.mu, l.mu2+f*o.mu2
}

// byOthers adds a node's weight by all other lots, and its μ.
func (l *lotSums) byOthers(weight, mu float64) {
	l.rest, l.mu, l.mu2 = l.rest+weight, l.mu+weight*mu, l.mu2+weight*mu*mu
}

// node adds node (i, k) to the sums about the section and returns its weight, the sum of byRate:
// its weight at each rate.
func (s *sums) node(g *grid, i, k int, byRate []float64, rates []rateNode) (weight float64) {
	for r, w := range byRate {
		weight += w
		s.rate += w * rates[r].rate
	}
	mu, tau := g.mu[k], g.tau[i]
	s.weight += weight
	s.mu += weight * mu
	s.mu2 += weight * mu * mu
	s.tau += weight * tau
	s.tau2 += weight * tau * tau
	s.logTau += weight * g.logTau[i]
	s.logTau2 += weight * sq(g.logTau[i])
	return weight
}

// row adds the weight of node (i, k) to the row of its τ.
func (s *sums) row(g *grid, i, k int, weight float64) {
	if len(s.rows) == 0 {
		s.rows = make([]tauRow, len(g.tau))
		for i := range s.rows {
			s.rows[i] = tauRow{tau: g.tau[i], step: g.tauStep[i]}
		}
	}
	r := &s.rows[i]
	r.weight += weight
	r.mu += weight * g.mu[k]
	r.mu2 += weight * sq(g.mu[k])
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

// sum adds up a section without a counter, where every lot's error is its own.
//
// At a node of weight w(r) with L(r) = base + r·perRate the lot's likelihood, w(r)/L(r) is the
// weight by all other lots. The posterior weight of one of the lot's components, of likelihood C,
// is its prior share at r times C·w(r)/L(r), summed over r, and the part of it at densities of the
// target or more is the same with the part of C there (cut). keep as in inference.sums.
//
// Where a total speaks about the counts, the lot's reading is first corrected by what total and
// other lots say of its error.
func (t *table) sum(ws *workspace, s *sums, sc scale, keep []int) {
	s.log = t.log
	nk, nr, n := len(t.mu), len(t.rates), len(t.lots)
	above := ws.parts.take(nk * n) // what of bad and over lies above the target, by μ
	clear(above)
	pulls, most := make([]pull, n), 0.0 // by lot, at the τ at hand
	for _, w := range t.weight {
		most = max(most, w)
	}
	for at, w := range t.weight {
		i, k := at/nk, at%nk
		c := sc.cut(t.mu[k], t.tau[i])
		if k == 0 {
			for j := range pulls {
				pulls[j] = c.pull(&t.read[j])
			}
		}
		s.row(t.grid, i, k, w)
		if w < s.forget*most {
			continue
		}
		byRate := t.byRate[at*nr:][:nr]
		s.node(t.grid, i, k, byRate, t.rates)
		good, bad, over := t.node(i, k)
		rate := 0.0
		if t.told.rest > 0 {
			rate = t.rateAt(byRate)
		}
		for j := range t.lots {
			l, e, r, pull := &s.lots[j], &t.lots[j], t.read[j], pulls[j]
			whole, cut := parts{good[j], bad[j], over[j]}, &above[k*n+j]
			corrected := t.told.rest > 0 && e.summed()
			if corrected {
				r = t.corrected(j, i, k, rate, &whole)
				pull = c.pull(&r)
				whole = r.parts(t.mu[k], t.tau[i], e.odds)
			}
			// What of the bad and of the over-full component lies above the target depends on μ
			// alone, and is kept for all τ; over is never 0 once it was computed (likelihoodLeak).
			if corrected || cut.over == 0 {
				cut.bad, cut.over = c.tails(&r, e.odds, whole.over)
			}
			cut.good = c.pulled(&r, whole.good, pull)
			o := othersAt(byRate, t.rates, &whole)
			l.addAt(&o, &whole, cut)
			l.byOthers(o.all/e.scale, t.mu[k])
			v := e.v
			if corrected {
				v = sq(r.sd)
			}
			l.x, l.x2, l.v = l.x+w*r.x, l.x2+w*r.x*r.x, l.v+w*v
			for p, kept := range keep {
				if kept == j {
					s.others[p].add(t.mu[k], t.tau[i], r.x, v, e.scale, &sc, o)
				}
			}
		}
	}
}

// others is what all other lots say about one lot at a node: all is the posterior weight without
// the lot's own likelihood, bad the same times the rate of bad bays.
type others struct{ all, bad float64 }

// othersAt divides a lot's own likelihood, of the components whole, out of a node's weights: Σ
// w/(base + r·perRate) and Σ r·w/(…).
func othersAt(byRate []float64, rates []rateNode, whole *parts) (o others) {
	base, per := whole.mixed()
	for r, w := range byRate {
		rate := rates[r].rate
		q := w / (base + rate*per)
		o.all += q
		o.bad += q * rate
	}
	return o
}

// shares returns the weights of the three components without the lot's own reading: (1 − o)·(all −
// bad), (1 − o)·bad and o·all.
func (o *others) shares() parts {
	return parts{(1 - overRate) * (o.all - o.bad), (1 - overRate) * o.bad, overRate * o.all}
}

// addAt adds what a lot is at a node: the components' weights by the others times its likelihoods,
// whole and above the target.
func (l *lotSums) addAt(o *others, whole, above *parts) {
	p := o.shares()
	l.pass += p.good*above.good + p.bad*above.bad + p.over*above.over
	l.bad += p.bad * whole.bad
	l.over += p.over * whole.over
}

// Posterior is what is known about one lot with the crew's other bays as evidence. NaN where the
// lot has no density.
type Posterior struct {
	// ProbAtTarget is P(density ≥ target).
	ProbAtTarget float64
	// Bad is P(the lot is bad), Over P(it is over-full).
	Bad, Over float64
	// CouldHide is the largest share e of the lot's length that may be empty without the reading
	// being too high for it: the least e with P(reading at least this high | e empty, the rest
	// packed like the crew's) ≤ 5 %,
	//
	//	e = 1 − (x − 1.645·√(u² + τ² + u_μ²))/μ, within 0 to 1
	//
	// u is the uncertainty of the reading, μ with u_μ the crew's mean by all other lots, as an
	// empty length draws the mean of all down. What reading and mean have in common, bag weight and
	// tape, is left out.
	CouldHide float64
	// Rarity is how often a full bay of this crew reads as low, Φ((x − μ)/√(u² + τ² + u_μ²)).
	Rarity float64
	read   asRead // for Empty
}

// asRead is a lot's reading with the readings that it shares put right, x and u², and the crew's
// mean by all other lots, mu and uMu2 = u_μ². Shares of the target.
type asRead struct{ x, u2, mu, uMu2, sd float64 } // sd: √(u² + τ² + u_μ²), how full bays of this crew read

// hideFactor is how many standard deviations a normal reading is too high by once in twenty.
const hideFactor = 1.645

// posterior returns the figures of distinct lot j from its sums, e being the lot's own evidence.
// The variance of the reading is the mean of what is left at the nodes, the variance of x over the
// nodes, and half²/3 of an interval. Of μ it takes mean and variance by all other lots. Where
// nobody said that the lot stalled (e.short > 0) the crew says nothing for it: its probability is
// that of its own reading.
func (s *sums) posterior(j int, e *evidence) Posterior {
	l, per := s.lots[j], 1/s.weight
	x := l.x * per
	u2 := l.v*per + max(0, l.x2*per-x*x) + e.half*e.half/3
	mu := l.mu / l.rest
	uMu2, tau2 := max(0, l.mu2/l.rest-mu*mu), s.tau2*per
	sd := math.Sqrt(u2 + tau2 + uMu2)
	p := Posterior{ProbAtTarget: unit(l.pass * per), Bad: unit(l.bad * per), Over: unit(l.over * per),
		CouldHide: unit(1 - (x-hideFactor*sd)/mu), Rarity: cdf((x - mu) / sd),
		read: asRead{x, u2, mu, uMu2, sd}}
	if e.short > 0 { // nobody said that it stalled: the crew says nothing for it
		p.ProbAtTarget = e.byItself()
	}
	return p
}

// unit returns p within 0 to 1, where rounding may have left it outside.
func unit(p float64) float64 { return min(1, max(0, p)) }

// Empty returns the share e = 1 − y/μ of the lot's length that would be empty if the rest were
// packed at the crew's mean and the lot is bad: its mean and 90 % interval.
//
// By the reading e is normal about 1 − x/μ with variance sd² = (u² + (x/μ)²·u_μ²)/μ². The prior of
// a bad bay's density rises with y/μ: to first order that moves the mean by sd² times the slope of
// the prior's logarithm, 2·badRise/((1 − badRise)·badMost + 2·badRise·x/μ), towards less that is
// empty. The normal is then cut to what a bad bay can be, from 1 − badMost to 1; mean and quantiles
// are those of the truncated normal distribution. Where nearly nothing of it lies there, all three
// are the nearer end. Derived here.
func (p *Posterior) Empty() (mean, lo, hi float64) {
	r := p.read.x / p.read.mu
	sd := math.Sqrt(p.read.u2+r*r*p.read.uMu2) / p.read.mu
	f := 1 - r
	f -= sd * sd * 2 * badRise / ((1-badRise)*badMost + 2*badRise*min(max(r, 0), badMost))
	a, b := (1-badMost-f)/sd, (1-f)/sd
	below, mass := cdf(a), cdf(b)-cdf(a)
	if !(mass > 1e-12) {
		edge := math.Min(math.Max(f, 1-badMost), 1)
		return edge, edge, edge
	}
	point := func(p float64) float64 { return f - sd*math.Sqrt2*math.Erfcinv(2*(below+p*mass)) }
	return f + sd*(density(a)-density(b))/mass, point(0.05), point(0.95)
}

// Process is what is known about how the section is packed, in kg/m³, freed of measurement noise:
// posterior means, and standard deviations of the posterior as uncertainties. The common error of
// bag weight and tape is left out of UMean and is in LowerTolerance. NaN where no lot has a
// density.
type Process struct {
	Lots int // lots that counted
	// μ and its standard uncertainty
	Mean, UMean float64
	// τ and its standard uncertainty
	SD, USD        float64
	Rate           float64 // expected rate of bad bays
	OddLo, OddHi   int     // so many of the lots are not packed like the rest, bad or over-full: 90 % interval
	LowerTolerance float64 // the 10 % point of μ − 1.645 τ: exceeded by nineteen bays in twenty, at 90 %
}

// process returns the section's figures for so many lots, target in kg/m³. The interval of odd bays
// is left for the caller.
func (s *sums) process(lots int, target float64) Process {
	per := 1 / s.weight
	mu, tau := s.mu*per, s.tau*per
	return Process{Lots: lots, Mean: mu * target, UMean: math.Sqrt(max(0, s.mu2*per-mu*mu)) * target,
		SD: tau * target, USD: math.Sqrt(max(0, s.tau2*per-tau*tau)) * target,
		Rate: s.rate * per, LowerTolerance: s.lower(nineteenInTwenty, atNinety) * target}
}

// What the lower tolerance of a section says: the share of its bays that exceed it, as a standard
// normal quantile, and how sure that is, as the share of the posterior below it.
const (
	nineteenInTwenty = 1.6448536269514722 // Φ⁻¹(0.95)
	atNinety         = 0.1
)

// lower returns the point q, a share of the target, that μ − wide·τ lies below with probability
// share: a one-sided tolerance limit by the posterior. With wide = Φ⁻¹(0.95), nineteen bays in
// twenty of those packed alike exceed it. Found by bisection to 1e-6 of
//
//	P(μ − wide·τ < q) = Σ over τ of weight·Φ((q − mean + wide·τ)/√v)
//
// mean and variance of μ being those of the nodes beside each τ. v also has (wide·step)²/12, as a τ
// stands for a whole step of τ, and what all lots have in common, (r.wide·mean)².
//
// The figure is said of all bays together, and all of the tape's half-width may be common to them.
// What its readings are taken to share is half of that, so it is taken twice. But then no bay had
// an error of its own by the tape, and the spread was freed of one that is not there: of its
// variance, three times that of what is shared, a third, (tape·mean)², stays in the spread.
//
// TestLowerTolerance holds it against the published factors for samples without measurement noise.
func (s *sums) lower(wide, share float64) float64 {
	all := 0.0
	for i := range s.rows {
		all += s.rows[i].weight
	}
	type normal struct{ weight, mu, off, sd float64 }
	parts := make([]normal, 0, len(s.rows))
	for i := range s.rows {
		r := &s.rows[i]
		if r.weight < 1e-9*all {
			continue
		}
		mu := r.mu / r.weight
		v := max(0, r.mu2/r.weight-mu*mu) + sq(wide*r.step)/12 + sq(r.wide*mu)
		parts = append(parts, normal{r.weight, mu, wide * math.Hypot(r.tau, r.tape*mu), math.Sqrt(v)})
	}
	below := func(q float64) (sum float64) {
		for i := range parts {
			p := &parts[i]
			sum += p.weight * stat.TableCDF((q-p.mu+p.off)/p.sd)
		}
		return sum / all
	}
	mu := s.mu / s.weight
	low, high := mu-2, mu+0.5
	for high-low > 1e-6 {
		if mid := (low + high) / 2; below(mid) < share {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}
