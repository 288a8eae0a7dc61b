package record

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"time"

	"bayproof/model"
	"bayproof/verify"
)

// sectionCards are a section's bays with all their evidence.
type sectionCards struct {
	Link, Name string
	Facts      []fact
	Reasons    []reasonLine
	Bays       []bayCard
}

// bayCard is everything about one bay.
type bayCard struct {
	mark
	ID, Section, Bay string
	Evidence         string // what it reads, how the others run, how sure that is
	Do, Next         string
	Figures          []fact
	Sizes, Cores     []sizeLine
	Reasons          []reasonLine
	History          []string
	Rows             []logRow
	Photos           []photo
}

// reasonLine is one reason with what answered it.
type reasonLine struct {
	Code, Text, Answer string
	Answered           bool
}

// sizeLine is one piece of a bay, or a core of it, with its readings.
type sizeLine struct{ What, Readings string }

// logRow is one row of the log as it was written.
type logRow struct {
	File      string // empty for the log
	Line      int
	Text      string
	Dead      bool
	Why, Kind string
}

func (b *builder) cards() []sectionCards {
	raw := rawLines(b.f.Job)
	var out []sectionCards
	for i := range b.f.Sections {
		s := &b.f.Sections[i]
		c := sectionCards{Link: sectionID(i), Name: sectionName(s.Section), Facts: b.sectionFacts(s), Reasons: b.reasons(s.Reasons)}
		for _, bay := range filledOrder(b.f, s.Section) {
			c.Bays = append(c.Bays, b.card(bay, raw))
		}
		out = append(out, c)
	}
	return out
}

func (b *builder) card(bay placed, raw map[model.Source]string) bayCard {
	c := bayCard{
		mark: markOf(bay.Bay), ID: bayID(bay.At), Section: brief(bay.Bay.Bay.Section.Name), Bay: bay.Bay.Bay.Name,
		Do: b.doNow(bay.Bay), Next: b.nextBay(bay.Bay),
		Sizes: b.sizes(bay.Bay.Bay), Cores: b.cores(bay.Bay), Reasons: b.reasons(bay.Reasons), History: b.history(bay.Bay),
		Rows: rowsOf(bay.Bay, raw), Photos: b.photosOf(bay.Bay),
	}
	if bay.Bay.Judged() {
		c.Figures, c.Evidence = b.figures(bay.Bay), firstUpper(b.words.Evidence(bay.Bay))
	} else if !unknown(bay.Volume) {
		c.Figures = []fact{{"Volume", b.Volume(bay.Volume)}}
	}
	return c
}

func (b *builder) figures(bay *verify.Bay) []fact {
	set := bay.Bay.Section.Settings
	out := []fact{
		{"Volume", b.Volume(bay.Volume)},
		{"Mass", b.Mass(bay.Mass, nan())},
	}
	if !unknown(bay.Bags) {
		out = append(out, fact{"Bags", bags(bay.Bags)})
	}
	out = append(out,
		fact{"Density", b.density(bay.Density, half(bay), set.Target) + " " + b.unit(verify.Density)},
		fact{firstUpper(level(bay.Level)), b.densityRange(bay.Lo, bay.Hi, half(bay))},
		fact{"Standard uncertainty", b.density(bay.U, nan(), nan()) + " " + b.unit(verify.Density) + ", " + freedom(bay.DOF)},
		fact{"At target, measured alone", percent(bay.ProbMeasured, set.Confidence)},
		fact{"At target, as decided", percent(bay.ProbAtTarget, set.Confidence) + basisNote(bay)},
	)
	return append(out, b.conditionalFigures(bay)...)
}

// conditionalFigures are those that not every bay has.
func (b *builder) conditionalFigures(bay *verify.Bay) []fact {
	var out []fact
	if !unknown(bay.AddMass) {
		out = append(out, fact{"To add, to the aim", b.Mass(bay.AddMass, nan())})
	}
	if !unknown(bay.EmptyLength) && suspected(bay) {
		out = append(out, fact{"Empty length", b.Length(bay.EmptyLength) + " (" + b.LengthRange(bay.EmptyLengthLo, bay.EmptyLengthHi) + ")"})
	}
	if !unknown(bay.BlindLength) {
		out = append(out, fact{"Blind length", b.Length(bay.BlindLength)})
	}
	if len(bay.SharedWith) > 0 {
		names := make([]string, len(bay.SharedWith))
		for i, o := range bay.SharedWith {
			names[i] = brief(o.Name)
		}
		out = append(out, fact{"Shares its count with", nameList(names)})
	}
	if len(bay.Budget) > 0 {
		out = append(out, fact{"What its uncertainty comes from", budgetLine(bay.Budget)})
	}
	return out
}

func basisNote(bay *verify.Bay) string {
	if bay.Basis == verify.Crew {
		return ", with the crew"
	}
	return ", own count"
}

func (b *builder) reasons(rs []verify.Reason) []reasonLine {
	var out []reasonLine
	for _, r := range rs {
		line := reasonLine{Code: string(r.Code), Text: b.reasonText(r), Answered: r.IsAnswered()}
		if r.IsAnswered() {
			line.Answer = b.answerText(r)
		}
		out = append(out, line)
	}
	return out
}

// sectionFacts are the figures of a section as a whole. None of them upgrades a bay.
func (b *builder) sectionFacts(s *verify.Section) []fact {
	if s.Bays == 0 {
		return nil
	}
	unit := " " + b.unit(verify.Density)
	row := b.packing(s)
	out := []fact{{"All its material over all its volume", row.Pooled + unit}}
	if row.Mean != blank {
		out = append(out, fact{"The crew packs to", row.Mean + unit}, fact{"From bay to bay (sd)", row.SD + unit})
	}
	if row.Lower != blank {
		out = append(out, fact{"Nineteen bays in twenty exceed", row.Lower + unit})
	}
	out = append(out, fact{"Sizes measured", row.Measured + " bays"})
	if s.Missing > 0 {
		out = append(out, fact{"Not in the log", plural(s.Missing, "bay", "bays")})
	}
	return out
}

// rawLines returns the lines of the inputs as they were written, by file and line. Those of a file in UTF-16, in which every
// other byte is NUL, are left out: their rows are shown by their cells.
func rawLines(job *model.Job) map[model.Source]string {
	out := map[model.Source]string{}
	for _, in := range job.Inputs {
		if bytes.IndexByte(in.Raw, 0) >= 0 {
			continue
		}
		for i, line := range bytes.Split(in.Raw, []byte{'\n'}) {
			out[model.Source{File: in.File, Line: i + 1}] = strings.ToValidUTF8(string(bytes.TrimSuffix(line, []byte{'\r'})), "�")
		}
	}
	return out
}

// rowsOf returns every row about a bay, those no longer in force marked; then those of its cores.
func rowsOf(judged *verify.Bay, raw map[model.Source]string) []logRow {
	var out []logRow
	bay := judged.Bay
	for _, e := range bay.Rows {
		text, ok := raw[model.Source{File: e.Src.File, Line: e.Src.Line}]
		if !ok {
			text = strings.Join(e.Cells, ",")
		}
		why, dead := bay.Dead[e]
		out = append(out, logRow{Line: e.Src.Line, Text: text, Dead: dead || bay.Struck && e.Kind != model.EntryStrike, Why: why, Kind: e.Kind.String()})
	}
	for _, c := range judged.Cores {
		src := c.Core.Src
		if text, ok := raw[model.Source{File: src.File, Line: src.Line}]; ok {
			out = append(out, logRow{File: src.File, Line: src.Line, Text: text, Kind: c.Core.Kind})
		}
	}
	return out
}

// cores lists what each core of a bay reads beside the bags, those that agree too.
func (b *builder) cores(bay *verify.Bay) []sizeLine {
	var out []sizeLine
	for i := range bay.Cores {
		out = append(out, sizeLine{bay.Cores[i].Core.Kind, b.words.Core(bay, &bay.Cores[i])})
	}
	return out
}

// sizes lists the readings in force, piece by piece.
func (b *builder) sizes(bay *model.Bay) []sizeLine {
	var out []sizeLine
	for i, p := range bay.Pieces {
		what := shapeWord(p.Shape)
		switch {
		case p.Less:
			what = "less " + what
		case i > 0:
			what = "and " + what
		}
		var parts []string
		for _, r := range []struct {
			name string
			model.Reading
			small bool
		}{
			{"width", p.Width, true}, {"width2", p.Width2, true}, {"depth", p.Depth, true}, {"depth2", p.Depth2, true},
			{"length", p.Length, false}, {"length2", p.Length2, false}, {"bulge", p.Bulge, true},
		} {
			if r.State != model.Absent {
				parts = append(parts, r.name+" "+b.readingText(r.Reading, r.small))
			}
		}
		out = append(out, sizeLine{what, strings.Join(parts, " · ")})
	}
	return out
}

func (b *builder) readingText(r model.Reading, small bool) string {
	mean := b.Length(r.Mean())
	if small {
		mean = b.size(r.Mean())
	}
	switch {
	case r.State == model.Ditto:
		return mean + " (as the bay above)"
	case len(r.Values) > 1:
		return fmt.Sprintf("%s (mean of %d: %s)", mean, len(r.Values), r.Raw)
	}
	return mean
}

func shapeWord(s model.Shape) string {
	if s == model.ShapeUnsaid {
		return model.ShapeBox.String()
	}
	return s.String()
}

// history tells how the verdict came about: when logged, at each closing, and now; then what was amended.
func (b *builder) history(bay *verify.Bay) []string {
	if !bay.Judged() {
		return nil
	}
	var steps []string
	if bay.Logged.Row != nil {
		steps = append(steps, "when logged "+b.closing(bay.Logged, bay))
	}
	for _, c := range bay.Closings {
		steps = append(steps, "when closed "+b.closing(c, bay))
	}
	steps = append(steps, "now "+markOf(bay).Word)
	out := []string{firstUpper(strings.Join(steps, "; ")) + "."}
	for _, a := range amendments(bay.Bay) {
		out = append(out, b.amendment(a, bay))
	}
	return out
}

func (b *builder) closing(c verify.Closing, bay *verify.Bay) string {
	text := verdictMark(c.Verdict).Word
	if !unknown(c.Density) {
		text += " at " + b.density(c.Density, half(bay), bay.Bay.Section.Settings.Target)
	}
	if c.Row != nil {
		text += fmt.Sprintf(" (line %d)", c.Row.Src.Line)
	}
	return text
}

// amended is a row with the one that took its place.
type amended struct{ old, new *model.Entry }

// amendments pairs each row that an amendment replaced with the next amendment in the log.
func amendments(bay *model.Bay) []amended {
	var out []amended
	var open []*model.Entry
	for _, e := range bay.Rows {
		if e.Kind == model.EntryAmend {
			for _, o := range open {
				out = append(out, amended{o, e})
			}
			open = nil
		}
		if _, dead := bay.Dead[e]; dead && (e.Kind == model.EntryFill || e.Kind == model.EntryAmend) {
			open = append(open, e)
		}
	}
	return out
}

// amendment says what was changed, with both values and the minutes between.
func (b *builder) amendment(a amended, bay *verify.Bay) string {
	text := fmt.Sprintf("Line %d replaced line %d", a.new.Src.Line, a.old.Src.Line)
	if m := minutes(a.old.Time, a.new.Time); m != "" {
		text += ", " + m + " later"
	}
	if verdictBefore(bay, a.new) {
		text += ", after a verdict"
	}
	changes := b.changes(a)
	if len(changes) == 0 {
		return text + ": material and sizes unchanged."
	}
	return text + ": " + strings.Join(changes, ", ") + "."
}

// verdictBefore tells whether a verdict of the bay was known before the row was written.
func verdictBefore(bay *verify.Bay, e *model.Entry) bool {
	if r := bay.Logged.Row; r != nil && r.Index < e.Index || r != nil && r.Src.Line < e.Src.Line {
		return true
	}
	for _, c := range bay.Closings {
		if c.Row != nil && c.Row.Src.Line < e.Src.Line {
			return true
		}
	}
	return false
}

func (b *builder) changes(a amended) []string {
	var out []string
	if x, y := a.old.Material.Raw, a.new.Material.Raw; x != y {
		out = append(out, "material "+orBlank(x)+" → "+orBlank(y))
	}
	for _, s := range []struct {
		name     string
		old, new model.Reading
	}{
		{"width", a.old.Size.Width, a.new.Size.Width}, {"width2", a.old.Size.Width2, a.new.Size.Width2},
		{"depth", a.old.Size.Depth, a.new.Size.Depth}, {"depth2", a.old.Size.Depth2, a.new.Size.Depth2},
		{"length", a.old.Size.Length, a.new.Size.Length}, {"length2", a.old.Size.Length2, a.new.Size.Length2},
		{"bulge", a.old.Size.Bulge, a.new.Size.Bulge},
	} {
		if s.old.Raw != s.new.Raw {
			out = append(out, s.name+" "+orBlank(s.old.Raw)+" → "+orBlank(s.new.Raw))
		}
	}
	return out
}

func orBlank(s string) string {
	if s == "" {
		return blank
	}
	return s
}

// minutes writes the time between two entries; empty where either does not say.
func minutes(from, to time.Time) string {
	if from.IsZero() || to.IsZero() {
		return ""
	}
	return plural(int(math.Round(to.Sub(from).Minutes())), "minute", "minutes")
}
