// The running counter, figures that bays share, times, and masses that cannot be.
//
// A counter tells how many bags went through its machine so far. A bay's bags are its reading less
// the one before it in the order of the work, whatever bay that belongs to: readings 3, 5.25 and 8
// fill three bays with 3, 2.25 and 2.75 bags. A reading that is off takes from one bay what it
// gives to the next. So every reading of the job has a number, by which verify/measure knows which
// two a bay rests on, and that two bays share one (Material.PrevAt, ReadAt). Each machine has a
// chain of its own. Before the first reading, and where a count row says 0, the counter is exact:
// that has number 0 and no uncertainty.

package model

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"time"
)

// chain is one machine's counter as it goes along.
type chain struct {
	last  *Entry   // the reading before; nil before the first
	stood float64  // what it was, in bags; 0 before the first
	at    int      // its number; 0 where it is an exact zero
	held  []*Entry // readings out of force since then
	// between are the rows of other columns since a section's last reading; sections without a
	// reading have no entry.
	between map[*Section][]*Entry
}

// counters are the counters of all machines as far as they were gone along.
type counters struct {
	chains   map[string]*chain // by machine
	readings int               // of all machines so far
}

// fromTheFirst takes back how far counters, shared figures and times were gone along.
func (a *Assembler) fromTheFirst() {
	a.counters, a.clocks, a.waiting = counters{chains: map[string]*chain{}}, clocks{last: map[clock]*time.Time{}}, map[string][]*Entry{}
}

// chainCounter goes along the readings of the counters in their order, from a row's place in the
// feed on where those before were gone along already: it fills in what stood before each
// (Material.Prev, bags) and their numbers, and refuses a counter that runs back, and material
// booked by another column in between.
//
// The reading of a row that is no longer in force (its bay was withdrawn, or an amend dropped it)
// is still where the counter stood, and what was blown then belongs to no other bay. But where the
// counter did not go beyond it afterwards it was never there: such a reading is passed over.
func (a *Assembler) chainCounter(from int) {
	for _, e := range a.feed[from:len(a.job.Log)] {
		if e == nil {
			continue
		}
		machine := a.machine(e)
		c := a.chains[machine]
		if c == nil {
			c = &chain{between: map[*Section][]*Entry{}}
			a.chains[machine] = c
		}
		if e.Kind == EntryCount { // the counter goes on from here, whatever went on before
			a.number(c, e)
			c.held = nil
			for s := range c.between {
				c.between[s] = nil
			}
			continue
		}
		g := a.byRow[e.Index]
		if g == nil { // what went elsewhere is in no bay
			a.read(c, e, nil)
			continue
		}
		gone := g.struck != nil || g.bay.Dead[e] != ""
		switch counter := e.Material.Reads(); {
		case e.Material.Kind == MaterialCounter && e.Material.Shared: // the reading at the end of the next bay is theirs together
		case counter && gone:
			// What it is worth shows at the next reading.
			c.held = append(c.held, e)
		case counter:
			a.read(c, e, g.bay.Section)
		case !gone && !e.Material.AddsNothing():
			// Bags that another column tells went through the same machine: the section's next
			// reading has them too.
			if rows, read := c.between[g.bay.Section]; read {
				c.between[g.bay.Section] = append(rows, e)
			}
		}
	}
}

// read takes the reading at the end of a fill or a top-up. A reading below the one before it is
// refused, since a counter runs one way: rows are out of order, or it was reset.
func (a *Assembler) read(c *chain, e *Entry, section *Section) {
	for _, h := range c.held { // a reading out of force counts where the counter went beyond it
		if h.Material.Bags >= c.stood && h.Material.Bags < e.Material.Bags {
			a.number(c, h)
			if g := a.byRow[h.Index]; g != nil {
				a.changed[g.bay.Section] = true
			}
		}
	}
	c.held = nil
	if c.last == nil {
		a.unstarted[e] = true
	} else if e.Material.Bags < c.stood {
		a.fault(e, "counter", "count 0 goes before it after a reset; was the file sorted?", "counter %s runs back: it stood at %s in %s",
			a.reading(e), a.reading(c.last), a.at(c.last))
	}
	if e.Material.Beside { // what was weighed before it is in no difference of two readings
		clear(c.between)
	}
	for _, b := range c.between[section] {
		hint := "count and where it stood goes before the next reading"
		if b.Kind != EntryFill && b.Kind != EntryAmend { // which say what went in once
			hint = "write the counter here too, or " + hint
		}
		a.fault(b, b.Material.Kind.Column(), hint,
			"%s %s stands between two counter readings of one section: the reading in %s counts it again", b.Material.Kind.Column(), b.Material.Raw, a.at(e))
	}
	c.between[section] = nil
	a.number(c, e)
}

// reading returns the counter's reading as a row writes it.
func (a *Assembler) reading(e *Entry) string {
	if e.Material.Beside {
		return e.Cells[a.column("counter")-1]
	}
	return e.Material.Raw
}

// number sets the reading beside the one before it and gives it its number; a counter at 0 is exact
// and has number 0. A top-up of 0 finds the counter where it was read already: it has the number of
// that reading.
func (a *Assembler) number(c *chain, e *Entry) {
	e.Material.Prev, e.Material.PrevAt = c.stood, c.at
	c.last, c.stood = e, e.Material.Bags
	if !e.TopsUpNothing() {
		a.readings++
		c.at = a.readings
	}
	if c.stood == 0 {
		c.at = 0
	}
	e.Material.ReadAt = c.at
}

// share groups the bays that one figure belongs to, from a row's place in the feed on where those
// before were gone along already: those whose fill says `shared`, and the next bay filled. That is
// the next in the order of the work, so that a bay that is amended keeps its group.
func (a *Assembler) share(from int) {
	for _, e := range a.feed[from:len(a.job.Log)] {
		if e == nil || e.Kind != EntryFill && e.Kind != EntryAmend {
			continue
		}
		machine := a.machine(e)
		if open := a.waiting[machine]; e.Material.Shared {
			a.waiting[machine] = append(open, e)
		} else if len(open) > 0 {
			a.group(append(open, e))
			delete(a.waiting, machine)
		}
	}
	for _, machine := range slices.Sorted(maps.Keys(a.waiting)) {
		told := false
		for _, e := range a.waiting[machine] {
			g := a.byRow[e.Index]
			if g.fill == nil { // withdrawn, and measured again
				continue
			}
			if g.owesShare, g.bay.Owes = true, OwesShare; !told {
				a.warn(e, "shared-open", "%s shares the next bay's figure, and no bay follows yet: it counts as not filled. Log the next bay", g.bay.title())
			}
			told = true
		}
	}
}

// group ties the bays of one figure together, whose fills are given; the last one carries it. Where
// one of them was withdrawn nobody said what is left for the others: they wait until they are
// amended.
func (a *Assembler) group(fills []*Entry) {
	bays := make([]*gathered, len(fills))
	for i, e := range fills {
		bays[i] = a.byRow[e.Index]
	}
	end, last := fills[len(fills)-1], bays[len(bays)-1]
	sum := &end.Material
	if len(bays) > MostSharing {
		a.fault(end, sum.Kind.Column(), "count every few bays: a figure shared by so many says nothing about any of them",
			"%s shares its figure with %d bays, more than %d", last.bay.title(), len(bays)-1, MostSharing-1)
		return
	}
	var gone *gathered
	for i, g := range bays {
		e, m := fills[i], &fills[i].Material
		switch {
		case g.bay.Section != last.bay.Section:
			a.fault(e, m.Kind.Column(), "put bays that share a count one after the other, in one section",
				"%s shares the next bay's figure, and the next bay filled is %s", g.bay.title(), last.bay.title())
			return
		case m.Kind != sum.Kind:
			a.fault(e, m.Kind.Column(), "write both in one column", "%s shares a figure of %s, and %s has %s", g.bay.title(),
				m.Kind.Column(), last.bay.title(), sum.Kind.Column())
			return
		case !g.filled():
			gone = g
		}
	}
	for i, g := range bays {
		g.with = bays
		if gone == nil {
			for _, other := range bays {
				if other != g {
					g.bay.SharedWith = append(g.bay.SharedWith, other.bay)
				}
			}
		} else if g.filled() {
			g.owesShare, g.bay.Owes = true, OwesShare
			a.warn(fills[i], "shared-open", "%s shares a count with %s, which was withdrawn in %s: it counts as not filled. Amend it",
				g.bay.title(), gone.bay.title(), a.at(gone.withdrew))
		}
	}
}

// wall returns a time as the clock on the wall shows it, whatever its zone.
func wall(at time.Time) time.Time {
	if at.Location() == time.UTC {
		return at
	}
	_, offset := at.Zone()
	return at.Add(time.Duration(offset) * time.Second)
}

// clocks are the times of the log's rows as far as they were gone along, and where they ran
// backward within a section and a machine.
type clocks struct {
	last  map[clock]*time.Time
	timed int    // so many rows were gone along
	back  int    // places where times ran backward
	first *Entry // the row of the first of them
}

// clock is what the times of a section and a machine are read off.
type clock struct{ section, machine string }

// checkTimes finds where times run backward within a section and a machine; then nothing is
// concluded from the order of the rows. Clocks are compared as they hang on the wall, without their
// zones: a log may hold times with a zone and times without. Rows that were gone along are not read
// again, unless a bay is another machine's since.
func (a *Assembler) checkTimes() {
	if a.renamed {
		a.clocks = clocks{last: map[clock]*time.Time{}}
	}
	var on clock // the row before's
	var before *time.Time
	for ; a.timed < len(a.job.Log); a.timed++ {
		e := &a.job.Log[a.timed]
		if e.Time.IsZero() {
			continue
		}
		now := wall(e.Time)
		if k := (clock{e.Section, a.machine(e)}); before == nil || k != on {
			if on = k; a.last[k] == nil {
				a.last[k] = new(time.Time)
			}
			before = a.last[k]
		}
		if now.Before(*before) {
			if a.back++; a.clocks.first == nil {
				a.clocks.first = e
			}
		}
		*before = now
	}
	a.job.OrderDoubtful, a.renamed = a.clocks.first != nil, false
}

// warnTimes tells once for the log where times run backward: a log that was sorted runs back in
// many places.
func (a *Assembler) warnTimes() {
	if !a.job.OrderDoubtful {
		return
	}
	places := "one place"
	if a.back > 1 {
		places = fmt.Sprintf("%d places", a.back)
	}
	a.warn(a.clocks.first, "order", "times run backward in %s, here first, so the order of filling counts for nothing. "+
		"Was the file sorted? Is a date missing?", places)
}

// Densest is the density in kg/m³ beyond which no loose fill packs, and no run-off into a
// neighboring space goes unseen: a bale as it comes from the press has some 10 to 12 lb/ft3, and
// loose fill blown into a bay stays well under that. What lies between a section's ceiling and this
// is a suspicion that the verdict deals with; what lies above is a slip of a unit, of a size or of
// the count, and is refused. It bounds the settings target, aim and ceiling too.
const Densest = 20 * PoundPerCubicFoot

// overBag is how many bags a weighed part bag may seem to be, besides what its scale is off by:
// single bags differ from their label, by some percent at the most, and what is left of a bag that
// nothing was taken from weighs as much as it does.
const overBag = 1.1

// dust is the share of a mass below which a difference is that of the way to SI and back.
const dust = 1e-9

// kg returns the mass in kg that a row says, without its sign, where a bag weighs bag kg: Mass, or
// (Bags − Prev)·bag + Part. NaN where it counts bags and their weight is not known; no bags at all
// weigh nothing.
func (m *Material) kg(bag float64) float64 {
	if m.Kind == MaterialWeight {
		return m.Mass
	}
	// No bags at all weigh nothing, also where the weight of a bag is NaN.
	if n := m.Bags - m.Prev; n != 0 {
		return n*bag + m.Part
	}
	return m.Part
}

// checkAmounts refuses masses that cannot be: a part bag heavier than a bag, a loss of more than
// went in, a bay denser than anything packs. Rows that an amend or a strike took out of force are
// let be, so that a slip can be mended in the log.
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
	// A share spilled never reached the bay, so that what was lost from it is held against the
	// rest.
	in, lost := b.balance(bag, 1-set.Spill)
	if lost != nil {
		a.fault(lost, lost.Material.Kind.Column(), "check both rows and their units; for a bay that was emptied write an amend with what is in it",
			"%s lost %s more than went in", b.title(), a.job.Settings.Units.Figure(ShowMass, -in))
		return
	}
	// A size that was taken over from an unlike bay is to be measured, and proves no slip of the
	// figure.
	if !takenOver(b) {
		a.checkDensity(b, in, bag)
	}
}

// takenOver tells whether a size of the bay, or of one that shares its figure, is that of the bay
// above.
func takenOver(b *Bay) bool {
	ditto := func(b *Bay) bool {
		for i := range b.Pieces {
			for _, r := range b.Pieces[i].Readings() {
				if r.State == Ditto {
					return true
				}
			}
		}
		return false
	}
	return ditto(b) || slices.ContainsFunc(b.SharedWith, ditto)
}

// badPart refuses a part by weight that is no part of a bag, heavier than overBag·bag and what the
// scale is off by, and one that leaves less than nothing. It tells whether it did.
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
		// Ask for what a person would have written: the whole bags that are in it, and the rest.
		hint := "check the weight and its unit"
		if whole := math.Floor(in / bag); whole >= 0 {
			hint += fmt.Sprintf("; for more than a bag write %g + %s", whole, u.Figure(ShowMass, in-whole*bag))
		}
		a.fault(e, "bags", hint, "bags %s has a part of %s, and a whole bag is %s", m.Raw, u.Figure(ShowMass, math.Abs(m.Part)), u.Figure(ShowMass, bag))
	case in < -dust*bag:
		a.fault(e, "bags", "write 0 if nothing went in", "bags %s leaves more than the %s that were opened", m.Raw, u.Figure(ShowMass, m.Bags*bag))
	default:
		return false
	}
	return true
}

// balance returns the mass in kg that stays in a bay, or in the bays that share its figure, of
// which the share keep gets there,
//
//	Σ keep·kg of fills and top-ups − Σ kg of losses
//
// and the row by which more came out than was in, nil where none does. Of one bay the rows are
// taken in their order, so that nothing is lost before it went in; between bays that share a figure
// there is no such order.
func (b *Bay) balance(bag, keep float64) (in float64, over *Entry) {
	moves := b.Moves
	for _, other := range b.SharedWith {
		moves = append(moves[:len(moves):len(moves)], other.Moves...)
	}
	most := 0.0
	for _, e := range moves {
		m := &e.Material
		switch {
		case m.Shared, e.Kind == EntryLost && m.Kind == MaterialCounter: // the latter is refused already
		case e.Kind == EntryLost:
			in, over = in-m.kg(bag), e
			if len(b.SharedWith) == 0 && in < -dust*most {
				return in, over
			}
		default:
			in += keep * m.kg(bag)
			most = max(most, in)
		}
	}
	if !(in < -dust*most) {
		over = nil
	}
	return in, over
}

// checkDensity refuses a bay, or bays that share a figure, in which (in − off)/V exceeds Densest,
// in being their mass in kg and off the sum of the half-widths of all figures: each is off by that
// at most, and in a very small bay a quarter of a bag is a great density. It warns where a bay over
// the ceiling may be so only because the counter is read from 0. A bay without a volume has a fault
// already, and NaN refuses nothing.
func (a *Assembler) checkDensity(b *Bay, in, bag float64) {
	set := &b.Section.Settings
	v, off := b.Volume(), 0.0 // m³, kg
	for _, other := range b.SharedWith {
		v += other.Volume()
	}
	heaviest := b.Fill
	for _, e := range b.Moves {
		m := &e.Material
		within, unit := set.WeighWithin, 1.0
		if m.Kind != MaterialWeight && m.Part == 0 {
			within, unit = set.BagStep, bag
		}
		if said(m.Within) {
			within = m.Within
		}
		off += within * unit
		if e.Kind != EntryLost && m.kg(bag) > heaviest.Material.kg(bag) {
			heaviest = e
		}
	}
	switch {
	case !(v > 0):
	case (in-off)/v > Densest:
		a.tooDense(b, heaviest, in, v)
	case a.unstarted[heaviest] && in/v > set.Ceiling:
		a.warn(heaviest, "counter-start", "counter %s is the first reading, so all %.4g bags count as in %s. If it did not start at 0, write a count row before it",
			heaviest.Material.Raw, heaviest.Material.Bags, b.title())
	}
}

// tooDense is the fault of a bay of v m³ with in kg in it, more than packs; e is the row that
// brings most of it.
func (a *Assembler) tooDense(b *Bay, e *Entry, in, v float64) {
	u, m := a.job.Settings.Units, &e.Material
	hint := "check the figure, the sizes and their units"
	switch {
	case a.unstarted[e]:
		hint = "write a count row before it that says where the counter stood"
	case m.Kind == MaterialCounter:
		hint = fmt.Sprintf("check the reading: it stood at %g before; after a reset write a count row first", m.Prev)
	}
	a.fault(e, m.Kind.Column(), hint, "%s %s puts %s into %s, which holds %s: no loose fill packs past %s",
		m.Kind.Column(), m.Raw, u.Figure(ShowMass, in), b.title(), u.Figure(ShowVolume, v), u.Figure(ShowDensity, Densest))
}
