package say

import (
	"bayproof/model"
	"bayproof/verify"
)

// Words says the findings of one job.
type Words struct {
	Units
	rule     model.Rule
	level    float64 // of the expanded intervals
	sections map[*model.Section]*verify.Section
}

// New returns the words for the findings of a job, in that job's units.
func New(f *verify.Findings) *Words {
	w := &Words{Units: UnitsOf(f.Job), rule: f.RuleUsed, level: verify.Level, sections: make(map[*model.Section]*verify.Section, len(f.Sections))}
	for i := range f.Sections {
		w.sections[f.Sections[i].Section] = &f.Sections[i]
	}
	return w
}

// Now says what a man with a tube and a rod can do about the bay in two minutes; empty where nothing is to be done.
// A mass ends with the digit in which the bay's own uncertainty begins.
func (w *Words) Now(b *verify.Bay) string {
	return w.phrase(actionSentence(b.Now.Code), withHalf(b))
}

// withHalf is the evidence of what to do, and how well the bay's mass is known.
func withHalf(b *verify.Bay) []verify.Datum {
	half := verify.Datum{Key: "half", Value: b.U * b.Volume, Dim: verify.Mass}
	return append(b.Now.Data[:len(b.Now.Data):len(b.Now.Data)], half)
}

// Reason says one reason with its evidence.
func (w *Words) Reason(r verify.Reason) string { return w.phrase(reasonSentence(r.Code), r.Data) }

// Answered says what answered a reason: "rod firm there (bays.csv:23)"; empty while nothing has.
func (w *Words) Answered(r verify.Reason) string {
	if !r.IsAnswered() {
		return ""
	}
	text := answerSentence(r.Answered.Code)
	if row := r.Answered.Row; row != nil && row.Src.Line > 0 {
		text += " (" + Place(model.Source{File: row.Src.File, Line: row.Src.Line}) + ")"
	}
	return text
}

// Warning says one thing worth knowing. The reader of the files says its own.
func (w *Words) Warning(x verify.Warning) string {
	if x.Text != "" {
		return x.Text
	}
	return w.phrase(warningSentence(x.Code), x.Data)
}

// NextBay says what would have settled this bay, for the next one; empty where there is nothing to advise.
func (w *Words) NextBay(b *verify.Bay) string {
	a := b.NextBay
	sentence := adviceSentence(a.Input)
	if sentence == "" {
		return ""
	}
	text := w.phrase(sentence, a.Data)
	if a.Prob > 0 {
		return text + ": this one would have come to " + Percent(a.Prob, nan())
	}
	return text
}
