package record

import (
	"bayproof/report/say"
	"bayproof/verify"
)

// mark is how a verdict or a state looks: a word, a shape and a pattern, never a colour alone.
type mark struct {
	Word  string
	Class string // names the colour, the pattern (p-…) and the shape (s-…)
}

func markOf(b *verify.Bay) mark {
	switch b.State {
	case verify.Struck:
		return mark{"STRUCK", "struck"}
	case verify.NotFilled:
		return mark{"NOT FILLED", "open"}
	}
	return verdictMark(b.Verdict)
}

func verdictMark(v verify.Verdict) mark {
	switch v {
	case verify.Close:
		return mark{say.Verdict(v), "close"}
	case verify.Add:
		return mark{say.Verdict(v), "add"}
	case verify.Probe:
		return mark{say.Verdict(v), "probe"}
	}
	return mark{say.Verdict(v), "measure"}
}

// symbol names the chart library's shape for a verdict; the drawn shapes are the same.
func symbol(v verify.Verdict) string {
	switch v {
	case verify.Close:
		return "rect"
	case verify.Add:
		return "triangle"
	case verify.Probe:
		return "diamond"
	}
	return "emptyCircle"
}

// verdicts is the order in which verdicts are told: what is to be done first.
func verdicts() []verify.Verdict {
	return []verify.Verdict{verify.Add, verify.Probe, verify.Measure, verify.Close}
}
