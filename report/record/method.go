package record

import (
	"fmt"
	"slices"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
)

// method is how the verdicts came about, in words that an administrator can check.
type method struct {
	Paragraphs []string
	Settings   []settingRow
	Constants  []verify.Constant
	Warnings   []warningLine
	Extra      []string
}

type warningLine struct{ Place, Text string }

func (b *builder) method() method {
	m := method{Settings: b.settings(), Constants: slices.Concat(b.f.Priors, verify.Constants()), Extra: b.f.Job.Extra, Paragraphs: b.explanation()}
	for _, w := range b.f.Warnings {
		line := warningLine{Place: joined(" ", w.Section, w.Bay), Text: b.words.Warning(w)}
		if w.Src.File != "" {
			line.Place = joined(", ", line.Place, say.Place(w.Src))
		}
		if line.Text == "" {
			line.Text = string(w.Code)
		}
		m.Warnings = append(m.Warnings, line)
	}
	return m
}

// explanation says what was done with the log. The known weak side is part of it.
func (b *builder) explanation() []string {
	set := &b.f.Job.Settings
	sure := percent(set.Confidence, nan())
	out := []string{
		"Nobody can look inside a closed bay. What can be known is how much material went in and how big the bay is. The volume of each bay follows from its measured clear width, depth and length; its mass from the bags counted or the material weighed; density is mass over volume. " +
			"How far that density can be trusted follows from the tape, the hopper’s marks and the bags themselves, put together as the Guide to the Expression of Uncertainty in Measurement (JCGM 100) does it. Nothing was rounded before a verdict.",
	}
	if b.f.RuleUsed == model.RuleGuarded {
		out = append(out, fmt.Sprintf("Decision rule “guarded” (JCGM 106, with a guard band): each bay is judged by its own measurement alone. CLOSE needs a probability of at least %s that the bay’s density is at the target or above; ADD means that this probability is %s or less. "+
			"At most one truly short bay in twenty passes at 95 %%; the rule says nothing about the share of short bays among those that pass. It takes nothing from the crew’s other bays: a void in a bay that reads above the target cannot show.", sure, percent(1-set.Confidence, nan())))
	} else {
		out = append(out, fmt.Sprintf("Decision rule “process” (JCGM 106, with prior knowledge of the process): the bays that one crew packed in one section are evidence about each other. CLOSE needs a probability of at least %s that the bay’s density is at the target or above, given its own count and the section’s other bays; ADD means that this probability is %s or less. "+
			"A bay that stands apart from the others does not widen the spread of all: it is taken for what it may be, weak, hollow or over-full. What was assumed beforehand is fixed in the tool and printed below; no setting moves it.", sure, percent(1-set.Confidence, nan())),
			"Known weak side: many bays 1 to 4 % below the target among good ones. Up to 7 to 9 % of the bays that pass can then be short, few of them by more than 3 %.")
	}
	out = append(out, "Between ADD and CLOSE stands MEASURE: what is known cannot tell. PROBE means that the density may do but something speaks for a void, or for material gone elsewhere. "+
		"A blind length stands beside every CLOSE: the shortest empty length that this bay’s measurements could have shown.")
	out = append(out, fmt.Sprintf("The figures were computed by method %d. This number rises with a version of the tool that gives some log another figure; figures of different methods are not compared.", verify.Method))
	if set.Spill == 0 {
		out = append(out, "Spill was not deducted: all material counted is taken to have reached a bay.")
	}
	return out
}
