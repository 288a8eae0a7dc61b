package verify_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

// warned returns the warning of a code; nil where there is none.
func warned(f *verify.Findings, c verify.Code) *verify.Warning {
	for i := range f.Warnings {
		if f.Warnings[i].Code == c {
			return &f.Warnings[i]
		}
	}
	return nil
}

// reasonOf returns a section's reason of a code; nil where there is none.
func reasonOf(s *verify.Section, c verify.Code) *verify.Reason {
	for i := range s.Reasons {
		if s.Reasons[i].Code == c {
			return &s.Reasons[i]
		}
	}
	return nil
}

// TestPoundsPerArea: a nominal 4 in wall, 3½ in deep, at the least density of 3.5 lb/ft³ takes
// 1.021 lb/ft² (a state programme's closed-sidewall rule says 1; derived, printed to three
// decimals).
func TestPoundsPerArea(t *testing.T) {
	f := verify.Check(guardedJob(t, "", "section,bay,width,depth,length,weight\nw,a,14.5,3.5,8,12\nw,b,22.5,3.5,8,20\n"), verify.Options{})
	s := f.Sections[0]
	near(t, "lb/ft²", s.MassRequired/model.Pound/(s.Area/model.SquareFoot), 1.021, 0.0005)
	near(t, "installed", f.Totals.Mass/model.Pound, 32, 1e-9)
}

// TestCorePlug: a 2⅛ in hole through 3½ in: 0.0071834 ft³; 11.404 g are 3.5 lb/ft³, 1 g off is
// 0.307 (derived; printed to that many digits). The bay is packed to 7 lb/ft³ by weight, so that
// the core speaks against it.
func TestCorePlug(t *testing.T) {
	for _, c := range []struct{ grams, want float64 }{{11.404, 3.5}, {12.404, 3.807}} {
		job := readJob(t, map[string]string{
			"job.csv":   "name,value\nrule,guarded\nceiling,9\n",
			"bays.csv":  "section,bay,width,depth,length,weight\ns,b,14.5,3.5,8,20\n",
			"cores.csv": fmt.Sprintf("section,bay,kind,diameter,depth,weight\ns,b,core,2 1/8,3.5,%v\n", c.grams),
		})
		b := verify.Check(job, verify.Options{}).Bays[0]
		if b.Verdict != verify.Probe || b.Reasons[0].Code != verify.CoreDisagrees {
			t.Fatalf("%s %s", verdictWord(b.Verdict), codes(&b))
		}
		near(t, "core", b.Reasons[0].Data[0].Value/model.PoundPerCubicFoot, c.want, 0.0005)
	}
}

// TestSecondCore: a core that agrees raises nothing; a second one that agrees answers the first.
func TestSecondCore(t *testing.T) {
	for cores, want := range map[string]string{
		"s,b,core,2 1/8,3.5,12.2\n":                       "",
		"s,b,core,2 1/8,3.5,6\n":                          "core-disagrees",
		"s,b,core,2 1/8,3.5,6\ns,b,core,2 1/8,3.5,12.2\n": "core-disagrees=core",
		"s,b,test box,2 1/8,3.5,6\n":                      "",
		"s,other,core,2 1/8,3.5,6\n":                      "",
	} {
		job := readJob(t, map[string]string{
			"job.csv":   "name,value\nrule,guarded\nweigh_within,0.2 lb\n",
			"bays.csv":  "section,bay,width,depth,length,weight\ns,b,14.5,3.5,8,10.8\ns,other,14.5,3.5,8,\n",
			"cores.csv": "section,bay,kind,diameter,depth,weight\n" + cores,
		})
		if b := verify.Check(job, verify.Options{}).Bays[0]; codes(&b) != want {
			t.Errorf("%q: %s, want %s", cores, codes(&b), want)
		}
	}
}

// sectioned is a job of four bays of 1¾ bags with a sections table that counts six.
func sectioned(t *testing.T, settings, used string) *verify.Findings {
	t.Helper()
	job := readJob(t, map[string]string{
		"job.csv":      "name,value\nrule,guarded\nbag_weight,25 lb\nto_stall,yes\n" + settings,
		"sections.csv": "section,bays,face,bags_used\nn,6,netting," + used + "\n",
		"bays.csv": "section,bay,width,depth,length,bags\nn,b1,22.5,5.5,12,1 3/4\nn,b2,22.5,5.5,12,1 3/4\n" +
			"n,b3,\"\"\"\",5.5,12,1 3/4\nn,b4,22.5,5.5,12,1 3/4\nn,b5,22.5,5.5,12,\n",
	})
	return verify.Check(job, verify.Options{})
}

// TestCompleteness: six counted, five in the log, four filled, one size taken over.
func TestCompleteness(t *testing.T) {
	f := sectioned(t, "", "")
	s, n := &f.Sections[0], f.Totals
	if s.Bays != 4 || s.Expected != 6 || s.Missing != 1 || s.Measured != 4 || n.NotFilled != 1 || n.NotInLog != 1 || n.Bays != 5 {
		t.Errorf("section %d of %d, missing %d, measured %d; totals %+v", s.Bays, s.Expected, s.Missing, s.Measured, n)
	}
	for _, c := range []verify.Code{verify.NotInLog, verify.NotFilledBays} {
		if reasonOf(s, c) == nil {
			t.Errorf("no reason %s", c)
		}
	}
	for _, c := range []verify.Code{verify.SizesTakenOver, verify.SpillNotTaken, verify.SpreadUnknown} {
		if warned(f, c) == nil {
			t.Errorf("no warning %s", c)
		}
	}
}

// TestEmpties: seven bags logged. Six to eight empties are the part bags' doing; five contradict
// the log, ten are more than it holds.
func TestEmpties(t *testing.T) {
	for used, want := range map[string]string{"": "unchecked", "7": "confirmed", "8": "confirmed", "6": "confirmed", "10": "unchecked", "5": "contradicted"} {
		f := sectioned(t, "", used)
		if got := f.Totals.Counts.String(); got != want {
			t.Errorf("%q empties against 7 logged: %s", used, got)
		}
		if short := reasonOf(&f.Sections[0], verify.TotalsShort) != nil; short != (used == "5") {
			t.Errorf("%q empties against 7 logged: reason %v", used, short)
		}
		if over := warned(f, verify.TotalsOver) != nil; over != (used == "10") {
			t.Errorf("%q empties against 7 logged: over %v", used, over)
		}
		for i := range f.Bays[:4] {
			if held := find(f.Bays[i].Reasons, verify.TotalsShort); held != (used == "5") || held && f.Bays[i].Verdict == verify.Close {
				t.Errorf("%q empties against 7 logged: bay %d held %v, %s", used, i, held, verdictWord(f.Bays[i].Verdict))
			}
		}
	}
}

// TestUnaccounted: loaded less left less logged.
func TestUnaccounted(t *testing.T) {
	f := sectioned(t, "bags_loaded,20\nbags_left,8\n", "")
	near(t, "unaccounted", f.Totals.UnaccountedBags, 5, 1e-12)
	if warned(f, verify.TotalsOver) == nil {
		t.Error("five bags gone and no warning")
	}
	f = sectioned(t, "bags_loaded,20\nbags_left,13\n", "")
	if near(t, "all there", f.Totals.UnaccountedBags, 0, 1e-12); warned(f, verify.TotalsOver) != nil {
		t.Error("a warning though the bags add up")
	}
	if f = sectioned(t, "", ""); !math.IsNaN(f.Totals.UnaccountedBags) {
		t.Errorf("nobody counted the load: %v", f.Totals.UnaccountedBags)
	}
}

// TestMissingBagsCloseNothing: bags that nobody logged went into another bay or elsewhere. They speak
// for no bay that is in the log, whether the section or the job counted them: a crew that packs to
// 3.33 lb/ft³ is not closed by stating ten bags more than it logged.
func TestMissingBagsCloseNothing(t *testing.T) {
	with := func(settings, used string) *verify.Findings {
		log := "section,bay,width,depth,length,bags\n"
		for i := range 16 {
			log += fmt.Sprintf("n,b%d,22.5,5.5; 5.5,12,%s\n", i+1, []string{"1 1/2", "1 1/2", "1 1/4", "1 1/4"}[i%4])
		}
		return verify.Check(readJob(t, map[string]string{
			"job.csv":      "name,value\nbag_weight,25 lb\nto_stall,yes\n" + settings,
			"sections.csv": "section,bays,bags_used\nn,16," + used + "\n",
			"bays.csv":     log,
		}), verify.Options{})
	}
	alone := with("", "")
	for name, f := range map[string]*verify.Findings{"section": with("", "28"), "job": with("bags_loaded,30\nbags_left,2\n", "")} {
		if warned(f, verify.TotalsOver) == nil {
			t.Fatalf("%s: no bags are missing", name)
		}
		for i := range f.Bays {
			if got, want := &f.Bays[i], &alone.Bays[i]; got.Verdict != want.Verdict || got.ProbAtTarget != want.ProbAtTarget {
				t.Errorf("%s, bay %d: %s at %v, without a total %s at %v", name, i, verdictWord(got.Verdict), got.ProbAtTarget, verdictWord(want.Verdict), want.ProbAtTarget)
			}
		}
	}
}

// TestBlower: below 80 in of water (SWS 4.1101.5); 1 in of water is 249.08891 Pa.
func TestBlower(t *testing.T) {
	job := guardedJob(t, "", plainRows(2))
	for pressure, want := range map[float64]bool{79 * 249.08891: true, 80 * 249.08891: false, math.NaN(): false} {
		job.Settings.BlowerPressure = pressure
		if got := warned(verify.Check(job, verify.Options{}), verify.BlowerLow) != nil; got != want {
			t.Errorf("%v Pa: warning %v", pressure, got)
		}
	}
}

// TestPooledUpgradesNothing: a pooled density well above the target leaves a short bay short.
func TestPooledUpgradesNothing(t *testing.T) {
	rows := "section,bay,width,depth,length,weight\n"
	for i := range 9 {
		rows += fmt.Sprintf("s,b%d,22.5,5.5,12,41\n", i)
	}
	f := verify.Check(guardedJob(t, "", rows+"s,b9,22.5,5.5,12,33\n"), verify.Options{})
	if s := f.Sections[0]; s.ProbAtTarget < 0.99 || f.Bays[9].Verdict != verify.Add {
		t.Errorf("pooled %.3f, the short bay %s", s.ProbAtTarget, verdictWord(f.Bays[9].Verdict))
	}
}

// TestPhotos: named and missing, answered by a pattern, without regard to case.
func TestPhotos(t *testing.T) {
	job := guardedJob(t, "", "section,bay,width,depth,length,weight,photo\ns,b1,22.5,5.5,12,40,b1.jpg; b1-*.jpg; gone.jpg\n")
	job.Photos = []model.Photo{{Name: "B1.JPG"}, {Name: "b1-end.jpg"}}
	f := verify.Check(job, verify.Options{})
	w := warned(f, verify.PhotoMissing)
	if w == nil || w.Data[0].Text != "gone.jpg" || w.Bay != "b1" || w.Src.Line != 2 {
		t.Errorf("%+v", w)
	}
}

// TestCoreReading: 19.9 g out of a 2⅛ in hole through 5½ in (0.0112883 ft³) are 3.887 lb/ft³. Its
// u: 5 % for the place, ±1/32 in of the cutter and ±1/4 in of the tape, ±1 g of the scale, all
// rectangular (JCGM 100, 4.3.7), worked out by hand; of a volume that was given, place and scale
// alone. It agrees with 40 lb in 10.3125 ft³; nothing agrees with a bay not filled.
func TestCoreReading(t *testing.T) {
	for cells, u := range map[string]float64{"2 1/8,5.5,": 0.2554, ",,0.0112883 ft3": 0.2248} {
		job := readJob(t, map[string]string{
			"bays.csv":  "section,bay,width,depth,length,weight\ns,b,22.5,5.5,12,40\ns,c,22.5,5.5,12,\n",
			"cores.csv": "section,bay,kind,diameter,depth,volume,weight\ns,b,core," + cells + ",19.9\ns,c,core," + cells + ",19.9\n",
		})
		for i, agrees := range []model.Answer{model.Yes, model.Unsaid} {
			b := verify.Check(job, verify.Options{}).Bays[i]
			if len(b.Cores) != 1 || b.Cores[0].Agrees != agrees {
				t.Fatalf("bay %s: %+v", b.Bay.Name, b.Cores)
			}
			c := &b.Cores[0]
			near(t, "core", c.Density/model.PoundPerCubicFoot, 3.887, 0.0005)
			near(t, "u of the core", c.U/model.PoundPerCubicFoot, u, 0.0002)
			near(t, "half", (c.Hi-c.Lo)/2, 1.959964*c.U, 1e-5)
		}
	}
}

// TestEmptiesOfSomeSections: empties of one section confirm nothing of another; with both counted
// they do.
func TestEmptiesOfSomeSections(t *testing.T) {
	for other, want := range map[string]string{"": "unchecked", "3": "confirmed", "7": "unchecked", "1": "contradicted"} {
		job := readJob(t, map[string]string{
			"job.csv":      "name,value\nbag_weight,25 lb\nto_stall,yes\n",
			"sections.csv": "section,bags_used\nn,4\ns," + other + "\n",
			"bays.csv":     "section,bay,width,depth,length,bags\nn,a,22.5,5.5,12,2\nn,b,22.5,5.5,12,1 3/4\ns,a,22.5,5.5,12,1 3/4\ns,b,22.5,5.5,12,1 1/2\n",
		})
		if got := verify.Check(job, verify.Options{}).Totals.Counts.String(); got != want {
			t.Errorf("the other section's empties %q: %s, want %s", other, got, want)
		}
	}
}

// A test box is evidence for how the bays at its machine setting are packed: a dense one makes a
// bay surer, a light one less. A box of another machine or section, or at a setting that nobody can
// tell, says nothing, and the last is told.
func TestTestBox(t *testing.T) {
	p := func(log, cores string) (float64, *verify.Findings) {
		job := readJob(t, map[string]string{
			"job.csv":   "name,value\nbag_weight,25 lb\nto_stall,yes\nweigh_within,0.2 lb\ndate,2026-05-12\n",
			"bays.csv":  "section,bay,entry,width,depth,length,bags,machine,note,time\n" + log,
			"cores.csv": "section,bay,machine,time,kind,volume,weight\n" + cores,
		})
		f := verify.Check(job, verify.All())
		return f.Bays[0].ProbAtTarget, f
	}
	bays := ""
	for i := range 5 {
		bays += fmt.Sprintf("s,b%d,fill,22.5,5.5,12,1 1/2,,,08:%d0\n", i+1, i)
	}
	none, _ := p(bays, "")
	dense, f := p(bays, ",,,,test box,3.5 ft3,14 lb\n") // 4.0 lb/ft³
	light, _ := p(bays, ",,,,test box,3.5 ft3,12 lb\n") // 3.43
	if !(dense > none+0.01 && light < none-0.01) {
		t.Errorf("b1 is %.3f sure, with a dense box %.3f, with a light one %.3f", none, dense, light)
	}
	boxes := f.Sections[0].Boxes
	if len(boxes) != 1 {
		t.Fatalf("%d boxes", len(boxes))
	}
	near(t, "box", boxes[0].Density/model.PoundPerCubicFoot, 4, 1e-9)
	// Scale 0.2/14/√3 = 0.0082; sides ∛3.5 = 1.518 ft = 18.22 in, each ± 1/4 in: 0.25/18.22 =
	// 0.0137.
	near(t, "its u", boxes[0].U/boxes[0].Density, math.Hypot(0.2/14/math.Sqrt(3), 0.25/12/math.Cbrt(3.5)), 1e-9)
	set := "s,,set,,,,,,gate up,08:25\n"
	moved := strings.Replace(bays, "s,b4", set+"s,b4", 1)
	alone, _ := p(moved, "")
	struck := moved + "s,,strike,,,,,,set,08:50\n" // as if the gate had not been touched
	for _, c := range []struct {
		log, cores string
		told       int
		says       bool
	}{
		{bays, "other,,,,test box,3.5 ft3,14 lb\n", 1, false},
		{bays, ",,B,,test box,3.5 ft3,14 lb\n", 1, false},
		{bays, "S,,,,test box,3.5 ft3,14 lb\n", 0, true},
		{moved, ",,,,test box,3.5 ft3,14 lb\n", 1, false}, // before or after the set row?
		{moved, ",,,07:50,test box,3.5 ft3,14 lb\n", 0, true},
		{moved, ",,,08:26,test box,3.5 ft3,14 lb\n", 0, true},
		{struck, ",,,,test box,3.5 ft3,14 lb\n", 0, true},
		{struck, ",,,08:26,test box,3.5 ft3,14 lb\n", 0, true},
	} {
		base := none
		if c.log == moved {
			base = alone
		}
		got, f := p(c.log, c.cores)
		told := 0
		for _, w := range f.Warnings {
			if w.Code == verify.BoxUnplaced && w.Src.File == "cores.csv" && w.Src.Line == 2 {
				told++
			}
		}
		if (got > base+0.005) != c.says || told != c.told {
			t.Errorf("%q: %.3f, without %.3f, told %d times", c.cores, got, base, told)
		}
	}
}
