package say

import "bayproof/verify"

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
