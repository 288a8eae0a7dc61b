package verify_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/verify"
)

// randomRows are bays with sizes, ± and weights drawn anew.
func randomRows(r *rand.Rand, n int, mass func() float64) string {
	var b strings.Builder
	b.WriteString("section,bay,width,depth,length,weight\n")
	for i := range n {
		fmt.Fprintf(&b, "s,b%d,22.5,%.3f; %.3f,%.2f,%.4f\n", i, 5.3+0.3*r.Float64(), 5.3+0.3*r.Float64(), 9+6*r.Float64(), mass())
	}
	return b.String()
}

// TestDoubleMass is a law: twice the mass is twice the density, and twice what an input that scales
// with it leaves; the relative uncertainty of sizes stays.
func TestDoubleMass(t *testing.T) {
	const settings = "weigh_within,0\n"
	r := rand.New(rand.NewPCG(1, 2))
	masses := make([]float64, 0, 20)
	once := guardedJob(t, settings, randomRows(r, 20, func() float64 { masses = append(masses, 20+10*r.Float64()); return masses[len(masses)-1] }))
	r = rand.New(rand.NewPCG(1, 2))
	i := -1
	twice := guardedJob(t, settings, randomRows(r, 20, func() float64 { r.Float64(); i++; return 2 * masses[i] }))
	a, b := verify.Check(once, verify.Options{}), verify.Check(twice, verify.Options{})
	for k := range a.Bays {
		// Masses are written to 1e-4 lb: 5e-6 of the value.
		near(t, "density", b.Bays[k].Density/a.Bays[k].Density, 2, 2e-5)
		near(t, "u", b.Bays[k].U/a.Bays[k].U, 2, 2e-5)
	}
}

// TestUnits is a law: a job in SI units and the same job in US units have one verdict and one
// probability.
func TestUnits(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	us := "section,bay,width,depth,length,bags,weight\n"
	si := us
	for i := range 40 {
		w, d, l := 22+r.Float64(), 5+r.Float64(), 8+8*r.Float64()
		if i%2 == 0 {
			bags := float64(4+r.IntN(4)) / 4
			us += fmt.Sprintf("s,b%d,%v,%v,%v,%v,\n", i, w, d, l, bags)
			si += fmt.Sprintf("s,b%d,%v,%v,%v,%v,\n", i, w*25.4, d*25.4, l*0.3048, bags)
			continue
		}
		m := w * d * l / 144 * (3 + 1.5*r.Float64())
		us += fmt.Sprintf("s,b%d,%v,%v,%v,,%v\n", i, w, d, l, m)
		si += fmt.Sprintf("s,b%d,%v,%v,%v,,%v\n", i, w*25.4, d*25.4, l*0.3048, m*model.Pound)
	}
	a := verify.Check(guardedJob(t, "", us), verify.Options{})
	b := verify.Check(readJob(t, map[string]string{
		"job.csv":  "name,value\nrule,guarded\nunits,si\nbag_weight,25 lb\nto_stall,yes\n",
		"bays.csv": si,
	}), verify.Options{})
	for k := range a.Bays {
		if a.Bays[k].Verdict != b.Bays[k].Verdict {
			t.Errorf("bay %d: %s in lb, %s in kg", k, verdictWord(a.Bays[k].Verdict), verdictWord(b.Bays[k].Verdict))
		}
		near(t, "probability", b.Bays[k].ProbAtTarget, a.Bays[k].ProbAtTarget, 1e-9)
	}
}

// TestWiderNeverCloses is a law: wider uncertainty of any kind never turns a bay that is not CLOSE
// into CLOSE under rule guarded.
func TestWiderNeverCloses(t *testing.T) {
	wider := []string{"bag_step,1/2\n", "bag_within,4 %\n", "width_within,1/2\n", "depth_within,3/4\n", "length_within,3\n", "confidence,0.99\n"}
	rows := strings.ReplaceAll(plainRows(40), ",1,", ",1.25,")
	plain := verify.Check(guardedJob(t, "", rows), verify.Options{})
	closed, lost := 0, 0
	for _, s := range wider {
		wide := verify.Check(guardedJob(t, s, rows), verify.Options{})
		for k := range plain.Bays {
			was, is := plain.Bays[k].Verdict, wide.Bays[k].Verdict
			if is == verify.Close && was != verify.Close {
				t.Errorf("%sbay %d: %s becomes CLOSE", s, k, verdictWord(was))
			}
			if was == verify.Close {
				closed++
				if is != verify.Close {
					lost++
				}
			}
		}
	}
	if closed == 0 || lost == 0 {
		t.Errorf("%d CLOSE, %d of them lost: this job shows nothing", closed, lost)
	}
}

// TestOrderOfBays is a law: in a log without counters the order of whole bays changes no density
// and no probability of the measurement.
func TestOrderOfBays(t *testing.T) {
	lines := strings.Split(strings.TrimSpace(plainRows(24)), "\n")
	want := map[string]verify.Bay{}
	for _, b := range verify.Check(guardedJob(t, "", strings.Join(lines, "\n")+"\n"), verify.Options{}).Bays {
		want[b.Bay.Name] = b
	}
	r := rand.New(rand.NewPCG(8, 8))
	for range 5 {
		rows := append([]string(nil), lines[1:]...)
		r.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
		f := verify.Check(guardedJob(t, "", lines[0]+"\n"+strings.Join(rows, "\n")+"\n"), verify.Options{})
		for _, b := range f.Bays {
			w := want[b.Bay.Name]
			if b.Density != w.Density || b.U != w.U || b.ProbMeasured != w.ProbMeasured {
				t.Errorf("%s: %v ± %v, want %v ± %v", b.Bay.Name, b.Density, b.U, w.Density, w.U)
			}
		}
	}
}

// TestUnknownNeverCloses: what cannot be worked out is MEASURE, with a reason.
func TestUnknownNeverCloses(t *testing.T) {
	job := guardedJob(t, "", plainRows(4))
	job.Settings.BagWeight = math.NaN()
	f := verify.Check(job, verify.All())
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.Verdict != verify.Measure || len(b.Reasons) == 0 || b.Reasons[0].Code != verify.NoFigure {
			t.Errorf("without a bag weight: %s %s", verdictWord(b.Verdict), codes(b))
		}
	}
	if f := verify.Check(&model.Job{}, verify.All()); len(f.Bays) != 0 || f.Totals.Bays != 0 {
		t.Errorf("an empty job: %+v", f.Totals)
	}
}

// TestSameFindings: a job checked twice gives the same findings, and is not changed.
func TestSameFindings(t *testing.T) {
	job := guardedJob(t, "", plainRows(12))
	a, b := verify.Check(job, verify.All()), verify.Check(job, verify.All())
	if x, y := fmt.Sprintf("%+v", a.Totals), fmt.Sprintf("%+v", b.Totals); x != y {
		t.Errorf("%s, then %s", x, y)
	}
	for i := range a.Bays {
		if x, y := codes(&a.Bays[i]), codes(&b.Bays[i]); x != y || a.Bays[i].U != b.Bays[i].U {
			t.Errorf("bay %d: %s, then %s", i, x, y)
		}
	}
}

// anyOther is a value that a setting takes and that is not its default.
func anyOther(def model.SettingDef) string {
	top := def.Max
	if top == 0 {
		top = 1
	}
	switch def.Kind {
	case model.SettingWord:
		return def.Choices[len(def.Choices)-1]
	case model.SettingShare, model.SettingCount:
		return fmt.Sprint((def.Min + min(top, 1)) / 2.5)
	case model.SettingQuantity:
		unit := model.US.Unit(def.Show)
		return fmt.Sprintf("%.4f %s", unit.In((def.Min+top)/2.5), unit.Symbol)
	}
	return "another"
}

// Bearing: a setting that a flag can move a verdict, a probability or what to do with is one that a
// verdict rests on by the table of settings, and no other is. The material alone moves no figure:
// its kind asks for a target of its own.
func TestBearing(t *testing.T) {
	another := map[string]string{
		"units": "si", "target": "3.4", "aim": "4", "ceiling": "6", "rule": "guarded", "confidence": "0.6", "counting": "fresh", "bag_weight": "24 lb",
		"bag_within": "4 %", "bag_checks": "24; 24.5; 24.2; 24.1; 24.3", "bag_tare": "0.5 lb", "bag_step": "1/8", "weigh_within": "3 lb", "width_within": "1/2 in",
		"depth_within": "1/2 in", "length_within": "2 in", "throw": "3 ft", "spill": "3 %", "date": "2026-03-02", "bags_loaded": "9", "bags_left": "1",
		"blower_pressure": "70 in of water", "cfm50_before": "2000", "cfm50_after": "1000", "to_stall": "yes", "depth_checks": "1/2; 1/2; 0; 1/4; 1/8", "lang": "es",
	}
	judged := func(settings string, flags map[string]string) string {
		files := fstest.MapFS{
			"job.csv": {Data: []byte("name,value\nbag_weight,25 lb\n" + settings)},
			"bays.csv": {Data: []byte("section,bay,width_in,depth_in,length_ft,bags,weight,reach_ft,stall,hole,note\ns,b1,22.5,5.5,12,1 1/2,,11.5,yes,0,\n" +
				"s,b2,22.5,5.5,12,1 3/4,,9.5,yes,0,\ns,b3,22.5,5.5,12,1 3/4,,11.5,yes,0,\ns,b4,22.5,5.5,12,,41,11.5,yes,0,\ns,b5,22.5,5.5,12,1 3/4,,11.5,,0,\n" +
				"s,b6,22.5,5.5,12,2 1/4,,11.5,yes,0,\ns,b7,22.5,5.5,12,1,,11.5,yes,0,\ns,b8,22.5,5.5,12,,50,11.5,yes,0,\n")},
		}
		job, faults := joblog.Read(files, "bays.csv", joblog.Options{Flags: flags})
		if len(faults) > 0 {
			t.Fatal(flags, faults)
		}
		text := ""
		f := verify.Check(job, verify.Options{})
		for i := range f.Bays {
			b := &f.Bays[i]
			text += fmt.Sprint(b.Bay.Name, verdictWord(b.Verdict), b.ProbAtTarget, codes(b), b.AddMass, "\n")
		}
		return text
	}
	for _, def := range model.SettingDefs() {
		value, settings := another[def.Name], ""
		if value == "" {
			value = anyOther(def)
		}
		if def.Name == "bag_tare" {
			settings = "bag_checks,25; 25.1; 25.2; 25; 24.9\n"
		}
		moves := judged(settings, nil) != judged(settings, map[string]string{def.Name: value})
		if bears := def.Bears != model.BearsNothing; moves != bears && def.Name != "material" {
			t.Errorf("%s: a flag moves a verdict: %v; the table says that one rests on it: %v", def.Name, moves, bears)
		}
	}
}
