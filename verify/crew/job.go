// The rule for a job: its sections, its totals and its test boxes.
//
// Sections of one job are packed by one crew: they are evidence about each other, but not the same.
// The hierarchical model has a third level for that: section means scatter by B about a mean M of
// the job, and ln τ by tauBetween. Three steps compute it (JudgeJob):
//
//   - every section says by itself, as two normal distributions and a count of bad bays, what its
//     lots know about μ, ln τ and r, with the fixed prior divided out (summary);
//
//   - for one section, what all others say becomes a prior (fromSections): M given their means, for
//     each of four values of B, weighted by how well that B explains them;
//
//   - its prior is a mixture, 0.3 of the fixed one and 0.7 of that. The weights are of the priors:
//     the section's own lots move them, so that a section that is unlike the others soon rests on
//     the fixed prior.
//
// A total, the empties counted, is evidence about the counts: Σ of the bags logged less Σ of the
// bags emptied is known to the uncertainty of both. It enters through a bias of all counts (byBias)
// and through the errors of single counts (table.total).

package crew

import (
	"math"
	"slices"
	"sort"

	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// Section is what the rule is told about one section of a job. Only Lots and Target are needed.
type Section struct {
	Lots    []measure.Lot // in fill order
	Target  float64       // kg/m³
	Ceiling float64       // kg/m³: see Result.MeanOver; 0 for none
	Seen    Seen
	Step    float64 // bags: what the counts are read to; only with a total
	Total   Total   // empties counted for this section
	Boxes   []Box
	// Version numbers what Lots and Seen.Odds hold, where a section is judged again and again with a
	// Memory: with the number of the time before they are what they were then. 0 tells nothing.
	Version int
}

// Total is how many bags went into bays by the empties: loaded less left less what went elsewhere.
// The zero value is none.
type Total struct {
	Bags float64 // that went into bays
	U    float64 // bags: standard uncertainty, by the part bags, which leave it anywhere within ± √3·U; > 0
}

// Box is a test box of the job, blown to the stall at the section's machine setting and weighed:
// its density and the standard uncertainty of that, kg/m³.
type Box struct{ Density, U float64 }

// TotalsRare is how often the counts of an honest log may hold so much more than a total,
// one-sided.
const TotalsRare = 0.01

// TotalsLimit returns how many of its standard deviations, √(readings + within²/3), a log may hold
// more than its total: in an honest log it holds more than that with the chance TotalsRare. Counts
// are off by a normal error of the variance readings, bags², the total by anything within ± within
// bags (JCGM 100, 4.3.7), so that the excess is the sum of a normal and a uniform error, and
// exceeds q with the chance (derived here)
//
//	s/(2·within)·(G((within − q)/s) − G((−within − q)/s)),  s² = readings, G(z) = ∫Φ dz = z·Φ + φ
//
// Found by bisection between 0 and 4, to 1e-6. within must be above 0. TestTotalsLimit holds both
// ends and a sum of random numbers.
func TotalsLimit(readings, within float64) float64 {
	s, sd := math.Sqrt(readings)+1e-9, math.Sqrt(readings+within*within/3)
	g := func(z float64) float64 { return z*cdf(z) + density(z) }
	low, high := 0.0, 4.0
	for high-low > 1e-6 {
		z := (low + high) / 2
		if s/(2*within)*(g((within-z*sd)/s)-g((-within-z*sd)/s)) > TotalsRare {
			low = z
		} else {
			high = z
		}
	}
	return high
}

// totals is what the empties say about the counts of a section or a job.
type totals struct {
	over  float64 // bags
	lots  int     // counted ones
	u     float64 // bags
	short float64 // bags: what the lots that nobody said were stalled fall short by on average, together
}

// totalsOf compares lots with a total:
//
//	over = Σ logged − total,  u² = Σ u²(count) + u²(total)
//
// Along a counter the coefficients of each reading are added over the lots before they are squared:
// readings between two bays drop out, and the sum has the variance of its ends. A count that may
// fall short by a step does so by half a step on average (short), with the variance step²/12. Nil
// where there is no total, nothing was counted, or the bags of a lot are not known.
func totalsOf(lots []measure.Lot, t Total) *totals {
	if !(t.U > 0) {
		return nil
	}
	out := totals{over: -t.Bags, u: t.U * t.U}
	var readings []measure.Term // of the counter, with their coefficients in bags
	for i := range lots {
		l := &lots[i]
		if math.IsNaN(l.Used) {
			return nil
		}
		out.over += l.Used
		if !(l.PerBag > 0) {
			continue
		}
		out.lots++
		out.u += sq(l.Count / l.PerBag)
		for _, r := range l.Terms {
			r.Coef /= l.PerBag
			readings = append(readings, r)
		}
		out.short += l.OneSided / l.PerBag / 2
		out.u += sq(l.OneSided/l.PerBag) / 12
	}
	if out.lots == 0 {
		return nil
	}
	sort.SliceStable(readings, func(a, b int) bool { return readings[a].Reading < readings[b].Reading })
	coef := 0.0
	for i, r := range readings {
		coef += r.Coef
		if i+1 == len(readings) || readings[i+1].Reading != r.Reading {
			out.u += sq(coef * r.U)
			coef = 0
		}
	}
	out.u = math.Sqrt(out.u)
	return &out
}

// log returns the logarithm of the likelihood N(over + more; 0, u²) that an honest log holds over +
// more bags too many, but for a constant.
func (t *totals) log(more float64) float64 { return -math.Log(t.u) - 0.5*sq((t.over+more)/t.u) }

// JudgeJob judges the sections of a job, each with the others as evidence about it; one result a
// section, in their order. total is that of the job; the zero value is none. See the top of the
// file for the model. No sections give no results.
func JudgeJob(sections []Section, total Total) []Result {
	contexts, said, f := contextsOf(sections, total), make([]summary, len(sections)), make([]*inference, len(sections))
	for i := range sections {
		f[i] = infer(sections[i].Lots, sections[i].Target, sections[i].Seen.Odds, nil, &contexts[i])
		defer f[i].release()
		if len(sections) > 1 { // nobody asks a section that is alone
			said[i] = f[i].summary()
		}
	}
	out, rest := make([]Result, len(sections)), make([]summary, 0, len(sections))
	for i := range sections {
		out[i] = judgeAmong(sections, i, said, rest, &contexts[i], f[i])
	}
	return out
}

// Memory keeps what the sections of a job said about how they are packed. A job that is judged
// again and again as its log grows asks only those sections anew whose evidence changed. The zero
// value remembers nothing. It is not safe for use by several goroutines.
type Memory struct {
	said  []remembered
	known workspace // evidence that is compared with what is remembered
	found []Result  // of Growing, by section
}

// remembered is all that a section's summary rests on, and the summary.
type remembered struct {
	version  int     // see Section
	target   float64 // kg/m³
	known    []evidence
	own, job totals  // zero for none
	step     float64 // bags
	boxes    []box
	summary  summary
}

// Judge returns what JudgeJob says about one section of the job, the one with index which.
func (m *Memory) Judge(sections []Section, total Total, which int) Result {
	contexts, said := contextsOf(sections, total), make([]summary, len(sections))
	for len(m.said) < len(sections) {
		m.said = append(m.said, remembered{})
	}
	for i := range sections {
		if i != which {
			var f *inference
			if said[i], f = m.summary(i, &sections[i], &contexts[i]); f != nil {
				f.release()
			}
		}
	}
	s := &sections[which]
	f := infer(s.Lots, s.Target, s.Seen.Odds, nil, &contexts[which])
	defer f.release()
	return judgeAmong(sections, which, said, make([]summary, 0, len(said)), &contexts[which], f)
}

// Growing returns what JudgeJob says about the sections of a job whose log grows, with section
// which and those whose own evidence changed since the time before judged anew. The others keep
// what was said of them then: what the new rows say about the crew moves them little, and is left
// for a time when nobody waits. A section below 0 has all judged, as JudgeJob does.
func (m *Memory) Growing(sections []Section, total Total, which int) []Result {
	contexts, said, f := contextsOf(sections, total), make([]summary, len(sections)), make([]*inference, len(sections))
	for len(m.said) < len(sections) {
		m.said = append(m.said, remembered{})
	}
	for i := range sections {
		said[i], f[i] = m.summary(i, &sections[i], &contexts[i])
	}
	out, rest := make([]Result, len(sections)), make([]summary, 0, len(sections))
	for i := range sections {
		s := &sections[i]
		if f[i] == nil {
			if which >= 0 && i != which && i < len(m.found) && len(m.found[i].Lots) == len(s.Lots) && m.found[i].unordered == s.Seen.Unordered {
				out[i] = m.found[i]
				continue
			}
			f[i] = infer(s.Lots, s.Target, s.Seen.Odds, nil, &contexts[i])
		}
		out[i] = judgeAmong(sections, i, said, rest, &contexts[i], f[i])
		f[i].release()
	}
	m.found = out
	return out
}

// summary returns what section i says, remembered where nothing that it rests on changed; else the
// section's inference by its own lots too, which the caller releases.
func (m *Memory) summary(i int, s *Section, c *context) (said summary, anew *inference) {
	now := remembered{version: s.Version, target: s.Target, step: c.step, boxes: c.boxes}
	if c.own != nil {
		now.own = *c.own
	}
	if c.job != nil {
		now.job = *c.job
	}
	then := &m.said[i]
	stands := then.target == now.target && then.own == now.own && then.job == now.job && then.step == now.step && slices.Equal(then.boxes, now.boxes)
	if stands && s.Version > 0 && s.Version == then.version {
		return then.summary, nil
	}
	m.known.since(workspace{})
	now.known, _ = evidenceOf(&m.known, s.Lots, s.Target, s.Seen.Odds, nil)
	if stands && slices.Equal(then.known, now.known) {
		then.version = s.Version
		return then.summary, nil
	}
	anew = infer(s.Lots, s.Target, s.Seen.Odds, nil, c)
	now.summary, now.known = anew.summary(), append(then.known[:0], now.known...)
	*then = now
	return now.summary, anew
}

// contextsOf returns what is known about each section besides its lots and the other sections.
func contextsOf(sections []Section, total Total) []context {
	var job *totals
	if total.U > 0 {
		var all []measure.Lot
		for i := range sections {
			all = append(all, sections[i].Lots...)
		}
		job = totalsOf(all, total)
	}
	out := make([]context, len(sections))
	for i := range sections {
		s := &sections[i]
		out[i] = context{own: totalsOf(s.Lots, s.Total), job: job, step: s.Step, boxes: s.boxes()}
	}
	return out
}

// judgeAmong judges section i with what the other ones said; rest is memory for that, of which
// nothing is kept. f is the section's inference by its own lots; c becomes what is known about it,
// and f's prior is exchanged. Where others say something, the section's own lots are asked first:
// whether they alone show the target decides what the verdict is said to rest on (BySection).
func judgeAmong(sections []Section, i int, said, rest []summary, c *context, f *inference) Result {
	s := &sections[i]
	for k := range said {
		if k != i && said[k].ok() {
			rest = append(rest, said[k].against(sections[k].Target/s.Target))
		}
	}
	var alone []Posterior
	if len(rest) > 0 {
		f.forget = forgetAlone
		alone = f.result(len(s.Lots), c).Lots
		f.forget = forget
		// Likelihoods and grids stay as they are: only the prior is exchanged.
		c.others = fromSections(rest)
		f.mix(c)
	}
	out := judgeNamed(s.Lots, s.Target, s.Seen, c, f)
	out.alone = alone
	if p := &out.Process; s.Ceiling > 0 {
		out.MeanOver = stat.ProbAtLeast(p.Mean, math.Sqrt(sq(p.UMean)+sq(out.wide*p.Mean)), math.Inf(1), s.Ceiling) >= sure
	}
	return out
}

// sure is the probability from which the mean of a section is said to be over the ceiling.
const sure = 0.95

// boxes returns the test boxes as shares of the target; those without a density or an uncertainty
// are left out.
func (s *Section) boxes() []box {
	var out []box
	for _, b := range s.Boxes {
		if b.U > 0 && b.Density > 0 {
			out = append(out, box{b.Density / s.Target, sq(b.U / s.Target)})
		}
	}
	return out
}

// summary is what a section's lots say about how it is packed, freed of the fixed prior: μ ~ N(mu,
// muVar) and ln τ ~ N(logTau, logTauVar), shares of the target; the number of lots, and how many of
// them are expected to be bad. A variance of 0 says nothing about that figure.
type summary struct {
	mu, muVar, logTau, logTauVar float64 // means and variances of μ and of ln τ
	lots, bad                    float64 // number of lots, and expected number of bad ones
}

// ok tells whether the summary says something about μ.
func (s *summary) ok() bool { return s.muVar > 0 }

// against returns the summary in shares of another target, ratio times smaller.
func (s summary) against(ratio float64) summary {
	s.mu, s.muVar, s.logTau = s.mu*ratio, s.muVar*sq(ratio), s.logTau+math.Log(ratio)
	return s
}

// summary divides the fixed prior N(m₀, v₀) out of the section's posterior of μ and of ln τ, mean m
// and variance v, both taken as normal:
//
//	precision p = 1/v − 1/v₀,  mean (m/v − m₀/v₀)/p,  variance 1/p
//
// Where the lots add less than a twentieth of the prior's precision they say nothing. The number of
// bad bays is the one that a beta posterior with this mean rate would have counted, E(r)·(lots +
// badAlpha + badBeta) − badAlpha.
func (s *sums) summary(lots int) summary {
	if lots == 0 {
		return summary{}
	}
	per := 1 / s.weight
	freed := func(first, second, m0, v0 float64) (m, v float64) {
		m = first * per
		v = math.Max(second*per-m*m, 1e-9)
		p := 1/v - 1/v0
		if !(p*v0 > 0.05) {
			return 0, 0
		}
		return (m/v - m0/v0) / p, 1 / p
	}
	out := summary{lots: float64(lots)}
	out.mu, out.muVar = freed(s.mu, s.mu2, meanPrior, sq(meanPriorSD))
	out.logTau, out.logTauVar = freed(s.logTau, s.logTau2, math.Log(SpreadMedian), sq(SpreadLogSD))
	out.bad = math.Max(0, s.rate*per*(out.lots+badAlpha+badBeta)-badAlpha)
	return out
}

// fromSections returns what the other sections of a job say about one, as parts of its prior whose
// weights add up to othersWeight.
//
// There is a part for each spread B between sections (sectionsApart). Given B, the mean M of the
// job is normal, by the prior of μ and the others' means μᵢ ~ N(M, vᵢ + B²) (normalMean); the
// section's own mean is M ± B, N(mean of M, variance of M + B²). The part's weight is the prior
// weight of B times the likelihood of the others' means. ln τ is one for the job but for
// tauBetween. The rate is Beta(badAlpha, badBeta) updated by the others' bad and good lots, each
// counted half, as another section need not have the same rate.
func fromSections(rest []summary) []priorPart {
	var parts []priorPart
	tau := normalMean(math.Log(SpreadMedian), sq(SpreadLogSD), rest, func(s *summary) (float64, float64) { return s.logTau, s.logTauVar }, sq(tauBetween))
	alpha, beta := badAlpha, badBeta
	for _, s := range rest {
		alpha += s.bad / 2
		beta += math.Max(0, s.lots-s.bad) / 2
	}
	logs, most := make([]float64, 0, 4), math.Inf(-1)
	for _, b := range sectionsApart() {
		m := normalMean(meanPrior, sq(meanPriorSD), rest, func(s *summary) (float64, float64) { return s.mu, s.muVar }, sq(b.sd))
		parts = append(parts, priorPart{mu: m.mean, muVar: m.variance + sq(b.sd), logTau: tau.mean, logTauVar: tau.variance + sq(tauBetween), alpha: alpha, beta: beta})
		logs = append(logs, m.log+math.Log(b.weight))
		most = math.Max(most, logs[len(logs)-1])
	}
	sum := 0.0
	for i := range parts {
		parts[i].weight = math.Exp(logs[i] - most)
		sum += parts[i].weight
	}
	for i := range parts {
		parts[i].weight *= othersWeight / sum
	}
	return parts
}

// normalKnown is a normal distribution, and the logarithm of the likelihood of the values that it
// was found by, but for a constant.
type normalKnown struct{ mean, variance, log float64 }

// normalMean updates a normal prior of a common mean by values with their own variances v, each
// apart from it by the variance between besides. For each value, with s = variance + v + between:
//
//	log −= ½·ln s + (x − mean)²/(2s),  gain = variance/s,  mean += gain·(x − mean),  variance *= 1 − gain
//
// A value whose variance is not above 0 says nothing.
func normalMean(mean, variance float64, rest []summary, of func(*summary) (value, variance float64), between float64) normalKnown {
	k := normalKnown{mean: mean, variance: variance}
	for i := range rest {
		x, v := of(&rest[i])
		if !(v > 0) {
			continue
		}
		v += between
		s := k.variance + v
		k.log -= 0.5*math.Log(s) + sq(x-k.mean)/(2*s)
		gain := k.variance / s
		k.mean += gain * (x - k.mean)
		k.variance *= 1 - gain
	}
	return k
}
