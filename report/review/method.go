package review

import (
	"bayproof/verify/audit"
)

// method says how the figures were made.
func method(r *audit.Review) []string {
	out := []string{
		"A share of CLOSE stands with its 95 % Wilson interval. Shrunk rates are drawn towards the other crews by a beta distribution fitted to all of them: few bays are drawn most.",
		"The funnel shows where a crew with so many bays lies if it is like all together: 19 in 20 within the inner limits, 998 in 1000 within the outer ones.",
		"19 in 20: the lowest density, over the sections, that nineteen bays in twenty exceed, at 90 %.",
	}
	if !r.Figures {
		out = append(out,
			"Counts are held against the same bays filled and counted again by an honest crew that counts as this one did (each bay fresh, both ends, or running), with a spread between bays drawn from the prior of rule process: log-normal, median 3.5 %.",
			"A copied run of rows is held against the chance that like bays, honestly measured, get the same cells; bags and weights tell as much as they are fine beside the spread of honest bays. Sizes alone tell nothing, as framing repeats itself and twin houses share it: all places with the same run of sizes are counted. Where the tube stopped and where the hole was tell as much as they are rare in their log.",
			"All probabilities that were looked at are taken together and false discoveries held at 5 % whatever hangs together (Benjamini and Yekutieli 2001).")
	}
	return out
}
