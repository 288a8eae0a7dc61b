package verify

import (
	"fmt"

	"bayproof/model"
	"bayproof/verify/measure"
)

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
