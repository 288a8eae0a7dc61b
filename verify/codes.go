package verify

import (
	"fmt"

	"bayproof/model"
	"bayproof/verify/measure"
)

// Kind says what a code names.
type Kind string

const (
	KindReason        Kind = "reason"         // speaks about a bay's figure and holds its verdict until answered
	KindSuspicion     Kind = "suspicion"      // a reason for PROBE
	KindAnswer        Kind = "answer"         // what answered a reason
	KindAction        Kind = "action"         // what to do now
	KindPlace         Kind = "place"          // where to probe, in the data of an action
	KindSectionReason Kind = "section-reason" // speaks about a section
	KindWarning       Kind = "warning"        // worth knowing, holds no verdict
)

// Reasons of a bay that rest on its figure.
const (
	NotShown   Code = "not-shown"
	Short      Code = "short"
	NoMaterial Code = "no-material"
	NoFigure   Code = "no-figure"
	SizeUnlike Code = "size-unlike"
)

// Suspicions.
const (
	ShortOfCrew   Code = "short-of-crew"
	OverFull      Code = "over-full"
	Reach         Code = "reach"
	NoStall       Code = "no-stall"
	NeighbourSwap Code = "neighbour-swap"
	ProbeSoft     Code = "probe-soft"
	CoreDisagrees Code = "core-disagrees"
)

// Answers.
const (
	ByRodFirm    Code = "rod-firm"
	BySmokeStill Code = "smoke-still"
	ByIREven     Code = "ir-even"
	ByTube       Code = "tube"
	ByTopupZero  Code = "topup-zero"
	ByAmend      Code = "amended"
	ByLost       Code = "lost"
	ByCore       Code = "core"
)

// Actions.
const (
	ActClose        Code = "close"
	ActAdd          Code = "add"
	ActBlowToStall  Code = "blow-to-stall"
	ActRod          Code = "rod"
	ActRerunTube    Code = "rerun-tube"
	ActMeasureDepth Code = "measure-depth"
	ActMeasureSize  Code = "measure-size"
	ActLookAtFace   Code = "look-at-face"
	ActLeaveOpen    Code = "leave-open"
	ActCheckEntry   Code = "check-entry"
	ActSecondCore   Code = "second-core"
	ActLogCount     Code = "log-count"
	ActFill         Code = "fill"
)

// Places.
const (
	BeyondMark Code = "beyond-mark"
	ByHole     Code = "by-hole"
	Obstacles  Code = "obstacles"
	FarCorners Code = "far-corners"
	AtFinding  Code = "at-finding"
)

// Reasons of a section.
const (
	NotInLog      Code = "not-in-log"
	NotFilledBays Code = "not-filled"
	EmptiesDiffer Code = "empties-differ"
	DriftFound    Code = "drift"
)

// Warnings.
const (
	BlowerLow       Code = "blower-low"
	SpreadUnknown   Code = "spread-unknown"
	StepDoubled     Code = "step-doubled"
	PhotoMissing    Code = "photo-missing"
	FlagOverride    Code = "flag-override"
	SpillNotTaken   Code = "spill-not-deducted"
	CrewNotAsked    Code = "crew-not-asked"
	NoBulge         Code = "no-bulge"
	BagsUnaccounted Code = "bags-unaccounted"
	BagChecksCoarse Code = "bag-checks-coarse"
	SizesTakenOver  Code = "sizes-taken-over"
	VentInDepth     Code = "vent-in-depth"
)

// isSuspicion tells the reasons for PROBE from those that rest on the figure.
func isSuspicion(c Code) bool {
	switch c {
	case ShortOfCrew, OverFull, Reach, NoStall, NeighbourSwap, ProbeSoft, CoreDisagrees:
		return true
	}
	return false
}

// CodeInfo explains a code.
type CodeInfo struct {
	Code    Code
	Kind    Kind
	Means   string // what it says
	Answers string // of a reason: what answers it
	Data    string // keys of its evidence
	Source  string
}

// Codes is the one table of all codes, by kind in the order in which they are looked for.
func Codes() []CodeInfo {
	all := append(reasonCodes(), suspicionCodes()...)
	all = append(all, answerCodes()...)
	all = append(all, actionCodes()...)
	all = append(all, placeCodes()...)
	all = append(all, sectionCodes()...)
	all = append(all, warningCodes()...)
	return append(all, readerCodes()...)
}

const (
	own     = "this tool's own"
	common  = "common practice"
	jcgm106 = "JCGM 106"
)

func reasonCodes() []CodeInfo {
	const more = "a top-up by weight; further readings where a size dominates; the bays logged next, if it is left open"
	return []CodeInfo{
		{Short, KindReason, "shown to be below the target", "only material", "density, half_width, prob_short", jcgm106},
		{NoMaterial, KindReason, "nothing is in it", "only material", "", own},
		{NotShown, KindReason, "the target is neither shown nor ruled out", more, "density, half_width, prob", jcgm106},
		{NoFigure, KindReason, "no density can be had: a size or the bag weight is missing", "the missing figure", "", own},
		{SizeUnlike, KindReason, "no density can be had: a size was taken over from a bay above, and the section's bays are too unlike for that", "an amend with the size measured", "input", "JCGM 100, 5.1.2"},
	}
}

func suspicionCodes() []CodeInfo {
	const firm = "rod firm, ir even or smoke still within the length named; a top-up of 0 that stalled lowers the odds of a void"
	const tube = "rod firm or smoke still beyond the tube's last mark; the tube run again to within one throw, and stalled"
	return []CodeInfo{
		{ShortOfCrew, KindSuspicion, "so far below the crew's other bays that part of it may be empty", firm, "prob_bad, empty, empty_lo, empty_hi", own},
		{OverFull, KindSuspicion, "more material than the bay holds: some of it is elsewhere, or a size is wrong", "an amended size; a lost entry; never a rod", "density, ceiling, prob_over", common},
		{Reach, KindSuspicion, "a length that the tube did not pass, beyond one throw per dead end", tube, "missing, passed, length, from, to", common},
		{NoStall, KindSuspicion, "the flow was said not to have stalled", tube, "", common},
		{NeighbourSwap, KindSuspicion, "two bays filled one after the other differ, while together they do not: booked to the wrong bay, or open to each other", firm, "other, difference, z", own},
		{ProbeSoft, KindSuspicion, "a rod, smoke or infrared look found it soft, empty, moving or cold", "a later look at that place: rod firm for a rod, smoke still for smoke, ir even or rod firm for infrared", "finding, at", "SWS 4.1103.1 (smoke); common practice"},
		{CoreDisagrees, KindSuspicion, "a core's density and the bag density do not agree within their uncertainties", "an amended entry; a second core that agrees", "core, density, z", own},
	}
}

func answerCodes() []CodeInfo {
	return []CodeInfo{
		{ByRodFirm, KindAnswer, "a rod found it firm at the place", "", "", common},
		{BySmokeStill, KindAnswer, "smoke stood still at the place", "", "", "SWS 4.1103.1"},
		{ByIREven, KindAnswer, "infrared showed it even at the place", "", "", common},
		{ByTube, KindAnswer, "the tube was run again, to within one throw of the end, and the flow stalled", "", "", common},
		{ByTopupZero, KindAnswer, "the tube was run again, stalled, and nothing went in", "", "", own},
		{ByAmend, KindAnswer, "an entry was amended", "", "", own},
		{ByLost, KindAnswer, "material was booked as lost", "", "", own},
		{ByCore, KindAnswer, "a second core agrees with the bag density", "", "", own},
	}
}

func actionCodes() []CodeInfo {
	act := func(c Code, means, data string) CodeInfo { return CodeInfo{c, KindAction, means, "", data, common} }
	return []CodeInfo{
		act(ActClose, "close it", ""),
		act(ActAdd, "blow in the mass that brings it to the aim, tube to the far end, to stall", "mass, bags, density, place"),
		act(ActBlowToStall, "run the tube again and blow to stall, weighing what goes in; log the top-up, 0 too", "mass, prob_none, open_bays, prob_open, place, from, to"),
		act(ActRod, "probe with the rod at the places named and log what it finds", "place, from, to"),
		act(ActRerunTube, "run the tube to the place named, blow to stall and log reach and stall", "place, from, to"),
		act(ActMeasureDepth, "measure the depth again at other places", "prob, place, from, to"),
		act(ActMeasureSize, "measure a size that was taken over, and amend the row", "input"),
		act(ActLookAtFace, "stop and look at the face, the room and the ducts; then at the sizes", ""),
		act(ActLeaveOpen, "leave it open: the bays logged next may settle it", "open_bays, prob_open"),
		act(ActCheckEntry, "look at the entry: a figure is missing or wrong", ""),
		act(ActSecondCore, "take a second core; amend the entry if it was wrong", ""),
		act(ActLogCount, "log the bay that ends the shared count", ""),
		act(ActFill, "fill it", ""),
	}
}

func placeCodes() []CodeInfo {
	place := func(c Code, means string) CodeInfo { return CodeInfo{c, KindPlace, means, "", "from, to", common} }
	return []CodeInfo{
		place(AtFinding, "where a look found something"),
		place(BeyondMark, "beyond the tube's last mark"),
		place(ByHole, "the last foot by the fill hole"),
		place(Obstacles, "beside wires, pipes and blocking"),
		place(FarCorners, "the far corners of a bay over 20 in wide"),
	}
}

func sectionCodes() []CodeInfo {
	return []CodeInfo{
		{NotInLog, KindSectionReason, "bays that the sections table counts and the log lacks", "log them", "bays", own},
		{NotFilledBays, KindSectionReason, "bays measured and not filled", "fill them", "bays", own},
		{EmptiesDiffer, KindSectionReason, "empties counted and bags logged differ by more than the readings explain", "an amended entry or count; a lost entry", "counted, logged, z", own},
		{DriftFound, KindSectionReason, "the density moves along the order of filling", "look at the machine; a set row restarts it", "slope, z", own},
	}
}

// readerCodes are the warnings that the reading of a job gives.
func readerCodes() []CodeInfo {
	var codes []CodeInfo
	for _, d := range model.WarningDefs() {
		codes = append(codes, CodeInfo{Code(d.Code), KindWarning, d.Means, d.Cure, "", own})
	}
	return codes
}

func warningCodes() []CodeInfo {
	warn := func(c Code, means, cure, data, source string) CodeInfo {
		return CodeInfo{c, KindWarning, means, cure, data, source}
	}
	return []CodeInfo{
		warn(BlowerLow, "the blower's pressure is below 80 in of water", "clean filter and hose, close the air gate", "pressure", "SWS 4.1101.5"),
		warn(SpreadUnknown, "nothing was read twice: how far one reading scatters is unknown, not zero", "read some widths, depths and lengths twice", "input", "JCGM 100, 4.2"),
		warn(StepDoubled, "the log shows a coarser step than the one stated", "read finer, or state the step that is read", "stated, used, odd, counts, prob", own),
		warn(PhotoMissing, "photos that the log names are not there", "add them to photos/", "photo", own),
		warn(FlagOverride, "a verdict rests on a setting given by a flag", "write it into job.csv", "setting", own),
		warn(CrewNotAsked, "rule guarded: a bay is judged by itself; a void in a bay above the target cannot show", "rule process", "", own),
		warn(SpillNotTaken, "spill is not deducted", "give spill its share", "", own),
		warn(NoBulge, "the face is netting or a membrane and no bulge was measured", "measure the bulge at mid-width after filling", "face", "geometry"),
		warn(BagsUnaccounted, "bags loaded, left and logged do not add up within the readings", "an amended count; a lost entry", "bags, z", own),
		warn(BagChecksCoarse, "the weighed bags know the bag weight less well than the label, for the scale's own ±", "give weigh_within the scale's ±", "u, u_label", "JCGM 100"),
		warn(VentInDepth, "vent_space is yes and a depth is a rafter's whole depth: the channel is in it", "log the depth that is left below the channel", "depth, bays", "IRC R806.3; PS 20"),
		warn(SizesTakenOver, "sizes were taken over from the bay above, not measured", "measure more bays", "measured, bays", own),
	}
}

// Method is the number of the way in which figures are computed. It stands in every record and JSON document and rises by
// one with a change after which some log gives another figure or verdict: an integrator, a prior, a constant, a rule.
// Sentences, layout and new keys do not raise it. Only the present method is kept; a document without a number is of
// method 1.
const Method = 1

// Limits and levels that verdicts rest on. Constants explains each with its unit and source.
const (
	// Level is the level of the expanded interval that stands beside a density (two-sided).
	Level = 0.95
	// BlindFactor is how many of its standard deviations a lack must measure to be seen with 5 % false alarms and 5 %
	// misses: twice 1.645.
	BlindFactor = 3.29
	// CoreLimit is how many combined standard uncertainties a core may be off the bag density: 1 false alarm in 100.
	CoreLimit = 2.576
	// CoreLocal is the relative standard uncertainty of one core for the whole bay, as density varies within a bay.
	CoreLocal = 0.05
	// CoreMassWithin is the ± of a core's weight, kg.
	CoreMassWithin = 0.001
	// CoreDiameterWithin is the ± of a core cutter's diameter, m.
	CoreDiameterWithin = model.Inch / 32
	// EmptiesLimit is how many standard uncertainties empties counted may be off the bags logged.
	EmptiesLimit = 2.576
	// EmptiesVar is the variance of a count of whole empties that may start and end within a bag, bags²: 1/6.
	EmptiesVar = 1. / 6
	// LeastBlower is the least pressure of the blower with the feed off, Pa.
	LeastBlower = 80 * model.InchOfWater
	// WideBay is the width from which the far corners of a bay are probed too, m.
	WideBay = 20 * model.Inch
	// LookWithin is how far from the place of a finding a later look still is at that place, m.
	LookWithin = model.Foot
)

// Constants is the one table of what verdicts rest on besides the log and its settings, with units and sources. The priors
// of rule process stand in a table of their own.
func Constants() []Constant {
	c := func(name string, value float64, unit, source, use string) Constant {
		return Constant{Name: name, Value: fmt.Sprintf("%.6g", value), Unit: unit, Source: source, Use: use}
	}
	return append(measureConstants(c),
		c("interval level", Level, "share", "JCGM 100, 6.2: a level of about 95 %", "the interval beside a density"),
		c("blind factor", BlindFactor, "standard deviations", "ISO 11843-1: a detection limit with 5 % false alarms and 5 % misses, 2 × 1.645", "blind length"),
		c("core limit", CoreLimit, "standard uncertainties", "normal distribution, two-sided 1 %; the limit is this tool's own", "core-disagrees"),
		c("core, local", CoreLocal, "share of the density", "this tool's own: no published spread within a bay was found", "core-disagrees"),
		c("core, scale ±", CoreMassWithin*1000, "g", "common practice: a kitchen scale", "core-disagrees"),
		c("core, cutter ±", CoreDiameterWithin/model.Inch, "in", "this tool's own: half of a tape's sixteenth", "core-disagrees"),
		c("empties limit", EmptiesLimit, "standard uncertainties", "normal distribution, two-sided 1 %; the limit is this tool's own", "empties-differ, bags-unaccounted"),
		c("empties variance", EmptiesVar, "bags²", "JCGM 100, 4.3.9: two readings to a whole bag, 1/6", "empties-differ, bags-unaccounted"),
		c("blower, least", 80, "in of water", "SWS 4.1101.5", "blower-low"),
		c("wide bay", WideBay/model.Inch, "in", "common practice", "where to probe"),
		c("place of a look", LookWithin/model.Foot, "ft", "this tool's own: a rod's swing", "what answers probe-soft"),
	)
}

// measureConstants are those that the measurement rests on.
func measureConstants(c func(string, float64, string, string, string) Constant) []Constant {
	return []Constant{
		c("rectangular limit", 1.7320508075688772, "divides ±a", "JCGM 100, 4.3.7", "tapes, scales, bag label"),
		c("count, both ends read", 2.449489742783178, "divides the step", "JCGM 100, 4.3.9: difference of two rounded readings", "bags, counting ends"),
		c("count, one end read", 3.4641016151377544, "divides the step", "JCGM 100, F.2.2.1: one rounded reading", "counter, counting fresh"),
		c("bulge", 2./3, "of its height at mid-width", "geometry: the mean of a parabola", "volume"),
		c("fewest degrees of freedom", measure.FewestDOF, "readings", "this tool's own", "pooling over the section or the job; spread between bays"),
		c("taken over, width and depth ±", measure.DittoWidth/model.Inch, "in", "common practice", "dittos, until the spread between bays is known"),
		c("taken over, length ±", measure.DittoLength/model.Inch, "in", "common practice", "dittos, until the spread between bays is known"),
		c("few weighed bags", measure.FewBags, "bags", "this tool's own", "bag weight"),
		c("allowable variation, up to 23.20 lb", measure.AllowableVariation(20*model.Pound)/model.Pound, "lb", "NIST Handbook 133 (from memory)", "bag weight of under four weighed bags"),
		c("allowable variation, 23.20 to 31.60 lb", measure.AllowableVariation(25*model.Pound)/model.Pound, "lb", "NIST Handbook 133 (from memory)", "bag weight of under four weighed bags"),
		c("allowable variation, over 31.60 lb", measure.AllowableVariation(40*model.Pound)/model.Pound, "lb", "NIST Handbook 133 (from memory)", "bag weight of under four weighed bags"),
		c("rare step", measure.RareStep, "probability", "this tool's own", "step-doubled"),
	}
}
