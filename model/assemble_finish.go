package model

// finish fills in what follows from all rows: fill order, material in force, and whether bays can hold
// what is said of them.
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
	}
	for _, g := range a.order {
		a.checkAmounts(g.bay)
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
