package measure

import (
	"math"

	"bayproof/model"
	"bayproof/verify/stat"
)

// Sizes are what the tape says about one bay.
type Sizes struct {
	Volume float64 // m³; NaN while a size is missing
	Area   float64 // m²: face of the bay and its pieces
	Length float64 // m: the longer side of the bay itself
	Sized  bool    // every size of it was measured here, none taken over

	tape  [Dims]float64 // Σ cᵢ·aᵢ/√3, signed, m³: what all readings of the dimension share
	depth float64       // Σ cᵢ over depths, signed, m²
	rand  [Dims]float64 // Σ cᵢ²/nᵢ, m⁴: times s² the part that averages
	ditto [Dims]float64 // Σ cᵢ over values taken over, signed, m²
	// ditto2 is the sum over bays of the square of each one's ditto. Bays that copy one neighbour share half of the
	// variance of their errors: (ditto² + ditto2)/2.
	ditto2 [Dims]float64
	taken  bool
}

// measureSizes fills in Sizes and Spreads.
func (m *Measured) measureSizes(job *model.Job) {
	m.poolReadings(job)
	m.Sizes = make([]Sizes, len(job.Bays))
	taken := make([]bool, len(job.Sections)) // a size of it was taken over
	for i, b := range job.Bays {
		m.Sizes[i].of(b)
		if m.Sizes[i].taken {
			taken[m.sectionOf[i]] = true
		}
	}
	for s := range job.Sections {
		if taken[s] {
			m.dittoSpreads(job, s)
		}
	}
}

// of measures one bay. The half-widths come from the cell, else from the section's settings.
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
	for d := range Dims {
		z.ditto2[d] = square(z.ditto[d])
	}
}

// add takes a piece in, or away where it is a `less`.
func (z *Sizes) add(p *model.Piece, d *model.Dims, st *model.Settings) {
	sign := 1.0
	if p.Less {
		sign = -1
	}
	v, g := d.Gradient()
	z.Volume += sign * v
	far := d.Width // width of the far end, which only a taper has apart
	if d.Shape == model.ShapeTaper {
		far = d.Width2
	}
	z.Area += sign * (d.Width + far) / 2 * (d.Length + d.Length2) / 2
	within := [Dims]float64{st.WidthWithin, st.DepthWithin, st.LengthWithin, st.DepthWithin}
	for i, r := range p.Readings() {
		if g[i] == 0 || r.State == model.Absent {
			continue
		}
		z.reading(r, dimOf[i], sign*g[i], within[dimOf[i]])
	}
}

// reading adds one cell's part to the uncertainty; c is ∂V/∂x.
func (z *Sizes) reading(r *model.Reading, dim Dim, c, within float64) {
	if !math.IsNaN(r.Within) { // the cell's own ± holds
		within = r.Within
	}
	// The half-width does not average over repeated readings of one tape, the scatter does: c²·s²/n, with s known later.
	z.tape[dim] += c * within / sqrt3
	if dim == Depth {
		z.depth += c
	}
	if r.State == model.Ditto {
		z.ditto[dim] += c
		z.taken, z.Sized = true, false
		return
	}
	z.rand[dim] += c * c / float64(len(r.Values))
}

// CheckWithin is the half-width, in m, of the second tape that the depth checks are read with.
const CheckWithin = 3 * model.Inch / 32

// CommonShare is how much of the variance a²/3 of a depth's half-width all readings of the job share: half of the half-width,
// (a/2)²/3. The other three quarters are the bay's own.
const CommonShare = 0.25

// depthCommon is the variance, in m², of the error that all depths of a job have left in common once the mean of n checks with a
// second tape has put them right, u² = s²/n + a²/3 with ν = n − 1 for the first part and that tape's own a. Nothing where nobody
// checked: then it is a share of each depth's own half-width.
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

// Dim is a dimension whose readings are made alike, with one tape and one habit: the two ends of a taper and the two
// sides of a skew belong to one dimension.
type Dim uint8

const (
	Width Dim = iota
	Depth
	Length
	Bulge
	Dims // how many there are
)

// String names the dimension as the log's column does.
func (d Dim) String() string {
	return [...]string{"width", "depth", "length", "bulge", ""}[min(d, Dims)]
}

// dimOf is the dimension that a size cell is a reading of.
var dimOf = [model.Sizes]Dim{Width, Width, Depth, Depth, Length, Length, Bulge}

// FewestDOF is the least number of degrees of freedom with which a section's own spread is used: with fewer the job's
// readings are pooled. It is also what a spread between bays needs before it replaces the stated limits of a ditto.
const FewestDOF = 5

// Limits of a size taken over from the bay above, until the spread between bays is known (rectangular, ±).
const (
	DittoWidth  = model.Inch / 4 // m; also depth and bulge
	DittoLength = model.Inch     // m
)

// Spread is what is known of one dimension's scatter in a section: what a section's repeated readings and its like bays say about one dimension.
type Spread struct {
	Reading    float64 // m: s of one reading, pooled; 0 where it is not known
	ReadingDOF float64 // Σ(n − 1) of the pool used; 0 where nothing was read twice: unknown, not zero
	FromJob    bool    // the pool is the whole job's, as the section's own is too small
	Ditto      float64 // m: standard uncertainty of taking the neighbour's value instead of measuring
	DittoDOF   float64
	Bays       int // bays that the spread between bays rests on
}

// poolReadings fills in what the repeated readings of every section say: their pool is the section's own, or the whole
// job's where the section's is too small. The two ends of a taper are readings of one dimension, and no repeats.
func (m *Measured) poolReadings(job *model.Job) {
	own := make([][Dims]stat.Pool, len(job.Sections))
	var all [Dims]stat.Pool
	for i, b := range job.Bays {
		if b.Struck {
			continue
		}
		for k := range b.Pieces {
			for at, r := range b.Pieces[k].Readings() {
				if len(r.Values) > 1 && r.State == model.Measured {
					own[m.sectionOf[i]][dimOf[at]].Add(r.Values)
				}
			}
		}
	}
	for s := range own {
		for d := range Dims {
			all[d].Join(own[s][d])
		}
	}
	m.Spreads = make([][Dims]Spread, len(job.Sections))
	for s := range own {
		for d := range Dims {
			p, fromJob := own[s][d], false
			if p.DOF < FewestDOF && all[d].DOF > p.DOF {
				p, fromJob = all[d], true
			}
			m.Spreads[s][d] = Spread{Reading: math.Sqrt(p.Var()), ReadingDOF: p.DOF, FromJob: fromJob}
		}
	}
}

// dittoSpreads fills in what taking over a neighbour's size costs in a section, from the sizes that were measured in its
// bays themselves.
//
// A bay that takes over its neighbour's size x is off by the difference of two bays, whose variance is 2σ² where σ is
// the spread between bays: copying one bay carries √2 of it (their mean would carry √(1 + 1/n)). The spread of
// the measured values holds the random part of a reading besides; the tape's half-width is common to all and is
// added apart. With fewer than 5 degrees of freedom the stated limits hold, or the spread seen where that is wider.
func (m *Measured) dittoSpreads(job *model.Job, s int) {
	var values [Dims][]float64
	for i, b := range job.Bays {
		if m.sectionOf[i] != s || b.Struck || len(b.Pieces) == 0 {
			continue
		}
		readings := b.Pieces[0].Readings()
		for _, at := range [...]int{model.SizeWidth, model.SizeDepth, model.SizeLength, model.SizeBulge} {
			if r := readings[at]; r.State == model.Measured {
				values[dimOf[at]] = append(values[dimOf[at]], r.Mean())
			}
		}
	}
	for d := range Dims {
		out := &m.Spreads[s][d]
		limit := DittoWidth
		if d == Length {
			limit = DittoLength
		}
		_, sd := stat.MeanSD(values[d])
		stated := math.Hypot(limit/sqrt3, out.Reading)
		seen, dof := math.Sqrt2*sd, float64(len(values[d])-1)
		out.Bays, out.Ditto, out.DittoDOF = len(values[d]), stated, math.Inf(1)
		if dof >= FewestDOF || seen > stated {
			out.Ditto, out.DittoDOF = seen, dof
		}
	}
}
