package say

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// Words says the findings of one job. Sentences with evidence come from the tables of package say (sentences.go); what is
// written here is put together from figures alone: how a bay reads, how sure that is, how the section stands.
type Words struct {
	Units
	rule     model.Rule
	level    float64     // of the expanded intervals
	frame    model.Frame // of the log
	sections map[*model.Section]*verify.Section
}

// New returns the words for the findings of a job, in that job's units. It is called once a job.
func New(f *verify.Findings) *Words {
	w := &Words{Units: UnitsOf(f.Job), rule: f.RuleUsed, level: verify.Level, frame: f.Job.Frame, sections: make(map[*model.Section]*verify.Section, len(f.Sections))}
	for i := range f.Sections {
		w.sections[f.Sections[i].Section] = &f.Sections[i]
	}
	return w
}

// Reason says one reason with its evidence.
func (w *Words) Reason(r verify.Reason) string {
	if cannotTell(r) {
		return cantTell + " whether it reaches the target"
	}
	return w.phrase(long(r.Code), r.Data)
}

// Between these two a probability that no verdict follows from is not said on a screen: nobody can act on "62 % sure". Numbers
// stay in the machine formats and in the record's tables.
const saidBelow, saidAbove = 0.10, 0.90

// cantTell stands in its place.
const cantTell = "can't tell yet"

// undecided tells whether a probability is one that is not said; at the confidence it decides, and is.
func undecided(p, confidence float64) bool {
	return p > max(saidBelow, 1-confidence) && p < min(saidAbove, confidence)
}

// cannotTell tells whether a reason rests on a probability that is not said.
func cannotTell(r verify.Reason) bool {
	return r.Code == verify.NotShown && slices.ContainsFunc(r.Data, func(d verify.Datum) bool { return d.Key == "prob" && undecided(d.Value, 1) })
}

// Answered says what answered a reason: "rod firm there (bays.csv, row 23)"; empty while nothing has.
func (w *Words) Answered(r verify.Reason) string {
	if !r.IsAnswered() {
		return ""
	}
	text := long(r.Answered.Code)
	if row := r.Answered.Row; row != nil && row.Src.Line > 0 {
		text += " (" + w.placeOf(row) + ")"
	}
	return text
}

// Warning says one thing worth knowing. The reader of the files says its own.
func (w *Words) Warning(x verify.Warning) string {
	if x.Text != "" {
		return x.Text
	}
	return w.phrase(long(x.Code), x.Data)
}

// NextBay says what would have settled this bay, for the next one; empty where there is nothing to advise.
func (w *Words) NextBay(b *verify.Bay) string {
	a := b.NextBay
	if a == nil {
		return ""
	}
	text := w.phrase(advice[a.Input], a.Data)
	if undecided(a.Prob, b.Bay.Section.Settings.Confidence) {
		return text + ": for this one that would not have been enough"
	}
	if a.Prob > 0 {
		return text + ": this one would have come to " + Percent(a.Prob, nan())
	}
	return text
}

// Verdict returns the word of a verdict.
func Verdict(v verify.Verdict) string {
	return [...]string{verify.Measure: "MEASURE", verify.Close: "CLOSE", verify.Add: "ADD", verify.Probe: "PROBE"}[v]
}

// Mark returns the shape that stands beside the word, so that neither depends on colour: a full square may be closed,
// a triangle wants more, a diamond wants a rod, an empty circle is not known.
func Mark(v verify.Verdict) string {
	return [...]string{verify.Measure: "○", verify.Close: "■", verify.Add: "▲", verify.Probe: "◆"}[v]
}

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

// Stands says in a few words how a bay stands: what it reads, and how sure is what is said.
func (w *Words) Stands(b *verify.Bay) string {
	if math.IsNaN(b.Density) {
		return w.briefSure(b)
	}
	return w.Reads(b) + ": " + w.briefSure(b)
}

// Reads says what the bay's own count and sizes come to.
func (w *Words) Reads(b *verify.Bay) string {
	if names := Names(b.Bay.SharedWith); names != "" {
		return "with " + names + " reads " + w.Figure(b)
	}
	return "reads " + w.Figure(b)
}

// Crew says how the crew's other bays run; empty where they had no say. Mean and spread (SD) are those of the density between
// bays without the noise of measuring; ± is the interval in which w.level of the bays lie: SD·√2·erfinv(level), the normal
// quantile, so that it can be set beside the bay's own.
func (w *Words) Crew(b *verify.Bay) string {
	s := w.sections[b.Bay.Section]
	if w.rule != model.RuleProcess || s == nil || math.IsNaN(s.Mean) {
		return ""
	}
	if b.Basis == verify.Own && b.Verdict != verify.Probe {
		return "" // its own count was enough, or nobody said that it stalled
	}
	others := s.Bays - 1 - len(b.Bay.SharedWith)
	if others < 1 {
		return ""
	}
	spread := s.SD * math.Sqrt2 * math.Erfinv(w.level)
	if others == 1 {
		return "your other bay runs " + w.Density(s.Mean, spread, nan())
	}
	return fmt.Sprintf("your other %d run %s", others, w.Density(s.Mean, spread, nan()))
}

// Sure says how sure the verdict is, and of what. ADD is sure of the opposite, so 1 - ProbAtTarget is said; between the two
// stands how sure one would have to be, or where nothing can be told that.
func (w *Words) Sure(b *verify.Bay) string {
	confidence := b.Bay.Section.Settings.Confidence
	goal := w.Target(target(b))
	switch {
	case math.IsNaN(b.ProbAtTarget):
		return "nobody can say whether that makes " + goal
	case undecided(b.ProbAtTarget, confidence):
		return cantTell + " whether that makes " + goal
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
	return text + takenBy(c.Core)
}

func target(b *verify.Bay) float64 { return b.Bay.Section.Settings.Target }

// Names lists bays by name.
func Names(bays []*model.Bay) string {
	names := make([]string, 0, len(bays))
	for _, bay := range bays {
		names = append(names, bay.Name)
	}
	return List(names)
}

// List joins names as they are said: "b3", "b3 and b4", "b3, b4 and b5".
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

// placeOf says where a row of the log stands, as spreadsheets show it: "bays.csv, row 14".
func (w *Words) placeOf(e *model.Entry) string {
	return w.frame.Place(model.Source{File: e.Src.File, Line: e.Src.Line}).String()
}

// InEvidence tells whether the line of figures says already what the reason says; a list need not say it twice.
func InEvidence(code verify.Code) bool { return code == verify.Short || code == verify.NotShown }

// Figure is a bay's density with its half-width: "3.62 ± 0.27".
func (w *Words) Figure(b *verify.Bay) string {
	return w.Density(b.Density, (b.Hi-b.Lo)/2, target(b))
}

// CouldHide says how long a void the bay's reading still allows; empty where that cannot be told.
func (w *Words) CouldHide(b *verify.Bay) string {
	if math.IsNaN(b.CouldHide) {
		return ""
	}
	return "a void longer than " + w.Length(b.CouldHide) + " would have read lower, 19 times in 20"
}

// SureAndWhose is the short form of Sure for a line of a list. It says how sure a CLOSE is, and under rule process whether by
// the bay's own count or with the crew's help.
func (w *Words) SureAndWhose(b *verify.Bay) string {
	confidence := b.Bay.Section.Settings.Confidence
	text := strings.Replace(Percent(b.ProbAtTarget, confidence), "over ", ">", 1) + " sure"
	switch {
	case undecided(b.ProbAtTarget, confidence):
		return cantTell
	case w.rule == model.RuleGuarded:
		return text // there is nobody else's evidence in it
	case b.Basis == verify.Crew:
		return text + ", crew"
	case b.Basis == verify.OfJob:
		return text + ", job"
	}
	return text + ", own"
}

// ClosedAs says how a bay stood when it was closed: "closed on MEASURE (bays.csv, row 31)".
func (w *Words) ClosedAs(b *verify.Bay) string {
	if len(b.Closings) == 0 {
		return "closed"
	}
	last := b.Closings[len(b.Closings)-1]
	text := "closed on " + Verdict(last.Verdict)
	if last.Row != nil && last.Row.Src.Line > 0 {
		text += " (" + w.placeOf(last.Row) + ")"
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

// Alike says what a section's bays exceed and how many are not packed like the rest; empty where the rule has no such figure.
func (w *Words) Alike(s *verify.Section) string {
	if math.IsNaN(s.LowerTolerance) {
		return ""
	}
	odd := fmt.Sprintf("%d to %d of the %d are not like the rest", s.OddLo, s.OddHi, s.Bays)
	switch {
	case s.OddHi == 0:
		odd = fmt.Sprintf("all %d are packed alike", s.Bays)
	case s.OddLo == s.OddHi:
		odd = fmt.Sprintf("%d of the %d are not like the rest", s.OddLo, s.Bays)
	}
	return fmt.Sprintf("of the bays packed like the rest nineteen in twenty exceed %s %s, at 90 %%; %s", w.Density(s.LowerTolerance, nan(), s.Section.Settings.Target), w.Of(verify.Density).Name, odd)
}

// Box says what a test box reads: "3.70 ± 0.42 lb/ft³; ro, 2026-05-12".
func (w *Words) Box(s *verify.Section, c *verify.Core) string {
	return w.Density(c.Density, (c.Hi-c.Lo)/2, s.Section.Settings.Target) + " " + w.Of(verify.Density).Name + takenBy(c.Core)
}

// takenBy is who took a core or filled a box, and when.
func takenBy(c *model.Core) (text string) {
	sep := "; "
	for _, x := range []string{c.By, c.Date} {
		if x != "" {
			text += sep + x
			sep = ", "
		}
	}
	return text
}

// Unaccounted is the balance of the truck: loaded less left less logged, in bags. It says how many bags left the truck and are
// in no bay, and whether readings explain it; empty where nobody counted.
func (w *Words) Unaccounted(f *verify.Findings) string {
	bags, text := f.Totals.UnaccountedBags, ""
	switch {
	case math.IsNaN(bags):
		return ""
	case math.Abs(bags) < 0.005:
		return "Bags out and bags in agree."
	case bags < 0:
		text = Bags(-bags) + " more bags in the log than left the truck"
		for _, r := range f.Totals.Reasons {
			if r.Code == verify.TotalsShort {
				return text + ", more than counting error. Count again, look for bags booked twice, log what was lost."
			}
		}
	default:
		text = Bags(bags) + " bags left the truck and are in no bay"
	}
	for _, x := range f.Warnings {
		if x.Code == verify.TotalsOver && x.Section == "" {
			return text + ", more than counting error. Find the bay nobody logged, or log where they went."
		}
	}
	return text + ": no more than counting error."
}

// Counts says what the empties make of the counts in the log; empty where no bay was counted.
func (w *Words) Counts(f *verify.Findings) string {
	switch f.Totals.Counts {
	case verify.Contradicted:
		return fmt.Sprintf("The empties allow at most %s on average. Don't rely on any count until that is cleared: count the empties again, look for bags booked twice, log what was lost.",
			w.Datum(verify.Datum{Value: f.Totals.DensityMost, Dim: verify.Density}))
	case verify.Confirmed:
		return "The empties confirm the counts."
	}
	for _, x := range f.Warnings {
		if x.Code == verify.TotalsOver { // counted, and said where it stands
			return ""
		}
	}
	for i := range f.Bays {
		for _, e := range f.Bays[i].Bay.Moves {
			if k := e.Material.Kind; k == model.MaterialBags || k == model.MaterialCounter {
				return "Nothing checks the counts: count the empties."
			}
		}
	}
	return ""
}

// WarningWithPlace says a warning and where it stands: at a line of a file, else at a bay, else at a section.
func (w *Words) WarningWithPlace(x verify.Warning) string {
	text := w.Warning(x)
	switch {
	case x.Src.File != "":
		return x.Src.String() + ": " + text
	case x.Bay != "":
		return strings.TrimPrefix(x.Section+" "+x.Bay, " ") + ": " + text
	case x.Section != "":
		return x.Section + ": " + text
	}
	return text
}

// What a list of bays says is shorter than what the record and the machine formats say: the same facts, with everything
// that holds for all of its lines said once, in BriefLegend.

// BriefEvidence is Evidence without the sureness that every bay is asked for.
func (w *Words) BriefEvidence(b *verify.Bay) string { return w.evidence(b, w.briefSure) }

func (w *Words) briefSure(b *verify.Bay) string {
	confidence := b.Bay.Section.Settings.Confidence
	text := Percent(b.ProbAtTarget, confidence) + " sure of " + w.Target(target(b))
	switch p := b.ProbAtTarget; {
	case math.IsNaN(p):
		text = w.Sure(b)
	case undecided(p, confidence):
		return cantTell
	case p <= 1-confidence:
		text = "short, " + Percent(1-p, confidence) + " sure"
	}
	return strings.Replace(text, "over ", ">", 1)
}

// BriefReason says one reason with its evidence, one of several on a line.
func (w *Words) BriefReason(r verify.Reason) string {
	if cannotTell(r) {
		return cantTell
	}
	return w.phrase(brief(r.Code), r.Data)
}

// BriefLegend says what holds for every line of a list, and explains the figures of bays that may be closed.
func (w *Words) BriefLegend(f *verify.Findings) string {
	text := fmt.Sprintf("Close a bay once it is %s %% sure and nothing points to a void. Places in a bay are from its low end. "+
		"Densities in %s; ± is the %s interval of the bay's own count and sizes. ",
		plain(f.Job.Settings.Confidence*100, 2), w.Of(verify.Density).Name, Percent(w.level, nan()))
	if f.RuleUsed == model.RuleProcess {
		text += "Own: sure by that alone; crew: with help from the section's other bays; job: with help from the other sections. "
	}
	return strings.TrimSuffix(text, " ")
}

// Owed says what a bay waits for; empty where it waits for nothing.
func Owed(o model.Owes) string {
	return [...]string{model.OwesShare: "shares the next bay's figure", model.OwesSizes: "waiting for the roof sheet", model.OwesCount: "waiting for the truck sheet"}[o]
}
