package measure

import (
	"math"

	"bayproof/model"
	"bayproof/verify/stat"
)

// Measured is everything that the sizes and the material of a job say, before any target is asked for. Its zero value is
// ready to Measure.
type Measured struct {
	Bag      BagWeight
	Lots     []Lot          // by section in the job's order, in each by fill order
	Sections []Range        // the lots of each section of the job
	LotOf    []int32        // by bay of the job: its lot; −1 while it is not filled or struck
	Sizes    []Sizes        // by bay of the job
	Steps    []Step         // by section
	Spreads  [][Dims]Spread // by section

	sectionOf []int32 // by bay
	chain     *chain
	memory    memory
}

// memory is what a job is measured with and nobody sees afterwards.
type memory struct {
	own     [][Dims]stat.Pool // by section
	need    []bool            // by section: a size of it was taken over
	step    []float64         // by section
	next    []int32           // by section
	tallies []tally
	terms   []Term
	pooled  []*model.Bay // the bays of the last Pool
	sum     Sizes        // and their sizes
}

// Range is a run of lots, From included, To not.
type Range struct{ From, To int32 }

// Options say what may be left out where speed counts.
type Options struct {
	Budget bool // fill in Lot.Budget
}

// Of measures a job. It reads the job and changes nothing in it.
func Of(job *model.Job, opts Options) *Measured {
	m := new(Measured)
	m.Measure(job, opts)
	return m
}

// Measure measures a job in the memory of the one before, of which nothing holds any more.
func (m *Measured) Measure(job *model.Job, opts Options) {
	m.Bag, m.chain = Bag(&job.Settings), nil
	m.placeSections(job)
	m.measureSizes(job)
	m.formLots(job)
	m.stepsOf(job)
	m.weighLots(job, opts)
}

// placeSections fills in each bay's place among the job's sections.
func (m *Measured) placeSections(job *model.Job) {
	m.sectionOf = Zeroed(m.sectionOf, len(job.Bays))
	last := 0
	for i, b := range job.Bays {
		if job.Sections[last] != b.Section {
			for s, sec := range job.Sections {
				if sec == b.Section {
					last = s
					break
				}
			}
		}
		m.sectionOf[i] = int32(last)
	}
}

// measureSizes fills in Sizes and Spreads.
func (m *Measured) measureSizes(job *model.Job) {
	m.Sizes = Zeroed(m.Sizes, len(job.Bays))
	m.spreads(job)
	m.memory.need = Zeroed(m.memory.need, len(job.Sections))
	need, some := m.memory.need, false
	for i, b := range job.Bays {
		sizesOf(b, &b.Section.Settings, &m.Sizes[i])
		if m.Sizes[i].taken {
			need[m.sectionOf[i]], some = true, true
		}
	}
	if some {
		dittos(job, m.sectionOf, need, m.Spreads)
	}
}

// weighLots fills in the uncertainty of every lot.
func (m *Measured) weighLots(job *model.Job, opts Options) {
	m.memory.step = Zeroed(m.memory.step, len(m.Steps))
	step := m.memory.step
	for s := range step {
		step[s] = m.Steps[s].Used
	}
	if m.chained(job) {
		m.chain = chainOf(job, m.sectionOf, step)
	}
	m.memory.terms = roomFor(m.memory.terms, 2*len(m.Lots))
	room := work{terms: m.memory.terms}
	if opts.Budget {
		room.shares = make([]Share, 0, 6*len(m.Lots))
	}
	for s, r := range m.Sections {
		sc := m.scaleOf(job, s)
		for k := r.From; k < r.To; k++ {
			m.weighLot(&m.Lots[k], &sc, &m.Spreads[s], &room)
		}
	}
}

// scaleOf is what the material of a section is reckoned with.
func (m *Measured) scaleOf(job *model.Job, s int) scale {
	st := &job.Sections[s].Settings
	return scale{
		bag: m.Bag.Mass, step: m.Steps[s].Used, within: st.WeighWithin,
		keep: 1 - job.Settings.Spill, mode: st.Counting, chain: m.chain,
	}
}

// Pool returns the lots of a section as if they were one: masses and volumes add, the bag weight, the tape's half-widths
// and the shared readings of the counter keep their covariances. The reading between two bays drops out of it. Its Bays
// hold until the next Pool.
func (m *Measured) Pool(job *model.Job, s int) Lot {
	r := m.Sections[s]
	m.memory.sum = Sizes{}
	all := Lot{sizes: &m.memory.sum, Bays: m.memory.pooled[:0]}
	for k := r.From; k < r.To; k++ {
		all.Bays = append(all.Bays, m.Lots[k].Bays...)
		all.sizes.join(m.Lots[k].sizes)
	}
	sc := m.scaleOf(job, s)
	m.memory.pooled = all.Bays
	room := work{}
	if m.chain != nil {
		room.terms = make([]Term, 0, 2*(r.To-r.From)+1)
	}
	p := m.weighLot(&all, &sc, &m.Spreads[s], &room)
	all.UUsed = math.Sqrt(p.count+p.weigh) * all.Volume / m.Bag.Mass
	return all
}

// chained tells whether any material was counted on from reading to reading.
func (m *Measured) chained(job *model.Job) bool {
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
	for s := range m.Spreads {
		if m.Spreads[s][d].ReadingDOF > 0 {
			return false
		}
	}
	return true
}

func square(x float64) float64 { return x * x }

// SectionOf returns the place of a bay's section among the job's.
func (m *Measured) SectionOf(bay int) int { return int(m.sectionOf[bay]) }

// work is the room that the lots of a job take their small slices from.
type work struct {
	terms  []Term
	shares []Share
}

// weighLot fills in a lot's mass, density and uncertainty: ρ = m/V, ∂ρ/∂m = 1/V, ∂ρ/∂V = −ρ/V, first order in absolute
// terms (JCGM 100, 5.1.2), so that it stands at density 0 too.
func (m *Measured) weighLot(l *Lot, s *scale, sp *[Dims]Spread, room *work) parts {
	var w mass
	terms := room.terms
	for _, b := range l.Bays {
		for _, e := range b.Moves {
			terms = w.take(e, s, terms)
		}
	}
	l.Terms = terms[:len(terms):len(terms)]
	room.terms = terms[len(terms):]
	v := l.sizes.Volume
	l.Volume, l.Mass, l.Density = v, w.kg, w.kg/v
	l.Bags, l.Used = w.bags, w.used
	if !w.counted {
		l.Bags = math.NaN()
	}
	l.Interval = w.half / v
	l.CommonDOF = m.Bag.DOF
	var p parts
	p.material(l, &w, m.Bag.U, v)
	p.sizes(l, l.sizes, sp)
	p.combine(l, sp, m.Bag.DOF)
	if room.shares != nil {
		l.Budget = p.budget(&room.shares)
	}
	return p
}

// parts are the variances that make up a lot's, in (kg/m³)².
type parts struct {
	tape, random, ditto   [Dims]float64
	weigh, count, bagMass float64
}

// material fills in what the mass brings and scales the counter's terms to the density.
func (p *parts) material(l *Lot, w *mass, uBag, v float64) {
	p.weigh, p.count = w.weigh2/(v*v), (w.count2+w.half*w.half/3)/(v*v)
	l.Count = math.Sqrt(p.count)
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

// sizes fills in what the tape brings.
func (p *parts) sizes(l *Lot, z *Sizes, sp *[Dims]Spread) {
	k := l.Density / z.Volume
	for d := range Dims {
		l.Tape[d] = -k * z.tape[d]
		p.tape[d] = l.Tape[d] * l.Tape[d]
		p.random[d] = k * k * z.rand[d] * square(sp[d].Reading)
		if z.ditto[d] != 0 {
			p.ditto[d] = k * k * (z.ditto[d]*z.ditto[d] + z.ditto2[d]) / 2 * square(sp[d].Ditto)
			l.Taken[d] = math.Sqrt(p.ditto[d])
		}
	}
}

// combine adds the variances and their degrees of freedom, those of the lot's own and of all.
func (p *parts) combine(l *Lot, sp *[Dims]Spread, bagDOF float64) {
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
	all.Add(p.count, inf)
	all.Add(p.bagMass, bagDOF)
	l.U, l.DOF = all.U(), all.DOF()
}

// budget lists the inputs' shares of the variance, largest first; none where there is no variance to share.
func (p *parts) budget(room *[]Share) []Share {
	from := len(*room)
	out := *room
	var ditto, sum float64
	for d := range Dims {
		out = share(out, d.String(), p.tape[d]+p.random[d])
		ditto += p.ditto[d]
	}
	out = share(out, "ditto", ditto)
	out = share(out, "bags", p.count)
	out = share(out, "bag_weight", p.bagMass)
	out = share(out, "weight", p.weigh)
	mine := out[from:len(out):len(out)]
	for i := range mine {
		sum += mine[i].Share
	}
	for i := range mine {
		mine[i].Share /= sum
		for j := i; j > 0 && mine[j-1].Share < mine[j].Share; j-- {
			mine[j-1], mine[j] = mine[j], mine[j-1]
		}
	}
	*room = out
	return mine
}

func share(to []Share, input string, variance float64) []Share {
	if variance > 0 {
		to = append(to, Share{input, variance})
	}
	return to
}

// Zeroed returns a slice of n zero values, in the old one's memory where that suffices: who measures or checks many jobs
// takes the memory of the last one for the next.
func Zeroed[T any](old []T, n int) []T {
	if cap(old) < n {
		return make([]T, n)
	}
	old = old[:n]
	clear(old)
	return old
}

// roomFor returns an empty slice with room for n values, in the old one's memory where that suffices. What is appended to
// it is written whole, so what stood there need not be cleared.
func roomFor[T any](old []T, n int) []T {
	if cap(old) < n {
		return make([]T, 0, n)
	}
	return old[:0]
}
