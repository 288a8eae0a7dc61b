package model

import (
	"math"
)

// measure adds the row's sizes to the bay. old is the size that an amend replaces, else nil.
func (a *Assembler) measure(e *Entry, g *gathered, old *Piece) {
	if len(g.bay.Pieces) == 0 {
		g.bay.Pieces = a.slabs.body()
		g.bay.Pieces[0] = e.Size
	}
	body := &g.bay.Pieces[0]
	fresh := body.Src == Source{}
	if fresh {
		body.Src = e.Src
	}
	a.takeShape(e, g, body)
	if fresh && complete(body) {
		a.settleShape(e, body)
		return
	}
	to, from := body.Readings(), e.Size.Readings()
	for i := range from {
		switch {
		case from[i].State == Measured && !fresh:
			a.another(e, i, to[i], from[i])
		case from[i].State == Ditto && (fresh || to[i].State == Absent):
			a.takeOver(e, g, i, to[i], true)
		case from[i].State == Absent && to[i].State == Absent && needed(body.Shape, i):
			if old != nil && old.Readings()[i].State == Measured {
				a.notInherited(e, i, old.Readings()[i])
				continue
			}
			a.takeOver(e, g, i, to[i], false)
		}
	}
	a.settleShape(e, body)
}

// complete tells whether a piece's own row says every size that its shape cannot do without, and none as a ditto.
func complete(p *Piece) bool {
	return p.Width.State == Measured && p.Length.State == Measured &&
		(p.Depth.State == Measured || p.Depth.State == Absent && !needed(p.Shape, 2)) &&
		p.Width2.State != Ditto && p.Depth2.State != Ditto && p.Length2.State != Ditto && p.Bulge.State != Ditto
}

// needed tells whether a shape cannot do without a size: a blank in it is a ditto.
func needed(shape Shape, size int) bool {
	switch size {
	case 0, 4: // width, length
		return true
	case 2: // depth
		return shape != ShapeRound
	}
	return false
}

// another adds further readings of a size that has some, or takes the place of a ditto.
func (a *Assembler) another(e *Entry, size int, to, from *Reading) {
	if to.State != Measured {
		*to = *from
		return
	}
	name := SizeNames()[size]
	if e.Kind != EntrySize {
		a.fault(e, name, "leave it blank here; a further reading is a size row before the fill", "%s %s: %s was measured on line %d already, %s",
			name, from.Raw, name, to.Line, to.Raw)
		return
	}
	values := make([]float64, 0, len(to.Values)+len(from.Values))
	to.Values = append(append(values, to.Values...), from.Values...)
	if !said(to.Within) || from.Within > to.Within {
		to.Within = from.Within
	}
	to.Raw += "; " + from.Raw
}

// takeOver makes a size as that of the bay above it in the section.
func (a *Assembler) takeOver(e *Entry, g *gathered, size int, to *Reading, explicit bool) {
	raw := to.Raw
	for up := g.above; up != nil; up = up.above {
		if up.struck != nil || len(up.bay.Pieces) == 0 {
			continue
		}
		if from := up.bay.Pieces[0].Readings()[size]; from.State != Absent {
			*to = Reading{State: Ditto, Values: from.Values, Within: math.NaN(), Unit: from.Unit, Raw: raw, Line: int32(e.Src.Line)}
			if len(from.Values) > 1 {
				to.Values = []float64{from.Mean()}
			}
			return
		}
	}
	*to = Reading{Raw: raw, Within: math.NaN(), Line: int32(e.Src.Line)}
	if explicit {
		name := SizeNames()[size]
		a.fault(e, name, "measure it", "%s is a ditto, and no bay above %s in its section has one", name, g.bay.title())
	}
}

// notInherited refuses a blank in an amend where the fill before it was measured: it might mean the same size again, or
// that of the bay above.
func (a *Assembler) notInherited(e *Entry, size int, old *Reading) {
	name := SizeNames()[size]
	a.fault(e, name, `write the size again, or " for the size of the bay above`,
		"an amend inherits nothing, and its %s is blank: %s again, as on line %d, or as the bay above?", name, old.Raw, old.Line)
}

// takeShape takes the shape that the row says; two rows must not say two.
func (a *Assembler) takeShape(e *Entry, g *gathered, body *Piece) {
	said := e.Size.Shape
	if said == ShapeUnsaid {
		return
	}
	if g.shape != nil && body.Shape != said {
		a.fault(e, "shape", "leave it blank here, or amend", "shape %s: line %d says %s", said, g.shape.Src.Line, body.Shape)
		return
	}
	body.Shape, g.shape = said, e
}

// settleShape takes a bay with another end for a taper, and refuses sizes that a shape does not have.
func (a *Assembler) settleShape(e *Entry, p *Piece) {
	ends := p.Width2.State != Absent || p.Depth2.State != Absent
	if p.Shape == ShapeUnsaid && ends {
		p.Shape = ShapeTaper
	}
	name := "width2"
	if p.Width2.State == Absent {
		name = "depth2"
	}
	switch {
	case ends && p.Shape != ShapeTaper:
		a.fault(e, name, "another end is shape taper", "%s on a %s", name, p.Shape)
	case p.Shape == ShapeRound && p.Depth.State == Measured:
		a.fault(e, "depth", "its width is the diameter; leave depth blank", "depth on a round")
	case p.Shape == ShapeRound && p.Bulge.State == Measured:
		a.fault(e, "bulge", "leave it blank", "bulge on a round")
	}
}

// require refuses material in a bay, or a piece, whose size is not known.
func (a *Assembler) require(e *Entry, g *gathered, p *Piece) {
	if p.Width.State != Absent && p.Depth.State != Absent && p.Length.State != Absent {
		return
	}
	for i, r := range p.Readings() {
		if r.State != Absent || !needed(p.Shape, i) || e.Size.Readings()[i].State == Ditto {
			continue
		}
		name, hint := SizeNames()[i], "measure it: there is no bay above it in its section to take it from"
		if len(a.job.Columns) > 0 && a.column(name) == 0 {
			hint = "the log has no column " + name + ": add it to the first row"
		}
		a.fault(e, name, hint, "%s %s without %s", g.bay.title(), e.Kind, name)
	}
}
