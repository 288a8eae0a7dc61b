package crew

import (
	"math"

	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// forget is a node's share of the highest weight below which it takes no part in the answers.
const forget = 1e-3

// forgetAlone is the same where only what a verdict rests on is asked: whether a section's own lots show the target.
const forgetAlone = 0.03

// forgetState is by how much a state's logarithmic weight may be below the highest before the lots are asked.
const forgetState = 12

// sums are sums over the nodes, by their posterior weight, that the answers are made of. Divided by weight they are posterior
// means. All are in units of exp(log).
type sums struct {
	log, weight              float64
	mu, mu2, tau, tau2, rate float64
	logTau, logTau2          float64
	wide                     float64   // of the common scale (see state)
	forget                   float64   // of a node: see there
	lots                     []lotSums // by evidence
	rows                     []tauRow  // for the quantile of μ − 1.645 τ
	others                   []Predictive
}

// lotSums are those of one lot: P(density ≥ target), P(bad), P(over-full), and its density as read with the readings that it
// shares with its neighbours put right, the square of that and the variance that is left. rest, mu and mu2 are weight, μ and μ² by
// all other lots, in units of the lot's own likelihood.
type lotSums struct{ pass, bad, over, x, x2, v, rest, mu, mu2 float64 }

// tauRow is what the nodes of one τ say about μ. step is the distance to the next τ, wide that of a common scale, tape what the
// tape's readings share (see state).
type tauRow struct{ tau, step, wide, tape, weight, mu, mu2 float64 }

// inference is a section on its way to an answer: its lots as evidence, and for each state of what they share the table of their
// likelihoods on a grid where the posterior lies.
type inference struct {
	known    []evidence // the lots that have a density
	place    []int      // by known: its place among the lots given
	distinct []evidence // those that differ
	of       []int      // by known: which of distinct stands for it
	states   []state
	tables   []*table // by state
	ws       *workspace
	target   float64 // kg/m³
	forget   float64 // of a node: see there
}

// infer places the grids of a section, with some lots left out (nil for none). release gives its numbers back.
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

func (f *inference) release() { workspaces.Put(f.ws) }

// mix puts the prior of a job's other sections beside the fixed one: likelihoods and grids stay.
func (f *inference) mix(c *context) {
	for i, t := range f.tables {
		fixed := t.prior
		t.mix(f.ws, f.states[i].wide, c)
		t.exchange(f.ws, fixed)
	}
}

// summary is what the section says to the job's other ones. Along a counter it is what the lots would say with every error their
// own, which is less.
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

// sums adds up the posterior over all states, each by its own weight exp(log): what the lots are worth in it times its prior weight.
// The predictives of the distinct lots in keep are kept. Nil where no lot has a density.
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

// add brings in the sums of another state.
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

func (l *lotSums) add(f float64, o *lotSums) {
	l.pass, l.bad, l.over = l.pass+f*o.pass, l.bad+f*o.bad, l.over+f*o.over
	l.x, l.x2, l.v = l.x+f*o.x, l.x2+f*o.x2, l.v+f*o.v
	l.rest, l.mu, l.mu2 = l.rest+f*o.rest, l.mu+f*o.mu, l.mu2+f*o.mu2
}

// byOthers adds a node's weight by all other lots.
func (l *lotSums) byOthers(weight, mu float64) {
	l.rest, l.mu, l.mu2 = l.rest+weight, l.mu+weight*mu, l.mu2+weight*mu*mu
}

// node adds a node's weight, at each rate, to the sums about the section.
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

// row adds a node's weight to the row of its τ.
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

// scale is the common scale as it is left at the posterior means of a table.
func (t *table) scale(wide float64) scale {
	var all, mu, logTau float64
	for at, w := range t.weight {
		all += w
		mu += w * t.mu[at%len(t.mu)]
		logTau += w * t.logTau[at/len(t.mu)]
	}
	return newScale(wide, mu/all, logTau/all)
}

// sum adds up a section without a counter, where every lot's error is its own. With L = base + rate·per the posterior weight of
// a lot's component c, of likelihood C, is its share among the bays times C·Σ w/L over the rates.
func (t *table) sum(ws *workspace, s *sums, sc scale, keep []int) {
	s.log = t.log
	nk, nr, n := len(t.mu), len(t.rates), len(t.lots)
	above := ws.parts.take(nk * n) // what of bad and over lies above the target, by μ
	clear(above)
	most := 0.0
	for _, w := range t.weight {
		most = math.Max(most, w)
	}
	for at, w := range t.weight {
		i, k := at/nk, at%nk
		s.row(t.grid, i, k, w)
		if w < s.forget*most {
			continue
		}
		byRate := t.byRate[at*nr:][:nr]
		s.node(t.grid, i, k, byRate, t.rates)
		good, bad, over := t.node(i, k)
		c := sc.cut(t.mu[k], t.tau[i])
		rate := 0.0
		if t.told.rest > 0 {
			rate = t.rateAt(byRate)
		}
		for j := range t.lots {
			l, e, r := &s.lots[j], &t.lots[j], t.read[j]
			whole, cut := parts{good[j], bad[j], over[j]}, &above[k*n+j]
			settled := t.told.rest > 0 && e.summed()
			if settled {
				r = t.settled(j, i, k, rate, &whole)
				whole = r.parts(t.mu[k], t.tau[i], e.odds)
			}
			if settled || cut.over == 0 {
				cut.bad, cut.over = c.tails(&r, e.odds, whole.over)
			}
			cut.good = c.good(&r, whole.good)
			o := othersAt(byRate, t.rates, &whole)
			l.say(&o, &whole, cut)
			l.byOthers(o.all/e.scale, t.mu[k])
			v := e.v
			if settled {
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

// others is what all other lots say about one lot at a node: the posterior weight without the lot's own likelihood, and the
// same by the rate of bad bays.
type others struct{ all, bad float64 }

// othersAt divides a lot's own likelihood out of a node's weights.
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

// shares are the weights of the three components without the lot's own reading.
func (o *others) shares() parts {
	return parts{(1 - overRate) * (o.all - o.bad), (1 - overRate) * o.bad, overRate * o.all}
}

// say adds what a lot is at a node, given the others and its likelihoods, whole and above the target.
func (l *lotSums) say(o *others, whole, above *parts) {
	p := o.shares()
	l.pass += p.good*above.good + p.bad*above.bad + p.over*above.over
	l.bad += p.bad * whole.bad
	l.over += p.over * whole.over
}

// Posterior is what is known about one lot with the crew's other bays as evidence. NaN where the lot has no density.
type Posterior struct {
	ProbAtTarget float64 // P(density ≥ target)
	Bad, Over    float64 // P(the lot is bad), P(it is over-full)
	// CouldHide is the largest share of the length that may be empty without the reading being too high for it: the least e
	// with P(reading at least this high | e empty, the rest packed like the crew's) ≤ 5 %, 1 − (x − 1.645·√(u² + τ² + u_μ²))/μ.
	// μ is known by all other lots: an empty length draws the mean of all down. What reading and mean have in common, bag weight
	// and tape, is left out.
	CouldHide float64
	// Rarity is how often a full bay of this crew reads as low, Φ((x − μ)/√(u² + τ² + u_μ²)).
	Rarity float64
	read   asRead // for Empty
}

// asRead is a lot's reading, the readings that it shares put right, and the crew's mean by all other lots, with their variances, all
// relative to the target.
type asRead struct{ x, u2, mu, uMu2, sd float64 } // sd: √(u² + τ² + u_μ²), how full bays of this crew read

// hideFactor is how many standard deviations a reading is too high by once in twenty.
const hideFactor = 1.645

// posterior returns a lot's figures from its sums: divided by the weight of all nodes they are posterior means. Of μ it takes the mean
// and variance by all other lots (rest), since a lot that is short has drawn the section's own mean down. Shares of the target.
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

func unit(p float64) float64 { return min(1, max(0, p)) }

// Empty returns the share of the lot's length that would be empty if the rest were packed at the crew's mean, if the lot is
// bad, with its 90 % interval: 1 − y/μ, normal around 1 − x/μ with variance (u² + (x/μ)²·u_μ²)/μ², cut to what a bad bay can be,
// from 1 − badMost to 1, and tilted as its distribution is: to first order by the variance times the slope of its logarithm.
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

// Process is what is known about how the section is packed, in kg/m³, freed of measurement noise. The common error of
// the bag weight is left out of UMean and in LowerTolerance.
type Process struct {
	Lots           int // lots that counted
	Mean, UMean    float64
	SD, USD        float64
	Rate           float64 // expected rate of bad bays
	OddLo, OddHi   int     // so many of the lots are not packed like the rest, bad or over-full: 90 % interval
	LowerTolerance float64 // the 10 % point of μ − 1.645 τ: exceeded by nineteen bays in twenty, at 90 %
}

// process returns the section's figures in kg/m³, the target given in that.
func (s *sums) process(lots int, target float64) Process {
	per := 1 / s.weight
	mu, tau := s.mu*per, s.tau*per
	return Process{Lots: lots, Mean: mu * target, UMean: math.Sqrt(max(0, s.mu2*per-mu*mu)) * target,
		SD: tau * target, USD: math.Sqrt(max(0, s.tau2*per-tau*tau)) * target,
		Rate: s.rate * per, LowerTolerance: s.lower(nineteenInTwenty, atNinety) * target}
}

// What the lower tolerance of a section says: the share of its bays that exceed it, as a standard normal quantile, and how
// sure that is, as the share of the posterior below it.
const (
	nineteenInTwenty = 1.6448536269514722 // Φ⁻¹(0.95)
	atNinety         = 0.1
)

// lower is the point of μ − wide·τ that the share of the posterior lies below, with the common error of the bag weight. Each τ
// of the grid brings a normal distribution: that of μ beside it, spread over the step of τ that it stands for (variance
// step²/12). The figure is said of all bays together, and all of the tape's half-width may be common to them: what its readings
// share, half of that, is taken twice. Then no bay had an error of its own by it, and the spread was freed of one that is not
// there: of its variance, three times that of what is shared, a third stays in the spread.
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
