package say

import (
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/report/say/lang"
	"bayproof/verify"
)

// Words says the findings of one job. Sentences with evidence come from the tables of package say
// (sentences.go); what is written here is put together from figures alone: how a bay reads, how
// sure that is, how the section stands.
type Words struct {
	Units
	rule     model.Rule
	level    float64     // of the expanded intervals
	frame    model.Frame // of the log
	sections map[*model.Section]*verify.Section
	recount  bool // the empties contradict the counts, and nobody counted them again
}

// New returns the words for the findings of a job, in that job's units and in the language that its
// crew reads. It is called once a job.
func New(f *verify.Findings) *Words {
	w := &Words{Units: UnitsOf(f.Job), rule: f.RuleUsed, level: verify.Level, frame: f.Job.Frame, sections: make(map[*model.Section]*verify.Section, len(f.Sections))}
	for i := range f.Sections {
		w.sections[f.Sections[i].Section] = &f.Sections[i]
	}
	w.recount = f.Totals.Counts == verify.Contradicted && !slices.ContainsFunc(f.Job.Log, isRecount)
	return w
}

// isRecount tells whether a row counts the empties again.
func isRecount(e model.Entry) bool {
	return e.Kind == model.EntryEmpties && !e.Withdrawn && model.Fold(e.Note) == "recount"
}

// again asks for the empties to be counted again, and for nothing once somebody did.
func (w *Words) again() verify.Datum {
	if !w.recount {
		return verify.Datum{}
	}
	return word("again", w.S("Count the empties again."))
}

// InEnglish has the words in English, for the desk and for machines, and returns them.
func (w *Words) InEnglish() *Words {
	w.Units = w.Units.InEnglish()
	return w
}

// Reason says one reason with its evidence.
func (w *Words) Reason(r verify.Reason) string {
	if cannotTell(r) {
		return w.S("can't tell yet whether it makes the target")
	}
	if r.Code == verify.TotalsShort {
		return w.phrase(long(r.Code), append(slices.Clone(r.Data), w.again()))
	}
	return w.phrase(long(r.Code), r.Data)
}

// Between these two a probability that no verdict follows from is not said on a screen: nobody can
// act on "62 % sure". Numbers stay in the machine formats and in the record's tables.
const saidBelow, saidAbove = 0.10, 0.90

// cantTell stands in its place.
const cantTell = "can't tell yet"

// undecided tells whether a probability is one that is not said; at the confidence it decides, and
// is.
func undecided(p, confidence float64) bool {
	return p > max(saidBelow, 1-confidence) && p < min(saidAbove, confidence)
}

// cannotTell tells whether a reason rests on a probability that is not said.
func cannotTell(r verify.Reason) bool {
	return r.Code == verify.NotShown && slices.ContainsFunc(r.Data, func(d verify.Datum) bool { return d.Key == "prob" && undecided(d.Value, 1) })
}

// Answered says what answered a reason: "rod firm there (bays.csv, row 23)"; empty while nothing
// has.
func (w *Words) Answered(r verify.Reason) string {
	if !r.IsAnswered() {
		return ""
	}
	return w.S(long(r.Answered.Code)) + w.atRow(r.Answered.Row)
}

// Warning says one thing worth knowing. The reader of the files says its own, in English.
func (w *Words) Warning(x verify.Warning) string {
	if x.Text == "" {
		data := x.Data
		if x.Code == verify.EvidenceMissing {
			data = []verify.Datum{word("ask", w.asked(verify.LackOf(&x)))}
		}
		return w.phrase(long(x.Code), data)
	}
	if key := "warning " + string(x.Code); w.S(key) != key { // what its kind means; the place has the figures
		return strings.TrimLeft(strings.TrimSpace(x.Section+" "+x.Bay)+": "+w.S(key), ": ")
	}
	return x.Text
}

// NextBay says what would have settled this bay, for the next one; empty where there is nothing to
// advise.
func (w *Words) NextBay(b *verify.Bay) string {
	a := b.NextBay
	if a == nil {
		return ""
	}
	text := w.phrase(advice[a.Input], a.Data)
	if undecided(a.Prob, b.Bay.Section.Settings.Confidence) {
		return w.F("%s. For this one that would not have been enough", text)
	}
	if a.Prob > 0 {
		return w.F("%s. This one would have come to %s", text, w.Percent(a.Prob, nan()))
	}
	return text
}

// Verdict returns the word of a verdict.
func Verdict(v verify.Verdict) string {
	return [...]string{verify.Measure: "MEASURE", verify.Close: "CLOSE", verify.Add: "ADD", verify.Probe: "PROBE"}[v]
}

// Verdict returns the word of a verdict as the crew's screens show it: the English word, with that
// of the crew's language beside it.
func (u Units) Verdict(v verify.Verdict) string {
	word := Verdict(v)
	if own := u.S(word); own != word {
		return word + "·" + own
	}
	return word
}

// Mark returns the shape that stands beside the word, so that neither depends on colour: a full
// square may be closed, a triangle wants more, a diamond wants a rod, an empty circle is not known.
func Mark(v verify.Verdict) string {
	return [...]string{verify.Measure: "○", verify.Close: "■", verify.Add: "▲", verify.Probe: "◆"}[v]
}

// Evidence says in one line what a verdict rests on: what the bay reads, how the crew's other bays
// run where they were taken into account, and how sure is what is said.
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
	if names := w.names(b.Bay.SharedWith); names != "" {
		return w.F("with %s reads %s", names, w.Figure(b))
	}
	return w.F("reads %s", w.Figure(b))
}

// Crew says how the crew's other bays run; empty where they had no say. Mean and spread (SD) are
// those of the density between bays without the noise of measuring; ± is the interval in which
// w.level of the bays lie: SD·√2·erfinv(level), the normal quantile, so that it can be set beside
// the bay's own.
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
		return w.F("your other bay runs %s", w.Density(s.Mean, spread, nan()))
	}
	return w.F("your other %d run %s", others, w.Density(s.Mean, spread, nan()))
}

// Sure says how sure the verdict is, and of what. ADD is sure of the opposite, so 1 - ProbAtTarget
// is said; between the two stands how sure one would have to be, or where nothing can be told that.
func (w *Words) Sure(b *verify.Bay) string {
	confidence := b.Bay.Section.Settings.Confidence
	goal := w.Target(target(b))
	switch {
	case math.IsNaN(b.ProbAtTarget):
		return w.F("nobody can say whether that makes %s", goal)
	case undecided(b.ProbAtTarget, confidence):
		return w.F("can't tell yet whether that makes %s", goal)
	case b.ProbAtTarget <= 1-confidence:
		return w.F("short of %s, %s sure", goal, w.Percent(1-b.ProbAtTarget, confidence))
	case b.ProbAtTarget >= confidence:
		return w.F(sureOf, w.Percent(b.ProbAtTarget, confidence), goal)
	}
	return w.F("%s sure of %s, %s %% is asked", w.Percent(b.ProbAtTarget, confidence), goal, plain(confidence*100, 2))
}

// sureOf says how sure a bay is of what is asked.
const sureOf = "%s sure of %s"

// Core says where a core was taken, what it reads, whether the bay's own count agrees, and who took
// it when: "at 5.0 ft,
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

// target is the density that a bay is asked to reach, kg/m³.
func target(b *verify.Bay) float64 { return b.Bay.Section.Settings.Target }

// names lists bays by name.
func (u Units) names(bays []*model.Bay) string {
	names := make([]string, 0, len(bays))
	for _, bay := range bays {
		names = append(names, bay.Name)
	}
	return u.List(names)
}

// List is that of lang in English, which is read at the desk.
func List(names []string) string { return lang.English.List(names) }

// Count is that of lang in English, which is read at the desk.
func Count(n int, one, many string) string { return lang.English.Count(n, one, many) }

// standsAt names a place in a file in the crew's language: "bays.csv, row 7, column D "depth"".
func (u Units) standsAt(p model.Place) string {
	return p.In(u.S("row"), u.S("line"), u.S("column"))
}

// atRow says behind a text where a row of the log stands, as spreadsheets show it: " (bays.csv, row
// 14)"; empty where no row does.
func (w *Words) atRow(e *model.Entry) string {
	if e == nil || e.Src.Line <= 0 {
		return ""
	}
	return " (" + w.standsAt(w.frame.Place(model.Source{File: e.Src.File, Line: e.Src.Line})) + ")"
}

// InEvidence tells whether the line of figures says already what the reason says; a list need not
// say it twice.
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
	return w.F("could hide a gap of %s", w.Length(b.CouldHide))
}

// SureAndWhose is the short form of Sure for a line of a list. It says how sure a CLOSE is, and
// under rule process whether by the bay's own count or with the crew's help.
func (w *Words) SureAndWhose(b *verify.Bay) string {
	confidence := b.Bay.Section.Settings.Confidence
	sure := short(Percent(b.ProbAtTarget, confidence))
	switch {
	case undecided(b.ProbAtTarget, confidence):
		return w.S(cantTell)
	case w.rule == model.RuleGuarded:
		return w.F("%s sure", sure) // there is nobody else's evidence in it
	case b.Basis == verify.Crew:
		return w.F("%s sure, crew", sure)
	case b.Basis == verify.OfJob:
		return w.F("%s sure, job", sure)
	}
	return w.F("%s sure, own", sure)
}

// short writes a share of Percent with signs in place of its words.
func short(percent string) string {
	return strings.NewReplacer("over ", ">", "under ", "<").Replace(percent)
}

// ClosedOn says how a bay stood when it was closed: "closed on MEASURE".
func (w *Words) ClosedOn(b *verify.Bay) string {
	if len(b.Closings) == 0 {
		return w.S("closed")
	}
	return w.F("closed on %s", w.Verdict(b.Closings[len(b.Closings)-1].Verdict))
}

// ClosedAs is ClosedOn with the row that closed it: "closed on MEASURE (bays.csv, row 31)".
func (w *Words) ClosedAs(b *verify.Bay) string {
	text := w.ClosedOn(b)
	if n := len(b.Closings); n > 0 {
		text += w.atRow(b.Closings[n-1].Row)
	}
	return text
}

// Section says what went into a section and what had to: "north slope: 21 1/4 bags, 531 lb in.
// Needs 497 lb for 3.5".
func (w *Words) Section(s *verify.Section) string {
	text := w.Whole(s.Mass)
	if s.Bags > 0 {
		text = w.bagsOf(s.Bags) + ", " + text
	}
	text = w.F("%s in. Needs %s for %s", text, w.Whole(s.MassRequired), w.Target(s.Section.Settings.Target))
	if s.Section.Name != "" {
		text = s.Section.Name + ": " + text
	}
	return text
}

// Alike says what a section's bays exceed and how many are not packed like the rest; empty where
// the rule has no such figure.
func (w *Words) Alike(s *verify.Section) string {
	if math.IsNaN(s.LowerTolerance) {
		return ""
	}
	odd := w.F("not like the rest: %d to %d of the %d", s.OddLo, s.OddHi, s.Bays)
	switch {
	case s.OddHi == 0:
		odd = w.F("all %d are packed alike", s.Bays)
	case s.OddLo == s.OddHi:
		odd = w.F("not like the rest: %d of the %d", s.OddLo, s.Bays)
	}
	return w.F("of the bays packed like the rest, 19 in 20 are over %s %s (90 %% sure); %s", w.Density(s.LowerTolerance, nan(), s.Section.Settings.Target), w.Of(verify.Density).Name, odd)
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

// Unaccounted is the balance of the truck: loaded less left less logged, in bags. It says how many
// bags left the truck and are in no bay, and whether readings explain it; empty where nobody
// counted.
func (w *Words) Unaccounted(f *verify.Findings) string {
	bags := f.Totals.UnaccountedBags
	switch {
	case math.IsNaN(bags):
		return ""
	case math.Abs(bags) < 0.005:
		return w.S("Bags out and bags in agree.")
	case bags < 0:
		for _, r := range f.Totals.Reasons {
			if r.Code == verify.TotalsShort {
				return w.F("In the log, but never on the truck: %s. More than counting error. Count again. Look for bags logged twice. Log what was lost.", w.bagsOf(-bags))
			}
		}
		return w.F("In the log, but never on the truck: %s. No more than counting error.", w.bagsOf(-bags))
	}
	for _, x := range f.Warnings {
		if x.Code == verify.TotalsOver && x.Section == "" {
			return w.F("Left the truck, but in no bay: %s. More than counting error. Find the bay nobody logged, or log where they went.", w.bagsOf(bags))
		}
	}
	return w.F("Left the truck, but in no bay: %s. No more than counting error.", w.bagsOf(bags))
}

// Counts says what the empties make of the counts in the log; empty where no bay was counted.
func (w *Words) Counts(f *verify.Findings) string {
	switch f.Totals.Counts {
	case verify.Contradicted:
		return w.phrase("The empties allow {most} at most, on average. Trust no count until that is cleared.[ {again}] Look for bags logged twice. Log what was lost.",
			[]verify.Datum{{Key: "most", Value: f.Totals.DensityMost, Dim: verify.Density}, w.again()})
	case verify.Confirmed:
		return w.S("The empties confirm the counts.")
	}
	for _, x := range f.Warnings {
		if x.Code == verify.TotalsOver { // counted, and said where it stands
			return ""
		}
	}
	for i := range f.Bays {
		for _, e := range f.Bays[i].Bay.Moves {
			if k := e.Material.Kind; k == model.MaterialBags || k == model.MaterialCounter {
				return w.S("Nothing checks the counts: count the empties.")
			}
		}
	}
	return ""
}

// WarningWithPlace says a warning and where it stands: at a line of a file, else at a bay, else at
// a section.
func (w *Words) WarningWithPlace(x verify.Warning) string {
	text := w.Warning(x)
	switch {
	case x.Src.File != "":
		return w.standsAt(x.Src) + ": " + text
	case x.Bay != "":
		return strings.TrimPrefix(x.Section+" "+x.Bay, " ") + ": " + text
	case x.Section != "":
		return x.Section + ": " + text
	}
	return text
}

// What a list of bays says is shorter than what the record and the machine formats say: the same
// facts, with everything that holds for all of its lines said once, in BriefLegend.

// BriefEvidence is Evidence without the sureness that every bay is asked for.
func (w *Words) BriefEvidence(b *verify.Bay) string { return w.evidence(b, w.briefSure) }

// briefSure is how sure it is that the bay reaches its target, or that it is short. What is
// neither is told without a number: nobody on a roof can act on one.
func (w *Words) briefSure(b *verify.Bay) string {
	confidence := b.Bay.Section.Settings.Confidence
	switch p := b.ProbAtTarget; {
	case math.IsNaN(p):
		return w.Sure(b)
	case undecided(p, confidence):
		return w.S(cantTell)
	case p <= 1-confidence:
		return w.F("short, %s sure", short(Percent(1-p, confidence)))
	default:
		return w.F(sureOf, short(Percent(p, confidence)), w.Target(target(b)))
	}
}

// BriefReason says one reason with its evidence, one of several on a line.
func (w *Words) BriefReason(r verify.Reason) string {
	if cannotTell(r) {
		return w.S(cantTell)
	}
	return w.phrase(brief(r.Code), r.Data)
}

// BriefLegend says what holds for every line of a list, and explains the figures of bays that may
// be closed.
func (w *Words) BriefLegend(f *verify.Findings) string {
	text := w.F("Close a bay once it is %s %% sure and nothing points to a void. Places are from the bay's low end. "+
		"Densities in %s. ± is the %s interval from the bay's own count and sizes.",
		plain(f.Job.Settings.Confidence*100, 2), w.Of(verify.Density).Name, w.Percent(w.level, nan()))
	if f.RuleUsed == model.RuleProcess {
		text += " " + w.S("Own: sure by that alone. Crew: with help from the section's other bays. Job: with help from the other sections.")
	}
	return text
}

// Owed says what a bay waits for; empty where it waits for nothing.
func (u Units) Owed(o model.Owes) string {
	return u.S([...]string{model.OwesShare: "shares the next bay's figure", model.OwesSizes: "waiting for the roof sheet", model.OwesCount: "waiting for the truck sheet"}[o])
}
