package say

import (
	"iter"
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// phrase fills a sentence with the evidence of a finding. Places in it:
//
//	{key}            the datum in its unit
//	{key|one|many}   a count with its noun: 1 bay is, 3 bays are
//	{key ± half}     a mass that ends where its half-width begins
//	{lo to hi}       a range of lengths
//	{places}         the places to probe; {spots} in brief, {spot} one of them
//	[ … ]            left out as a whole where one of its own data is missing; may hold further brackets
//
// Outside brackets a missing datum is written as "?", which a test finds.
func (u Units) phrase(sentence string, data []verify.Datum) string {
	text, _ := u.bracketed(sentence, data)
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
	if key, nouns, ok := strings.Cut(place, "|"); ok {
		one, many, _ := strings.Cut(nouns, "|")
		n, found := find(data, key)
		return Count(int(n.Value), one, many), found
	}
	if text, ok := u.probing(place, data); ok {
		return text, text != ""
	}
	d, ok := find(data, place)
	if !ok {
		return unknown, false
	}
	return u.Datum(d), true
}

// probing writes the places to probe; it answers false where something else is meant.
func (u Units) probing(place string, data []verify.Datum) (string, bool) {
	switch place {
	case "places":
		return u.places(data, placeSentence), true
	case "spots":
		return u.places(data, briefPlace), true
	case "spot":
		return u.spot(data), true
	}
	return "", false
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

// Datum writes one piece of evidence in its unit.
func (u Units) Datum(d verify.Datum) string {
	switch d.Dim {
	case verify.Probability:
		return Percent(d.Value, math.NaN())
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
		if d.Key == "finding" {
			// The log says rod-soft and ir-cold.
			return strings.Replace(strings.ReplaceAll(d.Text, "-", " "), "ir ", "infrared ", 1)
		}
		return d.Text
	case verify.Pressure:
		return u.Pressure(d.Value)
	}
	if d.Value == math.Trunc(d.Value) {
		return fixedOr(d.Value, 0)
	}
	return figures(d.Value, 2)
}

// reasonSentence is what is said for a reason of a bay; see phrase for the places in it.
func reasonSentence(code verify.Code) string {
	switch code {
	case verify.Short:
		return "short of the target[: {prob_short} sure]"
	case verify.NoMaterial:
		return "nothing went in"
	case verify.NotShown:
		return "only {prob} sure of the target"
	case verify.NoFigure:
		return "no density can be had: a size or the bag weight is missing"
	case verify.SizeUnlike:
		return "{input} taken over from a bay unlike it: no density can be had until it is measured"
	}
	if text := suspicionSentence(code); text != "" {
		return text
	}
	return sectionSentence(code)
}

// suspicionSentence is what is said for a reason to probe.
func suspicionSentence(code verify.Code) string {
	switch code {
	case verify.ShortOfCrew:
		return "[packed like your other bays, about {empty} of it[ ({empty_lo to empty_hi})] would be empty: ]the chance that part of it is empty or weak is {prob_bad}"
	case verify.OverFull:
		return "reads {density}[, over the ceiling of {ceiling}]: {prob_over} sure that material has gone elsewhere or a size is wrong"
	case verify.Reach:
		return "the tube left {missing} unreached[, {from to to} from the low end]"
	case verify.NoStall:
		return "the flow did not stall"
	case verify.NeighbourSwap:
		return "does not agree with {other} while the two together are right: bags booked to the wrong bay, or the two are open to each other"
	case verify.ProbeSoft:
		return "found: {finding}[ at {at} from the low end]"
	case verify.CoreDisagrees:
		return "the core reads {core}, the bags say {density}"
	}
	return ""
}

// sectionSentence is what is said about a section as a whole.
func sectionSentence(code verify.Code) string {
	switch code {
	case verify.NotInLog:
		return "{bays|bay is|bays are} not in the log: find and fill, or log"
	case verify.NotFilledBays:
		return "{bays|bay is|bays are} measured and not filled"
	case verify.EmptiesDiffer:
		return "{counted} empties counted, {logged} bags in the log: more apart than the readings explain; count again, or log what was lost or left out"
	case verify.DriftFound:
		return "the density moves along the order of filling[, {slope} a bay]: look at the machine; a set row starts afresh"
	}
	return string(code)
}

// answerSentence is what is said for that which answered a reason.
func answerSentence(code verify.Code) string {
	switch code {
	case verify.ByRodFirm:
		return "rod firm there"
	case verify.BySmokeStill:
		return "smoke still there"
	case verify.ByIREven:
		return "infrared even there"
	case verify.ByTube:
		return "tube run again to the end, and it stalled"
	case verify.ByTopupZero:
		return "tube run again, stalled, nothing went in"
	case verify.ByAmend:
		return "the entry was amended"
	case verify.ByLost:
		return "the loss is in the log"
	case verify.ByCore:
		return "a second core agrees with the bags"
	}
	return string(code)
}

// ReasonTitle names a reason in a few words for a table of bays.
func ReasonTitle(c verify.Code) string {
	switch c {
	case verify.Short:
		return "shown to be short"
	case verify.NotShown:
		return "target not shown"
	case verify.NoMaterial:
		return "nothing is in it"
	case verify.NoFigure:
		return "a figure is missing"
	case verify.SizeUnlike:
		return "a size is that of an unlike bay"
	case verify.ShortOfCrew:
		return "well below the crew's other bays"
	case verify.OverFull:
		return "more than it can hold"
	case verify.Reach:
		return "the tube did not pass it all"
	case verify.NoStall:
		return "the flow did not stall"
	case verify.NeighbourSwap:
		return "bags of the neighbour?"
	case verify.ProbeSoft:
		return "a probe found it soft or empty"
	case verify.CoreDisagrees:
		return "core and bags do not agree"
	}
	return string(c)
}

// actionSentence is what a man with a tube and a rod can do in two minutes; see phrase for the places in it. {places}
// are the places to probe.
func actionSentence(code verify.Code) string {
	switch code {
	case "", verify.ActClose:
		return ""
	case verify.ActAdd:
		return "[{mass ± half}, ]tube to the far end, to stall[; it has not been {from to to} from the low end][; if it will not take that, measure it again and rod {places}]"
	case verify.ActBlowToStall:
		return "tube to the far end, blow to stall[; {mass ± half} would close it]; log what it took by weight, 0 too[; if it takes none, rod {places}][; or leave it open: {open_bays|bay|bays} more like the others would settle it]"
	case verify.ActRod:
		return "rod [{places}; ]and log what it finds"
	case verify.ActRerunTube:
		return "run the tube[ to {places}], blow to stall, log reach and stall"
	case verify.ActMeasureDepth:
		return "measure the depth at other places and log it"
	case verify.ActLookAtFace:
		return "stop: look at the face, the room behind it and the ducts; then measure again"
	case verify.ActLeaveOpen:
		return "leave it open: the next bays in the log may settle it[ ({open_bays|bay|bays} more like the others would)]"
	}
	return deskSentence(code)
}

// deskSentence is what is done about the log rather than the bay.
func deskSentence(code verify.Code) string {
	switch code {
	case verify.ActCheckEntry:
		return "look at its row: a size or the bag weight is missing"
	case verify.ActMeasureSize:
		return "measure its {input} and amend its row"
	case verify.ActSecondCore:
		return "take a second core; amend the row if that was wrong"
	case verify.ActLogCount:
		return "log the bay that ends the shared count"
	case verify.ActFill:
		return "fill it"
	}
	return string(code)
}

// places lists where to probe, in the order in which the evidence names them.
func (u Units) places(data []verify.Datum, sentence func(verify.Code) string) string {
	var all []string
	for code, own := range placesIn(data) {
		all = append(all, u.phrase(sentence(code), own))
	}
	return strings.Join(all, ", ")
}

// placesIn gives the places in evidence, each with where it lies: a place's name is followed by that.
func placesIn(data []verify.Datum) iter.Seq2[verify.Code, []verify.Datum] {
	return func(yield func(verify.Code, []verify.Datum) bool) {
		for i, d := range data {
			if d.Key != "place" {
				continue
			}
			own := data[i+1:]
			if next := slices.IndexFunc(own, func(d verify.Datum) bool { return d.Key != "from" && d.Key != "to" && d.Key != "at" }); next >= 0 {
				own = own[:next]
			}
			if !yield(verify.Code(d.Text), own) {
				return
			}
		}
	}
}

func placeSentence(code verify.Code) string {
	switch code {
	case verify.AtFinding:
		return "where it was found[, {at} from the low end]"
	case verify.BeyondMark:
		return "beyond the tube's last mark[ ({from to to} from the low end)]"
	case verify.ByHole:
		return "by the fill hole[ ({from to to})]"
	case verify.Obstacles:
		return "beside wires, pipes and blocking"
	case verify.FarCorners:
		return "in the far corners"
	}
	return string(code)
}

// adviceSentence is what would have settled a bay, for the next one.
func adviceSentence(input string) string {
	switch input {
	case "":
		return ""
	case "weight":
		return "weigh the part bag"
	case "bag_step":
		return "read the bags[ to {step},] off a finer mark"
	case "counter", "counting":
		return "keep a running count from bay to bay"
	case "depth", "depth2":
		return "measure the depth at three places"
	case "width", "width2":
		return "measure the width at three places"
	case "length", "length2":
		return "measure the length twice"
	case "bulge":
		return "measure the bulge at three places"
	case "bag_weight", "bag_checks":
		return "weigh a few full bags"
	case "ditto":
		return "measure each bay instead of taking sizes over"
	}
	return "a better figure for " + strings.ReplaceAll(input, "_", " ")
}

// warningSentence is what is said for a warning that verify gives; see phrase for the places in it.
func warningSentence(code verify.Code) string {
	switch code {
	case verify.BlowerLow:
		return "blower at {pressure}; 80 in of water (19.9 kPa) is the least: clean the filter and the hose, close the air gate"
	case verify.SpreadUnknown:
		return "nothing was read twice ({input}): how far one reading scatters is unknown, not zero; read some twice"
	case verify.StepDoubled:
		return "the counts look read to {used} of a bag, not {stated} ({odd} odd ones in {counts}): {used} was taken; read finer, or state what is read"
	case verify.PhotoMissing:
		return "{photo} is not in photos/"
	case verify.FlagOverride:
		return "{setting} given by flag: write it into job.csv, or the next check may say something else"
	case verify.CrewNotAsked:
		return "rule guarded judges every bay by itself: a void in a bay that reads above the target cannot show; rule process looks for those"
	case verify.SpillNotTaken:
		return "nothing is taken off for spill: what stayed on the floor counts as packed"
	case verify.NoBulge:
		return "the face is {face} and no bulge was measured: if it stands out, the densities are lower than they read; measure it at mid-width"
	case verify.BagsUnaccounted:
		return "bags loaded, left and logged differ by {bags}, more than the readings explain: amend a count, or log the loss"
	case verify.BagChecksCoarse:
		return "the weighed bags leave the bag weight less certain (u {u}) than its label does (u {u_label}): give weigh_within the scale's own ±"
	case verify.VentInDepth:
		return "a depth of {depth} is a whole rafter's, and vent_space is yes: log the depth that is left below the channel, 1 in less at least"
	case verify.SizesTakenOver:
		return "sizes measured in {measured} of {bays} bays, taken over from the bay above in the rest"
	}
	for _, d := range model.WarningDefs() { // the reader's own, which come with a text
		if d.Code == string(code) {
			return d.Means + ": " + d.Cure
		}
	}
	return string(code)
}

// Notes says what is worth knowing, a line each: warnings, those of one kind together, then the cautions that follow from
// what the job says about itself. Bags that are missing are said by Unaccounted.
func (w *Words) Notes(f *verify.Findings) []string {
	var lines, flags, sized []string
	for _, x := range f.Warnings {
		switch x.Code {
		case verify.BagsUnaccounted:
		case verify.FlagOverride:
			flags = append(flags, w.phrase("{setting}", x.Data))
		case verify.SizesTakenOver:
			place := ""
			if x.Section != "" {
				place = " of " + x.Section
			}
			sized = append(sized, w.phrase("{measured} of {bays} bays", x.Data)+place)
		default:
			lines = append(lines, w.WarningWithPlace(x))
		}
	}
	if len(sized) > 0 {
		lines = append(lines, "sizes measured in "+List(sized)+", taken over from the bay above in the rest")
	}
	if len(flags) > 0 {
		lines = append(lines, List(flags)+" given by flag: write it into job.csv, or the next check may say something else")
	}
	return append(lines, Cautions(f.Job)...)
}

// Cautions returns the cautions that follow from what the job says about itself. All of them stand on the sheets of the
// plan and in the record.
func Cautions(job *model.Job) []string {
	said := map[verify.Code]bool{}
	for _, s := range job.Sections {
		said["unvented"] = said["unvented"] || s.Unvented == model.Yes
		said["vent-space"] = said["vent-space"] || s.VentSpace == model.Yes
	}
	var out []string
	for _, c := range verify.Cautions(job) {
		if said[c.Code] {
			out = append(out, Caution(c))
		}
	}
	return out
}

// Caution writes one caution: what to look for, where it is a thing that may be there or not, and what to do.
func Caution(c verify.Caution) string {
	if c.LookFor == "" {
		return c.Text
	}
	return "Look for " + c.LookFor + ". " + c.Text
}
