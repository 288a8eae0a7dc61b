package report

import (
	"math"

	"bayproof/report/say"
	"bayproof/verify"
)

// The words below are keys of the machine formats; empty where a bay has no such thing.

func stateWord(s verify.State) string {
	switch s {
	case verify.Filled:
		return "filled"
	case verify.Struck:
		return "struck"
	case verify.Closed:
		return "closed"
	}
	return "not-filled"
}

func verdictWord(b *verify.Bay) string {
	if !b.Judged() {
		return ""
	}
	return say.Verdict(b.Verdict)
}

func basisWord(b *verify.Bay) string {
	switch {
	case !b.Judged():
		return ""
	case b.Basis == verify.Crew:
		return "crew"
	}
	return "own"
}

// closedWord is the verdict as it stood when the bay was last closed; none for a bay that was withdrawn.
func closedWord(b *verify.Bay) string {
	if b.State == verify.Struck || len(b.Closings) == 0 {
		return ""
	}
	return say.Verdict(b.Closings[len(b.Closings)-1].Verdict)
}

// levelOf is the level of a bay's interval, where it has one.
func levelOf(b *verify.Bay) float64 {
	if math.IsNaN(b.Density) {
		return math.NaN()
	}
	return b.Level
}
