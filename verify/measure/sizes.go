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
	rand  [Dims]float64 // Σ cᵢ²/nᵢ, m⁴: times s² the part that averages
	ditto [Dims]float64 // Σ cᵢ over values taken over, signed, m²
	// ditto2 is the sum over bays of the square of each one's ditto. Bays that copy one neighbour share half of the
	// variance of their errors: (ditto² + ditto2)/2.
	ditto2 [Dims]float64
	taken  bool
}

// sizesOf measures one bay. The half-widths come from the cell, else from the section's settings.
func sizesOf(b *model.Bay, st *model.Settings, out *Sizes) {
	out.Sized = true
	if len(b.Pieces) == 0 {
		out.Volume, out.Area, out.Length, out.Sized = math.NaN(), math.NaN(), math.NaN(), false
		return
	}
	for i := range b.Pieces {
		d := b.Pieces[i].Dims()
		out.add(&b.Pieces[i], &d, st)
		if i == 0 {
			out.Length = max(d.Length, d.Length2)
		}
	}
	if out.taken {
		for d := range Dims {
			out.ditto2[d] = out.ditto[d] * out.ditto[d]
		}
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
	z.Area += sign * (d.Width + secondWidth(d)) / 2 * (d.Length + d.Length2) / 2
	within := [Dims]float64{st.WidthWithin, st.DepthWithin, st.LengthWithin, st.DepthWithin}
	for i, r := range p.Readings() {
		if g[i] == 0 || r.State == model.Absent {
			continue
		}
		z.reading(r, dimOf[i], sign*g[i], within[dimOf[i]])
	}
}

// secondWidth is the width of the far end, which only a taper has.
func secondWidth(d *model.Dims) float64 {
	if d.Shape == model.ShapeTaper {
		return d.Width2
	}
	return d.Width
}

// reading adds one cell's part to the uncertainty; c is ∂V/∂x.
func (z *Sizes) reading(r *model.Reading, dim Dim, c, within float64) {
	if r.Within == r.Within { // not NaN: the cell's own ± holds
		within = r.Within
	}
	z.tape[dim] += c * within / sqrt3
	if r.State == model.Ditto {
		z.ditto[dim] += c
		z.taken, z.Sized = true, false
		return
	}
	z.rand[dim] += c * c / float64(len(r.Values))
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

// Spread is what a section's repeated readings and its like bays say about one dimension.
type Spread struct {
	Reading    float64 // m: s of one reading, pooled; 0 where it is not known
	ReadingDOF float64 // Σ(n − 1) of the pool used; 0 where nothing was read twice: unknown, not zero
	FromJob    bool    // the pool is the whole job's, as the section's own is too small
	Ditto      float64 // m: standard uncertainty of taking the neighbour's value instead of measuring
	DittoDOF   float64
	Bays       int // bays that the spread between bays rests on
}

// spreads pools the repeated readings of every section and the spread between its bays.
func (m *Measured) spreads(job *model.Job) {
	m.memory.own = Zeroed(m.memory.own, len(job.Sections))
	own := m.memory.own
	var all [Dims]stat.Pool
	repeated := false
	for i, b := range job.Bays {
		if b.Struck {
			continue
		}
		for k := range b.Pieces {
			repeated = poolPiece(&b.Pieces[k], &own[m.sectionOf[i]]) || repeated
		}
	}
	m.Spreads = Zeroed(m.Spreads, len(job.Sections))
	if repeated {
		for s := range own {
			for d := range Dims {
				all[d].Join(own[s][d])
			}
		}
		for s := range own {
			for d := range Dims {
				m.Spreads[s][d] = pooled(own[s][d], all[d])
			}
		}
	}
}

// pooled chooses between the section's pool and the job's.
func pooled(section, job stat.Pool) Spread {
	p, fromJob := section, false
	if section.DOF < FewestDOF && job.DOF > section.DOF {
		p, fromJob = job, true
	}
	return Spread{Reading: math.Sqrt(p.Var()), ReadingDOF: p.DOF, FromJob: fromJob}
}

// poolPiece adds a piece's repeated readings to the pools of their dimensions and tells whether there were any.
func poolPiece(p *model.Piece, into *[Dims]stat.Pool) bool {
	found := false
	for i, r := range p.Readings() {
		if len(r.Values) > 1 && r.State == model.Measured {
			into[dimOf[i]].Add(r.Values)
			found = true
		}
	}
	return found
}

// dittos fills in what taking over a neighbour's size costs in the sections where that was done.
//
// A bay that takes over its neighbour's size x is off by the difference of two bays, whose variance is 2σ² where σ is
// the spread between bays: copying one bay carries √2 of it (their mean would carry √(1 + 1/n)). The spread of
// the measured values holds the random part of a reading besides; the tape's half-width is common to all and is
// added apart. With fewer than 5 degrees of freedom the stated limits hold, or the spread seen where that is wider.
func dittos(job *model.Job, sectionOf []int32, need []bool, out [][Dims]Spread) {
	for s := range out {
		if !need[s] {
			continue
		}
		var values [Dims][]float64
		for i, b := range job.Bays {
			if int(sectionOf[i]) == s && !b.Struck && len(b.Pieces) > 0 {
				ownSizes(&b.Pieces[0], &values)
			}
		}
		for d := range Dims {
			ditto(values[d], dittoLimit(d), &out[s][d])
		}
	}
}

// ownSizes gathers the sizes that were measured in a bay itself.
func ownSizes(p *model.Piece, values *[Dims][]float64) {
	for i, r := range p.Readings() {
		if far := i == model.SizeWidth2 || i == model.SizeDepth2 || i == model.SizeLength2; !far && r.State == model.Measured {
			values[dimOf[i]] = append(values[dimOf[i]], r.Mean())
		}
	}
}

// ditto turns the values of the measured bays into the standard uncertainty of a value taken over.
func ditto(values []float64, limit float64, out *Spread) {
	_, sd := stat.MeanSD(values)
	stated := math.Hypot(limit/sqrt3, out.Reading)
	seen, dof := math.Sqrt2*sd, float64(len(values)-1)
	out.Bays = len(values)
	if dof >= FewestDOF || seen > stated {
		out.Ditto, out.DittoDOF = seen, dof
		return
	}
	out.Ditto, out.DittoDOF = stated, math.Inf(1)
}

func dittoLimit(d Dim) float64 {
	if d == Length {
		return DittoLength
	}
	return DittoWidth
}
