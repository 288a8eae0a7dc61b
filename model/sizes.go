// The sizes of a bay: which rows say them, what is taken over from the bay above, what an amend
// replaces, and what cannot be.
//
// A size has one of four states: measured in this bay, by one reading or several; taken over from
// the bay above (a ditto, or a blank cell); owed, where the sheet with it is not typed in yet;
// absent. What is taken over keeps no readings of its own, since it was not measured here. A size
// that an amend states again joins the readings that stood there, so that nobody keeps the reading
// that pleases; it replaces them only where it is more than three times its ± away, a slip.

package model

import (
	"fmt"
	"math"
	"slices"
)

// measure adds the sizes of row e to its bay. The first row that has any gives them; later size
// rows add readings, and what no row says is that of the bay above. old is the size that an amend
// replaces, else nil.
func (a *Assembler) measure(e *Entry, g *gathered, old *Piece) {
	fresh := len(g.bay.Pieces) == 0
	if fresh {
		g.bay.Pieces, g.owned = append(g.bay.Pieces, &e.Size), false
	}
	a.takeShape(e, g)
	if fresh && old == nil && e.Size.whole() { // nearly always
		a.checkShape(e, g.bay.Pieces[0])
		return
	}
	to, from := g.own().Readings(), e.Size.Readings()
	if !fresh && anySize(&e.Size) { // the sheet that was waited for
		for _, r := range to {
			if r.State == Owed {
				*r = Reading{Within: math.NaN()}
			}
		}
	}
	for i := range from {
		switch {
		case fresh:
		case from[i].State == Measured:
			a.another(e, g, i, to[i], from[i])
		case from[i].State == Ditto && to[i].State != Measured, from[i].State == Owed && to[i].State == Absent:
			*to[i] = *from[i]
		}
	}
	if old != nil {
		a.restated(e, g, old)
	}
	a.takeOver(e, g)
	if g.bay.Pieces[0].tapers() {
		g.own().Shape = ShapeTaper
	}
	a.checkShape(e, g.bay.Pieces[0])
}

// whole tells whether a row's sizes are all that its bay needs: nothing is taken over, and nothing
// follows from them.
func (p *Piece) whole() bool {
	for _, r := range p.Readings() {
		if r.State == Ditto {
			return false
		}
	}
	return p.given() && !p.tapers()
}

// own returns the bay itself as a piece that may be changed: up to the first change it is that of
// the row which gave the sizes, as nearly all bays stay.
func (g *gathered) own() *Piece {
	if !g.owned {
		p := *g.bay.Pieces[0]
		g.bay.Pieces[0], g.owned = &p, true
	}
	return g.bay.Pieces[0]
}

// needed tells whether a shape cannot do without a size: a blank in it is a ditto.
func needed(shape Shape, size int) bool {
	return size == SizeWidth || size == SizeLength || size == SizeDepth && shape != ShapeRound
}

// has tells whether a shape has a size at all.
func (s Shape) has(size int) bool {
	switch size {
	case SizeWidth2, SizeDepth2:
		return s == ShapeTaper
	case SizeDepth, SizeBulge:
		return s != ShapeRound
	}
	return true
}

// another adds further readings of a size that has some, or takes the place of a ditto. Repeats of
// one bay are told in one cell or in several size rows; of two ± the wider holds for all.
func (a *Assembler) another(e *Entry, g *gathered, size int, to, from *Reading) {
	if to.State != Measured {
		*to = *from
		return
	}
	name := SizeNames()[size]
	if e.Kind != EntrySize {
		a.fault(e, name, "leave it blank here; write a further reading in a size row before the fill", "%s %s, but %s was measured already: %s in %s",
			name, from.Raw, name, to.Raw, a.atLine(int(to.Line)))
		return
	}
	to.read(from, g.bay.Section.Settings.tapes()[size])
}

// takeOver gives a bay what its rows do not say, from the bay above it. Rows that measure no size
// at all take over the whole bay; rows that give width, depth and length take over nothing but what
// a ditto mark asks for; any others each blank cell and a blank shape, but a bulge only by its
// mark. It starts from what the rows say, so that a size measured later undoes what a blank took
// over before it.
func (a *Assembler) takeOver(e *Entry, g *gathered) {
	body := g.own()
	if g.shape == nil {
		body.Shape = ShapeUnsaid
	}
	measured, marked := 0, false
	all := body.Readings()
	for _, r := range all {
		switch {
		case r.State == Measured:
			measured++
		case r.Raw != "" && r.State == Ditto:
			marked = true
		case r.State == Owed:
		default:
			*r = Reading{Within: math.NaN(), Line: int32(e.Src.Line)}
		}
	}
	g.bay.From = nil
	given := body.given()
	if given && !marked {
		return // nearly always
	}
	up := g.sized()
	if g.shape == nil && !given && up != nil && body.Width2.State != Measured && body.Depth2.State != Measured {
		body.Shape = up.bay.Pieces[0].Shape
	}
	for i, r := range all {
		explicit := r.State == Ditto
		switch {
		case r.State == Measured, r.State == Owed:
		case explicit, !given && body.Shape.has(i) && (i != SizeBulge || measured == 0):
			a.takeOne(e, g, up, i, r)
		}
	}
}

// unsized tells whether no size of the piece is known.
func (p *Piece) unsized() bool {
	for _, r := range p.Readings() {
		if len(r.Values) > 0 {
			return false
		}
	}
	return true
}

// given tells whether width, depth and length were all measured.
func (p *Piece) given() bool {
	return p.Width.State == Measured && p.Length.State == Measured && (p.Depth.State == Measured || p.Shape == ShapeRound)
}

// sized returns the nearest bay above in the section that has sizes and is not withdrawn; nil where
// there is none.
func (g *gathered) sized() *gathered {
	up := g.above
	for up != nil && (up.struck != nil || len(up.bay.Pieces) == 0 || up.bay.Pieces[0].unsized()) {
		up = up.above
	}
	return up
}

// takeOne makes a size that of the bay above, or where that lacks one which no bay can do without,
// of the nearest that has it. It is not measured here, so its own readings and ± are not taken over
// with it.
func (a *Assembler) takeOne(e *Entry, g, up *gathered, size int, to *Reading) {
	explicit, raw := to.State == Ditto, to.Raw
	*to = Reading{Raw: raw, Within: math.NaN(), Line: int32(e.Src.Line)}
	for ; up != nil; up = up.sized() {
		if from := up.bay.Pieces[0].Readings()[size]; len(from.Values) > 0 {
			to.State, to.Values = Ditto, from.Values
			if len(from.Values) > 1 {
				to.Values = []float64{from.Mean()}
			}
			g.from(up)
			return
		}
		if !needed(ShapeBox, size) {
			break
		}
	}
	if explicit {
		name := SizeNames()[size]
		a.fault(e, name, "measure it", "%s is a ditto, and no bay above %s in its section has a size", name, g.bay.title())
	}
}

// from notes whose sizes a bay takes over: those of the bay above, or where nothing was measured in
// that one either, of the bay that it took them from.
func (g *gathered) from(up *gathered) {
	b := up.bay
	for _, r := range b.Pieces[0].Readings() {
		if r.State == Measured {
			g.bay.From = b
			return
		}
	}
	if g.bay.From = b.From; b.From == nil {
		g.bay.From = b
	}
}

// restated refuses an amend that leaves out what the bay had: a blank might mean the same again,
// that of the bay above, or none.
func (a *Assembler) restated(e *Entry, g *gathered, old *Piece) {
	body := g.own()
	shape := body.Shape
	if g.shape == nil {
		shape = old.Shape
		ends := body.Width2.State != Absent || body.Depth2.State != Absent
		if shape > ShapeBox && !ends && body.given() {
			a.fault(e, "shape", "write "+shape.String()+" again, or box", "an amend takes over nothing, and its shape is blank")
			shape = ShapeBox
		}
	}
	was := old.Readings()
	for i, r := range body.Readings() {
		if r.State != Absent || was[i].State != Measured || !shape.has(i) {
			continue
		}
		name := SizeNames()[i]
		hint := "write " + was[i].Raw + " again, or \" for the size of the bay above"
		if !needed(shape, i) {
			hint = "write " + was[i].Raw + " again; for none write 0 for a bulge, else the first one's size"
		}
		a.fault(e, name, hint, "an amend takes over nothing, and its %s is blank: %s has %s", name, a.atLine(int(was[i].Line)), was[i].Raw)
	}
}

// slips is how many times its ± an amended size may differ from the readings that it replaces and
// still be another reading of the same bay: farther off one of them is a slip (this tool's own).
const slips = 3

// join lets the sizes of an amend and the readings that they replace stand together. Whoever
// measures a bay again once its verdict is known has read it twice. What was read before and is
// only said again is no further reading. Where the mean of the new readings is more than slips
// times the wider ± from that of the old ones, or the shape is another, the amend holds alone, and
// a warning names both.
func (a *Assembler) join(e *Entry, g *gathered, old *Piece) {
	body := g.own()
	if was, now := max(old.Shape, ShapeBox), max(body.Shape, ShapeBox); was != now {
		a.warn(e, "size-replaced", "shape of %s amended from %s to %s: the new sizes replace the old. If the first was right, amend again", g.bay.title(), was, now)
		return
	}
	was, within := old.Readings(), g.bay.Section.Settings.tapes()
	for i, now := range body.Readings() {
		if was[i].State != Measured || now.State == Absent {
			continue
		}
		if now.State == Owed {
			*now = *was[i]
			continue
		}
		further := *now
		further.Values = was[i].besides(now.Values)
		switch off := max(was[i].within(within[i]), now.within(within[i])); {
		case now.State == Ditto && !(math.Abs(now.Mean()-was[i].Mean()) > slips*off) || len(further.Values) == 0:
			*now = *was[i]
		case math.Abs(further.Mean()-was[i].Mean()) > slips*off*(1+1e-9):
			dim := ShowSize
			if i == SizeLength || i == SizeLength2 {
				dim = ShowLength
			}
			show := func(m float64) string { return a.job.Settings.Units.Figure(dim, m) }
			a.warn(e, "size-replaced", "%s of %s amended from %s to %s, more than %d times its ± away, so the first counts as a slip. If either may be right, measure again",
				SizeNames()[i], g.bay.title(), show(was[i].Mean()), show(now.Mean()), slips)
		default:
			*now = *was[i]
			now.read(&further, within[i])
		}
	}
}

// besides returns those of the values that are none of the reading's own, to 1e-9 m, each of its
// own matching one.
func (r *Reading) besides(values []float64) []float64 {
	own := slices.Clone(r.Values)
	var out []float64
	for _, v := range values {
		k := slices.IndexFunc(own, func(x float64) bool { return math.Abs(x-v) < 1e-9 })
		if k < 0 {
			out = append(out, v)
			continue
		}
		own = slices.Delete(own, k, k+1)
	}
	return out
}

// within returns the half-width of a reading in m: its own, or the setting's.
func (r *Reading) within(setting float64) float64 {
	if said(r.Within) {
		return r.Within
	}
	return setting
}

// read adds the values of another cell; of two ±, the cell's own or the setting's, the wider holds
// for all.
func (r *Reading) read(further *Reading, setting float64) {
	if said(r.Within) || said(further.Within) {
		r.Within = max(r.within(setting), further.within(setting))
	}
	r.Values = slices.Concat(r.Values, further.Values)
	r.Raw += "; " + further.Raw
}

// tapes returns the ± of the tape's settings by size, m.
func (s *Settings) tapes() [Sizes]float64 {
	w, d, l := s.WidthWithin, s.DepthWithin, s.LengthWithin
	return [...]float64{w, w, d, d, l, l, d}
}

// takeShape takes the shape that the row says; two rows must not say two. What no row says is a
// box, or a taper where another end is measured.
func (a *Assembler) takeShape(e *Entry, g *gathered) {
	said, body := e.Size.Shape, g.bay.Pieces[0]
	if said == ShapeUnsaid {
		return
	}
	if g.shape != nil && body.Shape != said {
		a.fault(e, "shape", "leave it blank here, or write an amend", "shape %s, but %s says %s", said, a.at(g.shape), body.Shape)
		return
	}
	if body.Shape != said {
		g.own().Shape = said
	}
	g.shape = e
}

// otherEnd tells whether a size of the piece's other end is given, and tapers whether that alone
// makes it a taper.
func (p *Piece) otherEnd() bool { return p.Width2.State != Absent || p.Depth2.State != Absent }
func (p *Piece) tapers() bool   { return p.Shape == ShapeUnsaid && p.otherEnd() }

// checkShape refuses sizes that a shape does not have.
func (a *Assembler) checkShape(e *Entry, p *Piece) {
	name := "width2"
	if p.Width2.State == Absent {
		name = "depth2"
	}
	switch {
	case p.otherEnd() && p.Shape != ShapeTaper:
		a.fault(e, name, "write taper in shape for a bay with another end", "a %[2]s has no %[1]s", name, p.Shape)
	case p.Shape == ShapeRound && p.Depth.State == Measured:
		a.fault(e, "depth", "leave depth blank: the width is the diameter; if only the bay above is round, write this one's shape", "a round has no depth")
	case p.Shape == ShapeRound && p.Bulge.State == Measured:
		a.fault(e, "bulge", "leave it blank", "a round has no bulge")
	}
}

// require refuses material in a bay, or a piece, whose size is not known: without it there is no
// density. A bay that is measured and not filled yet may lack some.
func (a *Assembler) require(e *Entry, g *gathered, p *Piece) {
	if p.Width.State != Absent && p.Depth.State != Absent && p.Length.State != Absent {
		return // nearly always
	}
	// A row without any size, on whose bay no other row has one either, waits for the roof sheet
	// (see owed).
	if (e.Kind == EntryFill || e.Kind == EntryAmend) && !anySize(p) && (len(a.job.Columns) == 0 || a.column("width")*a.column("depth")*a.column("length") > 0) {
		return
	}
	// A ditto mark without a bay above has its fault already.
	for i, r := range p.Readings() {
		if r.State != Absent || !needed(p.Shape, i) || e.Size.Readings()[i].State == Ditto {
			continue
		}
		name, hint := SizeNames()[i], "measure it: no bay above it in its section has one"
		// Who left a whole column out is told so, and not for every bay that there is none above
		// it.
		if len(a.job.Columns) > 0 && a.column(name) == 0 {
			hint = "add a column " + name + " to the first row: the log has none"
		}
		a.fault(e, name, hint, "%s has a %s row and no %s", g.bay.title(), e.Kind, name)
	}
}

// piece adds a piece to the bay, or a less that takes away. A size left blank, or a ditto, is the
// bay's own: a strip that is missing on one side is as deep and as long as the bay. It counts as
// taken over, since it was not measured there.
func (a *Assembler) piece(e *Entry, g *gathered) {
	p := e.Size
	p.Less = e.Kind == EntryLess
	body := g.bay.Pieces[0].Readings()
	for i, r := range p.Readings() {
		if r.State == Owed {
			a.fault(e, SizeNames()[i], "measure it, or leave it blank for the bay's own", "this %[2]s row can't have ? for its %[1]s", SizeNames()[i], e.Kind)
		}
		if r.State == Ditto || r.State == Absent && needed(p.Shape, i) {
			a.fromBody(e, g, i, r, body[i])
		}
	}
	if p.tapers() {
		p.Shape = ShapeTaper
	}
	a.checkShape(e, &p)
	a.require(e, g, &p)
	g.bay.Pieces = append(g.bay.Pieces, &p)
}

// fromBody makes a piece's size the bay's own. Where the bay has none either, a size that every
// piece needs is missed by require; of the others only a ditto mark asks for one.
func (a *Assembler) fromBody(e *Entry, g *gathered, size int, to, body *Reading) {
	explicit := to.State == Ditto
	if len(body.Values) == 0 {
		*to = Reading{Raw: to.Raw, Within: math.NaN(), Line: int32(e.Src.Line)}
		if name := SizeNames()[size]; explicit && !needed(ShapeBox, size) {
			a.fault(e, name, "measure it", "%s is a ditto, and %s has none", name, g.bay.title())
		}
		return
	}
	*to = Reading{State: Ditto, Values: []float64{body.Mean()}, Within: math.NaN(), Raw: to.Raw, Line: int32(e.Src.Line)}
}

// loose names a setting that a section's sizes do not bear, so that it is told once.
type loose struct {
	section *Section
	setting string
}

// checkWithin refuses a _within setting that leaves nothing sure of a size it holds for, as the
// size's own ± is refused in its cell. Pieces are let be: a strip taken away may be thinner than a
// tape reads. So are the defaults, which nobody mistyped.
func (a *Assembler) checkWithin() {
	for _, s := range a.job.Sections {
		a.checkTape(s, &s.Typical)
	}
	for _, b := range a.job.Bays {
		if len(b.Pieces) > 0 && !b.Struck {
			a.checkTape(b.Section, b.Pieces[0])
			a.checkDepth(b)
		}
	}
}

// checkTape checks one bay's sizes against the tape's settings, in m; of two ends the larger
// counts.
func (a *Assembler) checkTape(s *Section, p *Piece) {
	for _, c := range [...]struct {
		size   string
		r, far *Reading
		within float64
	}{
		{"width", &p.Width, &p.Width2, s.Settings.WidthWithin},
		{"depth", &p.Depth, &p.Depth2, s.Settings.DepthWithin},
		{"length", &p.Length, &p.Length2, s.Settings.LengthWithin},
	} {
		if c.r.State != Measured || said(c.r.Within) || !(c.within >= slices.Min(c.r.Values)) || longest(c.far) > c.within {
			continue
		}
		setting := c.size + "_within"
		from := s.Settings.From[setting]
		key := loose{s, setting}
		if from == OriginDefault || a.loose[key] {
			continue
		}
		a.loose[key] = true
		u := a.job.Settings.Units.Unit(ShowSize)
		a.faultAt(Source{File: p.Src.File, Line: int(c.r.Line), Col: int(c.r.Col)}, "check the unit of "+setting+": it is how far off one reading may be, to either side",
			"%s %.4g %s is no more than its %s, %.4g %s (%s)", c.size, u.In(slices.Min(c.r.Values)), u.Symbol, setting, u.In(c.within), u.Symbol, from)
	}
}

// checkDepth refuses depth checks that leave nothing of a depth of the bay's own, m.
func (a *Assembler) checkDepth(b *Bay) {
	by := b.Section.Settings.DepthOff()
	if by >= 0 {
		return
	}
	for _, r := range [...]*Reading{&b.Pieces[0].Depth, &b.Pieces[0].Depth2} {
		if d := r.Mean(); r.State == Measured && d > 0 && d+by <= 0 {
			u := a.job.Settings.Units.Unit(ShowSize)
			a.faultAt(Source{File: b.Pieces[0].Src.File, Line: int(r.Line), Col: int(r.Col)}, "check the unit and sign of depth_checks: a second person's depth less the crew's",
				"depth %.4g %s comes to nothing: depth_checks correct it by %.4g %s", u.In(d), u.Symbol, u.In(by), u.Symbol)
		}
	}
}

// placeSlack is how far past the bay's end, in m, a place or the tube's mark may be told: the tape,
// the foot of tube outside the hole, a rod held at a slant. Farther off nothing can be in the bay:
// it is a slip of the unit, or of the bay's length.
const placeSlack = Foot

// checkPlaces refuses places that are not in the bay, and warns of those that are told a little
// beyond its end. Where no length is known, nothing can be said of them.
func (a *Assembler) checkPlaces(b *Bay) {
	long := b.LongWay()
	if long == 0 {
		return
	}
	// Rows out of force are let be, so that a slip can be mended in the log.
	units := a.job.Settings.Units
	for _, e := range b.Rows {
		if b.Dead[e] != "" {
			continue
		}
		for _, at := range e.At {
			a.checkPlace(b, e, "at", at, long)
		}
		for _, hole := range e.Hole {
			a.checkPlace(b, e, "hole", hole, long)
		}
		for _, stop := range e.Stops {
			a.checkPlace(b, e, "stop", stop.At, long)
		}
		for _, r := range e.Reach {
			if r > long+placeSlack {
				a.fault(e, "reach", slip(r, long, units, "write two ways as two values with ; between: the tube passes a bay once"),
					"reach %s is past the end: %s is %s long", units.Figure(ShowLength, r), b.title(), units.Figure(ShowLength, long))
				break
			}
		}
	}
}

// checkPlace checks one place, in m from the low end.
func (a *Assembler) checkPlace(b *Bay, e *Entry, column string, place, long float64) {
	if !(place > long) {
		return
	}
	if what, hint := b.Beyond(column, place, a.job.Settings.Units); what != "" {
		a.fault(e, column, hint, "%s", what)
		return
	}
	a.warn(e, "beyond-bay", "%s lies past the end of %s and counts as its end. Check its unit", column, b.title())
}

// Beyond says what is wrong with a place that cannot be in the bay, in m from its low end, and what
// would cure it. Both are empty where the place can be, or where the bay's length is not known.
func (b *Bay) Beyond(column string, place float64, units System) (what, hint string) {
	long := b.LongWay()
	if long == 0 || !(place > long+placeSlack) {
		return "", ""
	}
	what = fmt.Sprintf("%s %s is past the end: %s is %s long", column, units.Figure(ShowLength, place), b.title(), units.Figure(ShowLength, long))
	return what, slip(place, long, units, "measure places from the low end; if the bay is longer, correct its length")
}

// slip asks whether the smaller unit was meant, where that would lie in the bay of that length in
// m; else it says what else could be.
func slip(m, long float64, units System, otherwise string) string {
	small := units.Unit(ShowSize)
	if v := units.Unit(ShowLength).In(m); small.SI(v) <= long {
		return fmt.Sprintf("write %.4g %s if you meant that; %s", v, small.Symbol, otherwise)
	}
	return otherwise
}
