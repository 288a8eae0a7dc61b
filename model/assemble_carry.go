package model

// carry says what a row of a kind may hold besides names, photo, by, note and time.
type carry struct {
	sizes, material, observations bool
	hint                          string
}

// carryOf is the table of formats: what each entry may carry.
func carryOf(k EntryKind) carry {
	switch k {
	case EntrySize:
		return carry{sizes: true, hint: "a size row is for a bay that is measured and not filled yet; entry fill carries what went in"}
	case EntryFill, EntryAmend:
		return carry{sizes: true, material: true, observations: true}
	case EntryPiece, EntryLess:
		return carry{sizes: true, hint: "a piece or less row carries sizes only"}
	case EntryTopup:
		return carry{material: true, observations: true, hint: "a topup row carries material and what was seen; sizes are amended"}
	case EntryLost:
		return carry{material: true, hint: "a lost row carries material only"}
	case EntrySeen:
		return carry{observations: true, hint: "a seen row carries reach, hole, stall, probe and at only; material is a topup"}
	case EntryCount:
		return carry{material: true, hint: "a count row carries the counter only"}
	case EntrySet:
		return carry{hint: "a set row carries a note only"}
	}
	return carry{hint: "it carries by, note and time only"}
}

// carries checks that the row holds what its entry may and must hold.
func (a *Assembler) carries(e *Entry) bool {
	c := carryOf(e.Kind)
	if !c.sizes {
		if name := firstSize(&e.Size); name != "" {
			a.fault(e, name, c.hint, "a %s row with a %s", e.Kind, name)
			return false
		}
	}
	if e.Material.Kind != MaterialNone && !c.material {
		a.fault(e, e.Material.Kind.Column(), c.hint, "a %s row with %s", e.Kind, e.Material.Kind.Column())
		return false
	}
	if !c.observations {
		if name := firstObservation(e); name != "" && !(e.Kind == EntrySize && name == "hole") {
			a.fault(e, name, c.hint, "a %s row with %s", e.Kind, name)
			return false
		}
	}
	return a.carriesMaterial(e)
}

// carriesMaterial checks what is particular about the material of each entry.
func (a *Assembler) carriesMaterial(e *Entry) bool {
	m := &e.Material
	column := m.Kind.Column()
	switch e.Kind {
	case EntryFill, EntryAmend:
		if m.Kind == MaterialNone {
			a.fault(e, "bags", "0 is accepted; a bay that is measured and not filled is a size row", "%s without bags, counter or weight", e.Kind)
			return false
		}
	case EntryTopup, EntryLost:
		return a.carriesMove(e)
	case EntrySize:
		if firstSize(&e.Size) == "" && !said(e.Hole) && len(e.Photos) == 0 {
			a.fault(e, "entry", "what was seen of a filled bay is entry seen; an empty row is deleted", "a size row without any size")
			return false
		}
	case EntryCount:
		if m.Kind != MaterialCounter && m.Kind != MaterialNone {
			a.fault(e, column, "a count row carries the counter only", "a count row with %s", column)
			return false
		}
	}
	return true
}

// carriesMove checks a top-up or a loss.
func (a *Assembler) carriesMove(e *Entry) bool {
	m := &e.Material
	switch {
	case m.Kind == MaterialNone:
		a.fault(e, "bags", "0 is accepted", "%s without bags, counter or weight", e.Kind)
	case m.Shared:
		a.fault(e, m.Kind.Column(), "only a fill shares the next bay's figure", "a %s row that shares a figure", e.Kind)
	case e.Kind == EntryLost && m.Kind == MaterialCounter:
		a.fault(e, "counter", "say how much in bags or weight", "lost with a counter reading: does it say where the counter stands, or how much was lost?")
	default:
		return true
	}
	return false
}

// Column is the column that a kind of material stands in; empty for none.
func (k MaterialKind) Column() string {
	switch k {
	case MaterialBags:
		return "bags"
	case MaterialCounter:
		return "counter"
	case MaterialWeight:
		return "weight"
	}
	return ""
}

// firstSize names the first size that a row carries; a ditto is one.
func firstSize(p *Piece) string {
	if p.Shape != ShapeUnsaid {
		return "shape"
	}
	for i, r := range p.Readings() {
		if r.State != Absent {
			return SizeNames()[i]
		}
	}
	return ""
}

// firstObservation names the first observation that a row carries.
func firstObservation(e *Entry) string {
	switch {
	case len(e.Reach) > 0:
		return "reach"
	case said(e.Hole):
		return "hole"
	case e.Stall != Unsaid:
		return "stall"
	case e.Probe != ProbeNone:
		return "probe"
	case said(e.At):
		return "at"
	}
	return ""
}
