package model

import "math"

// Dims are the numbers that a piece's volume is made of, in metres. They are the means of its readings, with what was
// left blank filled in, so that a caller may move one of them and ask for the volume again.
type Dims struct {
	Shape                        Shape
	Width, Width2, Depth, Depth2 float64
	Length, Length2              float64 // the two long sides; equal but for a skew end
	Bulge                        float64
	WidthFollows, DepthFollows   bool // Width2, Depth2 were not given and are those of the first end
	LengthFollows                bool // Length2 was not given: the bay is cut square
}

// Dims returns the piece's dimensions: the mean of each cell's readings, the other end as the first where it was left
// blank, no bulge where none was said. What was never given is NaN.
func (p *Piece) Dims() Dims {
	d := Dims{
		Shape: p.Shape,
		Width: meanOrNaN(&p.Width), Depth: meanOrNaN(&p.Depth), Length: meanOrNaN(&p.Length),
	}
	d.Width2, d.WidthFollows = follow(&p.Width2, d.Width)
	d.Depth2, d.DepthFollows = follow(&p.Depth2, d.Depth)
	d.Length2, d.LengthFollows = follow(&p.Length2, d.Length)
	d.Bulge, _ = follow(&p.Bulge, 0)
	return d
}

// LongSide returns the longer of the piece's two long sides in metres, as Dims has them.
func (p *Piece) LongSide() float64 {
	length := meanOrNaN(&p.Length)
	other, _ := follow(&p.Length2, length)
	return max(length, other)
}

// follow returns the cell's mean, or instead of a cell that says nothing the value that then holds.
func follow(r *Reading, otherwise float64) (value float64, follows bool) {
	if r.State == Absent {
		return otherwise, true
	}
	return mean(r.Values), false
}

func meanOrNaN(r *Reading) float64 {
	if r.State == Absent {
		return math.NaN()
	}
	return mean(r.Values)
}

// Volume returns the volume in m³, by the prismoidal rule, which is exact for a straight taper:
//
//	V = L/6·(w₁d₁ + (w₁+w₂)(d₁+d₂) + w₂d₂),  L = (length + length2)/2,  d = depth + 2/3·bulge
//
// A wedge is half a box: its depth runs from the whole to nothing. A round is π/4·w²·L. The two thirds of a bulge are
// the mean rise of a face that stands out in a parabola between its studs; they are added to the depth at every point,
// so that a bulge on a wedge counts whole. It is NaN where a dimension that the shape needs is missing.
func (d Dims) Volume() float64 {
	length := (d.Length + d.Length2) / 2
	rise := 2 * d.Bulge / 3
	switch d.Shape {
	case ShapeRound:
		return math.Pi / 4 * d.Width * d.Width * length
	case ShapeWedge:
		return d.Width * (d.Depth/2 + rise) * length
	case ShapeTaper:
		d1, d2 := d.Depth+rise, d.Depth2+rise
		return length / 6 * (d.Width*d1 + (d.Width+d.Width2)*(d1+d2) + d.Width2*d2)
	default:
		return d.Width * (d.Depth + rise) * length
	}
}

// Volume returns the volume of the piece in m³, positive for a `less` too. See Dims.Volume for the formula.
func (p *Piece) Volume() float64 { return p.Dims().Volume() }

// Volume returns the volume in force of the bay in m³: its own, plus its pieces, without what `less` takes away.
// It is NaN while a dimension is missing.
func (b *Bay) Volume() float64 {
	var v float64
	for i := range b.Pieces {
		if b.Pieces[i].Less {
			v -= b.Pieces[i].Volume()
		} else {
			v += b.Pieces[i].Volume()
		}
	}
	if len(b.Pieces) == 0 {
		return math.NaN()
	}
	return v
}
