package record

import (
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
