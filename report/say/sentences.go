package say

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// phrase says a sentence of the tables in the crew's language, filled with the evidence of a
// finding. Places in it:
//
//	{key}            the datum in its unit
//	{key|one|many}   a count with its noun: 1 bay is, 3 bays are
//	{key.1}          a pure number with so many places, zeros at its end too
//	{key ± half}     a mass that ends where its half-width begins
//	{lo to hi}       a range of lengths
//	[ … ]            left out as a whole where one of its own data is missing; may hold further brackets
//
// Outside brackets a missing datum is written as "?", which a test finds.
func (u Units) phrase(sentence string, data []verify.Datum) string {
	text, _ := u.bracketed(u.S(sentence), data)
	return text
}

// bracketed fills a sentence and tells whether all data outside its brackets were there.
func (u Units) bracketed(sentence string, data []verify.Datum) (string, bool) {
	var b strings.Builder
	whole := true
	for sentence != "" {
		before, inside, after := cutBracket(sentence)
		text, ok := u.fill(before, data)
		whole = whole && ok
		b.WriteString(text)
		if text, ok := u.bracketed(inside, data); ok {
			b.WriteString(text)
		}
		sentence = after
	}
	return b.String(), whole
}

// cutBracket finds the first bracket of a sentence and the one that closes it.
func cutBracket(sentence string) (before, inside, after string) {
	open := strings.IndexByte(sentence, '[')
	if open < 0 {
		return sentence, "", ""
	}
	depth := 0
	for i := open; i < len(sentence); i++ {
		switch sentence[i] {
		case '[':
			depth++
		case ']':
			depth--
		}
		if depth == 0 {
			return sentence[:open], sentence[open+1 : i], sentence[i+1:]
		}
	}
	return sentence[:open], sentence[open+1:], ""
}

// fill replaces the places of a sentence and tells whether all of its data were there.
func (u Units) fill(sentence string, data []verify.Datum) (text string, whole bool) {
	var b strings.Builder
	whole = true
	for {
		before, rest, found := strings.Cut(sentence, "{")
		b.WriteString(before)
		if !found {
			return b.String(), whole
		}
		place, after, _ := strings.Cut(rest, "}")
		value, ok := u.place(place, data)
		whole = whole && ok
		b.WriteString(value)
		sentence = after
	}
}

// place writes what stands for one pair of braces.
func (u Units) place(place string, data []verify.Datum) (string, bool) {
	if key, half, ok := strings.Cut(place, " ± "); ok {
		x, found := find(data, key)
		h, _ := find(data, half)
		return u.Mass(x.Value, h.Value), found
	}
	if lo, hi, ok := strings.Cut(place, " to "); ok {
		a, foundA := find(data, lo)
		b, foundB := find(data, hi)
		return u.LengthRange(a.Value, b.Value), foundA && foundB
	}
	if key, places, ok := strings.Cut(place, "."); ok {
		x, found := find(data, key)
		n, _ := strconv.Atoi(places)
		return fixed(x.Value, n), found
	}
	if key, nouns, ok := strings.Cut(place, "|"); ok {
		one, many, _ := strings.Cut(nouns, "|")
		n, found := find(data, key)
		return u.Count(int(n.Value), one, many), found
	}
	d, ok := find(data, place)
	if !ok {
		return unknown, false
	}
	return u.Datum(d), true
}

// find returns a datum that has a value.
func find(data []verify.Datum, key string) (verify.Datum, bool) {
	for _, d := range data {
		if d.Key == key && (d.Dim == verify.Name && d.Text != "" || d.Dim != verify.Name && !math.IsNaN(d.Value)) {
			return d, true
		}
	}
	return verify.Datum{Value: math.NaN()}, false
}

// oneIn writes a rare share as one in so many, to two figures: "1 in 60".
func (u Units) oneIn(share float64) string {
	if !(share > 1e-4) {
		return u.S("under 1 in 10,000")
	}
	n := 1 / share
	step := math.Pow(10, math.Max(0, math.Floor(math.Log10(n))-1))
	return u.F("1 in %d", int(math.Round(n/step)*step))
}

// Datum writes one piece of evidence in its unit.
func (u Units) Datum(d verify.Datum) string {
	switch d.Dim {
	case verify.Probability:
		return u.Percent(d.Value, math.NaN())
	case verify.Rarity:
		return u.oneIn(d.Value)
	case verify.Length:
		return u.Length(d.Value)
	case verify.Size:
		return u.Size(d.Value)
	case verify.Volume:
		return u.Volume(d.Value)
	case verify.Mass:
		return u.Mass(d.Value, math.NaN())
	case verify.Density:
		return u.Density(d.Value, math.NaN(), math.NaN())
	case verify.Bags:
		return Bags(d.Value)
	case verify.Name:
		switch d.Key {
		case "finding": // the log says rod-soft and ir-cold
			return u.S(strings.Replace(strings.ReplaceAll(d.Text, "-", " "), "ir ", "infrared ", 1))
		case "face", "input":
			return u.words(d.Text)
		}
		return d.Text
	case verify.Pressure:
		unit := u.Of(verify.Pressure)
		return fixed(d.Value/unit.SI, 0) + " " + unit.Name
	}
	if d.Value == math.Trunc(d.Value) {
		return fixed(d.Value, 0)
	}
	return figures(d.Value, 2)
}

// words are words of the tool's own, one or several with commas, in the crew's language: width,
// depth.
func (u Units) words(list string) string {
	all := strings.Split(list, ", ")
	for i, word := range all {
		all[i] = u.S(word)
	}
	return strings.Join(all, ", ")
}

// sentence is what is said for a code; see phrase for the places in it.
type sentence struct {
	long  string // in the record and the machine formats
	brief string // in a list, where much is said once for all lines; empty for the same
	title string // of a bay's reason, in a table of bays: a few words without figures
	later bool   // of a warning: nothing can be done about it now, so that a glance leaves it out
}

// sentences has a row for every code that verify knows; a test holds it against the table of codes.
// What is said in a list is never longer than what the record says.
var sentences = map[verify.Code]sentence{
	// Reasons of a bay that rest on its figure.
	verify.Short: {title: "short by the numbers",
		long: "short, and the numbers prove it[: {prob_short} sure]"},
	verify.NoMaterial: {title: "nothing is in it",
		long: "nothing went in"},
	verify.NotShown: {title: "target not shown",
		long: "only {prob} sure of the target"},
	verify.NoFigure: {title: "a figure is missing",
		long: "a size or the bag weight is missing, so there is no density"},
	verify.SizeUnlike: {title: "a size is that of another kind of bay",
		long: "{input} copied[ from {from}], which is not like the rest: measure it here"},

	verify.StallUnsaid: {title: "nobody said that it stalled",
		brief: "no word about the stall",
		long:  "nobody said the flow stopped by itself. The count may be up to {step} too high. Your other bays can't vouch for it"},

	verify.TotalsShort: {title: "the empties contradict the counts",
		brief: "{logged} bags logged, {counted} emptied: at most {density_most} on average",
		long:  "{logged} bags are logged, but only {counted} were emptied. That is {density_most} at most, on average. Trust no count until that is cleared.[ {again}] Look for bags logged twice. Log what was lost"},
	verify.SectionOver: {title: "the section is over the ceiling",
		brief: "the section runs {mean}, over the ceiling of {ceiling}",
		long:  "the section runs {mean}, over the ceiling of {ceiling}. A depth or the bag weight is wrong for all of it, or material leaks out"},
	verify.BulgeMissing: {title: "no bulge measured",
		brief: "no bulge measured on the {face}",
		long:  "the face is {face} and no bulge was measured. So nobody knows what the bay holds. Measure how far it stands out at mid-width. 0 is an answer"},

	// Suspicions.
	verify.ShortOfCrew: {title: "well below the crew's other bays",
		brief: "{rarity} full bays reads this low[; could be a gap of {empty}[ ({empty_lo to empty_hi})]]",
		long:  "{rarity} of this crew's full bays reads this low[. If the rest is packed like your other bays, {empty} or so is empty[: {empty_lo to empty_hi}]]"},
	verify.OverFull: {title: "more than it can hold",
		long: "reads {density}[, over the ceiling of {ceiling}]: material went somewhere else, or a size is wrong"},
	verify.Reach: {title: "the tube did not pass it all",
		brief: "the tube missed {missing}[: {from to to}]",
		long:  "the tube never got to {missing} of it[: {from to to} from the low end]"},
	verify.NoStall: {title: "it never stalled",
		brief: "no stall",
		long:  "it never stalled"},
	verify.NeighbourSwap: {title: "bags of the neighbor?",
		long: "it and {other} don't match, but together they are right. Bags were logged in the wrong bay, or the two are open to each other"},
	verify.ProbeSoft: {title: "a probe found it soft or empty",
		brief: "{finding}[ at {at}]",
		long:  "found: {finding}[ at {at} from the low end]"},
	verify.CoreDisagrees: {title: "core and bags do not agree",
		long: "the core reads {core}, the bags say {density}"},

	// Answers.
	verify.ByRodFirm:    {long: "rod firm there"},
	verify.BySmokeStill: {long: "smoke still there"},
	verify.ByIREven:     {long: "infrared even there"},
	verify.ByHand:       {long: "firm to the hand there"},
	verify.ByTube:       {long: "material went in there, and it stalled"},
	verify.ByAmend:      {long: "the entry was amended"},
	verify.ByLost:       {long: "the loss is in the log"},
	verify.ByCore:       {long: "a second core agrees with the bags"},

	// Orders: one thing to do.
	verify.ActBlow: {
		brief: "[{from_to} ][{only} or more ]to the stall[, new hole {up}]",
		long:  "Blow to the stall[ through a new hole {new}].[ Needs {least} or more.][ Stop and look at {most}.] Weigh the bag before and after.[ {caution}][ {drill}]"},
	verify.ActLook: {
		brief: "[rod along from your hole to {along_up}][rod across at {across_up}][press the netting at {hand_up}][rod at {rod_up}][smoke at {smoke_up}][take a second {core}]",
		long:  "[Push a rod along from your hole, to {along}. Never force it. Log how far it went firm, or where it gave way.][Push a rod across at {across}, through {through}[, {wide} across the width]. Log what you find.][Press the netting with your hand at {hand}. Log what you find.][Rod it at {rod}. Log what you find.][Smoke at {smoke}, the fan at 50 Pa. Log what you find.][Take a second {core}.][ {caution}]"},
	verify.ActSay: {
		brief: "[did it {stall} by itself, yes or no?][measure the {bulge} at mid-width][write {bag_weight} and its pounds in job.csv]",
		long:  "[Did the flow {stall} by itself, yes or no? For all bays at once: to_stall,yes in job.csv.][Measure how far the face stands out at mid-width, and log the {bulge}. 0 is an answer.][A bag's net weight is missing: write {bag_weight} and its pounds in job.csv.]"},
	verify.ActMeasure: {
		brief: "measure[ its {sizes}][ at {several|place|places}]",
		long:  "Measure[ its {sizes}][ at {several|place|places}, not where it was read before]."},
	verify.ActWait: {
		brief: "leave it open until {until} bays are filled",
		long:  "Leave it open until {until} bays of the section are filled. They may settle it."},
	verify.ActRecount: {
		brief: "[count what went into the {bay} again][count the {empties} again[ of {section}]]",
		long:  "[Count again what went into the {bay}. Log it, even if it is the same.][Count the {empties} again[ of {section}]. Look for bags logged twice. Log what was lost.]"},
	verify.ActDecide: {
		brief: "yours to decide[ ({sure} sure)][: {left} was left in it, bags can't close it][: it was closed, and {why}]",
		long:  "Yours to decide[: {left} was left in it, and bags can't close it][: it was closed, and {why}]. Close it by name and reason, or open it.[ Sure of the target: {sure}.][ {caution}]"},
	verify.ActFill:  {long: "Fill it[: {mass} make the aim]."},
	verify.ActCount: {long: "Waiting for the truck sheet: what went in is not logged yet."},

	// Why a bay that was closed on CLOSE is asked about again.
	verify.ReAmended: {long: "its own count, size or stall was amended since"},
	verify.ReFound:   {long: "a look found something since"},
	verify.ReHazard:  {long: "a hazard was noted since"},
	verify.ReTotals:  {long: "the empties contradict the counts"},

	// Sections as a whole.
	verify.NotInLog:      {long: "{bays|bay is|bays are} not in the log: find them, then fill or log them"},
	verify.NotFilledBays: {long: "{bays|bay is|bays are} measured and not filled"},
	verify.DriftFound:    {long: "the density drifts from bay to bay[, {slope} a bay]. Check the machine. A set row starts fresh"},

	// Warnings. The reader of the files says its own.
	verify.BlowerLow:       {long: "blower at {pressure}: it takes 80 in of water (19.9 kPa) or more. Clean filter and hose, close the air gate"},
	verify.SpreadUnknown:   {later: true, long: "you measured everything once ({input}). Measure a few twice"},
	verify.StepDoubled:     {long: "the counts look like they were read to {used} of a bag, not {stated} ({odd} odd ones in {counts}). So {used} is used. Read finer, or write what you read as bag_step in job.csv"},
	verify.PhotoMissing:    {long: "{photo} is not in photos/"},
	verify.EvidenceMissing: {long: "the program still wants {ask}[, {have} of {want}]"},
	verify.TermsOverride:   {long: "{setting} {own} is not used: the program's {used} holds", later: true},
	verify.FlagOverride:    {long: "{setting} given by flag: write it in job.csv, or the next check may say something else"},
	verify.CrewNotAsked:    {later: true, long: "rule guarded looks at each bay by itself. It can't see a void in a bay that reads over the target. Rule process can"},
	verify.SpillNotTaken:   {later: true, long: "no spill taken off: what's on the floor counts as in the bay"},
	verify.TotalsOver:      {long: "{counted} bags emptied, {logged} logged: more than counting error. Find the bay nobody logged, or log where the rest went"},
	verify.BagChecksCoarse: {later: true, long: "the bags you weighed say less than their label does. Write the scale's own ± as weigh_within in job.csv"},
	verify.VentInDepth:     {long: "a depth of {depth} is the whole rafter, but vent_space is yes. Log the depth left below the channel, at least 1 in less"},
	verify.BoxUnplaced:     {long: "no telling at which machine setting this test box was filled. Give its machine and time as in the log"},
	verify.SizesTakenOver:  {later: true, long: "sizes measured in {measured} of {bays} bays, copied from the bay above in the rest"},
}

// long is the sentence of a code. The reader's warnings have theirs in the table of the reader;
// where a code has none it stands for itself, which a test finds.
func long(code verify.Code) string {
	if s, ok := sentences[code]; ok {
		return s.long
	}
	for _, d := range model.WarningDefs() {
		if d.Code == string(code) {
			return d.Means + ": " + d.Cure
		}
	}
	return string(code)
}

// brief is the sentence of a code for a list.
func brief(code verify.Code) string {
	return cmp.Or(sentences[code].brief, long(code))
}

// ReasonTitle names a reason in a few words for a table of bays.
func ReasonTitle(code verify.Code) string {
	return cmp.Or(sentences[code].title, string(code))
}

// advice is what would have settled a bay, for the next one, by what it is about.
var advice = map[string]string{
	"counting": "keep a running count from bay to bay",
	"bag_step": "read the bags[ to {step},] off a finer mark",
	"depth":    "measure the depth at three places",
	"ditto":    "measure each bay instead of copying sizes",
	"weight":   "weigh the part bag",
}

// orderCautions stand on the order itself, those of one kind of work in this order, where they
// apply to the section; nil is everywhere. What the job says beforehand is verify's table of
// cautions, which has the sources.
var orderCautions = []struct {
	work    string // hole, blow, smoke or hazard
	text    string
	applies func(*model.Section) bool
}{
	{"hole", "Netting or membrane: slit it, patch it after.", slit},
	{"hole", "A finished face: ask first.", func(s *model.Section) bool { return s.HowHoles() == "ask" }},
	{"hole", "Voltage tester, depth stop, GFCI.", drilled},
	{"hole", "Not in line with switches and outlets, not on bath and kitchen walls.", func(s *model.Section) bool {
		return drilled(s) && (s.Kind == "" || strings.EqualFold(s.Kind, "wall"))
	}},
	{"hole", "Not sure? Don't drill.", drilled},
	{"hole", "Before 1978 each hole is lead work.", drilled},
	{"blow", "Stop at the first pop. Only the inside man in the rooms. He can stop the machine.", nil},
	{"blow", "Plaster, paneling, 3/8-in board: ask first, brace it, less air.", func(s *model.Section) bool { return !s.OpenFace() }},
	{"smoke", "A trained operator. Fires out, gas and oil appliances off, blowing stopped. No asbestos or vermiculite. Relight and test before leaving.", nil},
	{"hazard", "A leak: dry it first. A flue or a light reached: appliance or circuit off, dig it out. Don't leave the house before.", nil},
}

// slit and drilled tell how the holes of a section are made: a slit in its netting needs no drill.
func slit(s *model.Section) bool    { return s.HowHoles() == "slit" }
func drilled(s *model.Section) bool { return !slit(s) }

// TextDigest names the sentences of this build: two documents with one digest say the same thing in
// the same words. It is taken over the tables above and what the caller adds, its templates.
func TextDigest(more ...[]byte) string {
	h := sha256.New()
	for _, code := range slices.Sorted(maps.Keys(sentences)) {
		fmt.Fprintf(h, "%s %+v\n", code, sentences[code])
	}
	for _, input := range slices.Sorted(maps.Keys(advice)) {
		fmt.Fprintf(h, "%s %s\n", input, advice[input])
	}
	for _, c := range orderCautions {
		fmt.Fprintf(h, "%s %s\n", c.work, c.text)
	}
	for _, b := range more {
		h.Write(b)
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
}

// Notes says what is worth knowing, a line each: warnings, those of one kind together, then the
// cautions that follow from what the job says about itself. Bags that are missing are said by
// Unaccounted.
func Notes(w *Words, f *verify.Findings) []string {
	return append(w.warnings(f, func(verify.Code) bool { return true }), w.cautions(f.Job)...)
}

// NotesNow is Notes without what the reader can do nothing about now.
func (w *Words) NotesNow(f *verify.Findings) []string {
	return w.warnings(f, func(code verify.Code) bool { return !sentences[code].later })
}

// warnings says the warnings that are wanted, those of one kind together.
func (w *Words) warnings(f *verify.Findings, wanted func(verify.Code) bool) []string {
	var lines, flags, sized, asked []string
	for _, x := range f.Warnings {
		if !wanted(x.Code) {
			continue
		}
		switch x.Code {
		case verify.TotalsOver:
			if x.Section != "" {
				lines = append(lines, w.WarningWithPlace(x))
			}
		case verify.FlagOverride:
			flags = append(flags, w.phrase("{setting}", x.Data))
		case verify.EvidenceMissing:
			asked = append(asked, w.asked(verify.LackOf(&x)))
		case verify.SizesTakenOver:
			sized = append(sized, w.phrase(sizedOf, append(slices.Clone(x.Data), word("place", x.Section))))
		default:
			lines = append(lines, w.WarningWithPlace(x))
		}
	}
	if len(sized) > 0 {
		lines = append(lines, w.F("sizes measured in %s, copied from the bay above in the rest", w.List(sized)))
	}
	if len(asked) > 0 {
		lines = append(lines, w.phrase(long(verify.EvidenceMissing), []verify.Datum{word("ask", strings.Join(asked, "; "))}))
	}
	if len(flags) > 0 {
		lines = append(lines, w.phrase(long(verify.FlagOverride), []verify.Datum{word("setting", w.List(flags))}))
	}
	return lines
}

// sizedOf says in how many bays of a section sizes were measured.
const sizedOf = "{measured} of {bays} bays[ of {place}]"

// cautions are those that follow from what the job says about itself. All of them stand on the
// sheets of the plan and in the record.
func (u Units) cautions(job *model.Job) []string {
	said := map[verify.Code]bool{}
	for _, s := range job.Sections {
		said["unvented"] = said["unvented"] || s.Unvented == model.Yes
		said["vent-space"] = said["vent-space"] || s.VentSpace == model.Yes
	}
	var out []string
	for _, c := range verify.Cautions(job) {
		if said[c.Code] {
			out = append(out, u.Caution(c))
		}
	}
	return out
}

// Caution writes one caution: what to look for, where it is a thing that may be there or not, and
// what to do.
func (u Units) Caution(c verify.Caution) string {
	if c.LookFor == "" {
		return u.S(c.Text)
	}
	return u.F("Look for %s. %s", u.S(c.LookFor), u.S(c.Text))
}

// Caution is that of Units in English.
func Caution(c verify.Caution) string { return Units{}.Caution(c) }
