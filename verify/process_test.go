package verify_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/measure"
)

// processJob is a job of these rows under the default rule, 25 lb bags to a quarter, masses within
// 0.5 lb.
func processJob(t testing.TB, settings, rows string) *model.Job {
	t.Helper()
	return readJob(t, map[string]string{
		"job.csv":  "name,value\nbag_weight,25 lb\nto_stall,yes\nweigh_within,0.5\n" + settings,
		"bays.csv": rows,
	})
}

// crewRows are bays of 22½ × 5½ in, 12 ft, 10.3125 ft³, with the given masses in lb, depths read
// twice; extra rows follow.
func crewRows(masses []float64, extra ...string) string {
	rows := head
	for i, m := range masses {
		rows += fmt.Sprintf("s,b%d,fill,22.5,5.4; 5.6,12,,%g,,,,,,\n", i+1, m)
	}
	return rows + strings.Join(extra, "\n") + "\n"
}

// plainly are masses of a crew that packs to 3.85 ± 0.1 lb/ft³.
func plainly() []float64 {
	return []float64{39.7, 40.6, 38.9, 39.2, 40.9, 38.6, 39.9, 40.2, 39.4, 38.8, 40.5, 39.6}
}

func checked(t *testing.T, settings, rows string) *verify.Findings {
	t.Helper()
	return verify.Check(processJob(t, settings, rows), verify.All())
}

// 33 lb are 3.20 lb/ft³ among bays at 3.85: a sixth of the bay would be empty if the rest were
// packed like the others.
func TestShortOfCrew(t *testing.T) {
	masses := plainly()
	masses[4] = 33
	f := checked(t, "", crewRows(masses))
	b := &f.Bays[4]
	if !strings.Contains(codes(b), "short-of-crew") || b.Verdict == verify.Close {
		t.Fatalf("%s %s", verdictWord(b.Verdict), codes(b))
	}
	// 33 of 39.7 lb: 0.17 of 12 ft.
	near(t, "empty length", b.EmptyLength/model.Foot, 2.0, 0.3)
	if !(b.EmptyLengthLo < b.EmptyLength && b.EmptyLength < b.EmptyLengthHi) {
		t.Errorf("interval %v to %v", b.EmptyLengthLo, b.EmptyLengthHi)
	}
	for i := range f.Bays {
		if i != 4 && strings.Contains(codes(&f.Bays[i]), "short-of-crew") {
			t.Errorf("bay %d: %s", i+1, codes(&f.Bays[i]))
		}
	}
}

// A bay shown to be above the target can still hide a void: 38.2 lb are 3.70 lb/ft³, among bays at
// 4.25. It is PROBE, not CLOSE, until someone has looked.
func TestAboveTargetAndStillSuspect(t *testing.T) {
	var masses []float64
	for _, m := range plainly() {
		masses = append(masses, m*4.25/3.85)
	}
	masses[4] = 38.2
	f := checked(t, "depth_within,1/16\n", crewRows(masses, "s,b5,seen,,,,,,,0,,,,"))
	b := &f.Bays[4]
	if b.Verdict != verify.Probe || b.ProbAtTarget < 0.95 || codes(b) != "short-of-crew" || b.Now.Action != verify.ActLook {
		t.Errorf("%s at %.3f, %s, %s", verdictWord(b.Verdict), b.ProbAtTarget, codes(b), b.Now.Action)
	}
	f = checked(t, "depth_within,1/16\n", crewRows(masses, "s,b5,seen,,,,,,,,,rod firm,0.5; 2; 3.5; 5; 7; 9; 11; 11.5,"))
	if b := &f.Bays[4]; b.Verdict != verify.Close {
		t.Errorf("looked into: %s, %s", verdictWord(b.Verdict), codes(b))
	}
}

// What answers short-of-crew: a look within the length named, at an end when the hole's place is
// not known; a top-up of nothing that stalled lowers the odds, and where that is enough the reason
// stays as answered by it.
func TestShortOfCrewAnswered(t *testing.T) {
	masses := plainly()
	masses[4] = 34.9
	for _, c := range []struct{ name, row, want string }{
		{"nothing", "", "short-of-crew"},
		{"one rod firm near the end", "s,b5,seen,,,,,,,,,rod firm,11,", "short-of-crew"},
		{"rods that cover either end", "s,b5,seen,,,,,,,,,rod firm,0.5; 2; 3.5; 5; 7; 8.5; 10; 11.5,", "short-of-crew=rod-firm"},
		{"rod firm in the middle", "s,b5,seen,,,,,,,,,rod firm,6,", "short-of-crew"},
		{"rod firm, place not said", "s,b5,seen,,,,,,,,,rod firm,,", "short-of-crew"},
		{"infrared even, the difference not said", "s,b5,seen,,,,,,,,,ir even,0; 12,", "short-of-crew"},
		{"infrared even, from end to end", "s,b5,seen,,,,,,,,,ir even 20 F,0; 12,", "short-of-crew=ir-even"},
		{"firm, then soft", "s,b5,seen,,,,,,,,,rod firm,11,\ns,b5,seen,,,,,,,,,rod soft,11,", "short-of-crew probe-soft"},
		{"a top-up of nothing, stalled", "s,b5,topup,,,,,0,,,yes,,,", "short-of-crew"},
		{"a top-up of nothing, no stall said", "s,b5,topup,,,,,0,,,,,,", "short-of-crew"},
	} {
		f := checked(t, "", crewRows(masses, c.row))
		b := &f.Bays[4]
		got := map[string]bool{}
		for _, code := range strings.Fields(codes(b)) {
			got[code] = true
		}
		for _, want := range strings.Fields(c.want) {
			if !got[want] {
				t.Errorf("%s: %s %q, want %q; prob %.3f", c.name, verdictWord(b.Verdict), codes(b), c.want, b.ProbAtTarget)
			}
		}
	}
}

// Five pounds booked to the wrong neighbour: both are named, the low one is not short of the crew
// besides, and where times run backward nobody is compared.
func TestNeighbourSwap(t *testing.T) {
	masses := plainly()
	masses[5], masses[6] = 33.0, 46.0
	f := checked(t, "", crewRows(masses))
	for _, i := range []int{5, 6} {
		if c := codes(&f.Bays[i]); !strings.Contains(c, "neighbour-swap") || strings.Contains(c, "short-of-crew") {
			t.Errorf("bay %d: %s", i+1, c)
		}
	}
	if v := f.Bays[6].Verdict; v != verify.Probe {
		t.Errorf("the high one: %s", verdictWord(v))
	}
	f = checked(t, "", crewRows(masses, "s,b6,seen,,,,,,,,,rod firm,0.5; 2; 3.5; 5; 7; 8.5; 10; 11.5,"))
	for _, i := range []int{5, 6} {
		if c := codes(&f.Bays[i]); !strings.Contains(c, "neighbour-swap=rod-firm") {
			t.Errorf("firm where material would be missing, bay %d: %s", i+1, c)
		}
	}
	job := processJob(t, "", crewRows(masses))
	job.OrderDoubtful = true
	f = verify.Check(job, verify.All())
	if c := codes(&f.Bays[6]); strings.Contains(c, "neighbour-swap") {
		t.Errorf("without an order: %s", c)
	}
}

// A density that falls along the order of filling is found; a `set` row starts it afresh.
func TestDriftOfASection(t *testing.T) {
	var rows, set string
	for i := range 16 {
		row := fmt.Sprintf("s,b%d,fill,22.5,5.4; 5.6,12,,%g,,,,,,\n", i+1, 41.5-0.22*float64(i)+[]float64{0.3, -0.2, 0.1, -0.3}[i%4])
		rows, set = rows+row, set+row
		if i == 7 {
			set += ",,set,,,,,,,,,,,\n"
		}
	}
	f := checked(t, "", head+rows)
	if d := f.Sections[0].Drift; !d.Found || d.Slope >= 0 || len(d.Points) != 16 {
		t.Errorf("%+v", d)
	}
	if f := verify.Check(f.Job, verify.Options{}); f.Sections[0].Drift.Points != nil || !f.Sections[0].Drift.Found {
		t.Error("a chart that nobody asked for, or no drift without it")
	}
	if r := reasonOf(&f.Sections[0], verify.DriftFound); r == nil || datum(r.Data, "slope") != f.Sections[0].Drift.Slope {
		t.Errorf("drift is no reason of the section: %+v", r)
	}
	g := checked(t, "", strings.Replace(head, ",time", ",time", 1)+set)
	if a, b := f.Sections[0].Drift, g.Sections[0].Drift; math.Abs(b.Z) >= math.Abs(a.Z) {
		t.Errorf("z %.2f with a set row, %.2f without", b.Z, a.Z)
	}
}

// quarters are a crew's bays counted to a quarter of a bag: most cannot show the target by
// themselves.
func quarters(counts ...float64) string {
	rows := "section,bay,entry,width,depth,length,bags,weight,reach,hole,stall,probe,at,time\n"
	for i, n := range counts {
		rows += fmt.Sprintf("s,b%d,fill,22.5,5.5,12,%g,,,,,,,\n", i+1, n)
	}
	return rows
}

// The crew's other bays close what the count alone cannot, and basis says so.
func TestCrewsHelp(t *testing.T) {
	counts := []float64{1.75, 1.75, 1.5, 1.75, 1.75, 1.5, 1.75, 1.75, 1.5, 1.75, 1.5, 2}
	f := checked(t, "", quarters(counts...))
	own, crew := 0, 0
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.Verdict != verify.Close {
			continue
		}
		if b.Basis == verify.Own {
			own++
			if b.ProbMeasured < 0.95 {
				t.Errorf("bay %d closes on its own at %v", i+1, b.ProbMeasured)
			}
		} else {
			crew++
			if b.ProbMeasured >= 0.95 {
				t.Errorf("bay %d needs no help at %v", i+1, b.ProbMeasured)
			}
		}
	}
	g := verify.Check(readJob(t, map[string]string{"job.csv": "name,value\nbag_weight,25 lb\nto_stall,yes\nrule,guarded\n", "bays.csv": quarters(counts...)}), verify.All())
	if crew == 0 || own+crew <= g.Totals.Close {
		t.Errorf("%d close by their own, %d with help; guarded %d", own, crew, g.Totals.Close)
	}
	if f.Totals.CloseOwn != own || f.Totals.CloseCrew != crew {
		t.Errorf("totals %+v", f.Totals)
	}
}

// The weight that would close a bay does: logged as a top-up, the bay is CLOSE; with half of it, it
// is not.
func TestClosingWeight(t *testing.T) {
	masses := plainly()
	settings := "depth_within,1/2\n"
	f := checked(t, settings, crewRows(masses[:3], "s,low,fill,22.5,5.4; 5.6; 5.5,12,,36.6,,,,,,"))
	b := &f.Bays[3]
	mass := datum(b.Now.Data, "mass")
	if b.Verdict != verify.Measure || b.Now.Action != verify.ActBlow || !(mass > 0) {
		t.Fatalf("%s at %.3f, %+v", verdictWord(b.Verdict), b.ProbAtTarget, b.Now)
	}
	after := func(pounds float64) *verify.Bay {
		g := checked(t, settings, crewRows(masses[:3], "s,low,fill,22.5,5.4; 5.6; 5.5,12,,36.6,,,,,,", fmt.Sprintf("s,low,topup,,,,,%.6f,,,yes,,,", pounds)))
		return &g.Bays[3]
	}
	if c := after(mass / model.Pound); c.Verdict != verify.Close {
		t.Errorf("with %.2f lb more: %s at %.4f", mass/model.Pound, verdictWord(c.Verdict), c.ProbAtTarget)
	}
	if pounds := mass / model.Pound; math.Abs(pounds-math.Round(pounds)) > 1e-9 || pounds < 2 {
		t.Errorf("%v lb are ordered", pounds)
	}
	if most := datum(b.Now.Data, "mass_most"); after(most/model.Pound).Density > b.Bay.Section.Settings.Ceiling {
		t.Errorf("with %v lb it is over the ceiling", most/model.Pound)
	}
	if c := after(mass/model.Pound - 1); mass > verify.LeastBlow*1.01 && c.Verdict == verify.Close {
		t.Errorf("a pound less than %.0f lb: CLOSE at %.4f", mass/model.Pound, c.ProbAtTarget)
	}
}

func datum(data []verify.Datum, key string) float64 {
	for _, d := range data {
		if d.Key == key {
			return d.Value
		}
	}
	return math.NaN()
}

// Nobody reads a hopper finer than to a quarter of a bag: a crew that reads quarters is not told
// to, one that reads halves is told to read quarters.
func TestNoFinerThanAQuarter(t *testing.T) {
	told := func(settings, rows string) map[float64]int {
		steps := map[float64]int{}
		for _, b := range checked(t, settings, rows).Bays {
			if b.NextBay != nil && b.NextBay.Input == "bag_step" {
				steps[datum(b.NextBay.Data, "step")]++
			}
		}
		return steps
	}
	if got := told("counting,ends\nbag_step,1/4\n", quarters(1.5, 2, 1.5, 1.5, 2, 1.5)); len(got) != 0 {
		t.Errorf("reads quarters, told to read to %v", got)
	}
	if got := told("rule,guarded\ncounting,ends\nbag_step,1/2\n", quarters(1.5, 1.75, 1.75, 1.5)); len(got) != 1 || got[0.25] == 0 {
		t.Errorf("reads halves, told to read to %v", got)
	}
}

// No line is a dead end: every bay that is not CLOSE says what to do, and one whose tube was run
// again and took nothing is not told to run it once more.
func TestNoDeadEnd(t *testing.T) {
	rows := quarters(1.5, 1.5, 1.25, 1.5) + "s,b3,topup,,,,0,,,,yes,,,\n"
	f := checked(t, "", rows)
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.Verdict != verify.Close && (b.Now.Action == "") {
			t.Errorf("bay %d: %s, %q", i+1, verdictWord(b.Verdict), b.Now.Action)
		}
		// Of the bay that took nothing more a finer look would most likely have shown that it is
		// short: no way betters it.
		if b.Verdict == verify.Measure && b.NextBay == nil && i != 2 {
			t.Errorf("bay %d: nothing for the next bay", i+1)
		}
	}
	if b := &f.Bays[2]; b.Verdict == verify.Measure && b.Now.Action == verify.ActBlow {
		t.Errorf("told to blow again: %+v", b.Now)
	}
}

// A bay left open while the next ones are logged: what is said of it is what comes when they are,
// packed like the others.
func TestLeaveOpen(t *testing.T) {
	files := func(rows string) map[string]string {
		return map[string]string{"job.csv": "name,value\nbag_weight,25 lb\nto_stall,yes\n", "sections.csv": "section,bays\ns,12\n", "bays.csv": rows}
	}
	f := verify.Check(readJob(t, files(quarters(1.5, 1.75, 1.5, 1.75))), verify.All())
	found := false
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.Now.Action == verify.ActWait {
			found = true
			if p := datum(b.Now.Data, "prob"); p < 0.95 || datum(b.Now.Data, "until") != 12 || b.Verdict != verify.Measure {
				t.Errorf("bay %d: %s, %v until %v bays", i+1, verdictWord(b.Verdict), p, datum(b.Now.Data, "until"))
			}
		}
	}
	g := verify.Check(readJob(t, files(quarters(1.5, 1.75, 1.5, 1.75, 1.5, 1.75, 1.5, 1.75, 1.5, 1.75, 1.5, 1.75))), verify.All())
	if found != (g.Bays[0].Verdict == verify.Close) {
		t.Errorf("said to settle: %v; settled: %s at %.3f", found, verdictWord(g.Bays[0].Verdict), g.Bays[0].ProbAtTarget)
	}
}

// Every prior and every limit says its source and use.
func TestPriorsSayTheirSource(t *testing.T) {
	f := checked(t, "", crewRows(plainly()))
	if len(f.Priors) < 12 {
		t.Errorf("%d statements", len(f.Priors))
	}
	for _, p := range f.Priors {
		if p.Name == "" || p.Value == "" || p.Unit == "" || p.Source == "" || p.Use == "" {
			t.Errorf("%+v", p)
		}
	}
}

// countedRows are twelve bays of 10.3125 ft³ whose counts read 3.64 and 4.24 lb/ft³, 3.8 on
// average; stalls by bay, as the column has them.
func countedRows(stall func(bay int) string, extra ...string) string {
	rows := head
	for i := range 12 {
		bags := "1 1/2"
		if i%4 == 3 {
			bags = "1 3/4"
		}
		rows += fmt.Sprintf("s,b%d,fill,22.5,5.5; 5.5,12,%s,,,,%s,,,\n", i+1, bags, stall(i))
	}
	return rows + strings.Join(extra, "\n") + "\n"
}

// Without a word about the stall a count gets no credit from the crew: the order is to say it.
// Whoever says it for the job or the bay gets it; a bay that says ? or no is not covered by the
// job's word; a weighed mass needs none.
func TestStallSaid(t *testing.T) {
	const b1 = 0
	blank, yes := func(int) string { return "" }, func(int) string { return "yes" }
	at := func(word string) func(int) string {
		return func(i int) string {
			if i == b1 {
				return word
			}
			return ""
		}
	}
	for _, c := range []struct {
		name, settings, rows string
		closes               bool
		codes                string
		now                  verify.Code
	}{
		{"nobody says it", "", countedRows(blank), false, "not-shown stall-unsaid", verify.ActSay},
		{"the job does", "to_stall,yes\n", countedRows(blank), true, "", ""},
		{"every row does", "", countedRows(yes), true, "", ""},
		{"the bay's row does, the others may be short", "", countedRows(at("yes")), false, "not-shown", verify.ActBlow},
		{"a later row does", "", countedRows(blank, "s,b1,seen,,,,,,,,yes,,,"), false, "not-shown", verify.ActBlow},
		{"? under the job's yes", "to_stall,yes\n", countedRows(at("?")), false, "not-shown stall-unsaid", verify.ActBlow},
		{"no under the job's yes", "to_stall,yes\n", countedRows(at("no")), false, "not-shown no-stall", verify.ActBlow},
		{"the last word holds", "", countedRows(at("yes"), "s,b1,seen,,,,,,,,?,,,"), false, "not-shown stall-unsaid", verify.ActBlow},
		{"the job says no", "to_stall,no\n", countedRows(blank), false, "not-shown stall-unsaid", verify.ActSay},
		{"weighed", "", crewRows(plainly()), true, "", ""},
	} {
		f := verify.Check(readJob(t, map[string]string{"job.csv": "name,value\nbag_weight,25 lb\nweigh_within,0.5\n" + c.settings, "bays.csv": c.rows}), verify.All())
		b := &f.Bays[b1]
		if (b.Verdict == verify.Close) != c.closes || strings.TrimSpace(codes(b)) != c.codes || b.Now.Action != c.now {
			t.Errorf("%s: %s, %q, now %s (%.3f); want closed %v, %q, %s", c.name, verdictWord(b.Verdict), codes(b), b.Now.Action, b.ProbAtTarget, c.closes, c.codes, c.now)
		}
	}
	// A bay that is short whatever is said is not asked about the stall.
	f := verify.Check(readJob(t, map[string]string{"job.csv": "name,value\nbag_weight,25 lb\n", "bays.csv": head + "s,b1,fill,22.5,5.5,12,1,,,,,,,\n"}), verify.All())
	if b := &f.Bays[0]; b.Verdict != verify.Add || b.Now.Action != verify.ActBlow {
		t.Errorf("a short bay: %s, now %s", verdictWord(b.Verdict), b.Now.Action)
	}
}

// Feed time is a second measurement of what went in: where it agrees with the counts, half-bag
// counts close good bays that they cannot close alone.
func TestFeedTime(t *testing.T) {
	rows := func(timed bool) string {
		text := "section,bay,entry,width,depth,length,bags,feed\n"
		for i := range 16 {
			mass, feed := 39.7+[]float64{0.4, -0.6, 0.9, -0.3}[i%4], ""
			if timed {
				feed = fmt.Sprintf("%.0f s", mass/0.1)
			}
			text += fmt.Sprintf("s,b%d,fill,22.5,5.5; 5.5,12,%g,%s\n", i+1, // both ends read by themselves: the error is spread evenly
				math.Round(mass/25*2+float64(i*7%16)/16-0.47)/2, feed)
		}
		return text
	}
	without, with := checked(t, "bag_step,1/2\n", rows(false)), checked(t, "bag_step,1/2\n", rows(true))
	if !(with.Totals.Close > without.Totals.Close+8) {
		t.Errorf("%d bays close with feed, %d without", with.Totals.Close, without.Totals.Close)
	}
}

// A lot is timed where all that went into it was, by one time of its own; machines and set rows
// part what is comparable.
func TestTimedLots(t *testing.T) {
	log := "section,bay,entry,width,depth,length,bags,feed,machine,note\n" +
		"s,b1,fill,22.5,5.5,12,1 1/2,4:10,,\n" +
		"s,b2,fill,22.5,5.5,12,1 1/2,2:00; 1:40,,\n" + // bursts add up
		"s,b3,fill,22.5,5.5,12,1 1/2,,,\n" +
		"s,b4,fill,22.5,5.5,12,1 1/2,shared,,\ns,b5,fill,22.5,5.5,12,1 1/2,8:00,,\n" + // one time, two counts
		"s,b6,fill,22.5,5.5,6,shared,shared,,\ns,b7,fill,22.5,5.5,6,1 1/2,4:20,,\n" + // one time, one count
		"s,b8,fill,22.5,5.5,6,shared,2:00,,\ns,b9,fill,22.5,5.5,6,1 1/2,2:10,,\n" + // one count, two times
		"s,c1,fill,22.5,5.5,12,1 1/2,4:00,,\ns,c1,topup,,,,1/4,0:40,,\n" +
		"s,c2,fill,22.5,5.5,12,1 1/2,4:00,,\ns,c2,topup,,,,1/4,,,\n" + // a top-up that was not timed
		"s,c3,fill,22.5,5.5,12,1 1/2,4:00,,\ns,c3,topup,,,,0,,,\n" + // nothing to time
		"s,c4,fill,22.5,5.5,12,1 1/2,4:00,,\ns,c4,lost,,,,1/4,,,\n" + // some of it came out
		"s,c5,fill,22.5,5.5,12,1 1/2,4:00,,\ns,c5,seen,,,,,4:30,,\n" + // the last word holds
		"s,c6,fill,22.5,5.5,12,1 1/2,4:00,,\ns,c6,amend,22.5,5.5,12,1 1/2,,,\n" + // nothing is taken over
		"s,d1,fill,22.5,5.5,12,1 1/2,4:00,B,\n,,set,,,,,,B,gate up\ns,d2,fill,22.5,5.5,12,1 1/2,4:00,B,\ns,d3,fill,22.5,5.5,12,1 1/2,4:00,,\n" +
		",,set,,,,,,,new lot\ns,d4,fill,22.5,5.5,12,1 1/2,4:00,,\ns,d5,fill,22.5,5.5,12,1 1/2,4:00,b,\n"
	m := measure.Of(processJob(t, "", log), measure.Options{})
	want := map[string][2]float64{"b1": {250, 0}, "b2": {220, 0}, "b3": {0, 0}, "b4": {0, 0}, "b5": {0, 0}, "b6": {260, 0}, "b8": {250, 0},
		"c1": {280, 0}, "c2": {0, 0}, "c3": {240, 0}, "c4": {0, 0}, "c5": {270, 0}, "c6": {0, 0},
		"d1": {240, 1}, "d2": {240, 2}, "d3": {240, 0}, "d4": {240, 3}, "d5": {240, 4}}
	for i := range m.Sections[0].Lots {
		l := &m.Sections[0].Lots[i]
		name := l.Bays[0].Name
		if w, ok := want[name]; !ok || l.Feed != w[0] || float64(l.Setting) != w[1] {
			t.Errorf("%s: %g s at setting %d, want %v", name, l.Feed, l.Setting, w)
		}
		delete(want, name)
	}
	if len(want) > 0 {
		t.Errorf("no lots of %v", want)
	}
}
