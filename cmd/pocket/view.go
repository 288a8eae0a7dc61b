package pocket

import (
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/report/say"
	"bayproof/verify"
)

// State is what the page shows of a job: every section with its counts, and the bays of the one
// that is looked at.
type State struct {
	Job      string        `json:"job"`
	Section  string        `json:"section"`
	Next     string        `json:"next"` // the bay that comes next there
	Full     bool          `json:"full"` // as many bays as its table counts are filled
	Sections []SectionView `json:"sections"`
	Bays     []BayView     `json:"bays"`   // in the order of filling, then those that are not filled, then those left
	Counts   string        `json:"counts"` // what the empties make of the counts
	Orders   []string      `json:"orders"` // for the section and for the job
	Machines []string      `json:"machines"`
	CanUndo  bool          `json:"canUndo"`
}

// SectionView is a section on one line.
type SectionView struct {
	Name   string    `json:"name"`
	Filled string    `json:"filled"` // 6 of 14 filled
	Counts []Counted `json:"counts"`
}

// Counted is how many bays stand at a verdict.
type Counted struct {
	Kind string `json:"kind"`
	Mark string `json:"mark"`
	Word string `json:"word"`
	Own  string `json:"own,omitempty"`
	N    int    `json:"n"`
}

// BayView is a bay as the page shows it.
type BayView struct {
	Section string `json:"section"`
	Bay     string `json:"bay"`
	Kind    string `json:"kind"` // close, add, measure, probe, open, struck, left: the look of it
	Mark    string `json:"mark"`
	Word    string `json:"word"`
	Own     string `json:"own,omitempty"` // the word of a verdict in the crew's language, where that is another
	Order   string `json:"order"`         // the one thing to do; empty where nothing is
	Brief   string `json:"brief"`         // the same in a line of a list
	Do      bool   `json:"do"`            // a form reports it
	Sizes   string `json:"sizes"`
	Filled  bool   `json:"filled"`
	Closed  bool   `json:"closed"`
}

// Reply answers an entry.
type Reply struct {
	State
	Wrote   []Kept    `json:"wrote"`   // empty where nothing was written
	Text    []string  `json:"text"`    // what the prompt says to it; where nothing was written, why
	Bay     *BayView  `json:"bay"`     // how the bay stands
	Changed []BayView `json:"changed"` // other bays that stand otherwise now
	Odd     string    `json:"odd"`     // what looks odd about what was typed
}

// state says how the job stands, with the bays of the present section.
func (e *Engine) state() State {
	f := e.session.Findings()
	w := say.New(f)
	s := State{Job: f.Job.Name, Section: e.session.Section(), Next: e.session.Next(), Full: e.session.Full(), Counts: w.Counts(f), CanUndo: e.session.CanUndo(), Sections: []SectionView{}, Bays: []BayView{}, Orders: []string{}}
	for i := range f.Sections {
		x := &f.Sections[i]
		s.Sections = append(s.Sections, SectionView{Name: x.Section.Name, Filled: e.session.Filled(x.Section), Counts: e.counted(w, f, x.Section)})
		if x.Section.Name == s.Section {
			if text := w.Order(&x.Now); text != "" {
				s.Orders = append(s.Orders, text)
			}
		}
	}
	if text := w.Order(&f.Totals.Now); text != "" {
		s.Orders = append(s.Orders, text)
	}
	var bays []*verify.Bay
	for i := range f.Bays {
		if x := &f.Bays[i]; x.Bay.Section.Name == s.Section {
			bays = append(bays, x)
		}
		if m := f.Bays[i].Bay.Machine; !slices.Contains(s.Machines, m) && m != "" {
			s.Machines = append(s.Machines, m)
		}
	}
	slices.SortStableFunc(bays, func(a, b *verify.Bay) int { return place(a) - place(b) })
	for _, x := range bays {
		s.Bays = append(s.Bays, e.bayView(w, x))
	}
	for i := range f.Left {
		if x := &f.Left[i]; x.Bay.Section.Name == s.Section {
			s.Bays = append(s.Bays, BayView{Section: s.Section, Bay: x.Bay.Name, Kind: "left", Mark: "–", Word: w.S("LEFT EMPTY"), Order: x.Bay.Left.Note, Brief: x.Bay.Left.Note})
		}
	}
	return s
}

// place is where a bay stands in a list in the order of filling; one that is not filled comes after
// all.
func place(x *verify.Bay) int {
	if x.Bay.Order == 0 {
		return math.MaxInt32
	}
	return x.Bay.Order
}

// counted counts a section's bays by how they stand, those that ask for something first.
func (e *Engine) counted(w *say.Words, f *verify.Findings, sec *model.Section) []Counted {
	counts := []Counted{}
	for _, v := range []verify.Verdict{verify.Add, verify.Probe, verify.Measure, verify.Close} {
		n := 0
		for i := range f.Bays {
			if x := &f.Bays[i]; x.Bay.Section == sec && x.Judged() && e.verdict(x) == v {
				n++
			}
		}
		if n > 0 {
			counts = append(counts, Counted{kindOf(v), say.Mark(v), say.Verdict(v), own(w, v), n})
		}
	}
	return counts
}

// own is the word of a verdict in the crew's language; empty where that is the verdict's own word.
func own(w *say.Words, v verify.Verdict) string {
	if word := w.S(say.Verdict(v)); word != say.Verdict(v) {
		return word
	}
	return ""
}

// kindOf is a verdict as the page's style sheet names it.
func kindOf(v verify.Verdict) string { return strings.ToLower(say.Verdict(v)) }

// name is what a bay is kept by.
func name(b *model.Bay) string { return model.Fold(b.Section.Name) + "\n" + model.Fold(b.Name) }

// verdict is how a bay stands: one that was closed as it was closed.
func (e *Engine) verdict(x *verify.Bay) verify.Verdict {
	if was, ok := e.stood[name(x.Bay)]; ok && x.State == verify.Closed && was.closings == len(x.Bay.Closed) {
		return was.verdict
	}
	return x.Verdict
}

// bayView shows a bay.
func (e *Engine) bayView(w *say.Words, x *verify.Bay) BayView {
	v := BayView{Section: x.Bay.Section.Name, Bay: x.Bay.Name, Kind: "open", Mark: "□", Word: w.S("NOT FILLED"), Closed: x.State == verify.Closed, Filled: x.Judged()}
	if len(x.Bay.Pieces) > 0 && x.Bay.Volume() > 0 {
		v.Sizes = w.Bay(x.Bay)
	}
	switch {
	case x.State == verify.Struck:
		v.Kind, v.Mark, v.Word = "struck", "×", w.S("WITHDRAWN")
		return v
	case x.Bay.Owes != model.OwesNothing:
		v.Order = w.Owed(x.Bay.Owes)
		v.Brief = v.Order
		return v
	case x.Judged():
		verdict := e.verdict(x)
		v.Kind, v.Mark, v.Word, v.Own = kindOf(verdict), say.Mark(verdict), say.Verdict(verdict), own(w, verdict)
		if verdict == verify.Close && !x.IsDecided() {
			return v
		}
	}
	v.Order, v.Brief = w.Now(x), w.BriefNow(x)
	if v.Order != "" && !x.IsDecided() {
		_, v.Do = e.session.Do(x.Bay.Name)
	}
	return v
}

// verdicts are how all bays stand, by name.
func (e *Engine) verdicts() map[string]verify.Verdict {
	f := e.session.Findings()
	was := map[string]verify.Verdict{}
	for i := range f.Bays {
		if x := &f.Bays[i]; x.Judged() {
			was[name(x.Bay)] = e.verdict(x)
		}
	}
	return was
}

// reply says what became of an entry. A bay that was just closed stands as it stood before.
func (e *Engine) reply(ask Ask, text string, before map[string]verify.Verdict) Reply {
	f := e.session.Findings()
	w := say.New(f)
	r := Reply{Wrote: e.wrote, Text: lines(text), Odd: e.session.Odd(), Changed: []BayView{}}
	bay := ask.Bay
	if len(e.wrote) > 0 {
		bay = e.wrote[0].Row["bay"]
	}
	for i := range f.Bays {
		x := &f.Bays[i]
		asked := strings.EqualFold(x.Bay.Name, cell.Name(bay)) && strings.EqualFold(x.Bay.Section.Name, e.session.Section())
		was, known := before[name(x.Bay)]
		if asked && known && x.State == verify.Closed && ask.Action == "closed" && len(e.wrote) > 0 {
			e.stood[name(x.Bay)] = stood{was, len(x.Bay.Closed)}
		}
		switch now := e.verdict(x); {
		case asked:
			v := e.bayView(w, x)
			r.Bay = &v
		case known && x.Judged() && was != now:
			r.Changed = append(r.Changed, e.bayView(w, x))
		}
	}
	r.State = e.state()
	return r
}

// settle finds all that `check` does: what bays were closed on, by going through the log, and the
// orders of every section. Until the next entry the session shows that.
func (e *Engine) settle() {
	f := verify.Check(e.session.Findings().Job, verify.Options{Advice: true, Closings: true, Growing: &e.grown})
	e.settled = f
	for i := range f.Bays {
		if x := &f.Bays[i]; x.State == verify.Closed {
			e.stood[name(x.Bay)] = stood{x.Verdict, len(x.Bay.Closed)}
		}
	}
	e.session.Judge()
}

// why says what a bay's verdict rests on, a line a reason.
func (e *Engine) why(bay string) []string { return lines(e.session.Why(bay)) }

// lines are those of what the prompt says, without its indents.
func lines(text string) []string {
	out := []string{}
	for line := range strings.Lines(text) {
		if line = strings.TrimSpace(line); line != "" {
			out = append(out, line)
		}
	}
	return out
}
