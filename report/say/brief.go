package say

import (
	"math"
	"strings"

	"bayproof/verify"
)

// What a list of bays says is shorter than what the record and the machine formats say: the same facts, with everything
// that holds for all of its lines said once, in BriefLegend.

// BriefNow is what can be done now, on a line or two.
func (w *Words) BriefNow(b *verify.Bay) string {
	return w.phrase(briefAction(b.Now.Code), withHalf(b))
}

// BriefEvidence is Evidence without the sureness that every bay is asked for.
func (w *Words) BriefEvidence(b *verify.Bay) string { return w.evidence(b, w.briefSure) }

func (w *Words) briefSure(b *verify.Bay) string {
	confidence := b.Bay.Section.Settings.Confidence
	text := Percent(b.ProbAtTarget, confidence) + " sure of " + w.Target(target(b))
	switch p := b.ProbAtTarget; {
	case math.IsNaN(p):
		text = w.Sure(b)
	case p <= 1-confidence:
		text = "short, " + Percent(1-p, confidence) + " sure"
	}
	return strings.Replace(text, "over ", ">", 1)
}

// BriefReason says one reason with its evidence, one of several on a line.
func (w *Words) BriefReason(r verify.Reason) string { return w.phrase(briefReason(r.Code), r.Data) }

// BriefLegend says what holds for every line of a list.
func (w *Words) BriefLegend(f *verify.Findings) string {
	return "A bay may be closed once it is " + plain(f.Job.Settings.Confidence*100, 2) + " % sure and nothing speaks for a void. Lengths in a bay are from its low end. " + w.Legend(f)
}

// briefAction is actionSentence for a list; {spots} are the places to probe, {spot} the first that is known in feet.
func briefAction(code verify.Code) string {
	switch code {
	case verify.ActAdd:
		return "[{mass ± half}, ]tube to the far end, to stall[; if it will not take it, measure again and rod {spot}]"
	case verify.ActBlowToStall:
		return "tube to the far end, to stall[: {mass ± half} would close it]; log what went in, 0 too[; if none, rod {spot}][; or leave it open: {open_bays|bay|bays} more may settle it]"
	case verify.ActRod:
		return "rod [{spots}; ]log what it finds"
	case verify.ActRerunTube:
		return "tube again[ to {spots}], to stall; log reach and stall"
	}
	return actionSentence(code)
}

// briefReason is reasonSentence for a list.
func briefReason(code verify.Code) string {
	switch code {
	case verify.ShortOfCrew:
		return "[packed like the others, {empty}[ ({empty_lo to empty_hi})] would be empty: ]{prob_bad} chance of a void or weak part"
	case verify.Reach:
		return "{missing} not reached[ ({from to to})]"
	case verify.NoStall:
		return "no stall"
	case verify.ProbeSoft:
		return "{finding}[ at {at}]"
	}
	return reasonSentence(code)
}

// briefPlace is placeSentence for a list.
func briefPlace(code verify.Code) string {
	switch code {
	case verify.AtFinding:
		return "[{at}, ]where it was found"
	case verify.BeyondMark:
		return "past the tube's mark[ ({from to to})]"
	case verify.ByHole:
		return "by the fill hole[ ({from to to})]"
	case verify.Obstacles:
		return "wires, pipes, blocking"
	case verify.FarCorners:
		return "corners"
	}
	return placeSentence(code)
}

// spot is the first place to probe that is known in feet, else the first.
func (u Units) spot(data []verify.Datum) string {
	first := ""
	for code, own := range placesIn(data) {
		text := u.phrase(briefPlace(code), own)
		if len(own) > 0 {
			return text
		}
		if first == "" {
			first = text
		}
	}
	return first
}
