package measure

import (
	"math"

	"bayproof/model"
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
	z.Volume += sign * d.Volume()
	z.Area += sign * (d.Width + secondWidth(d)) / 2 * (d.Length + d.Length2) / 2
	g := gradient(d)
	within := [Dims]float64{st.WidthWithin, st.DepthWithin, st.LengthWithin, st.DepthWithin}
	for i := range cells {
		if g[i] == 0 {
			continue
		}
		r := cell(p, i)
		if r.State == model.Absent {
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
