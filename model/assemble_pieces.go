package model

import (
	"math"
)

// piece adds a piece to the bay, or a less that takes away. A size left blank is the bay's own.
func (a *Assembler) piece(e *Entry, g *gathered) {
	p := e.Size
	p.Src, p.Less = e.Src, e.Kind == EntryLess
	body := g.bay.Pieces[0].Readings()
	for i, r := range p.Readings() {
		if r.State == Ditto || r.State == Absent && needed(p.Shape, i) {
			a.fromBody(e, g, i, r, body[i])
		}
	}
	a.settleShape(e, &p)
	a.require(e, g, &p)
	g.bay.Pieces = append(g.bay.Pieces, p)
}

// fromBody makes a piece's size the bay's own.
func (a *Assembler) fromBody(e *Entry, g *gathered, size int, to, body *Reading) {
	explicit := to.State == Ditto
	if body.State == Absent {
		*to = Reading{Raw: to.Raw, Within: math.NaN(), Line: int32(e.Src.Line)}
		if name := SizeNames()[size]; explicit && !needed(ShapeBox, size) {
			a.fault(e, name, "measure it", "%s is a ditto, and %s has none", name, g.bay.title())
		}
		return
	}
	*to = Reading{State: Ditto, Values: []float64{body.Mean()}, Within: math.NaN(), Unit: body.Unit, Raw: to.Raw, Line: int32(e.Src.Line)}
}
