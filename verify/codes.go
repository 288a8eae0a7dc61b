package verify

import (
	"fmt"
	"slices"

	"bayproof/model"
	"bayproof/verify/crew"
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

// CodeInfo is a row of the table of codes: all that the program knows about a code but its sentences, which stand under
// the same code in package report/say.
type CodeInfo struct {
	Code    Code
	Kind    Kind
	Means   string // what it says
	Answers string // of a reason: what answers it; of a warning: what helps
	Data    string // keys of its evidence
	Source  string

	Act   Code // of a reason or suspicion of a bay: what to do about it
	Where Code // of a suspicion: the place where Act is done; BeyondMark for that and the places after it; empty for none
	Leads int  // of a suspicion: the least number of those that stand unanswered decides what is done first
}

// Codes is the one table of all codes, by kind in the order in which they are looked for.
func Codes() []CodeInfo { return slices.Clone(codes) }

// rowOf finds the row of a code; the zero row where it has none.
var rowOf = func() map[Code]CodeInfo {
	rows := make(map[Code]CodeInfo, len(codes))
	for _, row := range codes {
		rows[row.Code] = row
	}
	return rows
}()

// isSuspicion tells the reasons for PROBE from those that rest on the figure.
func isSuspicion(c Code) bool { return rowOf[c].Kind == KindSuspicion }

// What several rows say alike.
const (
	own     = "this tool's own"
	common  = "common practice"
	jcgm106 = "JCGM 106"

	moreReadings = "a top-up by weight; further readings where a size dominates; the bays logged next, if it is left open"
	firmThere    = "rod firm, ir even or smoke still within the length named; a top-up of 0 that stalled lowers the odds of a void"
	tubePassed   = "rod firm or smoke still beyond the tube's last mark; the tube run again to within one throw, and stalled"
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

// codes is the table. Material gone elsewhere leads before all, then what a look has found, then where nobody has looked.
var codes = slices.Concat([]CodeInfo{
	reason(Short, ActAdd, "shown to be below the target", "only material", "density, half_width, prob_short", jcgm106),
	reason(NoMaterial, ActAdd, "nothing is in it", "only material", "", own),
	reason(NotShown, ActBlowToStall, "the target is neither shown nor ruled out", moreReadings, "density, half_width, prob", jcgm106),
	reason(NoFigure, ActCheckEntry, "no density can be had: a size or the bag weight is missing", "the missing figure", "", own),
	reason(SizeUnlike, ActMeasureSize, "no density can be had: a size was taken over from a bay above, and the section's bays are too unlike for that",
		"an amend with the size measured", "input", "JCGM 100, 5.1.2"),

	suspicion(6, ShortOfCrew, ActRod, BeyondMark, "so far below the crew's other bays that part of it may be empty", firmThere, "prob_bad, empty, empty_lo, empty_hi", own),
	suspicion(1, OverFull, ActLookAtFace, "", "more material than the bay holds: some of it is elsewhere, or a size is wrong",
		"an amended size; a lost entry; never a rod", "density, ceiling, prob_over", common),
	suspicion(3, Reach, ActRod, BeyondMark, "a length that the tube did not pass, beyond one throw per dead end", tubePassed, "missing, passed, length, from, to", common),
	suspicion(4, NoStall, ActRerunTube, BeyondMark, "the flow was said not to have stalled", tubePassed, "", common),
	suspicion(5, NeighbourSwap, ActRod, BeyondMark, "two bays filled one after the other differ, while together they do not: booked to the wrong bay, or open to each other",
		firmThere, "other, difference, z", own),
	suspicion(2, ProbeSoft, ActRerunTube, AtFinding, "a rod, smoke or infrared look found it soft, empty, moving or cold",
		"a later look at that place: rod firm for a rod, smoke still for smoke, ir even or rod firm for infrared", "finding, at", "SWS 4.1103.1 (smoke); common practice"),
	suspicion(7, CoreDisagrees, ActSecondCore, "", "a core's density and the bag density do not agree within their uncertainties",
		"an amended entry; a second core that agrees", "core, density, z", own),

	answer(ByRodFirm, "a rod found it firm at the place", common),
	answer(BySmokeStill, "smoke stood still at the place", "SWS 4.1103.1"),
	answer(ByIREven, "infrared showed it even at the place", common),
	answer(ByTube, "the tube was run again, to within one throw of the end, and the flow stalled", common),
	answer(ByTopupZero, "the tube was run again, stalled, and nothing went in", own),
	answer(ByAmend, "an entry was amended", own),
	answer(ByLost, "material was booked as lost", own),
	answer(ByCore, "a second core agrees with the bag density", own),

	action(ActClose, "close it", ""),
	action(ActAdd, "blow in the mass that brings it to the aim, tube to the far end, to stall", "mass, bags, density, place"),
	action(ActBlowToStall, "run the tube again and blow to stall, weighing what goes in; log the top-up, 0 too", "mass, prob_none, open_bays, prob_open, place, from, to"),
	action(ActRod, "probe with the rod at the places named and log what it finds", "place, from, to"),
	action(ActRerunTube, "run the tube to the place named, blow to stall and log reach and stall", "place, from, to"),
	action(ActMeasureDepth, "measure the depth again at other places", "prob, place, from, to"),
	action(ActMeasureSize, "measure a size that was taken over, and amend the row", "input"),
	action(ActLookAtFace, "stop and look at the face, the room and the ducts; then at the sizes", ""),
	action(ActLeaveOpen, "leave it open: the bays logged next may settle it", "open_bays, prob_open"),
	action(ActCheckEntry, "look at the entry: a figure is missing or wrong", ""),
	action(ActSecondCore, "take a second core; amend the entry if it was wrong", ""),
	action(ActLogCount, "log the bay that ends the shared count", ""),
	action(ActFill, "fill it", ""),

	placeToProbe(AtFinding, "where a look found something"),
	placeToProbe(BeyondMark, "beyond the tube's last mark"),
	placeToProbe(ByHole, "the last foot by the fill hole"),
	placeToProbe(Obstacles, "beside wires, pipes and blocking"),
	placeToProbe(FarCorners, "the far corners of a bay over 20 in wide"),

	sectionReason(NotInLog, "bays that the sections table counts and the log lacks", "log them", "bays", own),
	sectionReason(NotFilledBays, "bays measured and not filled", "fill them", "bays", own),
	sectionReason(EmptiesDiffer, "empties counted and bags logged differ by more than the readings explain", "an amended entry or count; a lost entry", "counted, logged, z", own),
	sectionReason(DriftFound, "the density moves along the order of filling", "look at the machine; a set row restarts it", "slope, z", own),

	warning(BlowerLow, "the blower's pressure is below 80 in of water", "clean filter and hose, close the air gate", "pressure", "SWS 4.1101.5"),
	warning(SpreadUnknown, "nothing was read twice: how far one reading scatters is unknown, not zero", "read some widths, depths and lengths twice", "input", "JCGM 100, 4.2"),
	warning(StepDoubled, "the log shows a coarser step than the one stated", "read finer, or state the step that is read", "stated, used, odd, counts, prob", own),
	warning(PhotoMissing, "photos that the log names are not there", "add them to photos/", "photo", own),
	warning(FlagOverride, "a verdict rests on a setting given by a flag", "write it into job.csv", "setting", own),
	warning(CrewNotAsked, "rule guarded: a bay is judged by itself; a void in a bay above the target cannot show", "rule process", "", own),
	warning(SpillNotTaken, "spill is not deducted", "give spill its share", "", own),
	warning(NoBulge, "the face is netting or a membrane and no bulge was measured", "measure the bulge at mid-width after filling", "face", "geometry"),
	warning(BagsUnaccounted, "bags loaded, left and logged do not add up within the readings", "an amended count; a lost entry", "bags, z", own),
	warning(BagChecksCoarse, "the weighed bags know the bag weight less well than the label, for the scale's own ±", "give weigh_within the scale's ±", "u, u_label", "JCGM 100"),
	warning(VentInDepth, "vent_space is yes and a depth is a rafter's whole depth: the channel is in it", "log the depth that is left below the channel", "depth, bays", "IRC R806.3; PS 20"),
	warning(SizesTakenOver, "sizes were taken over from the bay above, not measured", "measure more bays", "measured, bays", own),
}, readerCodes())

func reason(c, act Code, means, answers, data, source string) CodeInfo {
	return CodeInfo{Code: c, Kind: KindReason, Means: means, Answers: answers, Data: data, Source: source, Act: act}
}

func suspicion(leads int, c, act, where Code, means, answers, data, source string) CodeInfo {
	return CodeInfo{Code: c, Kind: KindSuspicion, Means: means, Answers: answers, Data: data, Source: source, Act: act, Where: where, Leads: leads}
}

func answer(c Code, means, source string) CodeInfo {
	return CodeInfo{Code: c, Kind: KindAnswer, Means: means, Source: source}
}

func action(c Code, means, data string) CodeInfo {
	return CodeInfo{Code: c, Kind: KindAction, Means: means, Data: data, Source: common}
}

func placeToProbe(c Code, means string) CodeInfo {
	return CodeInfo{Code: c, Kind: KindPlace, Means: means, Data: "from, to", Source: common}
}

func sectionReason(c Code, means, helps, data, source string) CodeInfo {
	return CodeInfo{Code: c, Kind: KindSectionReason, Means: means, Answers: helps, Data: data, Source: source}
}

func warning(c Code, means, helps, data, source string) CodeInfo {
	return CodeInfo{Code: c, Kind: KindWarning, Means: means, Answers: helps, Data: data, Source: source}
}

// readerCodes are the warnings that the reading of a job gives.
func readerCodes() []CodeInfo {
	var all []CodeInfo
	for _, d := range model.WarningDefs() {
		all = append(all, warning(Code(d.Code), d.Means, d.Cure, "", own))
	}
	return all
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

// Priors lists what rule process rests on besides the log, with units and sources: its prior statements, the limits of
// suspicion and drift, and what a top-up of nothing tells.
func Priors() []Constant {
	var all []Constant
	for _, p := range append(crew.Priors(), crew.Limits()...) {
		all = append(all, Constant(p))
	}
	return append(all, Constant{Name: "top-up of nothing", Value: fmt.Sprint(ZeroStallOdds), Unit: "factor on the odds",
		Source: "this tool's own: a second run of the tube that stalls at once misses one void in four", Use: "short-of-crew, once a bay"})
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
