package say

import "bayproof/verify"

// Verdict returns the word of a verdict.
func Verdict(v verify.Verdict) string {
	switch v {
	case verify.Close:
		return "CLOSE"
	case verify.Add:
		return "ADD"
	case verify.Probe:
		return "PROBE"
	}
	return "MEASURE"
}

// Mark returns the shape that stands beside the word, so that neither depends on colour: a full square may be closed,
// a triangle wants more, a diamond wants a rod, an empty circle is not known.
func Mark(v verify.Verdict) string {
	switch v {
	case verify.Close:
		return "■"
	case verify.Add:
		return "▲"
	case verify.Probe:
		return "◆"
	}
	return "○"
}
