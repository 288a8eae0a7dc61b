package cmd_test

import (
	"fmt"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// roofBay is a section of one bay: the cell of its depth, and those of label_r, unvented,
// climate_zone and air_impermeable_r.
type roofBay struct{ depth, section string }

// recordOf writes a job of such sections and returns the text of its record: tags out, white space
// as one blank.
func recordOf(t *testing.T, units string, bays ...roofBay) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "job")
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	sections, log := "section,kind,label_r,unvented,climate_zone,air_impermeable_r\n", "section,bay,entry,width,depth,length,weight,by,note\n"
	for i, b := range bays {
		sections += fmt.Sprintf("roof %d,rafter,%s\n", i, b.section)
		// Papers are written of sections that are done: somebody decides.
		log += fmt.Sprintf("roof %d,b1,,22.5 in,%s,12 ft,40 lb,,\nroof %d,b1,decided,,,,,ab,as it is\n", i, b.depth, i)
	}
	for name, text := range map[string]string{
		"job.csv": "name,value\nrule,guarded\nunits," + units + "\n", "sections.csv": sections, "bays.csv": log,
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if code, _, stderr := runCommand(t, "record", dir); code != 0 {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	page := readFile(t, filepath.Join(dir, "record.html"))
	page = html.UnescapeString(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(page, " "))
	return strings.Join(strings.Fields(page), " ")
}

// 16 CFR 460.11 (read): R to the nearest tenth; 10 and over may go to the whole number. Calculated
// at λ 0.040 W/(m·K), by hand: an inch is R 3.6057. The label's own R stands as it was typed, on
// certificate and receipt (16 CFR 460.17).
func TestRoundingOfR(t *testing.T) {
	cases := []struct{ depth, calculated, label, shown string }{
		{"2.5 in", "R-9.0", "9", "R-9"},        // 9.0142
		{"2.7 in", "R-9.7", "9.7", "R-9.7"},    // 9.7354
		{"2.75 in", "R-9.9", "10", "R-10"},     // 9.9157
		{"3 in", "R-11", "10.8", "R-10.8"},     // 10.8171
		{"5.5 in", "R-20", "19.25", "R-19.25"}, // 19.8313
		{"9.25 in", "R-33", "33", "R-33"},      // 33.3526
	}
	var bays []roofBay
	for _, c := range cases {
		bays = append(bays, roofBay{c.depth, c.label + ",no,,"})
	}
	page := recordOf(t, "us", bays...)
	for i, c := range cases {
		if want := fmt.Sprintf("roof %d Calculated R %s ± 10 %% of it", i, c.calculated); !strings.Contains(page, want) {
			t.Errorf("%s: the record does not say %q", c.depth, want)
		}
		if n := strings.Count(page, "(bag label) "+c.shown+" "); n != 3 {
			t.Errorf("label %s: %s stands %d times as the bag label's R, want 3", c.label, c.shown, n)
		}
	}
}

// A wedge's thickness is a mean, and the papers say so: a tape at its deep side reads twice that.
func TestThicknessOfAWedge(t *testing.T) {
	t.Parallel()
	page := readFile(t, demoRecord(t))
	knee, rest, _ := strings.Cut(page[strings.Index(page, `<section id="papers"`):], "gable wall")
	if n := strings.Count(knee, "13 5/8 in on average"); n != 4 {
		t.Errorf("the papers of the knee wall give a mean thickness %d times, want 4", n)
	}
	if strings.Contains(rest, "on average") {
		t.Error("the papers of bays with one depth speak of a mean")
	}
}

// The stated column beside IRC Table R806.5, 2015 to 2024 (read), zone by zone from the cells to
// the page: what is a thousandth below the table is below and reads so, what is a thousandth above
// is not. 1 °F·h·ft²/Btu = 0.176110 m²·K/W.
func TestStatedRBesideTheTable(t *testing.T) {
	t.Parallel()
	var bays []roofBay
	var wants []string
	for _, zone := range []struct {
		name  string
		table float64
	}{{"1", 5}, {"2A", 5}, {"2B", 5}, {"3", 5}, {"4C", 10}, {"4A", 15}, {"4B", 15}, {"5", 20}, {"6", 25}, {"7", 30}, {"8", 35}} {
		table := zone.table * 0.176110
		for _, off := range []float64{-0.001, 0.001} {
			typed := strings.TrimRight(fmt.Sprintf("%.4f", table+off), "0")
			bays = append(bays, roofBay{"140", ",yes," + zone.name + "," + typed})
			want := "climate zone %s: R %s m²·K/W air-impermeable is stated, below what the published table asks for, R %.3f m²·K/W."
			if off > 0 {
				want = "climate zone %s: R %s m²·K/W air-impermeable is stated, the published table asks for R %.3f m²·K/W: at or above."
			}
			wants = append(wants, fmt.Sprintf(want, zone.name, typed, table))
		}
	}
	page := recordOf(t, "si", bays...)
	for _, want := range wants {
		if !strings.Contains(page, want) {
			t.Errorf("the record does not say %q", want)
		}
	}
	page = recordOf(t, "us", roofBay{"5.5", ",yes,4A,14.9"}, roofBay{"5.5", ",yes,4B,15"})
	for _, want := range []string{
		"climate zone 4A: R-14.9 air-impermeable is stated, below what the published table asks for, R-15.",
		"climate zone 4B: R-15 air-impermeable is stated, the published table asks for R-15: at or above.",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the record does not say %q", want)
		}
	}
	page = recordOf(t, "us", roofBay{"5.5", ",yes,5A,"})
	if want := "climate zone 5A: the published table asks for R-20 air-impermeable; none is stated here."; !strings.Contains(page, want) {
		t.Errorf("the record does not say %q", want)
	}
}
