// From a job to its lots: the order in which things must be known, and how the parts of a variance
// are combined.

package measure

import (
	"cmp"
	"math"
	"slices"

	"bayproof/model"
	"bayproof/verify/stat"
)

// Measured is everything that the sizes and the material of a job say, before any target is asked
// for. It is the caller's, and stays as it is until the caller measures another job in its place.
type Measured struct {
	Bag      BagWeight
	Lots     []Lot          // by section in the job's order, in each by fill order
	Sections []Range        // the lots of each section of the job
	LotOf    []int32        // by bay of the job: its lot; −1 while it is not filled or struck
	Sizes    []Sizes        // by bay of the job
	Steps    []Step         // by section
	Spreads  [][Dims]Spread // by section
	Budgets  [][]Share      // by lot: the inputs' shares of its variance, largest first, adding up to 1; nil where nobody asked

	sectionOf []int                  // by bay: place of its section among the job's
	places    map[*model.Section]int // of the sections in the job
	own       [][Dims]stat.Pool      // of what was read twice, by section
	filled    []int                  // places of the filled bays, while lots are made
	tallied   []tally                // counts of the step at hand
	common    stat.Freedom           // what depth checks leave common to all depths, m²; nothing without checks
	chain     *chain                 // readings of a count that runs on; nil where none does
}

// Range is a run of lots, From included, To not. The zero value is no lots.
type Range struct{ From, To int32 }

// Options say what may be left out where speed counts.
type Options struct {
	Budget bool // fill in Budgets
}

// Of measures a job. It reads the job and changes nothing in it.
func Of(job *model.Job, opts Options) *Measured {
	m := new(Measured)
	m.Of(job, opts)
	return m
}

// Of measures another job in the place of the one before, in the same memory: nothing of that is
// good any more. What a lot lacks is NaN: the density of a bay with a size missing, the mass of
// bags whose weight is not known.
//
// The order matters: how far readings scatter must be known before a size that was taken over gets
// its uncertainty, volumes before the counts can show the step that they were read to, the step
// before a count gets its uncertainty.
func (m *Measured) Of(job *model.Job, opts Options) {
	m.Bag, m.common, m.chain, m.Budgets = Bag(&job.Settings), depthCommon(&job.Settings), nil, nil
	m.sectionOf = model.Cleared(m.sectionOf, len(job.Bays))
	if m.places == nil {
		m.places = make(map[*model.Section]int, len(job.Sections))
	}
	clear(m.places)
	for s, sec := range job.Sections {
		m.places[sec] = s
	}
	for i, b := range job.Bays {
		m.sectionOf[i] = m.places[b.Section]
	}
	m.measureSizes(job)
	m.formLots(job)
	m.findSteps(job)
	if counted := m.runsOn(job); counted {
		m.chain = m.chainOf(job)
	}
	for s, r := range m.Sections {
		sc := m.scaleOf(job, s)
		for k := r.From; k < r.To; k++ {
			p := m.weighLot(&m.Lots[k], &sc, &m.Spreads[s])
			if opts.Budget {
				m.Budgets = append(m.Budgets, p.budget())
			}
		}
	}
}

// scaleOf returns what the material of section s is computed with.
func (m *Measured) scaleOf(job *model.Job, s int) scale {
	st := &job.Sections[s].Settings
	return scale{
		bag: m.Bag.Mass, step: m.Steps[s].Used, within: st.WeighWithin,
		keep: 1 - job.Settings.Spill, mode: st.Counting, chain: m.chain,
	}
}

// Pool returns the lots of section s as if they were one: ρ = Σm/ΣV, a ratio of sums. Sensitivities
// are added over the lots before they are squared wherever lots share an error: the bag weight, the
// tape's half-widths, the counter's readings, of which those between two bays drop out. UUsed, in
// bags, is by the readings of bags and scale alone.
func (m *Measured) Pool(job *model.Job, s int) Lot {
	r := m.Sections[s]
	all := Lot{sizes: &Sizes{}, Bays: make([]*model.Bay, 0, r.To-r.From)}
	for k := r.From; k < r.To; k++ {
		all.Bays = append(all.Bays, m.Lots[k].Bays...)
		all.sizes.join(m.Lots[k].sizes)
	}
	sc := m.scaleOf(job, s)
	p := m.weighLot(&all, &sc, &m.Spreads[s])
	all.UUsed = math.Sqrt(p.count+p.weigh) * all.Volume / m.Bag.Mass
	return all
}

// runsOn tells whether any material was counted on from reading to reading, by a counter or by bags
// that run on.
func (m *Measured) runsOn(job *model.Job) bool {
	for _, s := range job.Sections {
		if s.Settings.Counting == model.CountingRunning {
			return true
		}
	}
	for k := range m.Lots {
		for _, b := range m.Lots[k].Bays {
			for _, e := range b.Moves {
				if e.Material.Kind == model.MaterialCounter {
					return true
				}
			}
		}
	}
	return false
}

// UnknownSpread tells whether nothing of a dimension was read twice in the whole job.
func (m *Measured) UnknownSpread(d Dim) bool {
	return !slices.ContainsFunc(m.Spreads, func(sp [Dims]Spread) bool { return sp[d].ReadingDOF > 0 })
}

// SectionOf returns the place of a bay's section among the job's.
func (m *Measured) SectionOf(bay int) int { return m.sectionOf[bay] }

func square(x float64) float64 { return x * x }

// weighLot fills in a lot's mass, density and uncertainty, and returns the variances that it is
// made of. Its sizes are there already. A lot whose bays were not all said to be blown to the stall
// gets OneSided, if its count was read in steps.
func (m *Measured) weighLot(l *Lot, s *scale, sp *[Dims]Spread) parts {
	var w mass
	for _, b := range l.Bays {
		for _, e := range b.Moves {
			w.take(e, s)
		}
	}
	v := l.sizes.Volume
	l.Volume, l.Mass, l.Density = v, w.kg, w.kg/v
	l.Bags, l.Used = w.bags, w.used
	if !w.counted {
		l.Bags = math.NaN()
	}
	l.Interval, l.Terms = w.half/v, w.terms
	if w.count2+w.half > 0 || len(l.Terms) > 0 {
		l.PerBag = s.bag * s.keep / v
	}
	if w.stepped && !l.stalled() {
		l.OneSided = l.PerBag * s.step
	}
	var p parts
	p.material(l, &w, m.Bag.U, v)
	p.sizes(l, sp, &m.common)
	l.CommonDOF = m.Bag.DOF
	p.combine(l, sp)
	return p
}

// parts are the variances that make up a lot's, in (kg/m³)²: by dimension of the sizes the tape's
// half-width, the scatter of readings and what was taken over; of the material weighings, counts
// and the bag weight.
type parts struct {
	tape, random, ditto   [Dims]float64 // half-widths, scatter of readings, sizes taken over
	shared                float64       // of the depth's tape, what all bays of the job have in common
	weigh, count, bagMass float64       // weighings and part bags, counts, bag weight
}

// material fills in what the mass w brings, divided by the volume v in m³, and turns the counter's
// terms from kg per bag into kg/m³ per bag. uBag is the standard uncertainty of the bag weight in
// kg; one error of it moves every counted bag alike, Common = coef·uBag/v. A fresh count is ±half,
// rectangular.
func (p *parts) material(l *Lot, w *mass, uBag, v float64) {
	p.weigh, p.count = w.weigh2/(v*v), (w.count2+w.half*w.half/3)/(v*v)
	l.Count = math.Sqrt(p.count)
	// One error of the bag weight moves every counted bag alike: ∂ρ/∂(bag) = coef/V.
	l.Common = w.coef * uBag / v
	if w.coef == 0 { // nothing was counted: an unknown bag weight does not matter
		l.Common = 0
	}
	p.bagMass = l.Common * l.Common
	for i := range l.Terms {
		t := &l.Terms[i]
		t.Coef /= v
		p.count += square(t.Coef * t.U)
	}
}

// sizes fills in what the tape brings, with k = ρ/V and cᵢ = ∂V/∂xᵢ over the readings of a
// dimension:
//
//	tape:   (k·Σ cᵢ·aᵢ/√3)², one error for all readings of the dimension
//	random: k²·s²·Σ cᵢ²/nᵢ, s the scatter of one reading
//	ditto:  k²·d²·((Σ cᵢ)² + Σ over bays of (its Σ cᵢ)²)/2, d that of taking over (see dittos)
//
// Of the depth's tape part CommonShare is common to the job and goes into Shared; where depths were
// checked with a second tape, what the checks leave (common) takes its place.
func (p *parts) sizes(l *Lot, sp *[Dims]Spread, common *stat.Freedom) {
	// ∂ρ/∂x = −(ρ/V)·∂V/∂x for every size x; the sums over a lot's readings of ∂V/∂x are there
	// already.
	z := l.sizes
	k := l.Density / z.Volume
	for d := range Dims {
		p.tape[d] = square(l.Tape(d))
		p.random[d] = k * k * z.rand[d] * square(sp[d].Reading)
		if t := z.ditto; t != nil && t.sum[d] != 0 {
			p.ditto[d] = k * k * (t.sum[d]*t.sum[d] + t.squares[d]) / 2 * square(sp[d].Ditto)
			t.u[d] = math.Sqrt(p.ditto[d])
		}
	}
	p.shared, l.SharedDOF = CommonShare*p.tape[Depth], math.Inf(1)
	p.tape[Depth] -= p.shared
	if common.Var > 0 {
		p.shared, l.SharedDOF = square(k*z.depth)*common.Var, common.DOF()
	}
	l.Shared = math.Sqrt(p.shared)
}

// combine adds the variances and their degrees of freedom, those of the lot's own and of all. A
// half-width that somebody stated was not estimated from readings: its degrees of freedom are
// infinite.
func (p *parts) combine(l *Lot, sp *[Dims]Spread) {
	var own stat.Freedom
	inf := math.Inf(1)
	own.Add(p.weigh, inf)
	for d := range Dims {
		own.Add(p.tape[d], inf)
		if p.random[d] != 0 {
			own.Add(p.random[d], sp[d].ReadingDOF)
		}
		if p.ditto[d] != 0 {
			own.Add(p.ditto[d], sp[d].DittoDOF)
		}
	}
	l.Own, l.OwnDOF = own.U(), own.DOF()
	all := own
	all.Add(p.shared, l.SharedDOF)
	all.Add(p.count, inf)
	all.Add(p.bagMass, l.CommonDOF)
	l.U, l.DOF = all.U(), all.DOF()
}

// budget returns the inputs' shares of the variance, largest first, adding up to 1; none where
// there is no variance to share.
func (p *parts) budget() []Share {
	all := make([]Share, 0, Dims+4)
	var ditto, sum float64
	for d := range Dims {
		all = append(all, Share{d.String(), p.tape[d] + p.random[d]})
		ditto += p.ditto[d]
	}
	all[Depth].Share += p.shared
	all = append(all, Share{"ditto", ditto}, Share{"bags", p.count}, Share{"bag_weight", p.bagMass}, Share{"weight", p.weigh})
	all = slices.DeleteFunc(all, func(s Share) bool { return !(s.Share > 0) }) // NaN too
	for i := range all {
		sum += all[i].Share
	}
	for i := range all {
		all[i].Share /= sum
	}
	slices.SortStableFunc(all, func(a, b Share) int { return cmp.Compare(b.Share, a.Share) })
	return all
}
