package model

import "math"

// take applies one row to its bay.
func (a *Assembler) take(e *Entry, g *gathered) {
	if g == nil {
		a.takeNameless(e)
		return
	}
	g.bay.Rows = append(g.bay.Rows, e)
	if !a.inTurn(e, g) || !a.carries(e) && e.Kind != EntryFill && e.Kind != EntryAmend {
		return
	}
	switch e.Kind {
	case EntrySize:
		a.measure(e, g, nil)
	case EntryFill:
		a.fill(e, g)
	case EntryAmend:
		a.amend(e, g)
	case EntryPiece, EntryLess:
		a.piece(e, g)
	case EntryTopup:
		a.feed[e.Index] = e
	case EntryClosed:
		g.bay.Closed = append(g.bay.Closed, e)
	case EntryStrike:
		g.struck, g.bay.Struck = e, true
		g.kill("struck", len(g.bay.Rows)-1)
	}
}

// takeNameless applies a row that belongs to no bay.
func (a *Assembler) takeNameless(e *Entry) {
	if e.Kind != EntryCount && e.Kind != EntrySet || !a.carries(e) {
		return
	}
	if e.Kind == EntrySet {
		a.run++
		return
	}
	if e.Material.Kind != MaterialCounter || e.Material.Shared {
		a.fault(e, "counter", "a count row says where the counter stands", "count without a counter reading")
		return
	}
	a.feed[e.Index] = e
}

// inTurn checks that what the row hangs on came before it.
func (a *Assembler) inTurn(e *Entry, g *gathered) bool {
	name := g.bay.title()
	first := len(g.bay.Rows) == 1
	switch {
	case g.struck != nil && (e.Kind != EntryAmend || g.place < 0):
		a.fault(e, "entry", "an amend of a filled bay brings it back", "%s for %s, which was withdrawn on %s", e.Kind, name, at(g.struck))
	case e.Kind == EntryFill && g.fill != nil:
		a.fault(e, "entry", "one fill a bay: piece adds volume, topup adds material, amend replaces the fill",
			"%s was filled on %s already", name, at(g.fill))
	case e.Kind == EntrySize && g.fill != nil:
		a.fault(e, "entry", "piece adds volume, amend replaces the fill and its sizes", "size for %s, which was filled on %s", name, at(g.fill))
	case (e.Kind == EntryPiece || e.Kind == EntryLess) && len(g.bay.Pieces) == 0:
		a.fault(e, "entry", "was the file sorted? its size or fill row comes first", "%s before any size of %s", e.Kind, name)
	case e.Kind == EntryStrike && first:
		a.fault(e, "entry", "was the file sorted?", "strike before any row of %s", name)
	case needsFill(e.Kind) && g.fill == nil:
		a.fault(e, "entry", "was the file sorted? its fill row comes first", "%s before the fill of %s", e.Kind, name)
	default:
		return true
	}
	return false
}

func needsFill(k EntryKind) bool {
	switch k {
	case EntryTopup, EntryLost, EntrySeen, EntryClosed, EntryAmend:
		return true
	}
	return false
}

// fill takes the row as the bay's fill.
func (a *Assembler) fill(e *Entry, g *gathered) {
	g.place, g.bay.Run = e.Index, a.run
	g.fill = e
	a.feed[e.Index] = e
	a.measure(e, g, nil)
	a.require(e, g, &g.bay.Pieces[0])
}

// amend takes the row as the bay's whole new fill: it stands in the old one's place, and nothing is inherited.
func (a *Assembler) amend(e *Entry, g *gathered) {
	g.kill("amended", len(g.bay.Rows)-1)
	g.struck, g.bay.Struck = nil, false
	a.feed[g.place], g.fill = e, e
	old := g.bay.Pieces[0]
	g.bay.Pieces, g.shape = nil, nil
	a.measure(e, g, &old)
	a.require(e, g, &g.bay.Pieces[0])
}

// kill takes the bay's first n rows out of force; that it was closed stays a fact.
func (g *gathered) kill(why string, n int) {
	if g.bay.Dead == nil {
		g.bay.Dead = map[*Entry]string{}
	}
	for _, r := range g.bay.Rows[:n] {
		if _, dead := g.bay.Dead[r]; !dead && r.Kind != EntryClosed {
			g.bay.Dead[r] = why
		}
	}
}

// checkTimes warns where times run backward.
func (a *Assembler) checkTimes() {
	var last, first *Entry
	back := 0
	for i := range a.job.Log {
		e := &a.job.Log[i]
		if e.Time.IsZero() {
			continue
		}
		if last != nil && e.Time.Before(last.Time) {
			if back++; first == nil {
				first = e
			}
		}
		last = e
	}
	if first != nil {
		a.job.OrderDoubtful = true
		a.warn(first, "order", "times run backward in %d places, here first: nothing is concluded from the order of filling; "+
			"was the file sorted, or is the date missing?", back)
	}
}

// said tells whether a number was given.
func said(v float64) bool { return !math.IsNaN(v) }
