package say

import (
	"fmt"
	"math"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// Figure is a bay's density with its half-width: "3.62 ± 0.27".
func (w *Words) Figure(b *verify.Bay) string {
	return w.Density(b.Density, (b.Hi-b.Lo)/2, target(b))
}

// SureAndWhose says how sure a CLOSE is, and under rule process whether by the bay's own count or with the
// crew's help.
func (w *Words) SureAndWhose(b *verify.Bay) string {
	percent := Percent(b.ProbAtTarget, b.Bay.Section.Settings.Confidence)
	text := strings.Replace(percent, "over ", ">", 1) + " sure"
	switch {
	case w.rule == model.RuleGuarded:
		return text // there is nobody else's evidence in it
	case b.Basis == verify.Crew:
		return text + ", crew"
	}
	return text + ", own"
}

// ClosedAs says how a bay stood when it was closed: "closed on MEASURE (bays.csv:31)".
func (w *Words) ClosedAs(b *verify.Bay) string {
	if len(b.Closings) == 0 {
		return "closed"
	}
	last := b.Closings[len(b.Closings)-1]
	text := "closed on " + Verdict(last.Verdict)
	if last.Row != nil && last.Row.Src.Line > 0 {
		text += " (" + Place(model.Source{File: last.Row.Src.File, Line: last.Row.Src.Line}) + ")"
	}
	return text
}

// Section says what went into a section and what had to: "north slope: 21 1/4 bags, 531 lb; 497 lb make 3.5".
func (w *Words) Section(s *verify.Section) string {
	half := s.U * s.Volume
	text := w.Mass(s.Mass, half)
	if s.Bags > 0 {
		text = bagsOf(s.Bags) + ", " + text
	}
	if s.Section.Name != "" {
		text = s.Section.Name + ": " + text
	}
	return text + " in; " + w.Mass(s.MassRequired, half) + " make " + w.Target(s.Section.Settings.Target)
}

// Unaccounted says how many bags left the truck and are in no bay, and whether readings explain it; empty where nobody
// counted.
func (w *Words) Unaccounted(f *verify.Findings) string {
	bags, text := f.Totals.UnaccountedBags, ""
	switch {
	case math.IsNaN(bags):
		return ""
	case math.Abs(bags) < 0.005:
		return "Bags out and bags in agree."
	case bags < 0:
		text = Bags(-bags) + " more bags in the log than left the truck"
	default:
		text = Bags(bags) + " bags left the truck and are not in the log"
	}
	for _, x := range f.Warnings {
		if x.Code == verify.BagsUnaccounted {
			return text + ", more than the readings explain: amend a count, or log the loss."
		}
	}
	return text + "; the readings explain that."
}

// WarningWithPlace says a warning and where it stands.
func (w *Words) WarningWithPlace(x verify.Warning) string {
	text := w.Warning(x)
	switch {
	case x.Src.File != "":
		return Place(x.Src) + ": " + text
	case x.Bay != "":
		return strings.TrimPrefix(x.Section+" "+x.Bay, " ") + ": " + text
	case x.Section != "":
		return x.Section + ": " + text
	}
	return text
}

// Legend explains the figures of a list of bays that may be closed.
func (w *Words) Legend(f *verify.Findings) string {
	text := fmt.Sprintf("Densities in %s; ± is the %s interval of the bay's own count and sizes. ", w.Of(verify.Density).Name, Percent(w.level, nan()))
	if f.RuleUsed == model.RuleProcess {
		text += "Own: sure by that alone; crew: with the help of the crew's other bays. "
	}
	return text + "Blind: a shorter empty length could not have shown."
}
