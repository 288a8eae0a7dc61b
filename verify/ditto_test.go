package verify_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

const sizeHead = "section,bay,entry,shape,width,width2,depth,depth2,length,length2,bulge,weight\n"

// dittoJob is a weighed job behind netting, every bay blown to the stall, of rows below sizeHead.
func dittoJob(t testing.TB, face, rows string) *verify.Findings {
	t.Helper()
	return verify.Check(readJob(t, map[string]string{
		"job.csv":      "name,value\nbag_weight,25 lb\nto_stall,yes\n",
		"sections.csv": "section,face\ns," + face + "\n",
		"bays.csv":     sizeHead + rows,
	}), verify.All())
}

func bayNamed(t testing.TB, f *verify.Findings, name string) *verify.Bay {
	t.Helper()
	for i := range f.Bays {
		if f.Bays[i].Bay.Name == name {
			return &f.Bays[i]
		}
	}
	t.Fatalf("no bay %s", name)
	return nil
}

// TestDittoTakesTheWholeBay: what a row says by its cells, down to the density. Volumes in ft³ by
// hand: a wedge is half a box, a skew takes the mean of its sides, two thirds of a bulge add to the
// depth.
func TestDittoTakesTheWholeBay(t *testing.T) {
	const (
		wedge  = "s,a,fill,wedge,13.5,,22.5,,8,,,40\n"
		skew   = "s,a,fill,,22.5,,5.5,,12,10,,40\n"
		bulged = "s,a,fill,,22.5,,5.5,,12,,1.5,40\n"
		taper  = "s,a,fill,taper,22.5,20.5,5.5,4.5,12,,,40\n"
		round  = "s,a,fill,round,12,,,,10,,,30\n"
	)
	tapered := 12. / 6 * (22.5*5.5 + 43*10 + 20.5*4.5) / 144
	for _, c := range []struct {
		name, above, row string
		volume           float64
		shape            model.Shape
	}{
		{"after a wedge, the count alone", wedge, "s,b,fill,,,,,,,,,40", 13.5 * 22.5 / 2 * 8 / 144, model.ShapeWedge},
		{"after a wedge, ditto marks", wedge, `s,b,fill,,"""",,"""",,"""",,,40`, 13.5 * 22.5 / 2 * 8 / 144, model.ShapeWedge},
		{"after a wedge, the length measured", wedge, "s,b,fill,,,,,,6,,,40", 13.5 * 22.5 / 2 * 6 / 144, model.ShapeWedge},
		{"after a wedge, all measured", wedge, "s,b,fill,,13.5,,22.5,,8,,,80", 13.5 * 22.5 * 8 / 144, model.ShapeUnsaid},
		{"after a wedge, said to be a box", wedge, "s,b,fill,box,,,,,,,,80", 13.5 * 22.5 * 8 / 144, model.ShapeBox},
		{"after a skew", skew, "s,b,fill,,,,,,,,,40", 22.5 * 5.5 * 11 / 144, model.ShapeUnsaid},
		{"after a skew, the width measured", skew, "s,b,fill,,20,,,,,,,40", 20 * 5.5 * 11 / 144, model.ShapeUnsaid},
		{"after a skew, all measured", skew, "s,b,fill,,22.5,,5.5,,12,,,40", 22.5 * 5.5 * 12 / 144, model.ShapeUnsaid},
		{"after a bulge", bulged, "s,b,fill,,,,,,,,,40", 22.5 * 6.5 * 12 / 144, model.ShapeUnsaid},
		{"after a bulge, the width measured", bulged, "s,b,fill,,20,,,,,,,40", 20 * 5.5 * 12 / 144, model.ShapeUnsaid},
		{"after a bulge, the width measured, the bulge by its mark", bulged, `s,b,fill,,20,,,,,,"""",40`, 20 * 6.5 * 12 / 144, model.ShapeUnsaid},
		{"after a bulge, all measured, the bulge by its mark", bulged, `s,b,fill,,20,,5,,12,,"""",40`, 20 * 6 * 12. / 144, model.ShapeUnsaid},
		{"after a taper", taper, "s,b,fill,,,,,,,,,40", tapered, model.ShapeTaper},
		{"after a taper, another end measured", taper, "s,b,fill,,,20.5,,4.5,,,,40", tapered, model.ShapeTaper},
		{"after a round", round, "s,b,fill,,,,,,,,,30", math.Pi / 4 * 10, model.ShapeRound},
		{"two rows, the whole measured in the second", wedge, "s,b,size,,13,,,,,,,\ns,b,size,,,,22.5,,8,,,\ns,b,fill,,,,,,,,,80", 13 * 22.5 * 8 / 144, model.ShapeUnsaid},
		{"two rows, part measured in the second", bulged, "s,b,fill,,,,,,,,,40\ns,b,amend,,20,,,,,,,40", 20 * 5.5 * 12 / 144, model.ShapeUnsaid},
		{"ditto of a ditto", wedge, "s,c,fill,,,,,,,,,40\ns,b,fill,,,,,,,,,40", 13.5 * 22.5 / 2 * 8 / 144, model.ShapeWedge},
		{"over a bay that was withdrawn", wedge, "s,c,fill,,20,,5,,8,,,20\ns,c,strike,,,,,,,,,\ns,b,fill,,,,,,,,,40", 13.5 * 22.5 / 2 * 8 / 144, model.ShapeWedge},
	} {
		b := bayNamed(t, dittoJob(t, "rigid", c.above+c.row+"\n"), "b")
		if got := b.Volume / model.CubicFoot; math.Abs(got-c.volume) > 1e-9 || b.Bay.Pieces[0].Shape != c.shape {
			t.Errorf("%s: %.4f ft³ of shape %s, want %.4f of %s", c.name, got, b.Bay.Pieces[0].Shape, c.volume, c.shape)
		}
		if math.Abs(b.Density*b.Volume-b.Mass) > 1e-9 {
			t.Errorf("%s: density %v of %v kg in %v m³", c.name, b.Density, b.Mass, b.Volume)
		}
		if from := b.Bay.From; b.Sized != (from == nil) || from != nil && from.Name != "a" {
			t.Errorf("%s: taken from %v, all measured %v", c.name, from, b.Sized)
		}
	}
}

// TestDittoToTheVerdict: like bays that say their count alone get the verdict of the bay that was
// measured: behind netting its bulge is theirs, and a bay that is as full as a wedge is no box half
// full.
func TestDittoToTheVerdict(t *testing.T) {
	verdicts := func(f *verify.Findings) string {
		var all []string
		for i := range f.Bays {
			all = append(all, verdictWord(f.Bays[i].Verdict))
		}
		return strings.Join(all, " ")
	}
	rows := func(first, row string) string {
		all := "s,a,fill," + first + "\n"
		for i := range 5 {
			all += fmt.Sprintf("s,b%d,fill,%s\n", i+1, row)
		}
		return all
	}
	for _, c := range []struct{ name, face, first, row, want string }{
		{"wedges", "rigid", "wedge,13.5,,22.5,,8,,,33", ",,,,,,,,33", "CLOSE CLOSE CLOSE CLOSE CLOSE CLOSE"},
		{"skews", "rigid", ",22.5,,5.5,,12,6,,30", ",,,,,,,,30", "CLOSE CLOSE CLOSE CLOSE CLOSE CLOSE"},
		// 22.5 × 5.5 in × 12 ft with a bulge of 1½ in: 12.19 ft³. 38 lb are 3.12 in that and 3.68 without the bulge.
		{"netting, short with its bulge", "netting", ",22.5,,5.5,,12,,1.5,38", ",,,,,,,,38", "ADD ADD ADD ADD ADD ADD"},
		{"netting, the width measured and no bulge", "netting", ",22.5,,5.5,,12,,0.5,42", ",22.5,,,,,,,42", "CLOSE MEASURE MEASURE MEASURE MEASURE MEASURE"},
		{"netting, the bulge by its mark", "netting", ",22.5,,5.5,,12,,1.5,48", `,22.5,,,,,,"""",48`, "CLOSE CLOSE CLOSE CLOSE CLOSE CLOSE"},
	} {
		f := dittoJob(t, c.face, rows(c.first, c.row))
		if got := verdicts(f); got != c.want {
			t.Errorf("%s: %s, want %s (%.2f)", c.name, got, c.want, f.Bays[1].Density/model.PoundPerCubicFoot)
		}
		if missing := find(f.Bays[1].Reasons, verify.BulgeMissing); missing != strings.Contains(c.name, "no bulge") {
			t.Errorf("%s: bulge-missing is %v", c.name, missing)
		}
	}
}

// TestDittoBulge: a bulge taken over is known to ± ½ in, of which two thirds add to the depth.
func TestDittoBulge(t *testing.T) {
	one := bayNamed(t, dittoJob(t, "netting", "s,a,fill,,22.5,,5.5,,12,,1.5,45\n"), "a")
	f := dittoJob(t, "netting", "s,a,fill,,22.5,,5.5,,12,,1.5,45\n"+`s,b,fill,,22.5,,5.5,,12,,"""",45`+"\n")
	b := bayNamed(t, f, "b")
	want := b.Density * 2 / 3 / 6.5 * 0.5 / math.Sqrt(3)
	if got := math.Sqrt(b.U*b.U - one.U*one.U); math.Abs(got/want-1) > 1e-9 {
		t.Errorf("the bulge brings %v kg/m³, want %v", got, want)
	}
}

// TestSizeUnlike: a size taken over from a bay that is more than an inch, or of a length a foot,
// off the section's median holds the bay until it is measured, names the bay it came from, and an
// amend with the size lets it go. What is odd widens nothing: the other bays that say their count
// alone keep their ± ¼ in.
func TestSizeUnlike(t *testing.T) {
	rows := func(odd, ditto string) string {
		all := ""
		for i := range 8 {
			all += fmt.Sprintf("s,a%d,fill,,22.5,,5.5,,12,,,40\n", i+1)
		}
		return all + "s,odd,fill," + odd + "\ns,x,fill," + ditto + "\ns,b1,fill,,22.5,,5.5,,12,,,40\ns,b2,fill,,,,,,,,,40\n"
	}
	plain := bayNamed(t, dittoJob(t, "rigid", rows(",22.5,,5.5,,12,,,40", ",22.5,,5.5,,12,,,40")), "b2")
	for _, c := range []struct{ name, odd, ditto, input string }{
		{"narrow", ",8.25,,5.5,,12,,,15", ",,,,,,,,15", "width"},
		{"a window bay", ",22.5,,5.5,,5,,,17", ",,,,,,,,17", "length"},
		{"deep and short", ",22.5,,7.25,,5,,,22", ",,,,,,,,22", "depth, length"},
		{"narrow, its width measured", ",8.25,,5.5,,12,,,15", ",8.5,,,,,,,15", ""},
		{"an inch off is of the kind", ",21.5,,5.5,,11,,,36", ",,,,,,,,36", ""},
	} {
		f := dittoJob(t, "rigid", rows(c.odd, c.ditto))
		x, b2 := bayNamed(t, f, "x"), bayNamed(t, f, "b2")
		if find(x.Reasons, verify.SizeUnlike) != (c.input != "") {
			t.Errorf("%s: %+v", c.name, x.Reasons)
		}
		if c.input != "" && (x.Verdict != verify.Measure || x.Now.Action != verify.ActMeasure || x.Reasons[0].Data[0].Text != c.input ||
			x.Reasons[0].Data[1].Text != "odd" || math.IsNaN(x.Density)) {
			t.Errorf("%s: %s, %+v, %+v", c.name, verdictWord(x.Verdict), x.Reasons, x.Now)
		}
		if math.Abs(b2.U/plain.U-1) > 1e-12 {
			t.Errorf("%s: u of a ditto elsewhere %v, %v without the odd bay", c.name, b2.U, plain.U)
		}
	}
	f := dittoJob(t, "rigid", rows(",8.25,,5.5,,12,,,15", ",,,,,,,,15")+"s,x,amend,,8.5,,5.5,,12,,,15\n")
	if x := bayNamed(t, f, "x"); x.Verdict != verify.Close || len(x.Amended) != 1 {
		t.Errorf("amended: %s %+v", verdictWord(x.Verdict), x.Reasons)
	}
	// What a rod found holds all the same.
	f = verify.Check(guardedJob(t, "", head+"s,a,fill,22.5,5.5,12,,40,,,,,,\ns,b,fill,22.5,5.5,12,,40,,,,,,\ns,c,fill,22.5,5.5,1.2,,4,,,,,,\ns,d,fill,22.5,5.5,,,4,,,,rod soft,1,\n"+
		"s,e,fill,22.5,5.5,12,,40,,,,,,\n"), verify.All())
	if d := bayNamed(t, f, "d"); d.Verdict != verify.Probe || !find(d.Reasons, verify.SizeUnlike) {
		t.Errorf("rod soft: %s %+v", verdictWord(d.Verdict), d.Reasons)
	}
}

// TestAmendedSizesJoin: a size amended after a verdict stands beside what was read before; more
// than three times its ± away it replaces it and is named. Depths in inches; the tape is good to ±
// ¼ in.
func TestAmendedSizesJoin(t *testing.T) {
	inch := func(r model.Reading) []float64 {
		var all []float64
		for _, v := range r.Values {
			all = append(all, math.Round(v/model.Inch*1e6)/1e6)
		}
		return all
	}
	for _, c := range []struct {
		name, first string
		amends      []string
		want        []float64
		within      float64 // in; 0: the setting's
		slip        string
	}{
		{"smaller", "5.5", []string{"5.25"}, []float64{5.5, 5.25}, 0, ""},
		{"smaller and smaller", "5.5", []string{"5.25", "5"}, []float64{5.5, 5.25, 5}, 0, ""},
		{"the same again", "5.5", []string{"5.5", "5.5"}, []float64{5.5}, 0, ""},
		{"said again beside a further one", "5.5; 5.25", []string{"5.5; 5.25; 5"}, []float64{5.5, 5.25, 5}, 0, ""},
		{"back to the first", "5.5", []string{"5.25", "5.5"}, []float64{5.5, 5.25}, 0, ""},
		{"just within", "5.5", []string{"4.75"}, []float64{5.5, 4.75}, 0, ""},
		{"a slip", "5.5", []string{"4.5"}, []float64{4.5}, 0, "depth of s b amended from 5.5 in to 4.5 in"},
		{"a claim of its own", "5.5", []string{"5.25 +- 1/64"}, []float64{5.5, 5.25}, 0.25, ""},
		{"a wide one", "5.5", []string{"4.5 +- 1/2"}, []float64{5.5, 4.5}, 0.5, ""},
		{"by a ditto mark", "5.25", []string{`""""`}, []float64{5.25}, 0, ""},
	} {
		rows := "s,a,fill,,22.5,,5.5,,12,,,40\ns,b,fill,,22.5,," + c.first + ",,12,,,40\n"
		for _, depth := range c.amends {
			rows += "s,b,amend,,22.5,," + depth + ",,12,,,40\n"
		}
		f := dittoJob(t, "rigid", rows)
		b := bayNamed(t, f, "b")
		r := b.Bay.Pieces[0].Depth
		if got := inch(r); !slices.Equal(got, c.want) {
			t.Errorf("%s: depths %v, want %v", c.name, got, c.want)
		}
		if within := r.Within / model.Inch; c.within == 0 != math.IsNaN(within) || c.within > 0 && math.Abs(within-c.within) > 1e-9 {
			t.Errorf("%s: within %v in, want %v", c.name, within, c.within)
		}
		if w := b.Bay.Pieces[0].Width; len(w.Values) != 1 {
			t.Errorf("%s: the width, said again, counts as read %d times", c.name, len(w.Values))
		}
		told := ""
		for _, w := range f.Warnings {
			if w.Code == "size-replaced" {
				told += w.Text
			}
		}
		if c.slip == "" && told != "" || !strings.Contains(told, c.slip) {
			t.Errorf("%s: told %q", c.name, told)
		}
	}
	// A bay that was withdrawn and stated anew is a new one, which is how an amend is taken back.
	f := dittoJob(t, "rigid", "s,b,fill,,22.5,,5.5,,12,,,40\ns,b,amend,,22.5,,5.25,,12,,,40\ns,b,strike,,,,,,,,,\ns,b,amend,,22.5,,5.5,,12,,,40\n")
	if got := inch(bayNamed(t, f, "b").Bay.Pieces[0].Depth); !slices.Equal(got, []float64{5.5}) {
		t.Errorf("withdrawn and stated anew: %v", got)
	}
	// Sizes of another shape are no readings of the same.
	f = dittoJob(t, "rigid", "s,b,fill,,22.5,,5.5,,12,,,40\ns,b,amend,wedge,22.5,,5.25,,12,,,40\n")
	if b := bayNamed(t, f, "b"); len(b.Bay.Pieces[0].Depth.Values) != 1 || f.Warnings[0].Code != "size-replaced" {
		t.Errorf("another shape: %+v %+v", b.Bay.Pieces[0].Depth, f.Warnings)
	}
}

// TestAmendLeavesNothingOut: an amend whose blanks would take a bulge, another end or a shape away
// in silence is refused.
func TestAmendLeavesNothingOut(t *testing.T) {
	for _, c := range []struct{ first, amend, want string }{
		{",22.5,,5.5,,12,,1,40", ",22.5,,5.5,,12,,,40", "its bulge is blank"},
		{",22.5,,5.5,,12,10,,40", ",22.5,,5.5,,12,,,40", "its length2 is blank"},
		{"wedge,22.5,,5.5,,12,,,20", ",22.5,,5.5,,12,,,20", "its shape is blank"},
		{"taper,22.5,,5.5,4.5,12,,,40", "taper,22.5,,5.5,,12,,,40", "its depth2 is blank"},
		{",22.5,,5.5,,12,,1,40", ",22.5,,5.5,,12,,0,40", ""},
		{"wedge,22.5,,5.5,,12,,,20", "box,22.5,,5.5,,12,,,40", ""},
		{"taper,22.5,,5.5,4.5,12,,,40", ",22.5,,5.5,4.5,12,,,40", ""},
	} {
		faults := faultsOf(map[string]string{"job.csv": "name,value\nbag_weight,25 lb\n", "bays.csv": sizeHead + "s,b,fill," + c.first + "\ns,b,amend," + c.amend + "\n"})
		if got := strings.Join(faults, "; "); c.want == "" && got != "" || !strings.Contains(got, c.want) || len(faults) > 1 {
			t.Errorf("%s amended to %s: %s, want %s", c.first, c.amend, got, c.want)
		}
	}
}
