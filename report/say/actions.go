package say

import "bayproof/verify"

// actionSentence is what a man with a tube and a rod can do in two minutes; see phrase for the places in it.
func actionSentence(code verify.Code) string {
	switch code {
	case "", "close":
		return ""
	case "add":
		return "{mass ± half}, tube to the far end, to stall"
	case "blow-to-stall":
		return "weigh {mass ± half} and blow it in to stall; if it takes none, rod {at}"
	case "rod":
		return "rod it {at}"
	case "rerun-tube":
		return "run the tube again to within {throw} of the far end, to stall"
	case "weigh":
		return "weigh what you blow in next"
	case "measure-depth":
		return "measure the depth at three places"
	case "look-at-face":
		return "stop; look at the face, the room behind it and the ducts"
	case "amend-size":
		return "measure it again and amend the row"
	case "leave-open":
		return "leave it open and log the next bays: they may settle it"
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
		return "read the bags to an eighth"
	case "counter":
		return "keep a running count"
	case "depth":
		return "measure the depth at three places"
	}
	return "better " + input
}
