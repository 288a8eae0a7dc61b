package say

import (
	"fmt"
	"math"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// Evidence says in one line what a verdict rests on: what the bay reads, how the crew's other bays run where they were
// taken into account, and how sure is what is said.
//
//	reads 3.62 ± 0.27; your other 14 run 3.85 ± 0.12: 97 % sure of 3.5
//
// Both intervals are at the level of the bay's own.
func (w *Words) Evidence(b *verify.Bay) string { return w.evidence(b, w.Sure) }

// evidence is Evidence with the sureness said as sure says it; empty where the bay has no density.
func (w *Words) evidence(b *verify.Bay, sure func(*verify.Bay) string) string {
	if math.IsNaN(b.Density) {
		return ""
	}
	text := w.Reads(b)
	if crew := w.Crew(b); crew != "" {
		text += "; " + crew
	}
	return text + ": " + sure(b)
}

// Reads says what the bay's own count and sizes come to.
func (w *Words) Reads(b *verify.Bay) string {
	verb := "reads "
	if names := Names(b.SharedWith); names != "" {
		verb = "with " + names + " reads "
	}
	return verb + w.Density(b.Density, (b.Hi-b.Lo)/2, target(b))
}

// Crew says how the crew's other bays run; empty where they had no say.
func (w *Words) Crew(b *verify.Bay) string {
	s := w.sections[b.Bay.Section]
	if w.rule != model.RuleProcess || s == nil || math.IsNaN(s.Mean) {
		return ""
	}
	if b.Basis == verify.Own && (b.Verdict == verify.Close || b.Verdict == verify.Add) {
		return "" // its own count was enough
	}
	others := s.Bays - 1 - len(b.SharedWith)
	if others < 1 {
		return ""
	}
	spread := s.SD * math.Sqrt2 * math.Erfinv(w.level)
	if others == 1 {
		return "your other bay runs " + w.Density(s.Mean, spread, nan())
	}
	return fmt.Sprintf("your other %d run %s", others, w.Density(s.Mean, spread, nan()))
}

// Sure says how sure the verdict is, and of what.
func (w *Words) Sure(b *verify.Bay) string {
	confidence := b.Bay.Section.Settings.Confidence
	goal := w.Target(target(b))
	switch {
	case math.IsNaN(b.ProbAtTarget):
		return "nobody can say whether that makes " + goal
	case b.ProbAtTarget <= 1-confidence:
		return "short of " + goal + ", " + Percent(1-b.ProbAtTarget, confidence) + " sure"
	case b.ProbAtTarget >= confidence:
		return Percent(b.ProbAtTarget, confidence) + " sure of " + goal
	}
	return Percent(b.ProbAtTarget, confidence) + " sure of " + goal + ", " + plain(confidence*100, 2) + " % is asked"
}

// Core says where a core was taken, what it reads, whether the bay's own count agrees, and who took it when: "at 5.0 ft,
// 3.88 ± 0.46 lb/ft³, agrees with the bags; ro, 2026-05-12".
func (w *Words) Core(b *verify.Bay, c *verify.Core) string {
	text := w.Density(c.Density, (c.Hi-c.Lo)/2, target(b)) + " " + w.Of(verify.Density).Name
	if !math.IsNaN(c.Core.At) {
		text = "at " + w.Length(c.Core.At) + ", " + text
	}
	switch c.Agrees {
	case model.Yes:
		text += ", agrees with the bags"
	case model.No:
		text += ", does not agree with the bags"
	default:
		text += "; the bay has no bag density"
	}
	switch by, date := c.Core.By, c.Core.Date; {
	case by != "" && date != "":
		return text + "; " + by + ", " + date
	case by+date != "":
		return text + "; " + by + date
	}
	return text
}

// Blind says which void the bay's measurements could have missed; it stands beside every CLOSE.
func (w *Words) Blind(b *verify.Bay) string {
	if math.IsNaN(b.BlindLength) {
		return "blind ?"
	}
	return "blind " + w.Length(b.BlindLength)
}

func target(b *verify.Bay) float64 { return b.Bay.Section.Settings.Target }

// Names lists bays: "b3", "b3 and b4", "b3, b4 and b5".
func Names(bays []*model.Bay) string {
	names := make([]string, 0, len(bays))
	for _, bay := range bays {
		names = append(names, bay.Name)
	}
	return List(names)
}

// List joins names as they are said.
func List(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// Count says how many of something there are: "no bays", "1 bay", "3 bays".
func Count(n int, one, many string) string {
	switch n {
	case 0:
		return "no " + many
	case 1:
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// Place says where something stands in an input: "bays.csv:14:3".
func Place(src model.Source) string {
	text := src.File
	if src.Line > 0 {
		text += fmt.Sprintf(":%d", src.Line)
	}
	if src.Line > 0 && src.Col > 0 {
		text += fmt.Sprintf(":%d", src.Col)
	}
	return text
}

// InEvidence tells whether the line of figures says already what the reason says.
func InEvidence(code verify.Code) bool { return code == verify.Short || code == verify.NotShown }
