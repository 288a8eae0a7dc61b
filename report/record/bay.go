package record

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
)

// What the page says of one bay. The row of the table is for finding a bay and acting on it; the
// card is for whoever doubts the verdict: all figures, every reading, every row as it was written,
// what answered a reason and how the verdict changed.

// Do says what can be done about a bay in two minutes; of a bay that may be closed, what that rests
// on.
func (b *bay) Do() string {
	switch {
	case b.State == verify.Struck:
		return "withdrawn"
	case b.State == verify.NotFilled:
		return "no material in the log yet"
	// A bay that is open asks for an action; the cases below are those of CLOSE.
	case b.Verdict != verify.Close:
		return b.p.Now(b.judged)
	case b.Basis == verify.Crew:
		return joined("; ", joined(": ", "with the crew's help", b.p.Crew(b.judged)), b.agreeing())
	case b.Basis == verify.OfJob:
		return joined("; ", joined(": ", "with the help of the job's other sections", b.p.Crew(b.judged)), b.agreeing())
	}
	return joined("; ", "by its own count", b.agreeing())
}

// Brief is Do in a line of a list; the card has it whole.
func (b *bay) Brief() string { return cmp.Or(when(b.Judged(), b.p.BriefNow(b.judged)), b.Do()) }

// agreeing counts the cores that agree with a bay's count, and the looks into it; empty where there
// are none.
func (b *bay) agreeing() string {
	cores, looks := count(b.Cores, func(c verify.Core) bool { return c.Agrees == model.Yes }), len(b.looks())
	return joined("; ", when(cores == 1, "a core agrees"), when(cores > 1, fmt.Sprintf("%d cores agree", cores)),
		when(looks > 0, plural(looks, "look", "looks")))
}

// Usual tells whether there is nothing to tell of a bay but its figures: CLOSE from its filling on,
// no reason, no look, core or photo, no row that is no longer in force. On paper its card leaves
// out what the table of bays says already.
func (b *bay) Usual() bool {
	if !b.Judged() || b.Verdict != verify.Close || len(b.Reasons)+len(b.Cores)+len(b.looks())+len(b.Bay.Dead)+len(b.Photos()) > 0 {
		return false
	}
	return !slices.ContainsFunc(b.Closings, func(c verify.Closing) bool { return c.Verdict != verify.Close })
}

// Why are the reasons that nothing has answered, but for those that the row's figures say already.
func (b *bay) Why() string {
	if !b.Judged() || b.Verdict == verify.Close {
		return ""
	}
	var out []string
	for _, r := range b.Reasons {
		if !r.IsAnswered() && !say.InEvidence(r.Code) {
			out = append(out, b.p.reason(r))
		}
	}
	return strings.Join(out, "; ")
}

// Dense, Sure and Hides are a bay's cells in the table of bays; a dash where it has no verdict.
// Dense is its density with the interval.
func (b *bay) Dense() string { return orBlank(when(b.Judged(), b.reads())) }

// Sure is the probability that decides, rounded down.
func (b *bay) Sure() string {
	return orBlank(when(b.Judged(), percent(b.ProbAtTarget, b.set.Confidence)))
}

// Hides is the longest empty length that the bay's reading still allows.
func (b *bay) Hides() string { return orBlank(when(b.Judged(), b.p.length(b.CouldHide))) }

// Evidence says in one line what a bay reads, how the crew's others run, and how sure that makes
// the verdict.
func (b *bay) Evidence() string {
	return when(b.Judged(), firstUpper(b.p.Evidence(b.judged)))
}

// Next says what would have settled this bay, for the next one.
func (b *bay) Next() string { return b.p.NextBay(b.judged) }

// Figures are a bay's quantities with their uncertainty, each where it is known: density with its
// expanded interval, standard uncertainty and effective degrees of freedom; both probabilities of
// being at the target, from its own measurement and as decided; then what would bring it to the
// aim, what may be empty, what could be empty unseen, and the shares of the variance. A bay without
// a verdict has its volume at most.
func (b *bay) Figures() []fact {
	p, unit := b.p, " "+b.p.unit(verify.Density)
	// Texts of figures that are unknown are made too and then left out: making them costs nothing
	// and cannot fail.
	volume := fact{"Volume", p.Volume(b.Volume)}
	if !b.Judged() {
		volume.Value = when(!unknown(b.Volume), volume.Value)
		return given(volume)
	}
	basis := ", own count"
	switch b.Basis {
	case verify.Crew:
		basis = ", with the crew"
	case verify.OfJob:
		basis = ", with the job's other sections"
	}
	// The interval stands beside the density as its ±; where it cannot be stated that is said.
	interval := when(unknown(b.half()), "not known")
	// One count for several bays: a figure of theirs is one figure, and whoever checks it looks at
	// all of them.
	var sharing []string
	for _, o := range b.Bay.SharedWith {
		sharing = append(sharing, brief(o.Name))
	}
	alone, decided := percent(b.ProbMeasured, b.set.Confidence), percent(b.ProbAtTarget, b.set.Confidence)+basis
	both := ""
	if decided == alone+", own count" { // one figure, said once
		alone, decided, both = "", "", decided
	}
	return given(
		volume,
		fact{"Mass", p.Mass(b.Mass, nan())},
		fact{"Bags", when(!unknown(b.Bags), bags(b.Bags))},
		fact{"Density", b.reads() + unit},
		fact{firstUpper(level(b.Level)), interval},
		fact{"Standard uncertainty", p.density(b.U, nan(), nan()) + unit + ", " + freedom(b.DOF)},
		fact{"At target, measured alone", alone},
		fact{"At target, as decided", decided},
		fact{"At target", both},
		fact{"Read today, without its closing", b.today()},
		fact{"To add, to the aim", when(!unknown(b.AddMass), p.Mass(b.AddMass, nan()))},
		fact{"Empty length", when(b.suspected(), p.Length(b.EmptyLength)+" ("+p.LengthRange(b.EmptyLengthLo, b.EmptyLengthHi)+")")},
		fact{"Could hide", when(!unknown(b.CouldHide), "a gap of "+p.Length(b.CouldHide))},
		fact{"Shares its count with", nameList(sharing)},
		fact{"Uncertainty from", budgetLine(b.Budget)},
	)
}

// today is what a bay that was closed on CLOSE would be on the log as it stands now; empty where
// that is what it is.
func (b *bay) today() string {
	now := verdictMark(b.VerdictToday).Word + ", " + percent(b.ProbToday, b.set.Confidence)
	n := len(b.Closings)
	frozen := b.State == verify.Closed && n > 0 && b.Closings[n-1].Verdict == verify.Close
	return when(frozen && now != b.Word+", "+percent(b.ProbAtTarget, b.set.Confidence), now)
}

// Sizes lists the readings in force, piece by piece, then what was said about the filling, what
// each core reads beside the bags, those that agree too, and the looks.
func (b *bay) Sizes() []fact {
	var out []fact
	for i := range b.Bay.Pieces {
		piece := b.Bay.Pieces[i]
		// Later pieces are added to the bay or taken from it; a shape that nobody said is a box.
		what := piece.Shape.String()
		if piece.Shape == model.ShapeUnsaid {
			what = model.ShapeBox.String()
		}
		switch {
		case piece.Less:
			what = "less " + what
		case i > 0:
			what = "and " + what
		}
		from := "the bay itself" // where a piece's sizes come from that were not measured
		if i == 0 && b.Bay.From != nil {
			from = b.Bay.From.Name
		}
		var parts []string
		for k, name := range model.SizeNames() {
			if r := piece.Readings()[k]; r.State != model.Absent {
				parts = append(parts, name+" "+b.p.reading(r, strings.HasPrefix(name, "length"), from))
			}
		}
		out = append(out, fact{what, strings.Join(parts, " · ")})
	}
	out = append(out, given(fact{"filled", b.filling()})...)
	for i := range b.Cores {
		out = append(out, fact{b.Cores[i].Core.Kind, b.p.Core(b.judged, &b.Cores[i])})
	}
	for _, e := range b.looks() {
		out = append(out, fact{"look", b.look(e)})
	}
	return out
}

// filling says what the rows in force observed about how the bay was filled: whether the flow
// stalled, how far the tube came, where the holes are, where a rod stopped, what was left in the
// bay before, for how long material ran, and by which machine. The last that was said holds; stops
// add up.
func (b *bay) filling() string {
	var stall, existing string
	var reach, hole, stops []string
	feed := 0.0
	for _, e := range b.Bay.Rows {
		if _, dead := b.Bay.Dead[e]; dead {
			continue
		}
		switch e.Stall {
		case model.Yes:
			stall = "to the stall"
		case model.No:
			stall = "no stall"
		case model.Doubtful:
			stall = "stall in doubt"
		}
		if len(e.Reach) > 0 {
			reach = b.p.lengths(e.Reach)
		}
		if len(e.Hole) > 0 {
			hole = b.p.lengths(e.Hole)
		}
		for _, s := range e.Stops {
			stops = append(stops, b.p.Length(s.At)+" "+model.StopWords()[s.What])
		}
		existing = cmp.Or(e.Existing, existing)
		if e.Feed.Seconds > 0 {
			feed = e.Feed.Seconds
		}
	}
	of := func(before string, list []string) string { return when(list != nil, before+strings.Join(list, ", ")) }
	return joined(" · ", stall, of("tube reached ", reach), of("hole at ", hole), of("rod stopped at ", stops), when(existing != "", "left in it: "+existing),
		when(feed > 0, fmt.Sprintf("fed %d:%02d", int(feed)/60, int(feed)%60)), when(b.Bay.Machine != "", "machine "+b.Bay.Machine))
}

// lengths are places or distances along a bay, each in words.
func (p *page) lengths(list []float64) (out []string) {
	for _, x := range list {
		out = append(out, p.Length(x))
	}
	return out
}

// looks are the rows in force that looked into the bay, whatever they found.
func (b *bay) looks() []*model.Entry {
	return slices.DeleteFunc(slices.Clone(b.Bay.Rows), func(e *model.Entry) bool {
		_, dead := b.Bay.Dead[e]
		return dead || e.Probe == model.ProbeNone
	})
}

// look says what a row found, how, where, under what, who looked and when.
func (b *bay) look(e *model.Entry) string {
	text := e.Probe.String()
	switch e.Way {
	case model.Along:
		text += " along"
	case model.Across:
		text += " across"
	}
	if !unknown(e.Under) && (e.Probe == model.SmokeStill || e.Probe == model.SmokeMoves) {
		text += " at " + number(e.Under, 0) + " Pa"
	} else if !unknown(e.Under) {
		text += ", " + number(e.Under*1.8, 0) + " F between inside and outside"
	}
	text += when(len(e.At) > 0, " at "+strings.Join(b.p.lengths(e.At), ", "))
	return joined("; ", text, joined(", ", e.By, timeOf(e)))
}

// reading writes the mean of a reading and where it comes from, from being the bay that a ditto was
// taken from: lengths in the long unit, all else in the small one.
func (p *page) reading(r *model.Reading, long bool, from string) string {
	mean := p.size(r.Mean())
	if long {
		mean = p.Measured(r.Mean())
	}
	switch {
	case r.State == model.Ditto:
		return mean + " (as " + from + ")"
	case len(r.Values) > 1:
		return fmt.Sprintf("%s (mean of %d: %s)", mean, len(r.Values), r.Raw)
	}
	return mean
}

// logRow is one row of the log, or of cores.csv, as it was written.
type logRow struct {
	File string // empty for the log
	Line int
	Text string
	Dead bool // no longer in force
	Why  string
}

// Rows returns every row about a bay, those no longer in force marked; then those of its cores.
func (b *bay) Rows() []logRow {
	var out []logRow
	for _, e := range b.Bay.Rows {
		text, ok := b.p.raw[model.Source{File: e.Src.File, Line: e.Src.Line}]
		if !ok {
			text = strings.Join(e.Cells, ",")
		}
		// A strike kills all rows of a bay but itself: it is the row that is in force then.
		why, dead := b.Bay.Dead[e]
		out = append(out, logRow{"", e.Src.Line, text, dead || b.Bay.Struck && e.Kind != model.EntryStrike, why})
	}
	for _, c := range b.Cores {
		src := c.Core.Src
		if text, ok := b.p.raw[model.Source{File: src.File, Line: src.Line}]; ok {
			out = append(out, logRow{File: src.File, Line: src.Line, Text: text})
		}
	}
	return out
}

// rawLines returns the lines of the inputs as they were written, by file and line: the record shows
// the rows that somebody wrote, quotes and odd cells included, and not what was read out of them.
// Bytes that are no UTF-8 show as U+FFFD. Lines of a file in UTF-16, in which every other byte is
// NUL, are left out: their rows are shown by their cells.
func rawLines(job *model.Job) map[model.Source]string {
	out := map[model.Source]string{}
	for _, in := range job.Inputs {
		if bytes.IndexByte(in.Raw, 0) >= 0 {
			continue
		}
		for i, line := range bytes.Split(in.Raw, []byte{'\n'}) {
			out[model.Source{File: in.File, Line: i + 1}] = strings.ToValidUTF8(string(bytes.TrimSuffix(line, []byte{'\r'})), "�")
		}
	}
	return out
}

// History tells how the verdict came about: when logged, at each closing, and now; then what was
// amended. Each is what the crew could know at that row: a bay that was closed on MEASURE stays
// seen as such, whatever it is now.
func (b *bay) History() []string {
	if !b.Judged() {
		return nil
	}
	var steps []string
	if b.Logged != nil {
		steps = append(steps, "when logged "+b.closing(*b.Logged))
	}
	for _, c := range b.Closings {
		steps = append(steps, "when closed "+b.closing(c))
	}
	out := []string{firstUpper(strings.Join(append(steps, "now "+b.Word), "; ")) + "."}
	for _, a := range b.Amended {
		if a.Replaced != nil {
			out = append(out, b.amendment(a))
		}
	}
	return out
}

// closing says a verdict as it stood, with its density and the row that it stood at.
func (b *bay) closing(c verify.Closing) string {
	text := verdictMark(c.Verdict).Word
	if !unknown(c.Density) {
		text += " at " + b.p.density(c.Density, b.half(), b.set.Target)
	}
	if c.Row != nil {
		text += fmt.Sprintf(" (line %d)", c.Row.Src.Line)
	}
	return text
}

// afterVerdict marks an amendment that came when a verdict was known.
const afterVerdict = ", after a verdict"

// amendment says what a row changed, with both values as they were written, the minutes between
// where times were logged, and whether a verdict of the bay was known before it: a figure that
// grows after a verdict is worth a second look.
func (b *bay) amendment(a verify.Amendment) string {
	text := fmt.Sprintf("Line %d replaced line %d", a.Row.Src.Line, a.Replaced.Src.Line)
	if !unknown(a.Minutes) {
		text += ", " + plural(int(math.Round(a.Minutes)), "minute", "minutes") + " later"
	}
	// Line numbers tell the order: all rows of a bay stand in one file. A verdict is known once the
	// bay was logged, with its count where that is shared, or closed.
	known := b.Closings
	if b.Logged != nil {
		known = append([]verify.Closing{*b.Logged}, known...)
	}
	if slices.ContainsFunc(known, func(c verify.Closing) bool { return c.Row != nil && c.Row.Src.Line < a.Row.Src.Line }) {
		text += afterVerdict
	}
	var changes []string
	change := func(what, old, now string) {
		if old != now {
			changes = append(changes, what+" "+orBlank(old)+" → "+orBlank(now))
		}
	}
	change("material", a.Replaced.Material.Raw, a.Row.Material.Raw)
	old, now, resized := a.Replaced.Size.Readings(), a.Row.Size.Readings(), false
	for i, name := range model.SizeNames() {
		resized = resized || old[i].State == model.Measured && now[i].State == model.Measured && old[i].Raw != now[i].Raw
		change(name, old[i].Raw, now[i].Raw)
	}
	both := " Both readings of a size count."
	if changes == nil {
		return text + ": material and sizes are the same."
	}
	text += ": " + strings.Join(changes, ", ") + "."
	if !resized {
		return text
	}
	for _, w := range b.p.f.Job.Warnings {
		if w.Code == "size-replaced" && w.Src.Line == a.Row.Src.Line {
			text, both = text+" "+firstUpper(w.Text)+".", ""
		}
	}
	return text + both
}

// interval is the small drawing of a density with its expanded interval against the target, in px.
type interval struct {
	Lo, Hi, Mid, Target, Aim, Ceiling float64
	Section                           string // its id, under which its limits are drawn once
}

// intervalWidth and intervalPad are the drawing's width and the room for its marker, in px.
const (
	intervalWidth = 210.0
	intervalPad   = 7.0
)

// Interval places a bay's density on the stretch that all bays share; nil where it has none. An
// interval that cannot be stated is drawn as none, at the estimate.
func (b *bay) Interval() *interval {
	if !b.Judged() {
		return nil
	}
	at := func(x float64) float64 {
		d := b.p.densities
		return round2(intervalPad + (x-d.lo)/(d.hi-d.lo)*(intervalWidth-2*intervalPad))
	}
	out := &interval{
		Section: b.sectionID, Lo: at(b.Lo), Hi: at(b.Hi), Mid: at(b.Density), Target: at(b.set.Target), Aim: at(b.set.Aim), Ceiling: at(b.set.Ceiling),
	}
	// With too few degrees of freedom there is no interval: the marker stands alone.
	if unknown(b.Lo) || unknown(b.Hi) {
		out.Lo, out.Hi = out.Mid, out.Mid
	}
	return out
}

// span is a stretch of densities, kg/m³.
type span struct{ lo, hi float64 }

// densitySpan covers every interval and the three lines, with a little room: whole half pounds, or
// ten kilograms.
func (p *page) densitySpan() span {
	s := span{math.Inf(1), math.Inf(-1)}
	for i := range p.f.Bays {
		b := &p.f.Bays[i]
		set := &b.Bay.Section.Settings
		at := []float64{set.Target, set.Aim, set.Ceiling}
		if b.Judged() {
			at = append(at, b.Lo, b.Hi, b.Density)
		}
		for _, x := range at {
			if !unknown(x) {
				s = span{min(s.lo, x), max(s.hi, x)}
			}
		}
	}
	// No bay and no usable target: any stretch will do, nothing is drawn on it.
	if !(s.lo < s.hi) {
		return span{0, 1}
	}
	step := p.densityStep(0.5, 10)
	return span{math.Max(0, math.Floor(s.lo/step)*step), math.Ceil(s.hi/step) * step}
}

// densityStep is a round step of densities in kg/m³: of so many lb/ft³, or of so many kg/m³ in a job
// in metres.
func (p *page) densityStep(us, si float64) float64 {
	if p.System == model.SI {
		return si
	}
	return us * p.Of(verify.Density).SI
}
