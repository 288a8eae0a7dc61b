package crew

import "strconv"

// The fixed prior statements. No setting moves them; Priors prints them with their sources. μ, τ
// and densities are shares of the target, rates are shares of the bays, the rest are pure numbers.
const (
	// Mean of the normal prior of μ: 3.7 over 3.5 lb/ft³, what crews pack to (common practice) over
	// the target (SWS 4.1103.1).
	meanPrior = 1.057
	// Its standard deviation, this tool's own.
	meanPriorSD = 0.10
	// SpreadMedian is the median of the log-normal prior of τ, this tool's own.
	SpreadMedian = 0.035
	// SpreadLogSD is the standard deviation of ln τ.
	SpreadLogSD = 0.7
	// The prior of the rate of bad bays r is Beta(badAlpha, badBeta): mean 1.2/8.2, about one in
	// seven.
	badAlpha = 1.2
	badBeta  = 7.0
	// A bad bay has a density y from 0 to badMost·μ.
	badMost = 0.97
	// Its probability density rises evenly, from (1 − badRise) to (1 + badRise) times the mean
	// height: with 0.5 it is three times as high at badMost·μ as at 0.
	badRise = 0.5
	// Prior probability o that a bay is over-full.
	overRate = 0.02
	// An over-full bay has a density uniform from overLeast·μ to overMost·μ.
	overLeast = 1.03
	overMost  = 1.8
	// All fresh counts of a section are taken to be off by this share of half a counting step, to
	// one side or the other with probability 1/2 each (see byHabit).
	readingHabit = 0.3
	// TakesMore is the factor on the odds of a bad bay where a bay took more after its stall than a
	// full one would and nothing was found that explains it. It is derived in two steps. Such a bay
	// was bad before: either it had a void that is full now, or it is still bad, with a void
	// elsewhere or light all over. Neither is likelier beforehand, so it is as likely as not still
	// bad: badBeta/badAlpha takes the prior rate of bad bays to even odds. And it stalled twice, so
	// that it lies in the upper third of where bad bays lie, which makes its reading three times as
	// likely under the bad component. Counted in SIMULATION.md ("Orders, obeyed"), in houses by
	// which no factor was chosen: 151 of 324 such bays were still bad. Twice the factor moved what
	// is short among the closed by 0.04 % there (100 jobs).
	TakesMore = 3 * badBeta / badAlpha
	// Degrees of freedom below which a variance is widened (see widening).
	fewDegrees = 15.0
	// From so many down the variance of Student's t, ν/(ν − 2), runs away; widening goes on by
	// another formula.
	leastDegrees = 3.0
	// What no component explains is added to the likelihood of an over-full bay, per share of the
	// target. It keeps a product over the lots from vanishing and moves no answer.
	likelihoodLeak = 1e-9
)

// Prior statements about a job.
const (
	// Prior probability that the counts of a section have no common bias β; else β ~ N(0, step²),
	// in bags.
	noBias = 0.9
	// Weight, in the mixture that is a section's prior, of what the job's other sections say; the
	// rest is the fixed prior.
	othersWeight = 0.7
	// Standard deviation of ln τ between sections of a job.
	tauBetween = 0.30
)

// sectionsApart lists the standard deviations B of the mean between sections of one job, shares of
// the target, with their prior weights, which add up to 1. This tool's own; see fromSections for
// what is done with them.
func sectionsApart() []struct{ sd, weight float64 } {
	return []struct{ sd, weight float64 }{{0.02, 0.3}, {0.04, 0.35}, {0.08, 0.25}, {0.15, 0.1}}
}

// BadBays returns what the priors say about bad bays before anything is known: the mean of their
// rate, the highest density that one has, as a share of the crew's mean, and how their probability
// density rises up to there (see badRise).
func BadBays() (rate, most, rise float64) { return badAlpha / (badAlpha + badBeta), badMost, badRise }

// Prior is one statement that the rule rests on besides the log: Value in Unit, where it comes from
// and what it is used for.
type Prior struct {
	Name, Value, Unit, Source, Use string
}

// ownStatement is the source of a prior that no publication gives.
const ownStatement = "this tool's own statement, fixed: no setting moves it"

// Priors returns every fixed statement of the rule for a section, as the record prints them. What a
// job adds is in JobPriors, the limits of suspicion are in Limits.
func Priors() []Prior {
	return []Prior{
		{"crew's mean", "normal, mean 1.057, sd 0.10", "of the target",
			"3.7 over 3.5: common practice over SWS 4.1103.1; the width is " + ownStatement,
			"where a section's bays are packed before any is known"},
		{"crew's spread", "log-normal, median 0.035, sd of the logarithm 0.7", "of the target", ownStatement,
			"how alike a section's bays are packed"},
		{"bad bays", "Beta(1.2, 7): about one in seven, from none to half", "share of the bays that are not over-full", ownStatement,
			"how often a bay holds a void or is weak"},
		{"a bad bay's density", "0 to 0.97, rising evenly: 0.97 three times as likely as 0", "of the crew's mean", ownStatement,
			"a void may be of any size, a small one is likelier than a large one"},
		{"over-full bays", "0.02", "share of the bays", ownStatement,
			"how often more went in than the bay as measured can hold"},
		{"an over-full bay's density", "1.03 to 1.8, all equally likely", "of the crew's mean", ownStatement,
			"bags in the wrong bay, material gone elsewhere, a wrong size"},
		{"a bay that took more after its stall than a full one", "17.5: even odds at the prior rate of bad bays, within the upper third of their densities", "factor on the odds of a bad bay", ownStatement,
			"it was not packed like the rest before, and may still not be"},
		{"habit of reading", "-0.3 or 0.3, either equally likely", "of half a counting step", ownStatement,
			"fresh counts round the same way: where one who reads goes over to the next step is not known"},
		{"few degrees of freedom", "below 15 the variance is multiplied by dof/(dof - 2); from 3 down by 3·(3/dof)^1.5",
			"1", "variance of Student's t; " + ownStatement, "a scatter known from few readings"},
	}
}

// JobPriors returns the fixed statements that JudgeJob adds: about totals, the sections of a job,
// and feed.
func JobPriors() []Prior {
	return []Prior{
		{"bias of the counts", "0 with probability 0.9, else normal with sd one step; with a total only", "bags a bay", ownStatement,
			"totals: by how much every count of a section may be off, before the empties are looked at"},
		{"totals contradict below", strconv.FormatFloat(TotalsRare, 'g', 4, 64), "chance in an honest log", "one-sided 1 %: counts normal, the total rectangular (JCGM 100, 4.3.7); the limit is this tool's own", "totals-short: the log holds more than the empties explain"},
		{"weight of the other sections", "0.7, the fixed priors 0.3", "of the prior", ownStatement, "what a job's other sections say about one"},
		{"sections apart", "sd 0.02, 0.04, 0.08, 0.15 with weights 0.3, 0.35, 0.25, 0.1", "of the target", ownStatement, "how far the means of a job's sections differ"},
		{"spread between sections", "0.3", "sd of the logarithm", ownStatement, "how far the spreads of a job's sections differ"},
		{"scatter of feed", "0.03, 0.05, 0.083, 0.139, 0.23, 0.39, equally likely", "1", ownStatement, "how well feed time tells what went in"},
		{"feed ran on", "in 0.10 of the bays, by up to 0.50 of its logarithm", "1", ownStatement, "feed that is longer than what went in"},
	}
}

// Limits returns the limits of suspicion and of drift, as the record prints them.
func Limits() []Prior {
	const budget = "chosen for its false alarms in clean sections; the figure is this tool's own"
	num := func(x float64) string { return strconv.FormatFloat(x, 'g', 4, 64) }
	return []Prior{
		{"short of crew above", num(BadAbove), "probability", budget, "short-of-crew: that the bay holds a void or is weak"},
		{"short of crew above, if likely short", num(BadIfShort), "probability", budget, "the same where the bay is rather below the target than above"},
		{"over-full above", num(OverAbove), "probability", budget, "over-full"},
		{"neighbors apart", num(SwapApart), "standard deviations", budget, "neighbour-swap: of their difference"},
		{"neighbors together", num(SwapTogether), "standard deviations", budget, "neighbour-swap: of the two together from the section"},
		{"neighbor high", num(SwapHigh), "standard deviations", budget, "neighbour-swap: of the higher one over the section's mean"},
		{"drift above", num(DriftAbove), "standard deviations", "normal distribution, two-sided 1 %; the limit is this tool's own", "drift: slope along the order of filling, shared over the stretches between set rows"},
		{"drift, least", num(DriftLeast), "bays", ownStatement, "drift"},
		{"moving average", num(DriftMemory), "weight of the newest bay", "NIST/SEMATECH e-Handbook 6.3.2.4: 0.2 to 0.3", "the chart of the density along the order of filling"},
		{"moving average, limits", num(DriftLimits), "standard deviations", "NIST/SEMATECH e-Handbook 6.3.2.4", "the same"},
	}
}
