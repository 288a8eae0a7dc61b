package verify_test

import (
	"math"
	"slices"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

// TestClosings: the verdict at each `closed` row is kept beside the final one. The bay was closed
// short, then topped up; the other was closed on CLOSE and probed soft later.
func TestClosings(t *testing.T) {
	f := verify.Check(guardedJob(t, "", head+
		"s,a,fill,22.5,5.5,12,,30,,,,,,\n"+
		"s,a,closed,,,,,,,,,,,\n"+
		"s,b,fill,22.5,5.5,12,,40,,,,,,\n"+
		"s,b,closed,,,,,,,,,,,\n"+
		"s,a,topup,,,,,10,,,,,,\n"+
		"s,b,seen,,,,,,,,,rod soft,3,\n"), verify.All())
	a, b := &f.Bays[0], &f.Bays[1]
	if len(a.Closings) != 1 || a.Closings[0].Verdict != verify.Add || a.Verdict != verify.Close || a.State != verify.Closed {
		t.Errorf("a: closed on %+v, now %s", a.Closings, verdictWord(a.Verdict))
	}
	near(t, "density then", a.Closings[0].Density/model.PoundPerCubicFoot, 30/10.3125, 1e-9)
	if len(b.Closings) != 1 || b.Closings[0].Verdict != verify.Close || b.Verdict != verify.Probe {
		t.Errorf("b: closed on %+v, now %s", b.Closings, verdictWord(b.Verdict))
	}
	if f.Totals.ClosedNotClose != 1 {
		t.Errorf("closed though not CLOSE: %d", f.Totals.ClosedNotClose)
	}
}

// TestAmendments: the old verdict beside the new one, and the minutes between.
func TestAmendments(t *testing.T) {
	f := verify.Check(guardedJob(t, "", head+
		"s,b,fill,22.5,5.5,12,,33,,,,,,2026-03-01T08:00\n"+
		"s,b,amend,22.5,5.5,12,,40,,,,,,2026-03-01T08:07\n"), verify.All())
	b := &f.Bays[0]
	if len(b.Amended) != 1 {
		t.Fatalf("amendments: %d", len(b.Amended))
	}
	a := b.Amended[0]
	if a.OldVerdict != verify.Add || a.NewVerdict != verify.Close || a.Row.Src.Line != 3 || a.Replaced.Src.Line != 2 {
		t.Errorf("%+v", a)
	}
	near(t, "minutes", a.Minutes, 7, 1e-9)
	near(t, "old density", a.OldDensity/model.PoundPerCubicFoot, 33/10.3125, 1e-9)
}

// TestAmendmentsOfADoubtfulOrder: where times run backward no verdict as it stood is made up, but
// what replaced what is told by the rows alone.
func TestAmendmentsOfADoubtfulOrder(t *testing.T) {
	f := verify.Check(guardedJob(t, "", head+
		"s,b,fill,22.5,5.5,12,,33,,,,,,2026-03-01T08:00\n"+
		"s,b,amend,22.5,5.5,12,,40,,,,,,2026-03-01T07:53\n"), verify.All())
	if !f.Job.OrderDoubtful {
		t.Fatal("the order is not in doubt")
	}
	b := &f.Bays[0]
	if len(b.Amended) != 1 || b.Amended[0].Row.Src.Line != 3 || b.Amended[0].Replaced.Src.Line != 2 {
		t.Fatalf("amendments: %+v", b.Amended)
	}
	if a := b.Amended[0]; !math.IsNaN(a.OldDensity) || !math.IsNaN(a.NewDensity) {
		t.Errorf("densities as they stood: %g, %g", a.OldDensity, a.NewDensity)
	}
}

// TestLogged: the verdict right after a fill knows nothing of later rows, and costs only those who
// ask for it.
func TestLogged(t *testing.T) {
	job := guardedJob(t, "", head+
		"s,a,fill,22.5,5.5,12,,30,,,,,,\n"+
		"s,b,fill,22.5,5.5,12,,40,,,,,,\n"+
		"s,a,topup,,,,,10,,,,,,\n")
	f := verify.Check(job, verify.Options{Logged: true})
	if l := f.Bays[0].Logged; l.Verdict != verify.Add || l.Row.Src.Line != 2 || len(l.Codes) == 0 || l.Codes[0] != verify.Short {
		t.Errorf("a, when logged: %+v", l)
	}
	if f.Bays[0].Verdict != verify.Close {
		t.Errorf("a, now: %s", verdictWord(f.Bays[0].Verdict))
	}
	if f = verify.Check(job, verify.All()); f.Bays[0].Logged != nil {
		t.Error("worked out without being asked for")
	}
}

// TestHistoryChangesNothing is a law: asking for the past changes no figure and no verdict of the
// present.
func TestHistoryChangesNothing(t *testing.T) {
	job := guardedJob(t, "", head+
		"s,a,fill,22.5,5.5,12,,30,9,0,no,,,\n"+"s,a,closed,,,,,,,,,,,\n"+
		"s,b,fill,22.5,5.5,12,,40,,,,rod soft,2,\n"+"s,b,amend,22.5,5.5,12,,39,,,,,,\n"+"s,b,closed,,,,,,,,,,,\n")
	with, without := verify.Check(job, verify.Options{Closings: true, Logged: true}), verify.Check(job, verify.Options{})
	for i := range with.Bays {
		x, y := &with.Bays[i], &without.Bays[i]
		if x.Verdict != y.Verdict || x.Density != y.Density || x.ProbAtTarget != y.ProbAtTarget {
			t.Errorf("%s: %s %v, without the past %s %v", x.Bay.Name, verdictWord(x.Verdict), x.Density, verdictWord(y.Verdict), y.Density)
		}
	}
	if math.IsNaN(with.Bays[0].Density) || len(with.Bays[0].Closings) != 1 {
		t.Error("nothing was worked out")
	}
}

// TestNoPastWithoutOrder: where times run backward the file may have been sorted, and nothing is
// said about what was known when.
func TestNoPastWithoutOrder(t *testing.T) {
	f := verify.Check(guardedJob(t, "", head+
		"s,a,fill,22.5,5.5,12,,40,,,,,,2026-03-01T09:00\n"+
		"s,a,closed,,,,,,,,,,,2026-03-01T08:00\n"), verify.All())
	if n := len(f.Bays[0].Closings); n != 0 {
		t.Errorf("%d closings", n)
	}
}

// TestClosingSurvives: what a bay stood at when it was closed is judged on the log up to that row,
// and no later row but a strike of the closing itself takes it away.
func TestClosingSurvives(t *testing.T) {
	const rows = head + "s,a,fill,22.5,5.5,12,,30,,,,,,\n" + "s,a,closed,,,,,,,,,,,\n"
	for name, later := range map[string]string{
		"amend, same figures": "s,a,amend,22.5,5.5,12,,30,,,,,,\n",
		"amend":               "s,a,amend,22.5,5.5,12,,40,,,,,,\n",
		"topup":               "s,a,topup,,,,,10,,,,,,\n",
		"lost":                "s,a,lost,,,,,2,,,,,,\n",
		"piece":               "s,a,piece,22.5,5.5,1,,,,,,,,\n",
		"seen":                "s,a,seen,,,,,,11,0,yes,rod firm,3,\n",
		"strike and fill":     "s,a,strike,,,,,,,,,,,\ns,a,fill,22.5,5.5,12,,40,,,,,,\n",
		"amend twice":         "s,a,amend,22.5,5.5,12,,33,,,,,,\ns,a,amend,22.5,5.5,12,,40,,,,,,\n",
		"another bay":         "s,b,fill,22.5,5.5,12,,40,,,,,,\n",
	} {
		f := verify.Check(guardedJob(t, "", rows+later), verify.All())
		a := &f.Bays[0]
		if a.State != verify.Closed || len(a.Closings) != 1 || a.Closings[0].Verdict != verify.Add || f.Totals.ClosedNotClose != 1 {
			t.Errorf("%s: state %d, closings %+v, closed though not CLOSE %d", name, a.State, a.Closings, f.Totals.ClosedNotClose)
		}
	}
}

// TestHazardWords: a note that names what is no place for material asks the supervisor again about
// a closed bay; one that says that there is none does not, nor does a word that only begins alike.
func TestHazardWords(t *testing.T) {
	for note, want := range map[string]verify.Code{
		"leak at the ridge": verify.ReHazard, "Framing WET.": verify.ReHazard, "chimney behind it": verify.ReHazard, "old knob and tube": verify.ReHazard,
		"material in the duct": verify.ReHazard, "gotera": verify.ReHazard, "no leak": "", "not wet any more": "", "no sign of a leak": "", "fluent": "", "wetsuit": "",
		"firm and taped": "", "sin humedad": "", "": "",
	} {
		f := verify.Check(guardedJob(t, "weigh_within,0.5 lb\n", "section,bay,entry,width,depth,length,weight,photo,note\n"+
			"s,a,fill,22.5,5.5;5.5;5.5,12,42,,\ns,a,closed,,,,,,\ns,a,seen,,,,,a.jpg,"+note+"\n"), verify.All())
		b := &f.Bays[0]
		if b.Reopened != want || (b.Verdict == verify.Close) != (want == "") || (b.Now.Action == verify.ActDecide) != (want != "") {
			t.Errorf("%q: %s, %s, %v", note, b.Reopened, verdictWord(b.Verdict), b.Now)
		}
	}
}

// TestClosingBesideABayThatIsLeft: what a bay was closed on is known although another one was
// measured, or filled, before or after it was left on purpose.
func TestClosingBesideABayThatIsLeft(t *testing.T) {
	const (
		head   = "section,bay,entry,width,depth,length,weight,note\n"
		size   = "s,a,size,22.5,5.5,12,,\n"
		leave  = "s,a,leave,,,,,flue\n"
		filled = "s,b,fill,22.5,5.5,12,40,\ns,b,closed,,,,,\n"
	)
	for name, rows := range map[string]string{
		"left after it":           size + filled + leave,
		"filled after it":         leave + filled + "s,a,fill,22.5,5.5,12,40,\n",
		"left as it was measured": size + leave + filled,
	} {
		f := verify.Check(guardedJob(t, "", head+rows), verify.All())
		at := slices.IndexFunc(f.Bays, func(b verify.Bay) bool { return b.Bay.Name == "b" })
		b := &f.Bays[at]
		if len(b.Closings) != 1 || b.Closings[0].Verdict != verify.Close {
			t.Errorf("%s: closed on %+v", name, b.Closings)
		}
	}
}
