package say

import (
	"math"
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

const pcf = model.PoundPerCubicFoot

// TestDensityDigits: the half-width has two significant digits and the value ends where it does
// (JCGM 100, 7.2.6); one digit more where a short bay would read as the target.
func TestDensityDigits(t *testing.T) {
	us, si := Units{System: model.US}, Units{System: model.SI}
	for _, x := range []struct {
		u                units
		rho, half, limit float64
		want             string
	}{
		{us, 3.6213, 0.2711, 3.5, "3.62 ± 0.27"},
		{us, 3.6213, 0.0536, 3.5, "3.621 ± 0.054"},
		{us, 3.6213, 1.234, 3.5, "3.6 ± 1.2"},
		{us, 3.6213, 0.0996, 3.5, "3.62 ± 0.10"},
		{us, 3.4962, 0.2711, 3.5, "3.496 ± 0.27"},
		{us, 3.4999, 0.2711, 3.5, "3.4999 ± 0.27"},
		{us, 3.5038, 0.2711, 3.5, "3.50 ± 0.27"},
		{us, 3.5, 0.2711, 3.5, "3.50 ± 0.27"},
		{us, 0, 0.1, 3.5, "0.00 ± 0.10"},
		{si, 57.25 / pcf, 4.12 / pcf, 56.06 / pcf, "57.2 ± 4.1"},
		{us, math.NaN(), 0.1, 3.5, "?"},
	} {
		if got := x.u.Density(x.rho*pcf, x.half*pcf, x.limit*pcf); got != x.want {
			t.Errorf("%v ± %v against %v is written %q, want %q", x.rho, x.half, x.limit, got, x.want)
		}
	}
}

type units = Units

// TestPercent: sureness is rounded down, and shows on which side of the limit it lies.
func TestPercent(t *testing.T) {
	for _, x := range []struct {
		p, limit float64
		want     string
	}{
		{0.9734, 0.95, "97 %"}, {0.979, 0.95, "97 %"}, {0.95, 0.95, "95 %"}, {0.9499, 0.95, "94 %"}, {0.9501, 0.95, "95 %"},
		{0.9755, 0.975, "97 %"}, {0.9745, 0.975, "97.4 %"}, {0.9999, 0.95, "over 99 %"}, {0.993, 0.995, "99.3 %"}, {0.998, 0.995, "over 99 %"},
		{0.0001, 0.95, "under 1 %"}, {0.81, math.NaN(), "81 %"}, {math.NaN(), 0.95, "?"},
	} {
		if got := Percent(x.p, x.limit); got != x.want {
			t.Errorf("%v against %v is written %q, want %q", x.p, x.limit, got, x.want)
		}
	}
	for p := 0.0; p < 1; p += 0.00037 { // never surer than it is
		text := Percent(p, 0.95)
		if shown, ok := strings.CutSuffix(text, " %"); ok && !strings.Contains(text, "under") && !strings.Contains(text, "over") {
			var v float64
			for _, c := range shown {
				v = v*10 + float64(c-'0')
			}
			if v > p*100+1e-6 {
				t.Fatalf("%v is written %s", p, text)
			}
		}
	}
}

// TestMass: a mass to add ends with the digit in which its uncertainty begins, and never reads as
// nothing.
func TestMass(t *testing.T) {
	us := Units{System: model.US}
	for _, x := range []struct {
		lb, half float64
		want     string
	}{
		{7.6, 1.8, "8 lb"}, {7.63, 0.5, "7.6 lb"}, {0.3, 2, "0.3 lb"}, {123.4, 12, "123 lb"}, {7.63, math.NaN(), "7.6 lb"}, {0, 1, "0 lb"},
	} {
		if got := us.Mass(x.lb*model.Pound, x.half*model.Pound); got != x.want {
			t.Errorf("%v ± %v is written %q, want %q", x.lb, x.half, got, x.want)
		}
	}
}

// TestTape: sizes read as on a tape, counts as on a hopper.
func TestTape(t *testing.T) {
	us, si := Units{System: model.US}, Units{System: model.SI}
	for _, x := range []struct{ got, want string }{
		{us.Size(5.5 * model.Inch), "5 1/2 in"}, {us.Size(22.49 * model.Inch), "22 1/2 in"}, {us.Size(0.125 * model.Inch), "1/8 in"}, {us.Size(6 * model.Inch), "6 in"},
		{si.Size(0.1397), "140 mm"}, {us.Length(3.44 * model.Foot), "3' 5\""}, {si.Length(1.0485), "1.05 m"}, {us.LengthRange(1.2*model.Foot, 3*model.Foot), "1' 2\" to 3'"},
		{Bags(1.75), "1 3/4"}, {Bags(0.5), "1/2"}, {Bags(2), "2"}, {Bags(1.58), "1.58"}, {Bags(-0.25), "-1/4"}, {Bags(math.NaN()), "?"},
		{Fraction(-0.01, 8), "0"}, {us.Volume(13.4 * model.CubicFoot), "13.4 ft³"}, {us.Volume(280.2 * model.CubicFoot), "280.2 ft³"},
		{us.Target(3.5 * pcf), "3.5"}, {us.Target(4 * pcf), "4.0"}, {us.Target(3.75 * pcf), "3.75"},
		{Share(119.9, 120), "99 %"}, {Share(124, 120), "103 %"}, {Share(1, 0), "?"},
		{Count(0, "bay", "bays"), "no bays"}, {Count(1, "bay", "bays"), "1 bay"}, {List([]string{"b1", "b2", "b3"}), "b1, b2 and b3"},
	} {
		if x.got != x.want {
			t.Errorf("got %q, want %q", x.got, x.want)
		}
	}
}

// TestPhrase: brackets go with the datum that is missing, inner ones by themselves.
func TestPhrase(t *testing.T) {
	us := Units{System: model.US}
	data := []verify.Datum{{Key: "a", Value: 2 * model.Foot, Dim: verify.Length}, {Key: "n", Value: 1}, {Key: "gone", Value: math.NaN(), Dim: verify.Length}}
	for _, x := range []struct{ sentence, want string }{
		{"plain", "plain"}, {"x {a} y", "x 2' y"}, {"x[ {b}] y", "x y"}, {"x[ {gone}] y", "x y"}, {"x[ {a}[ {b}]] y", "x 2' y"},
		{"x[ {b}[ {a}]] y", "x y"}, {"{n|bay is|bays are} left", "1 bay is left"}, {"{b}", "?"},
	} {
		if got := us.phrase(x.sentence, data); got != x.want {
			t.Errorf("%q says %q, want %q", x.sentence, got, x.want)
		}
	}
}

// TestEveryCode: every code that verify knows has words of its own, which use its evidence and
// nothing else.
func TestEveryCode(t *testing.T) {
	us := Units{System: model.US}
	codes := verify.Codes()
	if len(codes) < 30 {
		t.Fatalf("only %d codes", len(codes))
	}
	for _, c := range codes {
		sentence := long(c.Code)
		if _, row := sentences[c.Code]; !row && c.Kind != verify.KindWarning {
			t.Errorf("%s %s has no row in the table of sentences", c.Kind, c.Code)
		}
		if sentence == "" || sentence == string(c.Code) {
			t.Errorf("%s %s has no sentence", c.Kind, c.Code)
		}
		full, bare := us.phrase(sentence, evidenceFor(c)), us.phrase(sentence, evidenceNeeded(c, sentence))
		for _, text := range []string{full, bare} {
			if strings.ContainsAny(text, "?{}[]") {
				t.Errorf("%s says %q", c.Code, text)
			}
		}
	}
}

// TestNoSentenceWithoutCode: every row of the table of sentences is that of a code, and none but a
// bay's reason has a title.
func TestNoSentenceWithoutCode(t *testing.T) {
	kinds := map[verify.Code]verify.Kind{}
	for _, c := range verify.Codes() {
		kinds[c.Code] = c.Kind
	}
	for code, s := range sentences {
		kind := kinds[code]
		if kind == "" {
			t.Errorf("%s is no code", code)
		}
		if titled := kind == verify.KindReason || kind == verify.KindSuspicion; titled != (s.title != "") {
			t.Errorf("%s %s: title %q", kind, code, s.title)
		}
	}
}

// evidenceFor invents a value for every key that the table of codes names.
func evidenceFor(c verify.CodeInfo) []verify.Datum {
	var data []verify.Datum
	for _, key := range strings.Split(c.Data, ", ") {
		data = append(data, verify.Datum{Key: key, Value: 1, Text: "there", Dim: dimOf(key)})
	}
	return data
}

// evidenceNeeded leaves out what the sentence can do without.
func evidenceNeeded(c verify.CodeInfo, sentence string) []verify.Datum {
	before, _, _ := cutBracket(sentence)
	var data []verify.Datum
	for _, d := range evidenceFor(c) {
		if strings.Contains(before, "{"+d.Key) || strings.Contains(sentence[strings.LastIndexByte(sentence, ']')+1:], "{"+d.Key) {
			data = append(data, d)
		}
	}
	return data
}

func dimOf(key string) verify.Dim {
	switch key {
	case "place", "other", "finding", "photo", "setting", "face", "input", "column":
		return verify.Name
	case "prob", "prob_short", "prob_over":
		return verify.Probability
	case "mass", "u", "u_label":
		return verify.Mass
	case "density", "ceiling", "core", "slope", "difference":
		return verify.Density
	case "pressure":
		return verify.Pressure
	case "bays", "odd", "counts", "measured":
		return verify.Number
	}
	return verify.Length
}

// TestDefaults: every default that the table of settings names is read back as no change.
func TestDefaults(t *testing.T) {
	for _, def := range model.SettingDefs() {
		var s model.Settings
		if x, ok := def.Field(&s).(*float64); ok && def.Default != "" {
			*x = defaultNumber(def)
			if math.IsNaN(*x) || !isDefault(def, &s) {
				t.Errorf("%s: default %q is %v", def.Name, def.Default, *x)
			}
			if *x = *x*1.01 + 1e-4; isDefault(def, &s) {
				t.Errorf("%s: a change is taken for the default", def.Name)
			}
		}
	}
}

func TestBagsOf(t *testing.T) {
	for x, want := range map[float64]string{0.5: "1/2 bag", 1: "1 bag", 2.25: "2 1/4 bags"} {
		if got := (Units{}).bagsOf(x); got != want {
			t.Errorf("%v: %q, want %q", x, got, want)
		}
	}
}

// What is asked for was set, so it is written as it was; what there is was observed, and never
// sounds like more.
func TestLacking(t *testing.T) {
	l := verify.Lack{Ask: "ask_photos", Share: true, Have: 0.996, Want: 1}
	if got, want := Lacking(l), "photos: over 99 % of the bays, 100 % asked for"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	l.Have, l.Want = 0, 0.125
	if got, want := LackCell(l), "0 % of 12.5 %"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
