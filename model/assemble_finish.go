package model

// finish fills in what follows from all rows: fill order, material in force, and whether bays hold what was taken out.
func (a *Assembler) finish() {
	order := 0
	for _, e := range a.feed {
		if e == nil || e.Kind != EntryFill && e.Kind != EntryAmend {
			continue
		}
		if g := a.byRow[e.Index]; g.struck == nil && !g.bay.Waiting {
			order++
			g.bay.Order, g.bay.Fill = order, g.fill
		}
	}
	for _, g := range a.order {
		a.moves(g)
		a.checkLess(g)
		a.checkPlaces(g)
		a.slabs.list = append(a.slabs.list, g.bay)
	}
	a.checkWithin()
	a.job.Bays = a.slabs.list
}

// moves lists the rows in force that carry material.
func (a *Assembler) moves(g *gathered) {
	b := g.bay
	if b.Fill == nil {
		return
	}
	from := len(a.slabs.moves)
	for _, e := range b.Rows {
		if e == b.Fill || e.Kind == EntryTopup || e.Kind == EntryLost {
			if _, dead := b.Dead[e]; !dead {
				a.slabs.moves = append(a.slabs.moves, e)
			}
		}
	}
	b.Moves = a.slabs.moves[from:len(a.slabs.moves):len(a.slabs.moves)]
	a.checkLost(b)
}

// checkLess refuses a bay that nothing is left of.
func (a *Assembler) checkLess(g *gathered) {
	if len(g.bay.Pieces) < 2 || !(g.bay.Volume() <= 0) {
		return
	}
	for i := len(g.bay.Pieces) - 1; i > 0; i-- {
		if p := &g.bay.Pieces[i]; p.Less {
			a.faultAt(p.Src, "look at the units of its sizes", "less takes away more than %s holds", g.bay.title())
			return
		}
	}
}

// checkLost refuses a loss of more than went in, where both are counted in one way.
func (a *Assembler) checkLost(b *Bay) {
	if len(b.Moves) < 2 || b.Fill.Material.Shared || len(b.SharedWith) > 0 {
		return
	}
	var bags, mass float64
	var lost *Entry
	for _, e := range b.Moves {
		m, sign := &e.Material, 1.0
		if e.Kind == EntryLost {
			if m.Kind == MaterialCounter { // refused already
				return
			}
			lost, sign = e, -1
		}
		if m.Kind == MaterialWeight {
			mass += sign * m.Mass
			continue
		}
		bags += sign * (m.Bags - m.Prev)
		mass += sign * m.Part
	}
	if lost != nil && (bags < 0 && mass <= 0 || mass < 0 && bags <= 0) {
		a.fault(lost, lost.Material.Kind.Column(), "look at both rows", "%s lost more than went in", b.title())
	}
}
