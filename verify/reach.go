package verify

import "bayproof/model"

// reach raises the length that the tube did not pass, and looks for what answers it.
func (w *work) reach(b *model.Bay, t *tube) {
	var raised bool
	var at way
	var ans Answer
	var later bool // the tube went far enough in a later row, and may yet be said to have stalled
	for _, e := range b.Rows {
		if !inForce(b, e) {
			continue
		}
		if len(e.Reach) > 0 {
			now := t.wayOf(e)
			later = raised && !now.short
			if now.short {
				raised, at, ans = true, now, Answer{}
			}
		}
		switch {
		case !raised || ans.Code != "":
		case later && e.Stall == model.Yes:
			ans = Answer{Code: ByTube, Row: e}
		case isFirm(e.Probe) && t.beyond(at, e.At):
			ans = Answer{Code: answerOf(e.Probe), Row: e}
		}
	}
	if raised {
		w.room.add(Reach, w.room.stretchData(t, at)...).Answered = ans
	}
}

// stretchData is the evidence of a length not reached.
func (l *ledger) stretchData(t *tube, at way) []Datum {
	d := []Datum{{Key: "missing", Value: at.missing, Dim: Length}, {Key: "passed", Value: at.passed, Dim: Length},
		{Key: "length", Value: t.length, Dim: Length}}
	if from, to, ok := t.stretch(at); ok {
		d = append(d, Datum{Key: "from", Value: from, Dim: Length}, Datum{Key: "to", Value: to, Dim: Length})
	}
	return d
}

// noStall raises a flow that was said not to have stalled, and looks for what answers it.
func (w *work) noStall(b *model.Bay, t *tube) {
	var raised, known bool
	var at way
	var ans Answer
	for _, e := range b.Rows {
		if !inForce(b, e) {
			continue
		}
		if len(e.Reach) > 0 {
			at, known = t.wayOf(e), true
		}
		switch {
		case e.Stall == model.No:
			raised, ans = true, Answer{}
		case raised && ans.Code == "" && e.Stall == model.Yes && !at.short:
			ans = Answer{Code: ByTube, Row: e}
		}
		if raised && ans.Code == "" && isFirm(e.Probe) && (!known || t.beyond(at, e.At)) {
			ans = Answer{Code: answerOf(e.Probe), Row: e}
		}
	}
	if raised {
		w.room.add(NoStall).Answered = ans
	}
}
