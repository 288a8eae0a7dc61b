package say

import (
	"bayproof/model"
	"bayproof/verify"
)

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
