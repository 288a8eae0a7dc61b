package model

// chainCounter goes along the readings of the counter in their order: it fills in what stood before each, and refuses a
// counter that runs back and material booked by another column in between.
//
// The reading of a row that is no longer in force (its bay was withdrawn, or an amend dropped it) is still where the
// counter stood, and what was blown then belongs to no other bay. But where the counter did not go beyond it afterwards
// it was never there: such a reading is passed over.
func (a *Assembler) chainCounter() {
	var c chain
	for _, e := range a.feed {
		switch {
		case e == nil:
		case e.Kind == EntryCount:
			c.count(e)
		case e.Material.Kind == MaterialCounter && !e.Material.Shared:
			if a.outOfForce(e) {
				c.held = append(c.held, e)
				continue
			}
			c.settle(e)
			a.read(&c, e)
		case e.Material.Kind != MaterialCounter && c.started && !e.Material.AddsNothing() && !a.outOfForce(e):
			section := a.byRow[e.Index].bay.Section
			if c.counts[section] {
				c.between[section] = append(c.between[section], e)
			}
		}
	}
}

// outOfForce tells whether a row that stands in the counter's order belongs to no bay any more.
func (a *Assembler) outOfForce(e *Entry) bool {
	g := a.byRow[e.Index]
	return g.struck != nil || g.bay.Dead[e] != ""
}

// chain is the counter as it goes along.
type chain struct {
	started bool
	last    *Entry   // the reading before; nil before the first
	held    []*Entry // readings out of force since then
	n       int      // readings so far
	at      int      // number of the last reading; 0 where it is an exact zero
	counts  map[*Section]bool
	between map[*Section][]*Entry // rows of other columns since the section's last reading
}

// settle decides what readings out of force are worth, now that the next one is known.
func (c *chain) settle(next *Entry) {
	for _, h := range c.held {
		before, _ := c.before()
		if h.Material.Bags >= before && h.Material.Bags < next.Material.Bags {
			c.number(h)
		}
	}
	c.held = nil
}

// count takes a count row, from which the counter goes on.
func (c *chain) count(e *Entry) {
	c.number(e)
	c.held = nil
	clear(c.between)
}

// before is the reading that the next one is the sequel of, and its number.
func (c *chain) before() (float64, int) {
	if c.last == nil {
		return 0, 0
	}
	return c.last.Material.Bags, c.at
}

// number sets the reading beside the one before it and gives it its number; a counter at 0 is exact and has number 0. A
// top-up of 0 finds the counter where it was read already: it has the number of that reading.
func (c *chain) number(e *Entry) {
	e.Material.Prev, e.Material.PrevAt = c.before()
	c.last = e
	if !e.TopsUpNothing() {
		c.n++
		c.at = c.n
	}
	if e.Material.Bags == 0 {
		c.at = 0
	}
	e.Material.ReadAt = c.at
}

// read takes the reading at the end of a fill or a top-up.
func (a *Assembler) read(c *chain, e *Entry) {
	section := a.byRow[e.Index].bay.Section
	if !c.started {
		c.started, c.counts, c.between = true, map[*Section]bool{}, map[*Section][]*Entry{}
	}
	if c.last == nil {
		a.unstarted = e
	}
	if c.last != nil && e.Material.Bags < c.last.Material.Bags {
		a.fault(e, "counter", "was the file sorted? after a reset write a count row", "counter %s runs back: it stood at %s on %s",
			e.Material.Raw, c.last.Material.Raw, at(c.last))
	}
	for _, b := range c.between[section] {
		a.fault(b, b.Material.Kind.Column(), "read the counter here too, or start it again with a count row",
			"%s %s between two counter readings of one section: the reading on %s counts it once more", b.Material.Kind.Column(), b.Material.Raw, at(e))
	}
	delete(c.between, section)
	c.counts[section] = true
	c.number(e)
}
