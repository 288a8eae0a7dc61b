// Verdicts as they stood when rows were logged.
//
// What a crew could know at a row is found by putting the rows up to it together (model.Beginnings)
// and judging that job as any job is judged. Nothing of a past verdict is stored, so that it cannot
// be changed afterwards: it follows from the log. What is wanted of all beginnings is gathered
// first and told in the log's order, so that each beginning is put together from the one before; of
// its sections and bays only those are judged that are asked about.

package verify

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"unicode"

	"bayproof/model"
	"bayproof/verify/crew"
)

// history fills in the verdicts as they stood when rows were logged. Where the order of the rows is
// in doubt there is no past to be had; what an amendment replaced is known all the same.
func (c *check) history() {
	if c.opts.Closings {
		for i := range c.found.Bays {
			b := &c.found.Bays[i]
			if made := amendments(b.Bay); made != nil {
				c.further(b).Amended = made
			}
		}
	}
	if c.job.OrderDoubtful {
		return
	}
	p := past{whole: c}
	for i := range c.found.Bays {
		b := &c.found.Bays[i]
		p.closings(b, i)
		if c.opts.Closings {
			p.amendments(b, i)
			p.gone(b, i)
		}
		if c.opts.Logged && b.State != NotFilled && b.State != Struck {
			p.logged(b, i)
		}
	}
	p.tell()
}

// past judges beginnings of the log: first what is wanted of them is gathered (ask), then it is
// told (tell).
type past struct {
	whole  *check
	wanted []wanted
	then   *check
	memory crew.Memory // what the sections said at the beginning before: most have changed nothing since
	// Of then's sections and bays only those are judged that are asked about.
	decided []bool         // by section
	judged  []int          // bays
	given   []crew.Section // what rule process is told; nil before it is asked
}

// wanted is a bay of the job as it stood after the first rows, and what is done with it.
type wanted struct {
	rows, bay int
	with      func(then *Bay) // nil where it was not known then; good until with returns
}

// ask wants bay i as it stood after the first n rows. A `closed` row says nothing about a verdict:
// the rows before it make the same beginning.
func (p *past) ask(n, i int, with func(then *Bay)) {
	for n > 0 && p.whole.job.Log[n-1].Kind == model.EntryClosed {
		n--
	}
	p.wanted = append(p.wanted, wanted{n, i, with})
}

// tell gives what was asked for, beginning by beginning.
func (p *past) tell() {
	if p.wanted == nil {
		return
	}
	slices.SortStableFunc(p.wanted, func(a, b wanted) int { return cmp.Compare(a.rows, b.rows) })
	log, rows := p.whole.job.Beginnings(), -1
	for _, w := range p.wanted {
		if w.rows != rows {
			rows = w.rows
			p.begin(log.Upto(rows), log.Changed)
		}
		w.with(p.at(w.bay))
	}
}

// begin measures a beginning of the log, of which only sections that changed tells are otherwise
// than in the one before. Bags that were loaded, left and counted as empties are settings of the
// finished job: at that time nobody knew them.
func (p *past) begin(job *model.Job, changed func(*model.Section) bool) {
	if p.then == nil {
		p.then = newCheck(job, Options{Codes: p.whole.opts.Codes})
		p.then.uncounted = true
	}
	then := p.then
	for _, i := range p.judged {
		then.found.Bays[i] = Bay{}
	}
	then.measure(job, changed)
	then.found.Bays = append(then.found.Bays, make([]Bay, max(len(job.Bays)-len(then.found.Bays), 0))...)
	p.decided, p.judged, p.given = model.Cleared(p.decided, len(job.Sections)), p.judged[:0], nil
	then.empties()
	then.boxes()
}

// at returns bay i of the job as it stood then; nil where it was not known. It may have had another
// place among the bays: those that are left on purpose have none.
func (p *past) at(i int) *Bay {
	then, now := p.then, p.whole.job.Bays[i]
	same := func(b *model.Bay) bool { return b.Section == now.Section && b.Name == now.Name }
	if bays := then.job.Bays; i >= len(bays) || !same(bays[i]) {
		if i = slices.IndexFunc(bays, same); i < 0 {
			return nil
		}
	}
	if s := then.measured.SectionOf(i); !p.decided[s] {
		p.decided[s] = true
		guarded(&then.sections[s])
		if then.rule == model.RuleProcess {
			if p.given == nil {
				p.given = then.fillGiven()
				for i := range p.given {
					p.given[i].Version = then.sections[i].version // another check has numbers of its own
				}
			}
			r := p.memory.Judge(p.given, then.jobTotal, s)
			then.takeResult(s, &r)
		}
	}
	if then.found.Bays[i].Bay == nil {
		p.judged = append(p.judged, i)
		then.judgeBay(i)
	}
	return &then.found.Bays[i]
}

// standing turns a bay as it stood into what is kept of it.
func standing(row *model.Entry, b *Bay) Closing {
	none := math.NaN()
	c := Closing{Row: row, Density: none, ProbAtTarget: none, mass: none, volume: none, couldHide: none}
	if b == nil {
		return c
	}
	c.Verdict, c.Density, c.ProbAtTarget = b.Verdict, b.Density, b.ProbAtTarget
	c.mass, c.volume, c.couldHide = b.Mass, b.Volume, b.CouldHide
	for i := range b.Reasons {
		if r := &b.Reasons[i]; !r.IsAnswered() {
			c.Codes = append(c.Codes, r.Code)
		}
	}
	return c
}

// closings keeps the verdict at each `closed` row.
func (p *past) closings(b *Bay, i int) {
	if len(b.Bay.Closed) == 0 {
		return
	}
	known := p.whole.further(b)
	for _, e := range b.Bay.Closed {
		p.ask(e.Index+1, i, func(then *Bay) { known.Closings = append(known.Closings, standing(e, then)) })
	}
}

// logged keeps the verdict right after the fill was logged; of bays that share a count, after the
// last of them, as only then there was a figure. Its row is that one: after an earlier row the log
// said that the bay was not filled.
func (p *past) logged(b *Bay, i int) {
	row := b.Bay.Fill
	for _, o := range b.Bay.SharedWith {
		if o.Fill != nil && o.Fill.Index > row.Index {
			row = o.Fill
		}
	}
	known := p.whole.further(b)
	p.ask(row.Index+1, i, func(then *Bay) {
		logged := standing(row, then)
		known.Logged = &logged
	})
}

// amendments pairs each `amend` row of a bay, and each fill after one that was taken back, with the
// row that it replaced. The verdicts are unknown yet.
func amendments(b *model.Bay) []Amendment {
	var out []Amendment
	var last *model.Entry // the fill that an amend replaces
	for _, e := range b.Rows {
		switch e.Kind {
		case model.EntryFill:
			if last != nil { // the one before it was taken back: typed anew once its verdict was known
				out = append(out, Amendment{Row: e, Replaced: last, OldDensity: math.NaN(), NewDensity: math.NaN(), Minutes: minutesBetween(last, e)})
			}
			last = e
		case model.EntryAmend:
			out = append(out, Amendment{Row: e, Replaced: last, OldDensity: math.NaN(), NewDensity: math.NaN(), Minutes: minutesBetween(last, e)})
			last = e
		}
	}
	return out
}

// amendments sets the verdict before each `amend` row beside the one after it.
func (p *past) amendments(b *Bay, i int) {
	for k := range b.Amended {
		a := &b.Amended[k]
		before := a.Row.Index
		if a.Row.Kind == model.EntryFill { // what stood before it was taken back
			before = a.Replaced.Index + 1
		}
		p.ask(before, i, func(then *Bay) {
			old := standing(a.Row, then)
			a.OldVerdict, a.OldDensity = old.Verdict, old.Density
		})
		p.ask(a.Row.Index+1, i, func(then *Bay) {
			now := standing(a.Row, then)
			a.NewVerdict, a.NewDensity = now.Verdict, now.Density
		})
	}
}

// minutesBetween returns the time from one row to a later one in minutes; NaN where either has
// none. In an amendment it tells a slip that was mended on the spot from a figure that was changed
// once the verdict was known.
func minutesBetween(from, to *model.Entry) float64 {
	if from == nil || from.Time.IsZero() || to.Time.IsZero() {
		return math.NaN()
	}
	return to.Time.Sub(from.Time).Minutes()
}

// gone brings back, as answered, suspicions that stood before an amended or a lost entry and went
// away with it: whoever amends an entry or books a loss would otherwise make a suspicion go away
// without a trace.
func (p *past) gone(b *Bay, i int) {
	for _, e := range b.Bay.Rows {
		answer := ByAmend
		switch {
		case e.Kind == model.EntryLost && inForce(b.Bay, e):
			answer = ByLost
		case e.Kind != model.EntryAmend || !inForce(b.Bay, e):
			continue
		}
		var before []Reason
		p.ask(e.Index, i, func(then *Bay) {
			if then != nil {
				before = then.Reasons
			}
		})
		p.ask(e.Index+1, i, func(after *Bay) {
			if after == nil {
				return
			}
			for _, r := range before {
				if isSuspicion(r.Code) && !r.IsAnswered() && find(after.Reasons, r.Code) == nil && find(b.Reasons, r.Code) == nil {
					r.Answered = Answer{Code: answer, Row: e}
					b.Reasons = append(b.Reasons, r)
				}
			}
		})
	}
}

// commit keeps what a bay stood at when it was closed on CLOSE: that the crew's figures moved since
// is no reason to open it. What it would read today stands beside it. What is learned of this bay
// itself since then, and totals that contradict the counts, ask about it again; so does what is
// found in a bay after a person decided about it.
func (c *check) commit() {
	for i := range c.found.Bays {
		b := &c.found.Bays[i]
		b.VerdictToday, b.ProbToday = b.Verdict, b.ProbAtTarget
		if n := len(b.Closings); b.State == Closed && n > 0 && b.Closings[n-1].Verdict == Close {
			b.stand(&b.Closings[n-1])
		}
		if d := b.Bay.Decided; d != nil && b.Judged() {
			if code, row := b.learned(d.Index + 1); code != "" || b.Further != c.nothing {
				known := c.further(b)
				known.Reopened, known.ReopenedBy = code, row
				b.noPassing()
			}
		}
	}
}

// noPassing keeps a bay with a hazard in it from CLOSE: a person decides, and that stays to be
// seen.
func (b *Bay) noPassing() {
	if b.Reopened == ReHazard && b.Verdict == Close {
		b.Verdict, b.VerdictToday = Measure, Measure
	}
}

// stand lets a bay stand at what it was closed on, unless something asks about it again: a hazard,
// something found, its own mass or volume changed by more than 1e-9, or totals that contradict the
// counts. A bay that is CLOSE today all the same is asked about only for a hazard.
func (b *Bay) stand(at *Closing) {
	same := func(then, now float64) bool { return math.Abs(now-then) <= 1e-9*math.Abs(then) }
	b.Reopened, b.ReopenedBy = b.learned(at.Row.Index)
	switch {
	case b.Reopened == ReHazard:
		b.noPassing()
	case b.Reopened != "":
	case stands(b.Reasons, CoreDisagrees) != nil: // it did not then
		b.Reopened = ReFound
	case !same(at.mass, b.Mass) || !same(at.volume, b.Volume):
		b.Reopened = ReAmended
	case stands(b.Reasons, TotalsShort) != nil:
		b.Reopened = ReTotals
	default:
		b.Verdict, b.ProbAtTarget, b.CouldHide = Close, at.ProbAtTarget, at.couldHide
	}
	if b.Verdict == Close { // what was found was answered since, what was amended is CLOSE too
		b.Reopened, b.ReopenedBy = "", nil
	}
}

// learned returns what the rows of a bay from the one with this index on found in it, and the row:
// first of all what is no place for material, then a look that found something or a word about its
// filling that speaks against it; empty where they found nothing.
func (b *Bay) learned(since int) (code Code, by *model.Entry) {
	for _, e := range b.Bay.Rows {
		if e.Index < since || !inForce(b.Bay, e) {
			continue
		}
		if hazardous(e) {
			return ReHazard, e
		}
		filling := e.Stall == model.No && stands(b.Reasons, NoStall) != nil || e.Stall == model.Doubtful || len(e.Reach) > 0 && stands(b.Reasons, Reach) != nil
		switch {
		case code == "" && isSoft(e.Probe):
			code, by = ReFound, e
		case code == "" && filling:
			code, by = ReAmended, e
		}
	}
	return code, by
}

// hazardous tells whether a row speaks of what is no place for material: a rod that stopped at
// anything but a block, or a note that names it without a word of denial in the four words before.
func hazardous(e *model.Entry) bool {
	for _, s := range e.Stops {
		if s.What != model.StopBlock {
			return true
		}
	}
	if e.Kind == model.EntryDecided {
		return false // who decides knows of it
	}
	words := strings.FieldsFunc(strings.ToLower(e.Note), func(r rune) bool { return !unicode.IsLetter(r) })
	for i, w := range words {
		if hazardWords[w] && !slices.ContainsFunc(words[max(i-4, 0):i], func(w string) bool { return w == "no" || w == "not" || w == "never" || w == "without" || w == "sin" }) {
			return true
		}
	}
	return false
}

// hazardWords are the words of a note that name a leak, wet framing, a flue, a live wire or a duct,
// as crews write them; in Spanish from memory.
var hazardWords = func() map[string]bool {
	words := map[string]bool{}
	for _, w := range strings.Fields("leak leaks leaking leaked leaky wet damp moist moisture flue flues chimney wire wires wiring knob duct ducts return vent " +
		"fuga gotera goteras goteo mojado mojada húmedo humedad chimenea cable cables alambre alambres ducto ductos") {
		words[w] = true
	}
	return words
}()
