// The sizes of a bay, and how well they are known.
//
// A volume depends on each size xᵢ with the sensitivity cᵢ = ∂V/∂xᵢ. A reading of xᵢ has up to
// three errors, and each adds up differently over the readings of a dimension: the tape's (hook,
// angle, habit), one for all of them, as Σ cᵢ·aᵢ; the scatter of one reading, each its own, as Σ
// cᵢ²/nᵢ; and of a size that was taken over from the bay above instead of measured, the difference
// between the two bays. This file collects these sums; the scatters are estimated over sections,
// from readings that were repeated and from successive bays that were both measured. What is
// estimated from nothing is not 0 but unknown, and its degrees of freedom say so.

package measure

import (
	"math"
	"slices"

	"bayproof/model"
	"bayproof/verify/stat"
)

// Sizes are what the tape says about one bay, or, added up, about the bays of a lot.
type Sizes struct {
	Volume float64 // m³; NaN while a size is missing
	Area   float64 // m²: face of the bay and its pieces
	Length float64 // m: the longer side of the bay itself
	Sized  bool    // every size of it was measured here, none taken over

	tape  [Dims]float64 // Σ cᵢ·aᵢ/√3, signed, m³: what all readings of the dimension share
	depth float64       // Σ cᵢ over depths, signed, m²
	rand  [Dims]float64 // Σ cᵢ²/nᵢ, m⁴: times s² the part that averages
	ditto *dittos       // what was taken over; nil where nothing was
}

// dittos are the sizes that a bay, or the bays of a lot, took over from the bays above. A bay that
// copies its neighbor is off by the difference of the two. Bays that copy one neighbor share its
// part of that, half of the variance d²: the variance of Σ cᵢ·eᵢ is d²·((Σ cᵢ)² + Σ over bays of
// (its Σ cᵢ)²)/2. (Derived here.)
type dittos struct {
	sum [Dims]float64 // Σ cᵢ, signed, m²
	// squares is the sum over bays of the square of each one's sum. Bays that copy one neighbor
	// share half of the variance of their errors: (sum² + squares)/2.
	squares [Dims]float64
	u       [Dims]float64 // kg/m³: what they bring to the lot's density
	unlike  [Dims]bool    // taken over from a bay of another kind than the section's
}

// dittos returns what was taken over, with room made for it.
func (z *Sizes) dittos() *dittos {
	if z.ditto == nil {
		z.ditto = new(dittos)
	}
	return z.ditto
}

// measureSizes fills in Sizes and Spread of the sections that changed. A section whose readings
// scatter otherwise by what others say is anew too.
func (m *Measured) measureSizes(job *model.Job) {
	var all [Dims]stat.Pool
	for s := range m.Sections {
		sec := &m.Sections[s]
		if sec.Anew {
			sec.taken = false
			for _, i := range sec.Bays {
				m.Sizes[i] = Sizes{}
				m.Sizes[i].of(job.Bays[i])
				sec.taken = sec.taken || m.Sizes[i].ditto != nil
			}
			sec.poolReadings(job)
		}
		for d := range Dims {
			all[d].Join(sec.own[d])
		}
	}
	for s := range m.Sections {
		sec := &m.Sections[s]
		if sec.scatter(&all); sec.taken && sec.Anew {
			m.dittoSpreads(job, sec)
		}
	}
}

// of measures one bay: volume, face and sensitivities of its pieces, depths put right by the depth
// checks. NaN where it has no size. The half-widths come from the cell, else from the section's
// settings.
func (z *Sizes) of(b *model.Bay) {
	if len(b.Pieces) == 0 {
		z.Volume, z.Area, z.Length = math.NaN(), math.NaN(), math.NaN()
		return
	}
	z.Sized = true
	for i := range b.Pieces {
		d := b.Pieces[i].Dims().Deeper(b.Section.Settings.DepthOff())
		z.add(b.Pieces[i], &d, &b.Section.Settings)
		if i == 0 {
			z.Length = max(d.Length, d.Length2)
		}
	}
	if t := z.ditto; t != nil {
		for d := range Dims {
			t.squares[d] = square(t.sum[d])
		}
	}
}

// add takes a piece in, or away where it is a `less`: its volume in m³, its face in m², and for
// each reading its part of the uncertainty. A size that was not given has no sensitivity and is
// passed over.
func (z *Sizes) add(p *model.Piece, d *model.Dims, st *model.Settings) {
	sign := 1.0
	if p.Less {
		sign = -1
	}
	v, g := d.Gradient()
	z.Volume += sign * v
	z.Area += sign * d.Face()
	within := [Dims]float64{st.WidthWithin, st.DepthWithin, st.LengthWithin, st.DepthWithin}
	for i, r := range p.Readings() {
		if g[i] == 0 || r.State == model.Absent {
			continue
		}
		z.reading(r, dimOf[i], sign*g[i], within[dimOf[i]])
	}
}

// reading adds one cell's part to the uncertainty. c is ∂V/∂x in m², within the half-width in m of
// the section's settings, for which the cell's own ± holds where it has one. The half-width does
// not average over repeated readings of one tape; the scatter does, c²·s²/n, with s known later.
func (z *Sizes) reading(r *model.Reading, dim Dim, c, within float64) {
	if !math.IsNaN(r.Within) { // the cell's own ± holds
		within = r.Within
	}
	// The half-width does not average over repeated readings of one tape, the scatter does:
	// c²·s²/n, with s known later.
	z.tape[dim] += c * within / sqrt3
	if dim == Depth {
		z.depth += c
	}
	if r.State == model.Ditto {
		z.dittos().sum[dim] += c
		z.Sized = false
		return
	}
	z.rand[dim] += c * c / float64(len(r.Values))
}

// CheckWithin is the half-width in m of the second tape that the depth checks are read with (this
// tool's own).
const CheckWithin = 3 * model.Inch / 32

// CommonShare is how much of the variance a²/3 of a depth's half-width all readings of the job
// share: half of the half-width, (a/2)²/3. The other three quarters are the bay's own. This tool's
// own: half of the variance was tried, and costs .05 of the good bays closed at 5½ in.
const CommonShare = 0.25

// depthCommon returns the variance in m² of the error that all depths of a job have left in common
// once the mean of n checks with a second tape has put them right: u² = s²/n + a²/3, with ν = n − 1
// for the first part and that tape's own a. Nothing where nobody checked: then it is a share of
// each depth's own half-width.
func depthCommon(st *model.Settings) (f stat.Freedom) {
	n := len(st.DepthChecks)
	if n == 0 {
		return f
	}
	_, s := stat.MeanSD(st.DepthChecks)
	f.Add(s*s/float64(n), float64(n-1))
	f.Add(square(CheckWithin)/3, math.Inf(1))
	return f
}

// Dim is a dimension whose readings are made alike, with one tape and one habit: the two ends of a
// taper and the two sides of a skew belong to one dimension.
type Dim uint8

const (
	Width Dim = iota
	Depth
	Length
	Bulge
	Dims // how many there are
)

// String names the dimension as the log's column does; empty for Dims.
func (d Dim) String() string {
	return [...]string{"width", "depth", "length", "bulge", ""}[min(d, Dims)]
}

// dimOf is the dimension that a size cell is a reading of, by the size's place.
var dimOf = [model.Sizes]Dim{Width, Width, Depth, Depth, Length, Length, Bulge}

// FewestDOF is the least number of degrees of freedom with which a section's own scatter is used:
// with fewer the job's readings are pooled.
const FewestDOF = 5

// Half-widths of a size taken over from the bay above, until the differences between bays are known
// (rectangular; this tool's own).
const (
	DittoWidth  = model.Inch / 4 // m; also depth
	DittoLength = model.Inch     // m
	DittoBulge  = model.Inch / 2 // m; always
)

// A bay whose size is farther than this from the median of its section is of another kind: it says
// nothing of how far bays of the section differ, and a size taken over from one is to be measured
// (this tool's own).
const (
	KindWidth  = model.Inch // m; also depth
	KindLength = model.Foot // m
)

// FewestPairs is how many pairs of successive bays of one kind must be measured before their
// differences replace the half-widths of a ditto.
const FewestPairs = 6

// MedianToSD makes of the median of the absolute values of normal deviates their standard
// deviation: 1/Φ⁻¹(3/4). MedianDOF is the degrees of freedom that such a value is worth, by the
// estimate's efficiency beside the standard deviation (Rousseeuw and Croux 1993, from memory) and
// JCGM 100, G.4.2.
const (
	MedianToSD = 1.4826
	MedianDOF  = 0.3674
)

// Spread is what a section's repeated readings and its like bays say about the scatter of one
// dimension.
type Spread struct {
	Reading    float64 // m: s of one reading, pooled; 0 where it is not known
	ReadingDOF float64 // Σ(n − 1) of the pool used; 0 where nothing was read twice: unknown, not zero
	FromJob    bool    // the pool is the whole job's, as the section's own is too small
	Ditto      float64 // m: standard uncertainty of taking the neighbor's value instead of measuring
	DittoDOF   float64 // of Ditto; +Inf for a stated half-width
	Pairs      int     // pairs of successive bays of one kind that were measured
}

// poolReadings fills in what the section's repeated readings say: s² = Σ squared deviations about
// each place's own mean over Σ(n − 1). The two ends of a taper are readings of one dimension, and no
// repeats of each other. Bays that were struck are left out.
func (sec *Section) poolReadings(job *model.Job) {
	sec.own = [Dims]stat.Pool{}
	for _, i := range sec.Bays {
		b := job.Bays[i]
		if b.Struck {
			continue
		}
		for k := range b.Pieces {
			for at, r := range b.Pieces[k].Readings() {
				if len(r.Values) > 1 && r.State == model.Measured {
					sec.own[dimOf[at]].Add(r.Values)
				}
			}
		}
	}
}

// scatter fills in how far readings scatter: by the section's own pool, or by all, the whole job's,
// where the section's has fewer than FewestDOF degrees of freedom and the job's has more. A section
// in which that changed is anew.
func (sec *Section) scatter(all *[Dims]stat.Pool) {
	var now [Dims]Spread
	for d := range Dims {
		p, fromJob, was := sec.own[d], false, &sec.Spread[d]
		if p.DOF < FewestDOF && all[d].DOF > p.DOF {
			p, fromJob = all[d], true
		}
		now[d] = Spread{Reading: math.Sqrt(p.Var()), ReadingDOF: p.DOF, FromJob: fromJob}
		sec.Anew = sec.Anew || was.Reading != now[d].Reading || was.ReadingDOF != now[d].ReadingDOF || was.FromJob != now[d].FromJob
	}
	if sec.Anew {
		sec.Spread = now
	}
}

// dittoSpreads fills in what taking over a neighbor's size costs in a section, and marks sizes that
// were taken over from a bay of another kind.
//
// A bay that takes over its neighbor's size is off by the difference of the two. With FewestPairs
// pairs of successive measured bays d = MedianToSD·median|difference|, which stays what it is where
// single bays are odd, and has the readings' scatter in it. With fewer it is the stated half-width
// over √3, and that scatter. The tape's half-width is common to all and is added apart. A bulge has
// its half-width always.
func (m *Measured) dittoSpreads(job *model.Job, sec *Section) {
	sp := &sec.Spread
	for _, dim := range [...]struct {
		d           Dim
		size        int
		limit, kind float64
	}{
		{Width, model.SizeWidth, DittoWidth, KindWidth},
		{Depth, model.SizeDepth, DittoWidth, KindWidth},
		{Length, model.SizeLength, DittoLength, KindLength},
	} {
		out := &sp[dim.d]
		out.Ditto, out.DittoDOF = math.Hypot(dim.limit/sqrt3, out.Reading), math.Inf(1)
		diffs := m.likePairs(job, sec, dim.d, dim.size, dim.kind)
		if out.Pairs = len(diffs); out.Pairs >= FewestPairs {
			lo, hi := middle(diffs)
			out.Ditto, out.DittoDOF = MedianToSD*(lo+hi)/2, MedianDOF*float64(out.Pairs)
		}
	}
	sp[Bulge].Ditto, sp[Bulge].DittoDOF = DittoBulge/sqrt3, math.Inf(1)
}

// likePairs returns the absolute differences in m between successive bays of a section that were
// both measured and are of its kind, and marks the bays that took the size over from one of another
// kind. A bay is of the section's kind within kind, m, of its median. Any value between the two
// middle ones is a median of an even number of bays: where half of them are wide and half narrow,
// none is odd.
func (m *Measured) likePairs(job *model.Job, sec *Section, d Dim, size int, kind float64) (diffs []float64) {
	var bays []int32
	var values []float64
	for _, i := range sec.Bays {
		b := job.Bays[i]
		if b.Struck || len(b.Pieces) == 0 {
			continue
		}
		if r := b.Pieces[0].Readings()[size]; r.State != model.Absent {
			bays, values = append(bays, i), append(values, r.Mean())
		}
	}
	if len(bays) == 0 {
		return nil
	}
	lo, hi := middle(slices.Clone(values))
	before := math.NaN() // of the bay before, where it was measured and is of the section's kind
	for k, i := range bays {
		v := values[k]
		like := v >= lo-kind*(1+1e-9) && v <= hi+kind*(1+1e-9)
		measured := job.Bays[i].Pieces[0].Readings()[size].State == model.Measured
		if !like && !measured {
			m.Sizes[i].dittos().unlike[d] = true
		}
		if !like || !measured {
			v = math.NaN()
		}
		// Two successive bays that were both measured; a NaN parts them.
		if diff := math.Abs(v - before); !math.IsNaN(diff) {
			diffs = append(diffs, diff)
		}
		before = v
	}
	return diffs
}

// middle returns the two middle values, equal where their number is odd. It sorts what it is given,
// which must not be empty.
func middle(values []float64) (lo, hi float64) {
	slices.Sort(values)
	n := len(values)
	return values[(n-1)/2], values[n/2]
}
