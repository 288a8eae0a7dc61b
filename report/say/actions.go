package say

import (
	"iter"
	"slices"
	"strings"

	"bayproof/verify"
)

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
