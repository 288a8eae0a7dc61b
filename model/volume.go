// Sizes as numbers, the volume of a piece with its derivatives, the way through a bay, and the sizes
// that lumber has. The formulas stand at Dims.Gradient; published volumes hold them
// (TestPublishedVolumes in verify/measure), differences the derivatives (TestGradient there).

package model

import (
	"math"
	"slices"
)

// The sizes of a piece, in the order of the log's columns.
const (
	SizeWidth   = iota
	SizeWidth2  // at the other end of a taper
	SizeDepth   // clear depth, below any channel
	SizeDepth2  // at the other end of a taper
	SizeLength  // one long side
	SizeLength2 // the other, of a bay cut on a skew
	SizeBulge   // how far the face stands out at mid-width
	Sizes       // how many there are
)

// SizeNames are the columns of the sizes, in their order.
func SizeNames() [Sizes]string {
	return [...]string{"width", "width2", "depth", "depth2", "length", "length2", "bulge"}
}

// Readings returns the readings of a piece in the order of SizeNames.
func (p *Piece) Readings() [Sizes]*Reading {
	return [...]*Reading{&p.Width, &p.Width2, &p.Depth, &p.Depth2, &p.Length, &p.Length2, &p.Bulge}
}

// Mean returns the mean of the values in meters; NaN when there are none.
func (r Reading) Mean() float64 { return mean(r.Values) }

// mean returns the arithmetic mean; NaN of none.
func mean(values []float64) float64 {
	if len(values) == 1 {
		return values[0]
	}
	var sum float64
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// Dims are the numbers that a piece's volume is made of, in meters. They are the means of its
// readings, with what was left blank filled in, so that a caller may move one of them and ask for
// the volume again.
type Dims struct {
	Shape                        Shape
	Width, Width2, Depth, Depth2 float64 // near end and far end
	Length, Length2              float64 // the two long sides; equal but for a skew end
	Bulge                        float64 // at mid-width
	WidthFollows, DepthFollows   bool    // Width2, Depth2 were not given and are those of the first end
	LengthFollows                bool    // Length2 was not given: the bay is cut square
}

// Dims returns the piece's dimensions: the mean of each cell's readings, the other end as the first
// where it was left blank, no bulge where none was said. What was never given is NaN.
func (p *Piece) Dims() Dims {
	d := Dims{Shape: p.Shape}
	d.Width, _ = follow(&p.Width, math.NaN())
	d.Depth, _ = follow(&p.Depth, math.NaN())
	d.Length, _ = follow(&p.Length, math.NaN())
	d.Width2, d.WidthFollows = follow(&p.Width2, d.Width)
	d.Depth2, d.DepthFollows = follow(&p.Depth2, d.Depth)
	d.Length2, d.LengthFollows = follow(&p.Length2, d.Length)
	d.Bulge, _ = follow(&p.Bulge, 0)
	return d
}

// follow returns the cell's mean, or instead of a cell that says nothing the value that then holds.
func follow(r *Reading, otherwise float64) (value float64, follows bool) {
	if r.State == Absent {
		return otherwise, true
	}
	return mean(r.Values), false
}

// Deeper returns the dimensions with every depth that was given moved by so many meters, of which
// none goes below zero: what a tape reads too little for all of a job (Settings.DepthOff).
func (d Dims) Deeper(by float64) Dims {
	if by != 0 {
		d.Depth, d.Depth2 = max(d.Depth+by, 0), max(d.Depth2+by, 0)
	}
	return d
}

// LongSide returns the longer of the piece's two long sides in meters, as Dims has them.
func (p *Piece) LongSide() float64 {
	d := p.Dims()
	return max(d.Length, d.Length2)
}

// Gradient returns the volume V in m³ and its derivatives ∂V/∂x in m² by size, of which the
// uncertainty of V is made (JCGM 100, 5.1.3). V is by the prismoidal rule, which is exact for a
// straight taper, with end sections (w₁, d₁) and (w₂, d₂):
//
//	V = L/6·(w₁d₁ + (w₁+w₂)(d₁+d₂) + w₂d₂),  L = (length + length2)/2,  d = depth + 2/3·bulge
//
//	box:   equal ends, V = L·w·d
//	wedge: half a box, V = L·w·(depth/2 + 2/3·bulge): its depth runs from the whole to nothing
//	round: V = π/4·w²·L
//
// The two thirds of a bulge are the mean rise of a face that stands out in a parabola between its
// studs; they are added to the depth at every point, so that a bulge on a wedge counts whole.
//
// An end that was not given is the first end's: its derivative is added to that of the size that
// was measured, and is 0 itself. V is NaN where a dimension that the shape needs is missing.
func (d Dims) Gradient() (v float64, g [Sizes]float64) {
	length, rise := (d.Length+d.Length2)/2, 2*d.Bulge/3
	var section float64 // mean cross-section in m²: V = section·length
	switch d.Shape {
	case ShapeRound:
		section = math.Pi / 4 * d.Width * d.Width
		v = section * length
		g[SizeWidth] = math.Pi / 2 * d.Width * length
	case ShapeTaper:
		// Each end's width counts twice with its own depth and once with the other's, and the same
		// of depths.
		d1, d2 := d.Depth+rise, d.Depth2+rise
		sum, sixth := d.Width*d1+(d.Width+d.Width2)*(d1+d2)+d.Width2*d2, length/6
		section, v = sum/6, sixth*sum
		g[SizeWidth], g[SizeWidth2] = sixth*(2*d1+d2), sixth*(d1+2*d2)
		g[SizeDepth], g[SizeDepth2] = sixth*(2*d.Width+d.Width2), sixth*(d.Width+2*d.Width2)
		g[SizeBulge] = 2. / 3 * (g[SizeDepth] + g[SizeDepth2])
	default: // a box; a wedge has half its depth
		half := 1.0
		if d.Shape == ShapeWedge {
			half = 0.5
		}
		deep := half*d.Depth + rise
		section = d.Width * deep
		v = section * length
		g[SizeWidth], g[SizeDepth] = deep*length, half*d.Width*length
		g[SizeBulge] = 2. / 3 * d.Width * length
	}
	// The length is the mean of the two sides, so each moves the volume by half.
	g[SizeLength], g[SizeLength2] = section/2, section/2
	for _, end := range [...]struct {
		follows bool
		size    int
	}{{d.WidthFollows, SizeWidth}, {d.DepthFollows, SizeDepth}, {d.LengthFollows, SizeLength}} {
		if end.follows {
			g[end.size], g[end.size+1] = g[end.size]+g[end.size+1], 0
		}
	}
	return v, g
}

// Volume returns the volume in m³. See Gradient for the formula.
func (d Dims) Volume() float64 {
	v, _ := d.Gradient()
	return v
}

// Face returns the area of the face in m²: mean width times mean length. A wedge's is as large as a
// box's.
func (d Dims) Face() float64 {
	far := d.Width // width of the far end, which only a taper has apart
	if d.Shape == ShapeTaper {
		far = d.Width2
	}
	return (d.Width + far) / 2 * (d.Length + d.Length2) / 2
}

// Face returns the area of the bay's face in m², with its pieces and without what `less` takes
// away; NaN while a dimension is missing or the bay has no size.
func (b *Bay) Face() float64 {
	if len(b.Pieces) == 0 {
		return math.NaN()
	}
	area := 0.0
	for _, p := range b.Pieces {
		face := p.Dims().Face()
		if p.Less {
			face = -face
		}
		area += face
	}
	return area
}

// Volume returns the volume of the piece in m³, positive for a `less` too. See Dims.Gradient for
// the formula.
func (p *Piece) Volume() float64 { return p.Dims().Volume() }

// Volume returns the volume in force of the bay in m³: its own, plus its pieces, without what
// `less` takes away, its depths put right by the depth checks. It is NaN while a dimension is
// missing.
func (b *Bay) Volume() float64 {
	if len(b.Pieces) == 0 {
		return math.NaN()
	}
	var v, by float64
	if b.Section != nil {
		by = b.Section.Settings.DepthOff()
	}
	for i := range b.Pieces {
		if piece := b.Pieces[i].Dims().Deeper(by).Volume(); b.Pieces[i].Less {
			v -= piece
		} else {
			v += piece
		}
	}
	return v
}

// LongWay returns the longest way through a bay in m, Σ over its pieces of the longer side: pieces
// may stand end to end. It is 0 where no length is known.
func (b *Bay) LongWay() float64 {
	var way float64
	for i := range b.Pieces {
		if p := b.Pieces[i]; !p.Less {
			way += max(longest(&p.Length), longest(&p.Length2))
		}
	}
	return way
}

// longest returns the longest of a reading's values in m, 0 where there is none.
func longest(r *Reading) float64 {
	if len(r.Values) == 0 {
		return 0
	}
	return slices.Max(r.Values)
}

// DressedInches returns the size in inches, exactly, to which dry lumber of a nominal size is
// dressed (PS 20, American Softwood Lumber Standard; read in a reprint); false for sizes that are
// not in the table.
func DressedInches(nominal int) (float64, bool) {
	switch nominal {
	case 2, 3, 4, 5, 6:
		return float64(nominal) - 0.5, true
	case 8, 10, 12:
		return float64(nominal) - 0.75, true
	}
	return 0, false
}

// tapeMark is the finest mark of a tape: sizes closer than that are read alike.
const tapeMark = Inch / 16

// RafterDepth returns the full depth of a rafter, dressed or full-sawn, that a measured depth in m
// is within a sixteenth of an inch of; false where it is none. Nominal 4 to 12, the sizes that
// rafters are sawn to.
func RafterDepth(depth float64) (float64, bool) {
	for _, nominal := range [...]int{4, 6, 8, 10, 12} {
		dressed, _ := DressedInches(nominal)
		for _, full := range [...]float64{dressed, float64(nominal)} {
			if math.Abs(depth-full*Inch) <= tapeMark*(1+1e-9) {
				return full * Inch, true
			}
		}
	}
	return 0, false
}
