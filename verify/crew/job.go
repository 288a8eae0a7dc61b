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
}

// Total is how many bags went into bays by the empties: loaded less left less what went elsewhere. The zero value is none.
type Total struct {
	Bags float64
	U    float64 // bags: standard uncertainty, by the part bags, which leave it anywhere within ± √3·U; > 0
}

// Box is a test box of the job, blown to the stall at the section's machine setting and weighed. kg/m³.
type Box struct{ Density, U float64 }

// TotalsRare is how often the counts of an honest log may hold so much more than a total, one-sided.
const TotalsRare = 0.01

// TotalsLimit is how many standard deviations the log may hold more than a total explains. Counts are off by a normal error of
// the variance readings, bags², the total by anything within ± within bags (JCGM 100, 4.3.7). Together they are over by q or more
// with the chance s/(2·within)·(G((within − q)/s) − G((−within − q)/s)), s² = readings, G(z) = ∫Φ = z·Φ + φ.
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

// totals is what the empties say about the counts of a section: by how many bags the log holds more than went in, over how many
// counted lots, and the standard uncertainty of that by the readings and the part bags.
type totals struct {
	over  float64 // bags
	lots  int     // counted ones
	u     float64 // bags
	short float64 // bags: what the lots that nobody said were stalled fall short by on average, together
}

// totalsOf compares lots with a total; nil where there is none or nothing was counted.
//
//	over = Σ logged − total,  u² = Σ u²(count) + u²(total)
//
// Along a counter readings between drop out: the sum has the variance of its ends.
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

// log is the logarithm of the likelihood that the log holds over + more bags too many where honest readings are behind all of it.
func (t *totals) log(more float64) float64 { return -math.Log(t.u) - 0.5*sq((t.over+more)/t.u) }

// JudgeJob judges the sections of a job, each with the others as evidence about it. total is that of the job; the zero value is
// none.
//
// What the lots of every section say by themselves comes first. Then the prior of each becomes a mixture: othersWeight of what the
// job's other sections say about a section of this crew (see fromSections), the rest the fixed one. The weights are of the
// priors: a section's own lots move them.
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

// Memory keeps what the sections of a job said about how they are packed. A job that is judged again and again as its log grows asks
// only those sections anew whose evidence changed. The zero value remembers nothing.
type Memory struct {
	said  []remembered
	known workspace // evidence that is compared with what is remembered
}

// remembered is all that a section's summary rests on, and the summary.
type remembered struct {
	target   float64
	known    []evidence
	own, job totals // zero for none
	step     float64
	boxes    []box
	summary  summary
}

// Judge is what JudgeJob says about one section of the job.
func (m *Memory) Judge(sections []Section, total Total, which int) Result {
	contexts, said := contextsOf(sections, total), make([]summary, len(sections))
	for len(m.said) < len(sections) {
		m.said = append(m.said, remembered{})
	}
	for i := range sections {
		if i != which {
			said[i] = m.summary(i, &sections[i], &contexts[i])
		}
	}
	s := &sections[which]
	f := infer(s.Lots, s.Target, s.Seen.Odds, nil, &contexts[which])
	defer f.release()
	return judgeAmong(sections, which, said, make([]summary, 0, len(said)), &contexts[which], f)
}

// summary is what section i says, remembered where nothing that it rests on changed.
func (m *Memory) summary(i int, s *Section, c *context) summary {
	now := remembered{target: s.Target, step: c.step, boxes: c.boxes}
	m.known.since(workspace{})
	now.known, _ = evidenceOf(&m.known, s.Lots, s.Target, s.Seen.Odds, nil)
	if c.own != nil {
		now.own = *c.own
	}
	if c.job != nil {
		now.job = *c.job
	}
	then := &m.said[i]
	if then.target == now.target && then.own == now.own && then.job == now.job && then.step == now.step &&
		slices.Equal(then.boxes, now.boxes) && slices.Equal(then.known, now.known) {
		return then.summary
	}
	f := infer(s.Lots, s.Target, s.Seen.Odds, nil, c)
	defer f.release()
	now.summary, now.known = f.summary(), append(then.known[:0], now.known...)
	*then = now
	return now.summary
}

// contextsOf is what is known about each section besides its lots and the other sections.
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

// judgeAmong judges section i with what the other ones say, for which rest is room. f is its inference by its own lots.
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

func (s *Section) boxes() []box {
	var out []box
	for _, b := range s.Boxes {
		if b.U > 0 && b.Density > 0 {
			out = append(out, box{b.Density / s.Target, sq(b.U / s.Target)})
		}
	}
	return out
}

// summary is what a section's lots say about how it is packed, freed of the fixed prior: normal in μ and in ln τ, the number of
// lots and how many of them are bad.
type summary struct {
	mu, muVar, logTau, logTauVar float64
	lots, bad                    float64
}

func (s *summary) ok() bool { return s.muVar > 0 }

// against is the summary in shares of another target.
func (s summary) against(ratio float64) summary {
	s.mu, s.muVar, s.logTau = s.mu*ratio, s.muVar*sq(ratio), s.logTau+math.Log(ratio)
	return s
}

// summary divides the fixed prior out of a section's posterior, both taken as normal: precision 1/v − 1/v₀, mean by precisions.
// The zero value where the lots say less than the prior.
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

// fromSections is what other sections of the job say about one: for each of some spreads B between the means of sections the
// mean of sections M given theirs, μᵣ ~ N(M, vᵣ + B²), and a section's own mean about it, N(M, v_M + B²); each B with its prior
// weight times the likelihood of the others' means. ln τ is taken as one for the job but for tauBetween, the rate of bad bays by
// the others' lots, each counted half.
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

// known is a normal distribution with the logarithm of the likelihood of what it was found by.
type normalKnown struct{ mean, variance, log float64 }

// normalMean updates a normal prior of a common mean by values with their own variances, each apart from it by the variance
// between besides.
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
