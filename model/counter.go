package model

import (
	"fmt"
	"math"
	"time"
)

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

// checkTimes warns where times run backward. Clocks are compared as they hang on the wall: a log may hold times with a
// zone and times without.
func (a *Assembler) checkTimes() {
	var last time.Time
	var first *Entry
	back := 0
	for i := range a.job.Log {
		e := &a.job.Log[i]
		if e.Time.IsZero() {
			continue
		}
		now := wall(e.Time)
		if now.Before(last) {
			if back++; first == nil {
				first = e
			}
		}
		last = now
	}
	if first != nil {
		a.job.OrderDoubtful = true
		a.warn(first, "order", "times run backward in %s, here first: nothing is concluded from the order of filling; "+
			"was the file sorted, or is the date missing?", places(back))
	}
}

// wall is the time without its zone.
func wall(t time.Time) time.Time {
	if t.Location() == time.UTC {
		return t
	}
	_, offset := t.Zone()
	return t.Add(time.Duration(offset) * time.Second)
}

func places(n int) string {
	if n == 1 {
		return "one place"
	}
	return fmt.Sprintf("%d places", n)
}

// Densest is the density in kg/m³ beyond which no loose fill packs, and no run-off into a neighboring space goes unseen: a
// bale as it comes from the press has some 10 to 12 lb/ft3, and loose fill blown into a bay stays well under that. What
// lies between a section's ceiling and this is a suspicion that the verdict deals with; what lies above is a slip of a unit,
// of a size or of the count, and is refused. It bounds the settings target, aim and ceiling too.
const Densest = 20 * PoundPerCubicFoot

// overBag is how many bags a weighed part bag may seem to be, besides what its scale is off by: single bags differ from
// their label, by some percent at the most, and what is left of a bag that nothing was taken from weighs as much as it does.
const overBag = 1.1

// dust is the share of a mass below which a difference is that of the way to SI and back.
const dust = 1e-9

// kg is the mass in kg that a row says, without its sign; NaN where it counts bags and their weight is not known.
func (m *Material) kg(bag float64) float64 {
	if m.Kind == MaterialWeight {
		return m.Mass
	}
	if n := m.Bags - m.Prev; n != 0 {
		return n*bag + m.Part
	}
	return m.Part
}

// checkAmounts refuses masses that cannot be: a part bag heavier than a bag, a loss of more than went in, a bay denser than
// anything packs. Rows that an amend or a strike took out of force are let be, so that a slip can be mended in the log.
func (a *Assembler) checkAmounts(b *Bay) {
	if b.Fill == nil {
		return
	}
	set := &b.Section.Settings
	bag := set.Bag()
	for _, e := range b.Moves {
		if e.Material.Part != 0 && a.badPart(e, set, bag) {
			return
		}
	}
	if b.Fill.Material.Shared { // the last of the bays that share it carries the figure
		return
	}
	in, lost := a.balance(b, bag, 1-set.Spill)
	if lost != nil {
		a.fault(lost, lost.Material.Kind.Column(), "look at both rows and their units; a bay that was emptied is amended to what is in it",
			"%s lost more than went in: %s too much", b.title(), a.job.Settings.Units.Figure(ShowMass, -in))
		return
	}
	if !takenOver(b) { // a size that was taken over from an unlike bay is to be measured, and proves no slip of the figure
		a.checkDensity(b, in, bag)
	}
}

// takenOver tells whether a size of the bay, or of one that shares its figure, is that of the bay above.
func takenOver(b *Bay) bool {
	for _, of := range append([]*Bay{b}, b.SharedWith...) {
		for i := range of.Pieces {
			for _, r := range of.Pieces[i].Readings() {
				if r.State == Ditto {
					return true
				}
			}
		}
	}
	return false
}

// badPart refuses a part by weight that is no part of a bag, and one that leaves less than nothing.
func (a *Assembler) badPart(e *Entry, set *Settings, bag float64) bool {
	m := &e.Material
	off := set.WeighWithin
	if said(m.Within) {
		off = m.Within
	}
	u := a.job.Settings.Units
	in := m.Bags*bag + m.Part
	switch {
	case math.Abs(m.Part) > overBag*bag+off:
		hint := "look at the weight and its unit"
		if whole := math.Floor(in / bag); whole >= 0 {
			hint += fmt.Sprintf("; more than a bag is written as bags and the rest: %g + %s", whole, u.Figure(ShowMass, in-whole*bag))
		}
		a.fault(e, "bags", hint, "bags %s: the part is %s, and a whole bag is %s", m.Raw, u.Figure(ShowMass, math.Abs(m.Part)), u.Figure(ShowMass, bag))
	case in < -dust*bag:
		a.fault(e, "bags", "write 0 where nothing went in", "bags %s: more left over than the %s that were opened", m.Raw, u.Figure(ShowMass, m.Bags*bag))
	default:
		return false
	}
	return true
}

// balance is the mass in kg that stays in a bay, or in the bays that share its figure, of which the share keep gets there;
// and the row by which more came out than was in, nil where none does. Of one bay the rows are taken in their order.
func (a *Assembler) balance(b *Bay, bag, keep float64) (in float64, over *Entry) {
	most := 0.0
	add := func(moves []*Entry, running bool) {
		for _, e := range moves {
			if e.Material.Shared || e.Kind == EntryLost && e.Material.Kind == MaterialCounter { // the latter is refused already
				continue
			}
			if e.Kind != EntryLost {
				in += keep * e.Material.kg(bag)
				most = max(most, in)
				continue
			}
			in, over = in-e.Material.kg(bag), e
			if running && in < -dust*most {
				return
			}
		}
	}
	add(b.Moves, len(b.SharedWith) == 0)
	for _, other := range b.SharedWith {
		add(other.Moves, false)
	}
	if !(in < -dust*most) {
		over = nil
	}
	return in, over
}

// checkDensity refuses a bay, or bays that share a figure, with more in it than packs, and warns where a bay over the ceiling
// may be so only because the counter is read from 0. What the count or the scale may be off by is taken off before: in a very
// small bay a quarter of a bag is a great density.
func (a *Assembler) checkDensity(b *Bay, in, bag float64) {
	set := &b.Section.Settings
	v, off := b.Volume(), 0.0
	for _, other := range b.SharedWith {
		v += other.Volume()
	}
	heaviest := b.Fill
	for _, e := range b.Moves {
		m := &e.Material
		switch {
		case m.Kind != MaterialWeight && m.Part == 0 && said(m.Within):
			off += m.Within * bag
		case m.Kind != MaterialWeight && m.Part == 0:
			off += set.BagStep * bag
		case said(m.Within):
			off += m.Within
		default:
			off += set.WeighWithin
		}
		if e.Kind != EntryLost && m.kg(bag) > heaviest.Material.kg(bag) {
			heaviest = e
		}
	}
	first := heaviest == a.unstarted
	switch {
	case (in-off)/v > Densest && v > 0:
		a.tooDense(b, heaviest, in, v)
	case first && in/v > set.Ceiling && v > 0:
		a.warn(heaviest, "counter-start", "counter %s is the first reading, and no count row says where the counter stood before: all %.4g bags are taken to be in %s; if it did not start at 0, write a count row before it",
			heaviest.Material.Raw, heaviest.Material.Bags, b.title())
	}
}

// tooDense is the fault of a bay of v m³ with more in it than packs; e is the row that brings most of it.
func (a *Assembler) tooDense(b *Bay, e *Entry, in, v float64) {
	u, m := a.job.Settings.Units, &e.Material
	hint := "look at the figure, at the sizes, and at the units of both"
	switch {
	case e == a.unstarted:
		hint = "the counter's start is not known: write a count row before it that says where the counter stood"
	case m.Kind == MaterialCounter:
		hint = fmt.Sprintf("it stood at %g before: look at the reading; where the counter was set anew, write a count row before it", m.Prev)
	}
	a.fault(e, m.Kind.Column(), hint, "%s %s: %s in %s, which holds %s; no loose fill packs beyond %s",
		m.Kind.Column(), m.Raw, u.Figure(ShowMass, in), b.title(), u.Figure(ShowVolume, v), u.Figure(ShowDensity, Densest))
}
