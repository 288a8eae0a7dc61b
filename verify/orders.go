// Orders: the one thing to do about a bay, found by judging it again with that done.
//
// A verdict that is not CLOSE must say what to do next, and what it says must help. The candidates
// are few: say a fact, look, measure, count again, blow, wait. For each the probability P(density ≥
// target) is recomputed as it would be once it is done and goes as it most likely does; a candidate
// settles the bay where that reaches the confidence and no reason is left. The cheapest that
// settles it, by the table of costs in minutes, is the order. Where none settles it, what brings it
// on comes first, each thing once; where nothing is left, a person decides. A bay whose rows
// answered MostOrders orders is a person's to decide too, so that no order comes for ever.

package verify

import (
	"math"
	"slices"
	"sort"
	"strings"

	"bayproof/model"
	"bayproof/verify/crew"
	"bayproof/verify/measure"
)

// Order is the one thing to do about a bay, a section or the job, in the codes of the table of
// codes; report/say has its sentence and the line of the prompt that reports it. The zero value
// asks for nothing.
type Order struct {
	Action  Code    // blow, look, say, measure, wait, recount, decide, fill or count
	Data    []Datum // a key that comes several times is a list
	For     Code    // the reason that it answers
	Minutes float64 // by the table of costs
}

// work is what an order takes time for.
type work uint8

const (
	saying work = iota
	rodAlong
	pressing
	measuring
	recounting
	slitting
	testHole
	toppingUp
	hoseMoved
	drilling
	finishedFace
	coring
	ladderMoved
	smoking
)

// costs is the one table of what work takes, in minutes (this tool's own).
var costs = [...]struct {
	name    string
	minutes float64
}{
	saying: {"a fact said", 0}, rodAlong: {"a rod along", 1}, pressing: {"a hand pressed", 1}, measuring: {"depths read", 2},
	recounting: {"a recount", 3}, slitting: {"a slit, patched", 3}, testHole: {"a test hole", 4}, toppingUp: {"a top-up", 5},
	hoseMoved: {"a top-up, the hose moved", 15}, drilling: {"a new hole, siding off", 10}, finishedFace: {"a new hole in a finished face", 30},
	coring: {"a core", 10}, ladderMoved: {"the ladder moved", 5}, smoking: {"smoke, the first", 25},
}

// cost adds up works, in minutes.
func cost(all ...work) (sum float64) {
	for _, w := range all {
		sum += costs[w].minutes
	}
	return sum
}

// Limits of what is ordered.
const (
	// LeastBlow is the least mass that is ever ordered, kg: a hose holds about half of it.
	LeastBlow = 2 * model.Pound
	// HoleWithin is how far a hole keeps from what must not be drilled, and how far from a void it
	// still fills it, m.
	HoleWithin = model.Foot
	// MostOrders is how many rows that answer orders a bay may have before a person decides.
	MostOrders = 3
	mostHoles  = 2  // test holes of one order; more are one fill hole instead
	mostToCome = 24 // bays to come that are reckoned with
)

// ties is the order in which actions of equal cost are chosen.
var ties = []Code{ActSay, ActLook, ActMeasure, ActRecount, ActBlow, ActWait, ActDecide}

// candidate is an order with what recomputing says of it.
type candidate struct {
	Order
	settles bool // the bay is CLOSE once it is done, if it goes as it most likely does
}

// advise gives every open bay its one order, and every section and the job what concerns them as a
// whole; under AdviceIn one section alone.
func (c *check) advise() {
	if !c.opts.Advice {
		return
	}
	c.wholeJob()
	for s := range c.sections {
		if only := c.opts.AdviceIn; only != "" && only != c.sections[s].of.Name {
			continue
		}
		a := c.newAdvisor(s)
		for i, b := range c.baysOf(s) {
			if c.orderedBefore(b) {
				continue
			}
			if o := a.order(b, i); o.Action != "" { // most bays have none
				c.further(b).Now = o
			}
			if b.Judged() && stands(b.Reasons, NotShown) != nil && b.Now.Action != "" {
				if next := a.nextBay(b, a.lotOf(i)); next.Input != "" {
					b.NextBay = &next
				}
			}
			c.keepOrder(b)
		}
		if find(c.sections[s].out.Reasons, TotalsShort) != nil {
			if !c.recountedEmpties(c.sections[s].of) {
				c.sections[s].out.Now = recountOf(c.sections[s].of.Name)
			}
		} else if find(c.sections[s].out.Reasons, SectionOver) != nil {
			c.sections[s].out.Now = again(SectionOver, "depth", 3)
		}
	}
	if find(c.found.Totals.Reasons, TotalsShort) != nil && !c.recountedEmpties(nil) {
		c.found.Totals.Now = recountOf("")
	}
}

// orderedBefore gives a bay the order that it had at the check before, and tells whether it may:
// see Growing.
func (c *check) orderedBefore(b *Bay) bool {
	g := c.opts.Growing
	if g == nil || c.opts.AdviceIn == "" {
		return false
	}
	was, ok := g.orders[bayName{b.Bay.Section.Name, b.Bay.Name}]
	now := ordered{verdict: b.Verdict, state: b.State, lead: leadingCode(b), rows: len(b.Bay.Rows), now: was.now, next: was.next}
	if !ok || was.verdict != now.verdict || was.state != now.state || was.lead != now.lead || was.rows != now.rows {
		return false
	}
	if was.now.Action != "" {
		c.further(b).Now, c.further(b).NextBay = was.now, was.next
	}
	return true
}

// keepOrder remembers the order of a bay for the check after.
func (c *check) keepOrder(b *Bay) {
	g := c.opts.Growing
	if g == nil {
		return
	}
	if g.orders == nil {
		g.orders = map[bayName]ordered{}
	}
	g.orders[bayName{b.Bay.Section.Name, b.Bay.Name}] = ordered{b.Verdict, b.State, leadingCode(b), len(b.Bay.Rows), b.Now, b.NextBay}
}

// leadingCode is the code of the reason that leads; empty where none stands.
func leadingCode(b *Bay) Code {
	if r := leading(b.Reasons); r != nil {
		return r.Code
	}
	return ""
}

// wholeJob gathers what the orders of all bays ask of the job: how many bays were filled, and whose
// empties were counted again.
func (c *check) wholeJob() {
	for _, b := range c.job.Bays {
		c.filled = max(c.filled, b.Order)
	}
	for i := range c.job.Log {
		if e := &c.job.Log[i]; e.Kind == model.EntryEmpties && !e.Withdrawn && model.Fold(e.Note) == "recount" {
			c.recounts = append(c.recounts, model.Fold(e.Section))
		}
	}
}

// recountedEmpties tells whether the empties of a section, or of the job for nil, were counted
// again: where that agrees with the first count, counting a third time settles nothing.
func (c *check) recountedEmpties(s *model.Section) bool {
	return slices.Contains(c.recounts, "") || s != nil && slices.Contains(c.recounts, model.Fold(s.Name))
}

// recountOf asks for the empties to be counted again, of a section or of the job.
func recountOf(section string) Order {
	o := Order{Action: ActRecount, For: TotalsShort, Minutes: cost(recounting), Data: []Datum{named("what", "empties")}}
	if section != "" {
		o.Data = append(o.Data, named("section", section))
	}
	return o
}

// again asks for a dimension to be read at so many places.
func again(reason Code, dimension string, places int) Order {
	return Order{Action: ActMeasure, For: reason, Minutes: cost(measuring),
		Data: []Datum{named("dimension", dimension), num("places", float64(places), Number)}}
}

// order returns the one thing to do about bay b, the i-th of the job. What needs no recomputing
// comes first: a bay that is not filled, reopened, decided or CLOSE, a fact that is owed, counts
// that the empties contradict, too many orders answered, a size of another kind. The rest is
// choose's.
func (a *advisor) order(b *Bay, i int) Order {
	switch lead := leading(b.Reasons); {
	case b.State == NotFilled && b.Bay.Owes != model.OwesNothing:
		return Order{Action: ActCount}
	case b.State == NotFilled:
		st := &b.Bay.Section.Settings
		return Order{Action: ActFill, Data: []Datum{num("mass", st.Aim*b.Volume, Mass), num("bags", st.Aim*b.Volume/a.bag, Bags)}}
	case b.Reopened != "":
		return Order{Action: ActDecide, For: b.Reopened, Data: []Datum{num("prob", b.ProbToday, Probability), named("reopened", string(b.Reopened))}}
	case b.Bay.Decided != nil:
		return Order{}
	case b.Verdict == Close:
		return Order{}
	case stands(b.Reasons, NoFigure) != nil:
		return Order{Action: ActSay, For: NoFigure, Data: []Datum{named("column", "bag_weight")}}
	case stands(b.Reasons, BulgeMissing) != nil:
		return Order{Action: ActSay, For: BulgeMissing, Data: []Datum{named("column", "bulge")}}
	case b.unsaid():
		return Order{Action: ActSay, For: StallUnsaid, Minutes: cost(saying), Data: []Datum{named("column", "stall")}}
	case b.Verdict == Measure && stands(b.Reasons, TotalsShort) != nil:
		counted, name := b.Bay.Section, b.Bay.Section.Name
		if find(a.out.Reasons, TotalsShort) == nil { // the job's empties say so
			counted, name = nil, ""
		}
		if a.job.recountedEmpties(counted) {
			return a.decide(b)
		}
		return recountOf(name)
	case b.Existing() != "" || answering(b.Bay) >= MostOrders:
		return a.decide(b)
	case stands(b.Reasons, SizeUnlike) != nil:
		return again(SizeUnlike, stands(b.Reasons, SizeUnlike).Data[0].Text, 1)
	case b.Verdict == Measure && stands(b.Reasons, SectionOver) != nil:
		if b.measuredAgain("depth") {
			return a.decide(b)
		}
		return again(SectionOver, "depth", 3)
	case b.Verdict == Probe && lead.Code == NeighbourSwap && a.high(b, lead):
		return Order{} // the look into the other bay answers both
	}
	last := true
	for _, o := range b.Bay.SharedWith {
		last = last && o.Order < b.Bay.Order
	}
	if !last && !slices.ContainsFunc(b.besidesFigure(), func(r *Reason) bool { return r.Code == Reach || r.Code == NoStall || r.Code == ProbeSoft }) {
		return Order{} // what concerns the count stands on the last of its bays
	}
	return a.choose(b, a.lotOf(i), last)
}

// high tells whether a bay is the higher one of a swapped pair whose lower one is looked into: one
// look answers both. A lower one that was closed, or is left to a person, is not.
func (a *advisor) high(b *Bay, r *Reason) bool {
	if r.doubt != nil {
		return false
	}
	for i := range a.job.found.Bays {
		o := &a.job.found.Bays[i]
		if o.Bay.Section == b.Bay.Section && o.Bay.Name == r.Data[0].Text {
			low := find(o.Reasons, NeighbourSwap)
			return low != nil && low.doubt != nil && o.Judged() && a.order(o, i).Action == ActLook
		}
	}
	return false
}

// decide leaves a bay to a person, at its sureness.
func (a *advisor) decide(b *Bay) Order {
	o := Order{Action: ActDecide, Data: []Datum{num("prob", b.ProbAtTarget, Probability)}}
	if len(b.Reasons) > 0 {
		o.For = b.Reasons[0].Code
	}
	return o
}

// Existing returns what was left in the bay before it was filled, by the last word on it: pounds
// cannot close such a bay. Empty where nothing was said.
func (b *Bay) Existing() (what string) {
	for _, e := range b.Bay.Rows {
		if e.Existing != "" && inForce(b.Bay, e) {
			what = e.Existing
		}
	}
	return what
}

// answering counts the rows of a bay that answer orders: what came after its fill; looks that
// follow one another are one.
func answering(b *model.Bay) (n int) {
	filled, looked, sheet := false, (*model.Entry)(nil), roofSheet(b)
	for _, e := range b.Rows {
		look := e.Kind == model.EntrySeen && e.Probe != model.ProbeNone
		switch {
		case e.Kind == model.EntryFill:
			filled = true
			continue
		case !filled || e == sheet || look && sameLook(looked, e), e.Probe == model.SmokeMoves, e.Probe == model.IRCold: // no order asks for these first
			continue
		case look, e.Kind == model.EntryTopup, e.Kind == model.EntrySize, e.Kind == model.EntryAmend:
			n++
		}
		if looked = nil; look {
			looked = e
		}
	}
	return n
}

// roofSheet returns the size row in which a bay's sizes came after what went into it, as the truck
// sheet was typed in first: it answers no order and reads nothing again. Nil where the sizes were
// known by then.
func roofSheet(b *model.Bay) *model.Entry {
	if b.Fill == nil || b.From != nil {
		return nil
	}
	for _, e := range b.Rows {
		if e.Kind == model.EntrySize && e.Index > b.Fill.Index {
			return e
		}
		readings := e.Size.Readings()
		if (e.Kind == model.EntrySize || e == b.Fill) && slices.ContainsFunc(readings[:], func(r *model.Reading) bool { return r.State == model.Measured || r.State == model.Ditto }) {
			return nil
		}
	}
	return nil
}

// sameLook tells whether a row goes on with the look of the row before it: one order may find one
// place firm and another soft.
func sameLook(before, e *model.Entry) bool {
	return before != nil && before.Way == e.Way && before.Probe != e.Probe && !slices.ContainsFunc(e.At, func(x float64) bool { return slices.Contains(before.At, x) })
}

// choose returns the cheapest order that settles a bay; where none does, the one that gets furthest
// (further). A tie goes by ties. Where bays share a count, what concerns the count stands on the
// last of them alone.
func (a *advisor) choose(b *Bay, k int, last bool) Order {
	rest := b.besidesFigure()
	shown := b.ProbAtTarget >= a.settings.Confidence
	var all []candidate
	look := a.look(b, k, rest)
	if look.Action != "" {
		all = append(all, candidate{look, shown && onlyDoubts(rest)})
	}
	var blow Order
	if last {
		var settles bool
		if blow, settles = a.blow(b, k, rest); blow.Action != "" {
			all = append(all, candidate{blow, settles})
		}
		if len(rest) == 0 && !shown {
			all = append(all, a.measure(b, k), a.wait(k))
		}
	}
	best := candidate{}
	for _, c := range all {
		if c.Action == "" || !c.settles {
			continue
		}
		if best.Action == "" || c.Minutes < best.Minutes || c.Minutes == best.Minutes && slices.Index(ties, c.Action) < slices.Index(ties, best.Action) {
			best = c
		}
	}
	// A new hole needs its place, which the look may find.
	if best.Action == ActBlow && a.looksFirst(b, look) {
		return look
	}
	if best.Action != "" {
		return best.Order
	}
	return a.further(b, k, last, look, blow)
}

// looksFirst tells whether a short bay that stalled is looked into before a hole is made for it: it
// has a void somewhere, or a size or the count is wrong, and a new hole needs its place. Netting is
// slit in a minute: there it is blown into at once, and pressed after.
func (a *advisor) looksFirst(b *Bay, look Order) bool {
	if b.Verdict != Add || !b.Bay.Stalled() || b.Bay.Section.OpenFace() || look.Action == "" || find(b.Reasons, ProbeSoft) != nil {
		return false
	}
	return !slices.ContainsFunc(b.Bay.Rows, func(e *model.Entry) bool { return e.Probe != model.ProbeNone && inForce(b.Bay, e) })
}

// further returns what is done where nothing settles a bay by itself: what brings it on, each thing
// once, in an order that depends on the verdict and on what leads; a person's decision last.
func (a *advisor) further(b *Bay, k int, last bool, look, blow Order) Order {
	lead := leading(b.Reasons)
	recount := Order{Action: ActRecount, For: b.Reasons[0].Code, Minutes: cost(recounting), Data: []Datum{named("what", "bay")}}
	if recounted(b) || !last {
		recount = Order{}
	}
	measure := Order{}
	if taken, _ := a.takenOver(b, k); taken != "" {
		measure = again(b.Reasons[0].Code, taken, 1)
	} else if dim := a.weakest(b); dim != "" {
		measure = again(b.Reasons[0].Code, dim, 3)
	}
	var steps []Order
	switch {
	case b.Verdict == Add && a.looksFirst(b, look):
		steps = []Order{look, blow, measure, recount}
	case b.Verdict == Add && b.Bay.Section.OpenFace():
		steps = []Order{blow, look, measure, recount}
	case b.Verdict == Probe && (lead.Code == OverFull || lead.Code == CoreDisagrees):
		steps = []Order{measure, recount}
		if lead.Code == CoreDisagrees {
			steps = []Order{recount, {Action: ActLook, For: CoreDisagrees, Minutes: cost(coring), Data: []Datum{named("with", "core")}}}
		}
	case b.Verdict == Probe && lead.Code != ProbeSoft:
		steps = []Order{look, blow}
	case b.Verdict == Probe:
		steps = []Order{blow, look}
	default:
		steps = []Order{blow, measure, recount, look}
	}
	for _, o := range steps {
		if o.Action != "" {
			return o
		}
	}
	if !last && b.Verdict != Probe {
		return Order{} // it stands on the last bay of the count
	}
	return a.decide(b)
}

// besidesFigure returns the reasons that stand and do not rest on the bay's figure.
func (b *Bay) besidesFigure() (out []*Reason) {
	for i := range b.Reasons {
		switch r := &b.Reasons[i]; {
		case r.IsAnswered(), r.Code == Short, r.Code == NotShown, r.Code == NoMaterial, r.Code == StallUnsaid:
		default:
			out = append(out, r)
		}
	}
	return out
}

// onlyDoubts tells whether looks answer all of some reasons.
func onlyDoubts(rest []*Reason) bool {
	return !slices.ContainsFunc(rest, func(r *Reason) bool { return len(r.doubt) == 0 || r.Code == ProbeSoft && !r.blown })
}

// recounted tells whether what went in was stated anew.
func recounted(b *Bay) bool {
	return slices.ContainsFunc(b.Bay.Rows, func(e *model.Entry) bool { return e.Kind == model.EntryAmend })
}

// measuredAgain tells whether a dimension was read again after the fill, or at three places.
func (b *Bay) measuredAgain(dimension string) bool {
	names, sheet := model.SizeNames(), roofSheet(b.Bay)
	i := slices.Index(names[:], dimension)
	if r := b.Bay.Pieces[0].Readings()[i]; r.State == model.Measured && len(r.Values) >= 3 {
		return true
	}
	return slices.ContainsFunc(b.Bay.Rows, func(e *model.Entry) bool {
		return e.Kind == model.EntrySize && b.Bay.Fill != nil && e.Index > b.Bay.Fill.Index && e != sheet && e.Size.Readings()[i].State == model.Measured
	})
}

// weakest returns the dimension that most of a bay's uncertainty by its sizes comes from, of those
// that were not read again yet; empty where all were, or where it is the length, which is not read
// wrong by as much as would matter.
func (a *advisor) weakest(b *Bay) string {
	best, most := "", 0.0
	for _, dim := range []string{"depth", "width", "length"} {
		if b.Bay.Pieces[0].Shape == model.ShapeRound && dim == "depth" || b.measuredAgain(dim) {
			continue
		}
		if s := shareOf(b, dim); best == "" && dim == "depth" || s > most {
			best, most = dim, s
		}
	}
	if best == "length" || best == "width" && b.measuredAgain("depth") { // a length is not read wrong by as much as would matter
		return ""
	}
	return best
}

// unsaid tells whether a word about the stall comes before any work: where nobody spoke of it yet,
// the bay is not held by anything else, and is not short whatever is said. It makes a count
// two-sided and lets the crew's other bays speak for it.
func (b *Bay) unsaid() bool {
	r := stands(b.Reasons, StallUnsaid)
	if r == nil || b.Bay.StallSaid() != model.Unsaid || held(b.Reasons) != nil || stands(b.Reasons, NoMaterial) != nil {
		return false
	}
	return b.Verdict == Measure || b.Verdict == Add && r.Data[1].Value > 1-b.Bay.Section.Settings.Confidence
}

// measure returns the candidate to measure: the sizes that were taken over, all in one go; where
// none was, the one whose scatter brings most, at three places more. Its scatter's variance is the
// dimension's share of U² less the tape's part, of which three quarters fall away (four readings
// instead of one).
func (a *advisor) measure(b *Bay, k int) candidate {
	l := &a.lots[k]
	if taken, less := a.takenOver(b, k); taken != "" {
		return candidate{again(NotShown, taken, 1), a.finer(k, crew.Change{Var: -less}) >= a.settings.Confidence}
	}
	var best candidate
	most := 1e-9 * l.U * l.U
	for d := measure.Width; d < measure.Bulge; d++ {
		if b.measuredAgain(d.String()) {
			continue
		}
		tape := square(l.Tape(d))
		if d == measure.Depth {
			tape = (1-measure.CommonShare)*tape + l.Shared*l.Shared
		}
		if less := 0.75 * (shareOf(b, d.String())*l.U*l.U - tape); less > most {
			most = less
			best = candidate{again(NotShown, d.String(), 3), a.finer(k, crew.Change{Var: -less}) >= a.settings.Confidence}
		}
	}
	return best
}

// takenOver returns the dimensions that a bay took over from the one above and that nobody measured
// since, with ", " between, and the variance in (kg/m³)² that falls away once they are measured;
// empty where nothing would.
func (a *advisor) takenOver(b *Bay, k int) (dimensions string, less float64) {
	var names []string
	readings, all := b.Bay.Pieces[0].Readings(), model.SizeNames()
	for d := measure.Width; d < measure.Bulge; d++ {
		if name := d.String(); readings[slices.Index(all[:], name)].State == model.Ditto && !b.measuredAgain(name) {
			names, less = append(names, name), less+square(a.lots[k].Taken(d))
		}
	}
	if less <= 1e-9*square(a.lots[k].U) {
		return "", 0
	}
	return strings.Join(names, ", "), less
}

// wait returns the candidate to wait for the section's bays to come: it settles the bay where the
// section, judged again with them, says so (leftOpen).
func (a *advisor) wait(k int) candidate {
	if a.ifOpen == nil || a.filled >= mostToCome {
		return candidate{}
	}
	until := num("until", float64(a.filled+a.toCome), Number)
	return candidate{Order{Action: ActWait, For: NotShown, Data: []Datum{until, num("prob", a.ifOpen[k], Probability)}}, a.ifOpen[k] >= a.settings.Confidence}
}

// hole returns what making a hole in a bay's face takes, by the section; nil where none is made.
func (a *advisor) hole(kind work) []work {
	switch a.of.HowHoles() {
	case "no":
		return nil
	case "slit":
		return []work{slitting}
	case "ask":
		if kind == drilling {
			return []work{finishedFace}
		}
	}
	return []work{kind}
}

// moved tells whether another bay was filled since: hose and ladder stand there.
func (a *advisor) moved(b *Bay) bool {
	return b.Bay.Order < a.job.filled
}

// missing returns where material is missing if any is: as much of the bay as the reading leaves
// empty, 1 − density/mean, a throw at least, at the far end.
func (a *advisor) missing(b *Bay, k int, t *tube) []stretch {
	mean := a.out.Mean
	if math.IsNaN(mean) {
		mean = a.settings.Aim
	}
	return t.far(math.Max((1-a.lots[k].Density/mean)*t.length, t.throw))
}

// blow returns the order to blow and whether it settles the bay: the least mass, in whole pounds or
// kilograms, after which the bay is CLOSE when its section is judged again with it (judgedAs), the
// most before one stops and looks, up to the ceiling, and where. closingMass says where to begin,
// by the predictive distribution. Nothing where some was blown in already, where no hole may be
// made, or where the least is over the most.
func (a *advisor) blow(b *Bay, k int, rest []*Reason) (Order, bool) {
	l := &a.lots[k]
	t := tubeOf(b.Bay)
	o := Order{Action: ActBlow, For: b.Reasons[0].Code, Minutes: cost(toppingUp)}
	if a.moved(b) {
		o.Minutes = cost(hoseMoved)
	}
	doubt := a.missing(b, k, &t)
	for _, r := range rest {
		if len(r.doubt) > 0 && !(r.Code == ProbeSoft && r.blown) {
			doubt, o.For = r.doubt, r.Code
			if r.Code == ProbeSoft {
				break
			}
		}
	}
	soft := o.For == ProbeSoft
	hole := math.NaN()
	if (b.Bay.Stalled() || soft) && len(doubt) > 0 { // a stalled bay does not take the fill tube back
		if hole = t.newHole(doubt[len(doubt)-1]); t.atTop() {
			hole = t.newHole(doubt[0])
		}
		makes := a.hole(drilling)
		if math.IsNaN(hole) || makes == nil {
			return Order{}, false
		}
		hole = t.alsoFor(hole, rest)
		o.Minutes += cost(makes...)
	}
	if toppedUp(b, soft) {
		return Order{}, false
	}
	unit := model.Pound
	if b.Bay.Section.Settings.Units == model.SI {
		unit = 1
	}
	most := math.Floor((a.settings.Ceiling*l.Volume-l.Mass)/unit+1e-9) * unit
	least := math.Ceil(math.Max(LeastBlow, a.settings.WeighWithin)/unit-1e-9) * unit
	if b.ProbAtTarget < a.settings.Confidence {
		least = math.Max(least, a.closingMass(k, unit, most))
	}
	var left []Code
	p := math.NaN()
	// closingMass took the other bays as they were. Judged anew they may say otherwise; then it
	// takes a little more.
	for ; least <= most; least += unit {
		if p, left = a.judgedAs(k, blownLot(l, least, a.settings.WeighWithin)); p >= a.settings.Confidence {
			break
		}
	}
	if !(least <= most) { // NaN too
		return Order{}, false
	}
	o.Data = []Datum{num("mass", least, Mass), num("mass_most", most, Mass), num("bags", least/a.bag, Bags), num("hole", hole, Length)}
	settles := p >= a.settings.Confidence && len(left) == 0
	for _, r := range rest {
		switch r.Code {
		case Reach, NoStall: // one hole answers one length
			settles = settles && (math.IsNaN(hole) || len(t.blown(r.doubt, hole)) == 0)
		case ShortOfCrew, NeighbourSwap: // recomputed
		default:
			settles = false
		}
	}
	return o, settles
}

// toppedUp tells whether material was blown in already; of a place that was found soft or empty,
// since it was. What took less than was needed is measured and counted again, and looked into.
func toppedUp(b *Bay, soft bool) bool {
	since := 0
	if soft { // what was found later than the last top-up asks for another
		for _, e := range b.Bay.Rows {
			if isSoft(e.Probe) && inForce(b.Bay, e) {
				since = e.Index
			}
		}
	}
	return slices.ContainsFunc(b.Bay.Rows, func(e *model.Entry) bool {
		return e.Kind == model.EntryTopup && inForce(b.Bay, e) && e.Index > since
	})
}

// closingMass returns the least mass in kg, weighed and in whole units of so many kg, that would
// bring lot k to the confidence by what the other bays predict, by bisection: more mass makes the
// target surer, up to the ceiling, above which material goes elsewhere. NaN where none up to most
// does. A less certain total leans more on the crew and may for that alone look surer; so the mass
// must do with an exact scale too.
func (a *advisor) closingMass(k int, unit, most float64) float64 {
	l, st := &a.lots[k], a.settings
	closes := func(units int) bool {
		for _, within := range []float64{st.WeighWithin, 0} {
			mass := float64(units) * unit
			change := blown(l, mass, within)
			if change.Odds = a.oddsAfter(k, mass); a.prob(k, change) < st.Confidence {
				return false
			}
		}
		return true
	}
	// Bisection: more mass makes the target surer, up to the ceiling, above which material goes
	// elsewhere.
	units := int(math.Max(math.Round(most/unit), 0))
	if n := sort.Search(units+1, closes); n <= units {
		return float64(n) * unit
	}
	return math.NaN()
}

// oddsAfter returns the factor on the odds of a bad bay that so many kg more bring: a stalled lot
// that takes more than a full one would was not like the rest. A place that was found is looked at
// again, which takes them off.
func (a *advisor) oddsAfter(k int, mass float64) float64 {
	l := &a.lots[k]
	if a.result == nil || tookSince(l, a.bag, a.step)+mass <= fullTakes(l, a.settings) {
		return 1
	}
	if odds := a.job.given[a.place].Seen.Odds; odds != nil && odds[k] > 1 { // counted already
		return 1
	}
	for _, b := range l.Bays {
		if b.Stalled() && !slices.ContainsFunc(b.Rows, func(e *model.Entry) bool { return isSoft(e.Probe) && inForce(b, e) }) {
			return crew.TakesMore
		}
	}
	return 1
}

// blown returns the change that so many kg more make, weighed to ± within kg: density + mass/V; the
// sizes' part of the variance, which is relative, grows by the square of the density's ratio, and
// the weighing adds (within/V)²/3.
func blown(l *measure.Lot, mass, within float64) crew.Change {
	add := mass / l.Volume
	grow := 0.0
	if l.Density > 0 {
		grow = square(1+add/l.Density) - 1
	}
	return crew.Change{Add: add, Var: l.Own*l.Own*grow + square(within/l.Volume)/3}
}

// blownLot returns the lot with so many kg more, as blown has it; what depths share grows with the
// density.
func blownLot(l *measure.Lot, mass, within float64) measure.Lot {
	out, change := *l, blown(l, mass, within)
	out.Mass, out.Density = l.Mass+mass, l.Density+change.Add
	if l.Density > 0 {
		out.Shared = l.Shared * out.Density / l.Density
	}
	out.Own = math.Sqrt(l.Own*l.Own + change.Var)
	out.U = math.Sqrt(l.U*l.U + change.Var + out.Shared*out.Shared - l.Shared*l.Shared)
	return out
}

// judgedAs judges a section again with lot k as l: the probability of that lot, and what the crew's
// other bays then say against it. Under rule guarded the lot by itself.
func (a *advisor) judgedAs(k int, l measure.Lot) (prob float64, left []Code) {
	if a.result == nil {
		return l.ProbAtLeast(a.settings.Target), nil
	}
	s := a.job.given[a.place]
	s.Lots = slices.Clone(s.Lots)
	if odds := a.oddsAfter(k, l.Mass-s.Lots[k].Mass); odds > 1 {
		if s.Seen.Odds = slices.Clone(s.Seen.Odds); s.Seen.Odds == nil {
			s.Seen.Odds = slices.Repeat([]float64{1}, len(s.Lots))
		}
		s.Seen.Odds[k] *= odds
	}
	s.Lots[k] = l
	r := a.result.Again(&s)
	p := &r.Lots[k]
	if p.Over > crew.OverAbove {
		left = append(left, OverFull)
	}
	if p.ShortOfCrew() {
		left = append(left, ShortOfCrew)
	}
	for _, pair := range r.Pairs {
		if pair.Low == k || pair.High == k {
			left = append(left, NeighbourSwap)
		}
	}
	return p.ProbAtTarget, left
}
