package model

// share groups the bays that one figure belongs to: those whose fill says `shared`, and the next bay filled.
func (a *Assembler) share() {
	var open []*gathered
	for _, e := range a.feed {
		if e == nil || e.Kind != EntryFill && e.Kind != EntryAmend {
			continue
		}
		g := a.byRow[e.Index]
		if e.Material.Shared {
			open = append(open, g)
		} else if len(open) > 0 {
			a.group(append(open, g))
			open = nil
		}
	}
	for _, g := range open {
		g.bay.Waiting = true
	}
	if len(open) > 0 {
		a.warn(open[0].fill, "shared-open", "%s shares the next bay's figure, and no bay follows yet: it counts as not filled", open[0].bay.title())
	}
}

// group ties the bays of one count together; the last one carries the figure.
func (a *Assembler) group(bays []*gathered) {
	last := bays[len(bays)-1]
	live := 0
	for _, g := range bays {
		m, sum := &g.fill.Material, &last.fill.Material
		switch {
		case g.bay.Section != last.bay.Section:
			a.fault(g.fill, m.Kind.Column(), "bays that share a count stand one after the other in one section",
				"%s shares the next bay's figure, and the next bay filled is %s", g.bay.title(), last.bay.title())
			return
		case m.Kind != sum.Kind:
			a.fault(g.fill, m.Kind.Column(), "write both in one column", "%s shares a figure of %s, and %s has %s", g.bay.title(),
				m.Kind.Column(), last.bay.title(), sum.Kind.Column())
			return
		case g.struck == nil:
			live++
		}
	}
	if live == len(bays) {
		tie(bays)
		return
	}
	a.breakGroup(bays)
}

// tie makes each bay of a group know the others.
func tie(bays []*gathered) {
	for _, g := range bays {
		for _, other := range bays {
			if other != g {
				g.bay.SharedWith = append(g.bay.SharedWith, other.bay)
			}
		}
	}
}

// breakGroup leaves bays waiting whose shared count lost one of its bays: what is left for them nobody said.
func (a *Assembler) breakGroup(bays []*gathered) {
	var gone *gathered
	for _, g := range bays {
		if g.struck != nil {
			gone = g
		}
	}
	for _, g := range bays {
		if g.struck == nil {
			g.bay.Waiting = true
			a.warn(g.fill, "shared-open", "%s shares a count with %s, which was withdrawn on %s: it counts as not filled until it is amended",
				g.bay.title(), gone.bay.title(), at(gone.struck))
		}
	}
}
