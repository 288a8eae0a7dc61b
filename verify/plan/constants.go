package plan

import (
	"fmt"

	"bayproof/verify"
)

// What the forecasts assume. They move no verdict.
const (
	weighFirst   = 3
	spreadShare  = 0.035 // of the target: spread between bays of one crew, the median of the rule's prior
	learning     = 0.074 // of the target: see closeProb
	crewMeanOff  = 0.05  // of the aim: how far a crew's mean may lie from what it packs to
	loadChance   = 0.95  // of not running out
	doubtShare   = 0.85  // of the doubt with known mean and spread: see closeProb
	goodShare    = 0.80  // of the good bays that a plan wants closed
	detection    = 3.29  // 2·1.645: 5 % false alarms, 5 % misses (JCGM 106; L. A. Currie, 1968)
	aimStepLbFt3 = 0.05
)

// Assumptions lists what the forecasts rest on besides the job's files.
func Assumptions() []verify.Constant {
	own := "this tool's own choice; moves no verdict"
	pct := func(x float64) string { return fmt.Sprintf("%g", 100*x) }
	return []verify.Constant{
		{Name: "spread between bays", Value: pct(spreadShare), Unit: "% of the target", Source: "median of the decision rule's prior", Use: "closing forecast, blind length, until the log shows the crew's own"},
		{Name: "doubt left by the rule", Value: pct(doubtShare), Unit: "% of that with the prior's spread", Source: own + "; fitted to the decision rule", Use: "closing forecast"},
		{Name: "mean and spread still being learned", Value: pct(learning), Unit: "% of the target", Source: own + "; fitted to the decision rule", Use: "closing forecast"},
		{Name: "crew's mean against the aim", Value: pct(crewMeanOff), Unit: "% of the aim, one standard deviation", Source: own, Use: "what to load"},
		{Name: "chance of not running out", Value: pct(loadChance), Unit: "%", Source: own, Use: "what to load"},
		{Name: "good bays closed", Value: pct(goodShare), Unit: "%", Source: own, Use: "aim and way of counting that are proposed"},
		{Name: "sizes not measured", Value: "1/4, 1", Unit: "in: width and depth, length", Source: own, Use: "volume of a typical bay"},
	}
}
