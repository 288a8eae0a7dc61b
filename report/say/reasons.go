package say

import "bayproof/verify"

// reasonSentence is what is said for a reason; see phrase for the places in it.
func reasonSentence(code verify.Code) string {
	switch code {
	case "short":
		return "short: {short} sure"
	case "no-material":
		return "nothing went in"
	case "target-not-shown":
		return "{prob} sure of the target, {confidence} is asked"
	case "short-of-crew":
		return "packed like your other bays, about {empty_length}[ ({empty_length_lo to empty_length_hi})] of it would be empty: {prob} sure of a void or a weak fill"
	case "over-full":
		return "more went in than fits: {prob} sure; look at the face, the room and the ducts, or a size is wrong"
	case "reach":
		return "the tube left {unreached} unpassed[, from {from}]"
	case "no-stall":
		return "the flow had not stalled"
	case "neighbour-swap":
		return "this bay and {other} differ, together they are right: bags booked to the wrong one, or the two are open to each other"
	case "probe-soft":
		return "{finding}[ at {at}]"
	case "core-disagrees":
		return "the core reads {core ± core_half}, the bags {density ± density_half}"
	}
	return string(code)
}

// answerSentence is what is said for that which answered a reason.
func answerSentence(code verify.Code) string {
	switch code {
	case "topup":
		return "topped up since"
	case "topup-zero":
		return "tube run again, nothing went in"
	case "amended":
		return "amended since"
	case "lost":
		return "the loss is in the log"
	case "core":
		return "a core agrees"
	case "rod-firm":
		return "rod firm"
	case "smoke-still":
		return "smoke still"
	case "ir-even":
		return "infrared even"
	}
	return string(code)
}
