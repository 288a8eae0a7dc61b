package report

import (
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

// again lists first of all the bays that someone closed on less than a CLOSE, and those closed on a CLOSE that later
// evidence speaks against.
func (t *textPage) again() {
	if !t.any(lookAgain) {
		return
	}
	t.heading("Closed, look again")
	for i := range t.f.Sections {
		t.each(&t.f.Sections[i], false, lookAgain, t.againBay)
	}
}

func (t *textPage) againBay(b *verify.Bay) {
	then := t.w.ClosedAs(b)
	if now := t.w.BriefNow(b); now != "" {
		then += "; now " + now
	}
	t.item(t.label(b.Verdict)+t.name(b), labelWidth+t.nameWidth, screen.Clean(then))
	for _, text := range t.why(b) {
		t.paragraph(labelWidth, text)
	}
}

// closedEarly lists the same bays with their figures only.
func (t *textPage) closedEarly() {
	if !t.any(lookAgain) {
		return
	}
	t.heading("Closed, look again")
	for i := range t.f.Sections {
		t.each(&t.f.Sections[i], false, lookAgain, func(b *verify.Bay) {
			t.item(t.label(b.Verdict)+t.name(b), labelWidth+t.nameWidth, screen.Clean(t.w.ClosedAs(b)+"; "+t.w.Reads(b)+": "+t.w.Sure(b)))
		})
	}
}

// lookAgain tells whether a bay was closed though it should not have been, as known then or as known now.
func lookAgain(b *verify.Bay) bool {
	if b.State != verify.Closed {
		return false
	}
	return b.Verdict != verify.Close || closedWord(b) != say.Verdict(verify.Close)
}
