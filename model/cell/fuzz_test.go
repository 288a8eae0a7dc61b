package cell

import (
	"math"
	"testing"
	"time"
	"unicode/utf8"

	"bayproof/model"
)

// seeds are cells good and bad of every kind.
func seeds() []string {
	return []string{
		"", " ", `"`, "14.5", ".5", "1.5e1", "1/2", "14 1/2", "14-1/2", "14½", "12'", "12' 6", `12' 6 1/2"`, `12'-6 1/2"`, "12 ft 6 1/2 in", "12′ 6½″",
		"2 1/4; 2 1/2; 3", "1 1/4 +- 1/2", "30 ± 5 mm", "1 3/4", "1 + 14.5 lb", "2 - 10.5 lb", "shared", "95 %", "yes", "rod firm", "2026-03-02T14:20:00Z",
		"14:20", "NaN", "Inf", "0x1p-2", "1_000", "1,000", "14,5", "2 1/5", "2-Mar", "3/4/2026", "46085", "1e400", "-3", "1/0", "12' 14\"", "14 lb 8 oz",
		"80 in of water", "3.5 lb/ft³", "\xff\xfe", "'=1+1", "-−–", "1e308 ft", "9999999999999999999999", "12ft2in", "6 block; 9' wire", "6 ?", "2:00; 1:40", "250 s", "smoke still 50 Pa", "ir even 12,5 °C", "rod firm across", "1/8; 0; -1/16 in", ";;;", "±±", "''''", "1 2/", "\u0661",
	}
}

// FuzzCell holds three laws for any text: nothing panics; what is accepted is finite, in range and
// no more than the form allows; what the writer makes of it reads back as the same.
func FuzzCell(f *testing.F) {
	for _, s := range seeds() {
		f.Add(s, false)
		f.Add(s, true)
	}
	names := []string{"width", "length", "length2", "bulge", "reach", "weight", "covers", "label_r"}
	f.Fuzz(func(t *testing.T, s string, comma bool) {
		for _, name := range names {
			form := *column(t, name)
			form.Comma = comma
			checkReading(t, &form, s)
		}
		bags := *column(t, "bags")
		bags.Comma = comma
		checkBags(t, &bags, s)
		_, _ = Time(s, time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC))
		look, bad := Look(s)
		if bad == nil && (look.Under <= 0 || math.IsInf(look.Under, 0)) {
			t.Errorf("%q accepts %+v", s, look)
		}
		feed, bad := Feed(s)
		if bad == nil && !(feed.Seconds >= 0 && feed.Seconds <= longestFeed) {
			t.Errorf("%q accepts %+v", s, feed)
		}
		checkStops(t, s)
		_, _ = column(t, "depth").Differences(s)
		_, _, _ = Entry(s)
		if got := unguard(GuardText(s)); got != s {
			t.Errorf("%q is guarded and read as %q", s, got)
		}
		if once := Name(s); utf8.ValidString(s) && Name(GuardText(once)) != once {
			t.Errorf("name %q reads %q, and that %q", s, once, Name(GuardText(once)))
		}
	})
}

func checkReading(t *testing.T, form *Form, s string) {
	var r, again model.Reading
	_, bad := form.Reading(s, &r, nil)
	if bad != nil {
		if bad.What == "" || bad.Hint == "" || bad.At < 0 || bad.At > len(s) {
			t.Errorf("%s %q: refusal %+v", form.Name, s, bad)
		}
		return
	}
	for _, v := range r.Values {
		if !(v >= 0) || math.IsInf(v, 0) || v == 0 && !form.Zero || form.Max > 0 && v > form.Max {
			t.Errorf("%s %q accepts %v", form.Name, s, v)
		}
	}
	if r.Within <= 0 || math.IsInf(r.Within, 0) {
		t.Errorf("%s %q accepts ± %v", form.Name, s, r.Within)
	}
	if r.State == model.Owed {
		return // ? stands for a size that the other sheet has, and is written as it is
	}
	text, bad := form.Plain(s)
	if bad != nil {
		t.Errorf("%s %q is read and cannot be written: %s", form.Name, s, bad.What)
		return
	}
	if _, bad = form.Reading(text, &again, nil); bad != nil || !sameReading(r, again) {
		t.Errorf("%s %q is written %q and read %v ± %v, not %v ± %v (%v)", form.Name, s, text, again.Values, again.Within, r.Values, r.Within, bad)
	}
}

func checkBags(t *testing.T, form *Form, s string) {
	var m, again model.Material
	if bad := form.Bags(s, model.MaterialBags, &m); bad != nil || m.Kind == model.MaterialNone {
		return
	}
	if !(m.Bags >= 0 && m.Bags <= float64(figureOf(model.LogColumns(), "bags").Max)) || !(math.Abs(m.Part) <= heaviestPart) || m.Within <= 0 {
		t.Errorf("%q accepts %+v", s, m)
	}
	text, _ := form.PlainBags(s)
	bad := form.Bags(text, model.MaterialBags, &again)
	if bad != nil || m.Bags != again.Bags || math.Abs(m.Part-again.Part) > 1e-12*heaviestPart || m.Shared != again.Shared {
		t.Errorf("%q is written %q and read %+v (%v)", s, text, again, bad)
	}
}

// checkStops: what is read is written so that it reads the same.
func checkStops(t *testing.T, s string) {
	form, _ := Column("stop", model.US)
	stops, bad := form.Stops(s)
	if bad != nil || len(stops) == 0 {
		return
	}
	text, bad := form.PlainStops(s)
	if bad != nil {
		t.Fatalf("%q is read and cannot be written: %s", s, bad.What)
	}
	again, bad := form.Stops(text)
	if bad != nil || len(again) != len(stops) {
		t.Fatalf("%q is written %q and read %v (%v)", s, text, again, bad)
	}
	for i := range stops {
		if again[i].What != stops[i].What || math.Abs(again[i].At-stops[i].At) > 1e-12*(1+stops[i].At) {
			t.Errorf("%q is written %q and read %v", s, text, again)
		}
	}
}

// A fuzz test without seeds checks nothing.
func TestSeeds(t *testing.T) {
	if len(seeds()) < 50 {
		t.Errorf("only %d seeds", len(seeds()))
	}
}
