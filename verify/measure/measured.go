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
	Sections []Section // by section of the job
	LotOf    []int32   // by bay of the job: its lot among its section's; −1 while it is not filled or struck
	Sizes    []Sizes   // by bay of the job

	sectionOf []int32                // by bay: place of its section among the job's
	places    map[*model.Section]int // of the sections in the job
	filled    []int32                // places of a section's filled bays, while its lots are made
	common    stat.Freedom           // what depth checks leave common to all depths, m²; nothing without checks
	chain     *chain                 // readings of a count that runs on; nil where none does
	rows      int                    // of the log, as far as counted has its rows
	counted   []*model.Entry         // the log's count rows
}

// Section is what was measured of one section. Of a log that grows, Anew says that its lots are not
// those of the time before.
type Section struct {
	Bays    []int32      // places in the job
	Lots    []Lot        // in fill order
	Step    Step         // that its counts were read to
	Spread  [Dims]Spread // of its readings
	Budgets [][]Share    // by lot: the inputs' shares of its variance, largest first, adding up to 1; nil where nobody asked
	Anew    bool

	own       [Dims]stat.Pool // of what was read twice
	taken     bool            // a size of it was taken over from the bay above
	tallied   []tally         // its counts that may speak about the step
	odd       int             // of them odd multiples of the stated step
	stretches []stretch
	runsOn    bool // some material of it was counted on from reading to reading
}

// Options say what may be left out where speed counts.
type Options struct {
	Budget bool // fill in Budgets
}

// Of measures a job. It reads the job and changes nothing in it.
func Of(job *model.Job, opts Options) *Measured {
	m := new(Measured)
	m.Grown(job, func(*model.Section) bool { return true }, opts)
	return m
}

// Grown measures a job in the place of the one before, in the same memory: nothing of that is good
// any more. It is the beginning of a log, as the one before was, and only sections that changed
// tells are measured: their sizes and lots. What sections have in common is found anew of what each
// of them says: how far readings scatter, the step of the counts, a count that runs on. Lots of
// another section are made anew where that says something else than before. Where all sections
// changed nothing of the one before counts, and it may have been any job's.
//
// What a lot lacks is NaN: the density of a bay with a size missing, the mass of bags whose weight
// is not known.
//
// The order matters: how far readings scatter must be known before a size that was taken over gets
// its uncertainty, volumes before the counts can show the step that they were read to, the step
// before a count gets its uncertainty.
func (m *Measured) Grown(job *model.Job, changed func(*model.Section) bool, opts Options) {
	m.Bag, m.common = Bag(&job.Settings), depthCommon(&job.Settings)
	m.place(job, changed)
	m.measureSizes(job)
	for s := range m.Sections {
		if m.Sections[s].Anew {
			m.formLots(job, s)
		}
	}
	m.timeLots()
	m.findSteps(job)
	m.chainUp(job)
	for s := range m.Sections {
		sec := &m.Sections[s]
		if !sec.Anew {
			continue
		}
		sc := m.scaleOf(job, s)
		sec.Budgets = sec.Budgets[:0]
		for k := range sec.Lots {
			p := m.weighLot(&sec.Lots[k], &sc, &sec.Spread)
			if opts.Budget {
				sec.Budgets = append(sec.Budgets, p.budget())
			}
		}
	}
}

// place finds the section of every bay and the bays of every section, and marks the sections that
// changed as anew. Bays of a log that grew have the places that they had, unless all sections
// changed.
func (m *Measured) place(job *model.Job, changed func(*model.Section) bool) {
	all := true
	for s, sec := range job.Sections {
		if s == len(m.Sections) {
			m.Sections = append(slices.Grow(m.Sections, len(job.Sections)-s), Section{})
		}
		m.Sections[s].Anew = m.places == nil || changed(sec)
		all = all && m.Sections[s].Anew
	}
	if all {
		m.placeAll(job)
		return
	}
	for s := len(m.places); s < len(job.Sections); s++ {
		m.places[job.Sections[s]] = s
	}
	for i := len(m.sectionOf); i < len(job.Bays); i++ {
		s := m.places[job.Bays[i].Section]
		m.sectionOf = append(m.sectionOf, int32(s))
		m.Sections[s].Bays = append(m.Sections[s].Bays, int32(i))
	}
	m.Sizes, m.LotOf = longer(m.Sizes, len(job.Bays)), longer(m.LotOf, len(job.Bays))
	m.count(job)
}

// placeAll places all bays, with room for the lots of each section.
func (m *Measured) placeAll(job *model.Job) {
	n := len(job.Bays)
	m.Sections = m.Sections[:len(job.Sections)]
	if m.places == nil {
		m.places = make(map[*model.Section]int, len(job.Sections))
	}
	clear(m.places)
	of := make([]int, len(job.Sections)+1) // where each section's bays begin
	for s, sec := range job.Sections {
		m.places[sec] = s
	}
	m.sectionOf = model.Cleared(m.sectionOf, n)
	for i, b := range job.Bays {
		s := m.places[b.Section]
		m.sectionOf[i] = int32(s)
		of[s+1]++
	}
	bays, lots, tallied := make([]int32, n), make([]Lot, n), make([]tally, n)
	for s := range m.Sections {
		of[s+1] += of[s]
		from, to, sec := of[s], of[s+1], &m.Sections[s]
		sec.Bays, sec.Lots, sec.tallied = bays[from:from:to], lots[from:from:to], tallied[from:from:to]
		sec.stretches, sec.Budgets = sec.stretches[:0], nil
	}
	for i, s := range m.sectionOf {
		m.Sections[s].Bays = append(m.Sections[s].Bays, int32(i))
	}
	m.Sizes, m.LotOf = model.Cleared(m.Sizes, n), model.Cleared(m.LotOf, n)
	m.chain, m.rows, m.counted = nil, 0, m.counted[:0]
	m.count(job)
}

// longer is a slice with n values, those beyond the ones that it has all zero.
func longer[T any](s []T, n int) []T {
	return append(s, make([]T, n-len(s))...)
}

// count gathers the count rows that were logged since the time before.
func (m *Measured) count(job *model.Job) {
	for ; m.rows < len(job.Log); m.rows++ {
		if e := &job.Log[m.rows]; e.Kind == model.EntryCount {
			m.counted = append(m.counted, e)
		}
	}
}

// scaleOf returns what the material of section s is computed with.
func (m *Measured) scaleOf(job *model.Job, s int) scale {
	st := &job.Sections[s].Settings
	return scale{
		bag: m.Bag.Mass, step: m.Sections[s].Step.Used, within: st.WeighWithin,
		keep: 1 - job.Settings.Spill, mode: st.Counting, chain: m.chain,
	}
}

// Pool returns the lots of section s as if they were one: ρ = Σm/ΣV, a ratio of sums. Sensitivities
// are added over the lots before they are squared wherever lots share an error: the bag weight, the
// tape's half-widths, the counter's readings, of which those between two bays drop out. UUsed, in
// bags, is by the readings of bags and scale alone.
func (m *Measured) Pool(job *model.Job, s int) Lot {
	sec := &m.Sections[s]
	all := Lot{sizes: &Sizes{}, Bays: make([]*model.Bay, 0, len(sec.Lots))}
	for k := range sec.Lots {
		all.Bays = append(all.Bays, sec.Lots[k].Bays...)
		all.sizes.join(sec.Lots[k].sizes)
	}
	sc := m.scaleOf(job, s)
	p := m.weighLot(&all, &sc, &sec.Spread)
	all.UUsed = math.Sqrt(p.count+p.weigh) * all.Volume / m.Bag.Mass
	return all
}

// UnknownSpread tells whether nothing of a dimension was read twice in the whole job.
func (m *Measured) UnknownSpread(d Dim) bool {
	return !slices.ContainsFunc(m.Sections, func(s Section) bool { return s.Spread[d].ReadingDOF > 0 })
}

// SectionOf returns the place of a bay's section among the job's.
func (m *Measured) SectionOf(bay int) int { return int(m.sectionOf[bay]) }

// Filled tells whether the job has any lot.
func (m *Measured) Filled() bool {
	return slices.ContainsFunc(m.Sections, func(s Section) bool { return len(s.Lots) > 0 })
}

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
