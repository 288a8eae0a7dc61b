package say

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// typed writes a distance as it is typed at the prompt, in one word.
func (u Units) typed(x float64) string {
	if u.System == model.SI {
		return strconv.FormatFloat(math.Round(x*1000)/1000, 'f', -1, 64)
	}
	return strings.ReplaceAll(u.Length(x), " ", "")
}

// Whole writes a mass in whole pounds or kilograms.
func (u Units) Whole(x float64) string {
	unit := u.Of(verify.Mass)
	return fixed(x/unit.SI, 0) + " " + unit.Name
}

// upFrom says places from the low end of a section's bays, by what that is called on site.
func (u Units) upFrom(s *model.Section, places string) string {
	return fmt.Sprintf(ByLowEnd(s, u.S("%s up from the eave"), u.S("%s up from the bottom plate"), u.S("%s up from the low end")), places)
}

// ByLowEnd is that of three sentences which names the low end of a section's bays as it is called on
// site; the last where nobody said what the section is, or s is nil.
func ByLowEnd(s *model.Section, eave, plate, end string) string {
	if s != nil {
		switch strings.ToLower(s.Kind) {
		case "rafter":
			return eave
		case "wall":
			return plate
		}
	}
	return end
}

// where says places of a bay by both ways of finding them: from the low end, and from the fill hole
// where that is known.
func (u Units) where(b *model.Bay, at []float64) string {
	hole := verify.FillHole(b)
	if hole < model.Inch {
		hole = math.NaN() // both are told from the same place
	}
	var from []string
	for _, x := range at {
		switch d := x - hole; {
		case math.IsNaN(d):
		case math.Abs(d) < model.Inch/2:
			from = append(from, u.S("at your hole"))
		case d > 0:
			from = append(from, u.F("%s above your hole", u.Length(d)))
		default:
			from = append(from, u.F("%s below your hole", u.Length(-d)))
		}
	}
	text := u.upFrom(b.Section, u.lengths(at))
	if len(from) == 0 {
		return text
	}
	return text + ", " + u.List(from)
}

// up says places of a bay from its low end alone, for a line that must be short.
func (u Units) up(at []float64) string { return u.F("%s up", u.lengths(at)) }

// lengths lists places.
func (u Units) lengths(at []float64) string {
	var all []string
	for _, x := range at {
		all = append(all, u.Length(x))
	}
	return u.List(all)
}

// ordered is the evidence of an order with what only the bay tells, nil for that of a section or the
// job: places in words, whole pounds, the way of looking, and what to be careful of.
func (u Units) ordered(b *verify.Bay, o *verify.Order) []verify.Datum {
	var own []verify.Datum
	switch {
	case o.Action == verify.ActMeasure:
		own = u.toMeasure(o)
	case o.Action == verify.ActDecide:
		own = u.toDecide(b, o)
	case o.Action == verify.ActBlow && b != nil:
		own = u.toBlow(b, o)
	case o.Action == verify.ActLook && b != nil:
		own = u.toLook(b, o)
	}
	for _, work := range workOf(b, o) {
		key := "caution"
		if work == "hole" && o.Action == verify.ActBlow { // besides what blowing is cautioned of
			key = "drill"
		}
		own = append(own, word(key, strings.Join(u.cautionsOf(work, b.Bay.Section), " ")))
	}
	return slices.Concat(o.Data, own, u.named(o.Data))
}

// word is a datum that is a text.
func word(key, text string) verify.Datum {
	return verify.Datum{Key: key, Text: text, Dim: verify.Name}
}

// toMeasure says which sizes, and how often where once is not enough.
func (u Units) toMeasure(o *verify.Order) []verify.Datum {
	dimension, _ := find(o.Data, "dimension")
	data := []verify.Datum{word("sizes", u.List(strings.Split(u.words(dimension.Text), ", ")))}
	if places, ok := find(o.Data, "places"); ok && places.Value > 1 {
		data = append(data, verify.Datum{Key: "several", Value: places.Value})
	}
	return data
}

// toDecide says the number too: of a decision it is asked.
func (u Units) toDecide(b *verify.Bay, o *verify.Order) (data []verify.Datum) {
	if d, ok := find(o.Data, "prob"); ok {
		data = append(data, word("sure", u.Percent(d.Value, nan())))
	}
	if b != nil && b.Reopened != "" {
		data = append(data, word("why", u.Since(b)))
	}
	if b != nil {
		data = append(data, word("left", b.Existing()))
	}
	return data
}

// toBlow says the least that closes the bay and the most before somebody looks, in whole units
// of mass, and where a new hole goes. Least and most may read the same: then one figure stands
// for both. An order may have no limit above.
func (u Units) toBlow(b *verify.Bay, o *verify.Order) (data []verify.Datum) {
	least, needs := find(o.Data, "mass")
	most, stops := find(o.Data, "mass_most")
	switch from, to := u.Whole(least.Value), u.Whole(most.Value); {
	case needs && stops && from == to:
		data = append(data, word("most", to), word("from_to", to))
	case needs && stops:
		span := u.F("%s to %s", strings.TrimSuffix(from, " "+u.Of(verify.Mass).Name), to)
		data = append(data, word("least", from), word("most", to), word("from_to", span))
	case needs:
		data = append(data, word("least", from), word("only", from))
	}
	if hole, ok := find(o.Data, "hole"); ok {
		at := []float64{hole.Value}
		data = append(data, word("new", u.where(b.Bay, at)), word("up", u.up(at)))
	}
	return data
}

// across is the way of a rod that goes through a test hole.
const across = "across"

// toLook names the way of a rod, else what is looked with, and says where: in full, and for a line
// that must be short.
func (u Units) toLook(b *verify.Bay, o *verify.Order) []verify.Datum {
	with, _ := find(o.Data, "with")
	way, _ := find(o.Data, "way")
	key := cmp.Or(way.Text, with.Text)
	where, up := u.S(key), u.S(key)
	if places := values(o.Data, "at"); len(places) > 0 {
		where, up = u.where(b.Bay, places), u.up(places)
	}
	data := []verify.Datum{word(key, where), word(key+"_up", up)}
	if key != across {
		return data
	}
	through := u.S("the hole that is there")
	if drills(o) {
		through = u.S("a hole each")
	}
	data = append(data, word("through", through))
	if p := b.Bay.Pieces; len(p) > 0 && p[0].Dims().Width > verify.WideBay {
		data = append(data, word("wide", u.S("two")))
	}
	return data
}

// drills tells whether a look takes a new hole.
func drills(o *verify.Order) bool {
	return slices.ContainsFunc(o.Data, func(d verify.Datum) bool { return d.Key == "with" && d.Text == "hole" })
}

// workOf are the kinds of work of an order of a bay that something is cautioned of, see
// orderCautions.
func workOf(b *verify.Bay, o *verify.Order) (works []string) {
	if b == nil {
		return nil
	}
	switch o.Action {
	case verify.ActDecide:
		if b.Reopened == verify.ReHazard {
			works = append(works, "hazard")
		}
	case verify.ActBlow:
		if _, fresh := find(o.Data, "hole"); fresh {
			works = append(works, "hole")
		}
		works = append(works, "blow")
	case verify.ActLook:
		way, _ := find(o.Data, "way")
		if with, _ := find(o.Data, "with"); with.Text == "smoke" {
			works = append(works, "smoke")
		}
		if way.Text == across && drills(o) {
			works = append(works, "hole")
		}
	}
	return works
}

// Since says why a bay that was closed on CLOSE, or by decision, is asked about again, with what
// the row that found it says.
func (u Units) Since(b *verify.Bay) string {
	text, row := u.S(long(b.Reopened)), b.ReopenedBy
	if row == nil {
		return text
	}
	said := row.Note
	for _, s := range row.Stops {
		if said == "" && s.What != model.StopBlock {
			said = u.F("%s at %s", u.S(strings.Replace(model.StopWords()[s.What], "?", "unknown", 1)), u.Length(s.At))
		}
	}
	if said == "" && row.Probe != model.ProbeNone {
		said = u.S(row.Probe.String())
		if len(row.At) > 0 {
			said = u.F("%s at %s", said, u.lengths(row.At))
		}
	}
	if said != "" {
		text += ": " + said
	}
	return text
}

// named lets a sentence ask for a column or a kind of count by its own name. A column keeps it in
// every language, as it is typed.
func (u Units) named(data []verify.Datum) (out []verify.Datum) {
	for _, key := range []string{"column", "what"} {
		if d, ok := find(data, key); ok {
			text := d.Text
			if key == "what" {
				text = u.S(text)
			}
			out = append(out, word(d.Text, text))
		}
	}
	return out
}

// cautionsOf are what stands on an order of some work, for a section: what applies there, or may.
func (u Units) cautionsOf(work string, s *model.Section) (all []string) {
	for _, c := range orderCautions {
		if c.work == work && (c.applies == nil || c.applies(s)) {
			all = append(all, u.S(c.text))
		}
	}
	return all
}

// Cautioned is what an order of a bay is cautioned of, so that it need not be said twice; empty
// where nothing is.
func (u Units) Cautioned(b *verify.Bay) string {
	data := u.ordered(b, &b.Now)
	work, _ := find(data, "caution")
	hole, _ := find(data, "drill")
	return strings.TrimSpace(work.Text + " " + hole.Text)
}

// values are the numbers under a key, in their order.
func values(data []verify.Datum, key string) (out []float64) {
	for _, d := range data {
		if d.Key == key {
			out = append(out, d.Value)
		}
	}
	return out
}

// Now says the one thing to do about a bay; empty where nothing is.
func (w *Words) Now(b *verify.Bay) string { return w.now(b, long, true) }

// BriefNow is Now in a line of a list.
func (w *Words) BriefNow(b *verify.Bay) string { return w.now(b, brief, true) }

// NowAndCautions are Now without what it cautions of, and that: for a list of orders, which says
// each caution once.
func (w *Words) NowAndCautions(b *verify.Bay) (now string, cautions []string) {
	for _, work := range workOf(b, &b.Now) {
		cautions = append(cautions, w.cautionsOf(work, b.Bay.Section)...)
	}
	return w.now(b, long, false), cautions
}

// now is what is to be done about a bay, in sentences of one length; cautioned tells whether
// cautions of the work stand in it or are told apart. A bay without an order says why it has
// none: decided, sizes that are owed, a neighbor's order that answers for both, bays that share
// a count.
func (w *Words) now(b *verify.Bay, sentence func(verify.Code) string, cautioned bool) string {
	switch {
	case b.IsDecided():
		return w.F("decided by %s: %s", b.Bay.Decided.By, b.Bay.Decided.Note)
	case b.Bay.Owes == model.OwesSizes:
		return w.S("Waiting for the roof sheet: its sizes are not logged yet.")
	case b.Now.Action != "":
		data := w.ordered(b, &b.Now)
		if !cautioned {
			data = slices.DeleteFunc(data, func(d verify.Datum) bool { return d.Key == "caution" || d.Key == "drill" })
		}
		return w.phrase(sentence(b.Now.Action), data)
	case !b.Judged() || b.Verdict == verify.Close:
		return ""
	}
	for _, r := range b.Reasons {
		if r.Code == verify.NeighbourSwap && !r.IsAnswered() {
			return w.phrase(oneLook, r.Data)
		}
	}
	if with := w.names(b.Bay.SharedWith); with != "" {
		return w.F("one order with %s", with)
	}
	return ""
}

// oneLook stands at a bay whose neighbor has the order.
const oneLook = "see {other}: one look answers both"

// DecidedAs says who closed a bay that is not CLOSE, at which sureness, and why.
func (w *Words) DecidedAs(b *verify.Bay) string {
	return w.F("%s sure; decided by %s: %s", w.Percent(b.ProbAtTarget, nan()), b.Bay.Decided.By, b.Bay.Decided.Note)
}

// Today says what a bay that was closed on CLOSE would read today; empty where that is CLOSE too.
func (w *Words) Today(b *verify.Bay) string {
	if b.State != verify.Closed || b.Verdict != verify.Close || b.VerdictToday == verify.Close {
		return ""
	}
	return w.F("closed on %s, %s sure; by the other bays since: %s, %s", w.Verdict(verify.Close), w.Percent(b.ProbAtTarget, nan()),
		w.Verdict(b.VerdictToday), w.Percent(b.ProbToday, nan()))
}

// Order says the one thing to do for a section or the job.
func (w *Words) Order(o *verify.Order) string {
	if o.Action == "" {
		return ""
	}
	return w.phrase(long(o.Action), w.ordered(nil, o))
}

// Line is the line of the prompt that reports an order about a bay, _ where a figure or a word goes
// in; empty where the prompt has none.
func (w *Words) Line(b *verify.Bay) string {
	o, name := &b.Now, b.Bay.Name
	if b.Bay.Owes == model.OwesSizes {
		return "size " + name + " _"
	}
	var parts []string
	switch o.Action {
	case verify.ActBlow:
		parts = []string{"top", name, "_", w.Of(verify.Mass).Symbol}
		if m := b.Bay.Fill; m != nil && m.Material.Kind == model.MaterialCounter { // what is weighed in later moves it too
			parts = append(parts, "counter _")
		}
		if hole, ok := find(o.Data, "hole"); ok {
			parts = append(parts, "hole", w.typed(hole.Value))
		}
		parts = append(parts, "stall _")
	case verify.ActLook:
		return w.lookLine(name, o)
	case verify.ActSay:
		switch column, _ := find(o.Data, "column"); column.Text {
		case "stall":
			parts = []string{"probe", name, "stall _"}
		case "bulge":
			parts = []string{"size", name, "bulge _"}
		}
	case verify.ActMeasure:
		dimension, _ := find(o.Data, "dimension")
		places, _ := find(o.Data, "places")
		parts = []string{"size", name}
		for _, d := range strings.Split(dimension.Text, ", ") {
			parts = append(parts, d, strings.TrimSuffix(strings.Repeat("_; ", max(int(places.Value), 1)), "; "))
		}
	case verify.ActRecount:
		if what, _ := find(o.Data, "what"); what.Text != "bay" {
			return w.OrderLine(o)
		}
		parts = []string{"recount", name, "_"}
		if m := b.Bay.Fill; m != nil && m.Material.Kind == model.MaterialWeight {
			parts = append(parts, w.Of(verify.Mass).Symbol)
		}
	case verify.ActDecide:
		parts = []string{"decide", name, "_: _"}
	case verify.ActFill, verify.ActCount:
		parts = []string{name, "_"}
	}
	return strings.Join(parts, " ")
}

// lookLine is the line of the prompt that reports a look.
func (u Units) lookLine(name string, o *verify.Order) string {
	with, _ := find(o.Data, "with")
	way, _ := find(o.Data, "way")
	if with.Text == "core" {
		return "core " + name + " _ g diameter _ depth _ at _"
	}
	parts := []string{"probe", name, with.Text, "_"}
	if way.Text != "" {
		parts = append(parts, way.Text)
	}
	if with.Text == "smoke" {
		parts = append(parts, "50 Pa")
	}
	var at []string
	places := values(o.Data, "at")
	for _, x := range places {
		text := u.typed(x)
		if len(places) > 1 && !strings.Contains(text, "'") && u.System != model.SI { // in one unit all
			text = "0'" + text
		} else if len(places) > 1 && strings.HasSuffix(text, "'") {
			text += `0"`
		}
		at = append(at, text)
	}
	if way.Text == "along" { // how far it went firm, or where it gave way
		at = []string{"_"}
	}
	if len(at) > 0 {
		parts = append(parts, "at", strings.Join(at, "; "))
	}
	return strings.Join(parts, " ")
}

// OrderLine is the line of the prompt that reports an order for a section or the job.
func (w *Words) OrderLine(o *verify.Order) string {
	if o.Action == verify.ActRecount {
		section, _ := find(o.Data, "section")
		return strings.ReplaceAll("empties recount "+section.Text+" _", "  ", " ")
	}
	return ""
}
