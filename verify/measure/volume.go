package measure

import (
	"math"

	"bayproof/model"
)

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

// The size cells of a piece, in the order in which gradient answers.
const (
	cellWidth = iota
	cellWidth2
	cellDepth
	cellDepth2
	cellLength
	cellLength2
	cellBulge
	cells
)

// dimOf is the dimension that a size cell is a reading of.
var dimOf = [cells]Dim{Width, Width, Depth, Depth, Length, Length, Bulge}

// gradient returns ∂V/∂x of the piece's volume (m²) by size cell, the derivatives of Dims.Volume. Where an end follows
// the other, its derivative has moved to the one that was measured.
func gradient(d *model.Dims) (g [cells]float64) {
	length, rise := (d.Length+d.Length2)/2, 2*d.Bulge/3
	var section float64 // ∂V/∂length: the mean section
	switch d.Shape {
	case model.ShapeRound:
		section = math.Pi / 4 * d.Width * d.Width
		g[cellWidth] = math.Pi / 2 * d.Width * length
	case model.ShapeTaper:
		section = taper(d, length, rise, &g)
	case model.ShapeWedge:
		section = d.Width * (d.Depth/2 + rise)
		g[cellWidth] = (d.Depth/2 + rise) * length
		g[cellDepth] = d.Width * length / 2
		g[cellBulge] = 2. / 3 * d.Width * length
	default:
		section = d.Width * (d.Depth + rise)
		g[cellWidth] = (d.Depth + rise) * length
		g[cellDepth] = d.Width * length
		g[cellBulge] = 2. / 3 * d.Width * length
	}
	g[cellLength], g[cellLength2] = section/2, section/2
	follow(d, &g)
	return g
}

// taper fills in the derivatives of the prismoidal rule and returns its mean section.
func taper(d *model.Dims, length, rise float64, g *[cells]float64) float64 {
	d1, d2 := d.Depth+rise, d.Depth2+rise
	sixth := length / 6
	g[cellWidth] = sixth * (2*d1 + d2)
	g[cellWidth2] = sixth * (d1 + 2*d2)
	g[cellDepth] = sixth * (2*d.Width + d.Width2)
	g[cellDepth2] = sixth * (d.Width + 2*d.Width2)
	g[cellBulge] = 2. / 3 * (g[cellDepth] + g[cellDepth2])
	return (d.Width*d1 + (d.Width+d.Width2)*(d1+d2) + d.Width2*d2) / 6
}

// follow moves the derivative of an end that was not measured to the one that it was taken from.
func follow(d *model.Dims, g *[cells]float64) {
	if d.WidthFollows {
		g[cellWidth], g[cellWidth2] = g[cellWidth]+g[cellWidth2], 0
	}
	if d.DepthFollows {
		g[cellDepth], g[cellDepth2] = g[cellDepth]+g[cellDepth2], 0
	}
	if d.LengthFollows {
		g[cellLength], g[cellLength2] = g[cellLength]+g[cellLength2], 0
	}
}

// cell returns one size cell of a piece.
func cell(p *model.Piece, i int) *model.Reading {
	switch i {
	case cellWidth:
		return &p.Width
	case cellWidth2:
		return &p.Width2
	case cellDepth:
		return &p.Depth
	case cellDepth2:
		return &p.Depth2
	case cellLength:
		return &p.Length
	case cellLength2:
		return &p.Length2
	}
	return &p.Bulge
}
