package verify

import (
	"math"
	"strings"

	"bayproof/model"
)

// probeSoft raises every look that found the bay soft, empty, moving or cold, one reason a finding.
func (w *work) probeSoft(b *model.Bay, t *tube) {
	for i, e := range b.Rows {
		if !isSoft(e.Probe) || !inForce(b, e) {
			continue
		}
		r := w.room.add(ProbeSoft, Datum{Key: "finding", Text: ProbeName(e.Probe), Dim: Name})
		if !math.IsNaN(e.At) {
			r.Data = w.room.datums(r.Data[0], Datum{Key: "at", Value: inside(b, e.At), Dim: Length})
		}
		for _, later := range b.Rows[i+1:] {
			if inForce(b, later) && clears(later, e) {
				r.Answered = Answer{Code: answerOf(later.Probe), Row: later}
				break
			}
		}
	}
}

func isSoft(p model.Probe) bool {
	return p == model.RodSoft || p == model.RodEmpty || p == model.SmokeMoves || p == model.IRCold
}

// clears tells whether a later look answers a finding: of a kind that can see the same thing, at the same place. Air that
// moves is answered by smoke alone, as a rod may be firm beside a channel.
func clears(later, found *model.Entry) bool {
	var kind bool
	switch found.Probe {
	case model.RodSoft, model.RodEmpty:
		kind = later.Probe == model.RodFirm
	case model.SmokeMoves:
		kind = later.Probe == model.SmokeStill
	case model.IRCold:
		kind = later.Probe == model.IREven || later.Probe == model.RodFirm
	}
	if !kind || math.IsNaN(found.At) {
		return kind
	}
	return math.Abs(later.At-found.At) <= LookWithin
}

// ProbeName is the word for a look as the log has it, with a hyphen.
func ProbeName(p model.Probe) string {
	return strings.ReplaceAll(p.String(), " ", "-")
}
