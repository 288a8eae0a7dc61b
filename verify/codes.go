package verify

import (
	"fmt"
	"slices"
	"sync"

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
	KindReopened      Kind = "reopened"       // why a closed bay is asked about again
	KindSectionReason Kind = "section-reason" // speaks about a section
	KindWarning       Kind = "warning"        // worth knowing, holds no verdict
)

// CodeInfo is a row of the table of codes: all that the program knows about a code but its
// sentences, which stand under the same code in package report/say.
type CodeInfo struct {
	Code    Code
	Kind    Kind
	Means   string // what it says
	Answers string // of a reason: what answers it; of a warning: what helps
	Data    string // keys of its evidence
	Source  string

	Holds bool // of a reason: it keeps a bay at MEASURE whatever its figure says
	Leads int  // of a suspicion: the least number of those that stand unanswered decides what is done first
}

// Codes is the one table of all codes, by kind in the order in which they are looked for.
func Codes() []CodeInfo { return slices.Clone(codes) }

// rowOf finds the row of a code; an empty one where it has none. Nobody writes to it.
func rowOf(c Code) *CodeInfo {
	if row := rows()[c]; row != nil {
		return row
	}
	return &CodeInfo{}
}

// rows is each code's row of the table, copied when one is first asked for.
var rows = sync.OnceValue(func() map[Code]*CodeInfo {
	rows := make(map[Code]*CodeInfo, len(codes))
	for _, row := range codes {
		rows[row.Code] = &row
	}
	return rows
})

// isSuspicion tells the reasons for PROBE from those that rest on the figure.
func isSuspicion(c Code) bool { return rowOf(c).Kind == KindSuspicion }

// What several rows say alike. A source is a standard by its clause, "common practice" for what the
// trade does without one, or "this tool's own" for what was chosen here.
const (
	own     = "this tool's own"
	common  = "common practice"
	jcgm106 = "JCGM 106"

	moreReadings = "top up by weight; measure a size again where it matters most; leave it open for the bays logged next"
	firmThere    = "look along the length named: firm everywhere"
	covered      = "look along the length in doubt, or blow it to the stall through its own hole"
)

// The codes by name, for what raises them and for what asks for one of them; the table says the
// rest.
const (
	// Reasons of a bay that rest on its figure.
	NotShown    Code = "not-shown"
	Short       Code = "short"
	NoMaterial  Code = "no-material"
	NoFigure    Code = "no-figure"
	StallUnsaid Code = "stall-unsaid"

	// Reasons that keep a bay at MEASURE whatever its figure says.
	SizeUnlike   Code = "size-unlike"
	TotalsShort  Code = "totals-short"
	SectionOver  Code = "section-over"
	BulgeMissing Code = "bulge-missing"

	// Suspicions.
	ShortOfCrew   Code = "short-of-crew"
	OverFull      Code = "over-full"
	Reach         Code = "reach"
	NoStall       Code = "no-stall"
	NeighbourSwap Code = "neighbour-swap"
	ProbeSoft     Code = "probe-soft"
	CoreDisagrees Code = "core-disagrees"

	// Answers.
	ByRodFirm    Code = "rod-firm"
	BySmokeStill Code = "smoke-still"
	ByIREven     Code = "ir-even"
	ByHand       Code = "hand-firm"
	ByTube       Code = "tube"
	ByAmend      Code = "amended"
	ByLost       Code = "lost"
	ByCore       Code = "core"

	// Actions.
	ActBlow    Code = "blow"
	ActLook    Code = "look"
	ActSay     Code = "say"
	ActMeasure Code = "measure"
	ActWait    Code = "wait"
	ActRecount Code = "recount"
	ActDecide  Code = "decide"
	ActFill    Code = "fill"
	ActCount   Code = "count"

	// What reopens a bay that was closed on CLOSE.
	ReAmended Code = "reopened-amended"
	ReFound   Code = "reopened-found"
	ReHazard  Code = "reopened-hazard"
	ReTotals  Code = "reopened-totals"

	// Reasons of a section.
	NotInLog      Code = "not-in-log"
	NotFilledBays Code = "not-filled"
	DriftFound    Code = "drift"

	// Warnings.
	BlowerLow       Code = "blower-low"
	SpreadUnknown   Code = "spread-unknown"
	StepDoubled     Code = "step-doubled"
	PhotoMissing    Code = "photo-missing"
	FlagOverride    Code = "flag-override"
	TermsOverride   Code = "terms-override"
	EvidenceMissing Code = "evidence-missing"
	SpillNotTaken   Code = "spill-not-deducted"
	CrewNotAsked    Code = "crew-not-asked"
	TotalsOver      Code = "totals-over"
	BagChecksCoarse Code = "bag-checks-coarse"
	SizesTakenOver  Code = "sizes-taken-over"
	VentInDepth     Code = "vent-in-depth"
	BoxUnplaced     Code = "box-unplaced"
)

// codes is the table. Adding a code is its name above, its row here and its sentence in
// report/say/sentences.go, and whatever raises it; tests hold that nothing is missing. Of
// suspicions material gone elsewhere leads before all, then what a look has found, then where
// nobody has looked.
var codes = slices.Concat(
	// Reasons of a bay that rest on its figure, the first that stands first.
	of(KindReason,
		CodeInfo{Code: Short, Means: "short: the numbers prove it",
			Answers: "only material", Data: "density, half_width, prob_short", Source: jcgm106},
		CodeInfo{Code: NoMaterial, Means: "nothing is in it", Answers: "only material", Source: own},
		CodeInfo{Code: NotShown, Means: "the numbers can't tell yet",
			Answers: moreReadings, Data: "density, half_width, prob", Source: jcgm106},
		CodeInfo{Code: NoFigure, Means: "no density: a size or the bag weight is missing",
			Answers: "the missing figure", Source: own},
		CodeInfo{Code: SizeUnlike, Holds: true, Means: "a size was taken over from a bay unlike the rest of its section: more than an inch off their middle, a foot of a length",
			Answers: "measure the size: a size row or an amend", Data: "input, from", Source: own},
		CodeInfo{Code: StallUnsaid, Means: "nobody said the bay was blown to the stall: its count may be a step too high, and gets no credit from the crew's other bays",
			Answers: "stall yes on the bay; to_stall yes for the job", Data: "step, prob_stalled", Source: own},
		CodeInfo{Code: TotalsShort, Holds: true, Means: "the log has more bags than the empties explain: don't rely on any count",
			Answers: "count the empties again; amend a count or the bag weight; log what was lost", Data: "counted, logged, density_most, z", Source: own},
		CodeInfo{Code: SectionOver, Holds: true, Means: "the section runs over the ceiling: a depth or the bag weight is wrong, or material leaks",
			Answers: "measure a depth, weigh a bag, find the leak", Data: "mean, ceiling", Source: common},
		CodeInfo{Code: BulgeMissing, Holds: true, Means: "netting or a membrane, and no bulge measured: the volume is not known",
			Answers: "measure the bulge, even 0", Data: "face", Source: "geometry"},
	),
	// Reasons to probe, each with its place among those that lead, what is done about it, and
	// where.
	of(KindSuspicion,
		CodeInfo{Code: ShortOfCrew, Leads: 6, Means: "so far below the crew's other bays that it may have a hole",
			Answers: firmThere, Data: "rarity, empty, empty_lo, empty_hi", Source: own},
		CodeInfo{Code: OverFull, Leads: 1, Means: "more than the bay holds: some went elsewhere, or a size is wrong",
			Answers: "amend the size; log what was lost; never a rod", Data: "density, ceiling, prob_over", Source: common},
		CodeInfo{Code: Reach, Leads: 3, Means: "the tube never got to part of the bay",
			Answers: covered, Data: "missing, passed, length, from, to", Source: common},
		CodeInfo{Code: NoStall, Leads: 4, Means: "the log says the bay did not stall",
			Answers: covered, Source: common},
		CodeInfo{Code: NeighbourSwap, Leads: 5, Means: "one bay reads high, the next one low, and together they are right: bags booked to the wrong bay, or bays open to each other",
			Answers: firmThere, Data: "other, difference, z", Source: own},
		CodeInfo{Code: ProbeSoft, Leads: 2, Means: "a look found it soft, empty, moving or cold",
			Answers: "blow material in there, then look there again", Data: "finding, at", Source: "SWS 4.1103.1 (smoke); common practice"},
		CodeInfo{Code: CoreDisagrees, Leads: 7, Means: "the core and the bags disagree by more than counting error",
			Answers: "amend the entry; take a second core", Data: "core, density, z", Source: own},
	),
	// What answers a reason; it stays in the record with its answer, and holds no verdict any more.
	of(KindAnswer,
		CodeInfo{Code: ByRodFirm, Means: "a rod found it firm at the place", Source: common},
		CodeInfo{Code: BySmokeStill, Means: "smoke stood still at the place", Source: "SWS 4.1103.1"},
		CodeInfo{Code: ByIREven, Means: "infrared showed it even at the place", Source: common},
		CodeInfo{Code: ByHand, Means: "a hand pressed on the netting found it firm at the place", Source: common},
		CodeInfo{Code: ByTube, Means: "material was blown in there, and the flow stalled", Source: common},
		CodeInfo{Code: ByAmend, Means: "an entry was amended", Source: own},
		CodeInfo{Code: ByLost, Means: "material was logged as lost", Source: own},
		CodeInfo{Code: ByCore, Means: "a second core agrees with the bag density", Source: own},
	),
	// What is ordered: one thing to do, found by recomputing.
	of(KindAction,
		CodeInfo{Code: ActBlow, Means: "blow to the stall: at least mass, stop and look at mass_most; through a new hole if one is named",
			Data: "mass, mass_most, bags, hole", Source: common},
		CodeInfo{Code: ActLook, Means: "look where it says: rod along from the fill hole or across through test holes, hand on netting, smoke, a core",
			Data: "at, with, way", Source: common},
		CodeInfo{Code: ActSay, Means: "say what the log lacks: the column named", Data: "column", Source: own},
		CodeInfo{Code: ActMeasure, Means: "measure a size again, in so many places", Data: "dimension, places", Source: common},
		CodeInfo{Code: ActWait, Means: "leave it open until so many bays of the section are filled; they settle it", Data: "until, prob", Source: own},
		CodeInfo{Code: ActRecount, Means: "count again: the bay's own count, or the empties of the section or the job", Data: "what, section", Source: common},
		CodeInfo{Code: ActDecide, Means: "nothing more would help: a person closes it by name and reason, or opens it", Data: "prob, reopened", Source: own},
		CodeInfo{Code: ActFill, Means: "fill it", Data: "mass, bags", Source: common},
		CodeInfo{Code: ActCount, Means: "log what went in: the figure is owed", Source: common},
	),
	// Why the supervisor is asked about a bay that was closed on CLOSE.
	of(KindReopened,
		CodeInfo{Code: ReAmended, Means: "its count, size, stall or reach was amended since", Source: own},
		CodeInfo{Code: ReFound, Means: "a look found something since, or a core disagrees", Source: own},
		CodeInfo{Code: ReHazard, Means: "a leak, flue, wire, duct or something unknown was found in it since, by a stop or in a note", Source: own},
		CodeInfo{Code: ReTotals, Means: "the empties contradict the counts", Source: own},
	),
	// What speaks about a section as a whole.
	of(KindSectionReason,
		CodeInfo{Code: NotInLog, Means: "bays that were counted and are not in the log", Answers: "log them", Data: "bays", Source: own},
		CodeInfo{Code: NotFilledBays, Means: "bays measured and not filled", Answers: "fill them", Data: "bays", Source: own},
		CodeInfo{Code: DriftFound, Means: "the density drifts in the order of filling",
			Answers: "check the machine; a set row starts over", Data: "slope, z", Source: own},
	),
	// What holds no verdict.
	of(KindWarning,
		CodeInfo{Code: BlowerLow, Means: "the blower's pressure is below 80 in of water",
			Answers: "clean the filter and the hose, close the air gate", Data: "pressure", Source: "SWS 4.1101.5"},
		CodeInfo{Code: SpreadUnknown, Means: "you measured everything once",
			Answers: "measure a few widths, depths and lengths twice", Data: "input", Source: "JCGM 100, 4.2"},
		CodeInfo{Code: StepDoubled, Means: "counts come in bigger steps than bag_step says",
			Answers: "read finer, or correct bag_step", Data: "stated, used, odd, counts, prob", Source: own},
		CodeInfo{Code: PhotoMissing, Means: "the log names photos that are not there", Answers: "add them to photos/", Data: "photo", Source: own},
		CodeInfo{Code: FlagOverride, Means: "a verdict rests on a setting given by a flag",
			Answers: "write it into job.csv", Data: "setting", Source: own},
		CodeInfo{Code: TermsOverride, Means: "a value of the job's own is not used: the program's terms hold",
			Answers: "nothing to do: the program decides", Data: "setting, own, used", Source: own},
		CodeInfo{Code: EvidenceMissing, Means: "evidence that the program asks for is not there, or not all of it",
			Answers: "log it, or add the file", Data: "ask, have, want, share", Source: own},
		CodeInfo{Code: CrewNotAsked, Means: "rule guarded judges each bay by itself: a hole in a bay above the target can't show",
			Answers: "rule process", Source: own},
		CodeInfo{Code: SpillNotTaken, Means: "no spill taken off: what's on the floor counts as in the bay", Answers: "set spill", Source: own},
		CodeInfo{Code: TotalsOver, Means: "more bags were emptied than the log holds",
			Answers: "log the forgotten bay; amend the count", Data: "counted, logged, z", Source: own},
		CodeInfo{Code: BagChecksCoarse, Means: "the scale's ± makes the weighed bags less sure than the label",
			Answers: "the scale's ± as weigh_within in job.csv", Data: "u, u_label", Source: "JCGM 100"},
		CodeInfo{Code: VentInDepth, Means: "vent_space is yes, and a depth is the whole rafter: it counts the channel",
			Answers: "log the depth below the channel", Data: "depth, bays", Source: "IRC R806.3; PS 20"},
		CodeInfo{Code: BoxUnplaced, Means: "a test box fits no machine setting in the log: it counts for nothing",
			Answers: "write its machine and time as the log has them", Source: own},
		CodeInfo{Code: SizesTakenOver, Means: "sizes were taken from the bay above, not measured",
			Answers: "measure more bays", Data: "measured, bays", Source: own},
	),
	readerCodes(),
)

// of gives rows their kind.
func of(kind Kind, rows ...CodeInfo) []CodeInfo {
	for i := range rows {
		rows[i].Kind = kind
	}
	return rows
}

// readerCodes are the warnings that the reading of a job gives.
func readerCodes() []CodeInfo {
	var all []CodeInfo
	for _, d := range model.WarningDefs() {
		all = append(all, CodeInfo{Code: Code(d.Code), Kind: KindWarning, Means: d.Means, Answers: d.Cure, Source: own})
	}
	return all
}

// Method is the number of the way in which figures are computed. It stands in every record and JSON
// document and rises by one with a change after which some log gives another figure or verdict: an
// integrator, a prior, a constant, a rule. Sentences, layout and new keys do not raise it. Only the
// present method is kept; a document without a number is of method 1.
const Method = 8

// Limits and levels that verdicts rest on. Constants explains each with its unit and source.
const (
	// Level is the level of the expanded interval that stands beside a density (two-sided).
	Level = 0.95
	// OneSided95 is the standard normal quantile of 0.95.
	OneSided95 = 1.6448536269514722
	// CoreLimit is how many combined standard uncertainties a core may be off the bag density: 1
	// false alarm in 100.
	CoreLimit = 2.576
	// CoreLocal is the relative standard uncertainty of one core for the whole bay, as density
	// varies within a bay.
	CoreLocal = 0.05
	// CoreMassWithin is the ± of a core's weight, kg.
	CoreMassWithin = 0.001
	// CoreDiameterWithin is the ± of a core cutter's diameter, m.
	CoreDiameterWithin = model.Inch / 32
	// TotalWithin is the ± of a count of empties by its part bags, bags.
	TotalWithin = 1.0
	// LeastBlower is the least pressure of the blower with the feed off, Pa.
	LeastBlower = 80 * model.InchOfWater
)

// Constants is the one table of what verdicts rest on besides the log and its settings, with units
// and sources. The priors of rule process stand in a table of their own.
func Constants() []Constant {
	c := func(name string, value float64, unit, source, use string) Constant {
		return Constant{Name: name, Value: fmt.Sprintf("%.6g", value), Unit: unit, Source: source, Use: use}
	}
	return append(append(measureConstants(c),
		c("interval level", Level, "share", "JCGM 100, 6.2: a level of about 95 %", "the interval beside a density"),
		c("one-sided quantile", OneSided95, "standard deviations", "standard normal distribution, 0.95", "what a bay could hide"),
		c("core limit", CoreLimit, "standard uncertainties", "normal distribution, two-sided 1 %; the limit is this tool's own", "core-disagrees"),
		c("core, local", CoreLocal, "share of the density", "this tool's own: no published spread within a bay was found", "core-disagrees"),
		c("core, scale ±", CoreMassWithin*1000, "g", "common practice: a kitchen scale", "core-disagrees"),
		c("core, cutter ±", CoreDiameterWithin/model.Inch, "in", "this tool's own: half of a tape's sixteenth", "core-disagrees"),
		c("totals limit", crew.TotalsRare, "chance in an honest log", "one-sided 1 %: counts normal, the total rectangular (JCGM 100, 4.3.7); the limit is this tool's own", "totals-short, totals-over"),
		c("empties ±", TotalWithin, "bags", "JCGM 100, 4.3.7: a rectangular half-width, by the part bags", "totals-short, totals-over"),
		c("blower, least", 80, "in of water", "SWS 4.1101.5", "blower-low"),
		c("a look across sees", lookAcross/model.Foot, "ft", "this tool's own: a rod's swing", "what looks answer"),
		c("a hand sees", lookHand/model.Inch, "in", "this tool's own", "what looks answer"),
		c("the end is seen from", lookEnd/model.Inch, "in", "this tool's own", "what looks answer"),
		c("smoke, least", LeastPascals, "Pa", "common practice", "what looks answer"),
		c("infrared, least", LeastKelvin, "K", "common practice: 18 °F", "what looks answer"),
		c("least blow", LeastBlow/model.Pound, "lb", "this tool's own: a hose holds half of it", "orders"),
		c("holes keep", HoleWithin/model.Foot, "ft", "common practice", "orders: from wires, pipes, ducts, flues"),
		c("rows that answer orders", MostOrders, "rows", "this tool's own", "orders: after so many a person decides"),
	), orderConstants(c)...)
}

// orderConstants is the table of what work takes.
func orderConstants(c func(string, float64, string, string, string) Constant) (all []Constant) {
	for _, w := range costs {
		all = append(all, c("work: "+w.name, w.minutes, "min", "this tool's own", "orders: the cheapest that settles a bay"))
	}
	return all
}

// Priors lists what rule process rests on besides the log, with units and sources: its prior
// statements, and the limits of suspicion and drift.
func Priors() []Constant {
	var all []Constant
	for _, p := range slices.Concat(crew.Priors(), crew.JobPriors(), crew.Limits()) {
		all = append(all, Constant(p))
	}
	return all
}

// measureConstants are those that the measurement rests on.
func measureConstants(c func(string, float64, string, string, string) Constant) []Constant {
	return []Constant{
		c("rectangular limit", 1.7320508075688772, "divides ±a", "JCGM 100, 4.3.7", "tapes, scales, bag label"),
		c("count, both ends read", 2.449489742783178, "divides the step", "JCGM 100, 4.3.9: difference of two rounded readings", "bags, counting ends"),
		c("count, one end read", 3.4641016151377544, "divides the step", "JCGM 100, F.2.2.1: one rounded reading", "counter, counting fresh"),
		c("bulge", 2./3, "of its height at mid-width", "geometry: the mean of a parabola", "volume"),
		c("fewest degrees of freedom", measure.FewestDOF, "readings", "this tool's own", "pooling over the section or the job"),
		c("taken over, width and depth ±", measure.DittoWidth/model.Inch, "in", "common practice", "dittos, until enough pairs of successive bays are measured"),
		c("taken over, length ±", measure.DittoLength/model.Inch, "in", "common practice", "dittos, until enough pairs of successive bays are measured"),
		c("taken over, bulge ±", measure.DittoBulge/model.Inch, "in", "this tool's own", "dittos"),
		c("fewest pairs", measure.FewestPairs, "pairs of successive bays of one kind", "this tool's own", "how far a bay is off the one above it, instead of the stated ±"),
		c("median of differences", measure.MedianToSD, "times it", "normal distribution: 1/Φ⁻¹(3/4)", "the same"),
		c("median, degrees of freedom", measure.MedianDOF, "a pair", "Rousseeuw and Croux 1993 (from memory); JCGM 100, G.4.2", "the same"),
		c("another kind, width and depth", measure.KindWidth/model.Inch, "in off the section's median", "this tool's own", "size-unlike; the differences of successive bays"),
		c("another kind, length", measure.KindLength/model.Foot, "ft off the section's median", "this tool's own", "size-unlike; the differences of successive bays"),
		c("depth, in common", measure.CommonShare, "share of the variance", "this tool's own: half of a tape's half-width is hook, angle and habit", "what all depths of a job share, without depth_checks"),
		c("depth checks, tape ±", measure.CheckWithin/model.Inch, "in", "this tool's own", "depth_checks: the second tape's half-width"),
		c("few weighed bags", measure.FewBags, "bags", "this tool's own", "bag weight"),
		c("allowable variation, up to 23.20 lb", measure.AllowableVariation(20*model.Pound)/model.Pound, "lb", "NIST Handbook 133 (from memory)", "bag weight of under four weighed bags"),
		c("allowable variation, 23.20 to 31.60 lb", measure.AllowableVariation(25*model.Pound)/model.Pound, "lb", "NIST Handbook 133 (from memory)", "bag weight of under four weighed bags"),
		c("allowable variation, over 31.60 lb", measure.AllowableVariation(40*model.Pound)/model.Pound, "lb", "NIST Handbook 133 (from memory)", "bag weight of under four weighed bags"),
		c("rare step", measure.RareStep, "probability", "this tool's own", "step-doubled"),
	}
}
