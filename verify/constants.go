package verify

// Codes, limits and levels that verdicts rest on. Constants explains each with its unit and source.
const (
	// Level is the level of the expanded interval that stands beside a density (two-sided).
	Level = 0.95
	// BlindFactor is what a deviation must exceed, in its standard deviations, to be seen with 5 % false alarms and 5 % misses: twice 1.645.
	BlindFactor = 3.29
	// CoreLimit is how many combined standard uncertainties a core may be off the bag density.
	CoreLimit = 2.576
	// CoreLocal is the relative standard uncertainty of one core for the whole bay: density varies within a bay.
	CoreLocal = 0.05
	// EmptiesLimit is how many standard uncertainties the empties counted may be off the bags logged.
	EmptiesLimit = 2.576
	// LeastBlower is the least pressure of the blower with the feed off, Pa.
	LeastBlower = 80 * inchWater
	// WideBay is the width from which the far corners of a bay are probed too, m.
	WideBay = 20 * 0.0254

	inchWater = 249.08891 // Pa: conventional inch of water (NIST SP 811, Appendix B.8)
)
