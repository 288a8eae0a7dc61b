package cell

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"bayproof/model"
)

func TestYesNo(t *testing.T) {
	for s, want := range map[string]model.Answer{
		"": model.Unsaid, " ": model.Unsaid, "yes": model.Yes, "Y": model.Yes, "TRUE": model.Yes, " no ": model.No, "n": model.No, "False": model.No,
	} {
		if a, bad := YesNo("stall", s); bad != nil || a != want {
			t.Errorf("%q: %v (%v)", s, a, bad)
		}
	}
	if _, bad := YesNo("stall", "maybe"); bad == nil || bad.What != "stall maybe is neither yes nor no" {
		t.Errorf("maybe: %+v", bad)
	}
}

func TestWordColumns(t *testing.T) {
	if p, bad := Look("Rod  Firm"); bad != nil || p.Probe != model.RodFirm {
		t.Errorf("%v (%v)", p, bad)
	}
	if _, bad := Look("rod frm"); bad == nil || bad.What != "probe rod frm is not one of its words" || bad.Hint != "write rod firm" {
		t.Errorf("%+v", bad)
	}
	if k, ok, bad := Entry("TopUp"); bad != nil || !ok || k != model.EntryTopup {
		t.Errorf("%v %v (%v)", k, ok, bad)
	}
	if _, ok, bad := Entry(" "); ok || bad != nil {
		t.Errorf("empty entry: %v (%v)", ok, bad)
	}
	if _, _, bad := Entry("fil"); bad == nil || bad.Hint != "write fill" {
		t.Errorf("%+v", bad)
	}
	if _, bad := Shape("pyramid"); bad == nil || bad.Hint != "write box, taper, wedge or round" {
		t.Errorf("%+v", bad)
	}
	if s, bad := Shape("wedge"); bad != nil || s != model.ShapeWedge {
		t.Errorf("%v (%v)", s, bad)
	}
}

func TestTime(t *testing.T) {
	day := time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
	want := time.Date(2026, 3, 2, 14, 20, 0, 0, time.UTC)
	for _, s := range []string{
		"2026-03-02T14:20:00Z", "2026-03-02T14:20:00", "2026-03-02T14:20", "2026-03-02 14:20", "2026-03-02 14:20:00", " 2026-03-02 14:20 ",
		"2026-03-02T09:20:00-05:00", "2026-03-02 09:20:00-05:00", "2026-03-02 09:20-05:00", "2026-03-02T14:20:00.000Z", "14:20", "14:20:00",
	} {
		if got, bad := Time(s, day); bad != nil || !got.Equal(want) {
			t.Errorf("%q: %v (%v)", s, got, bad)
		}
	}
	if got, bad := Time("", day); bad != nil || !got.IsZero() {
		t.Errorf("empty: %v (%v)", got, bad)
	}
	for _, s := range []string{"2026-02-30 14:20", "2026-13-02 14:20", "2026-03-02 24:20", "2026-03-02 14:60", "3/2/2026 14:20", "2:20 pm", "46083.5", "2026-03-02"} {
		if got, bad := Time(s, day); bad == nil {
			t.Errorf("%q is accepted as %v", s, got)
		}
	}
	if _, bad := Time("14:20", time.Time{}); bad == nil || bad.Hint != "give the job its date, or write 2026-03-02 14:20" {
		t.Errorf("%+v", bad)
	}
}

func TestTextGuard(t *testing.T) {
	for _, s := range []string{"=1+1", "+5", "-b1", "@home", "\tx", "\rx", "'", "'tis", "''", "'=x", "b1", "", "a=b", "soft at 3'"} {
		written := GuardText(s)
		if got := unguard(written); got != s {
			t.Errorf("%q is written %q and read %q", s, written, got)
		}
		if s != "" && (s[0] == '=' || s[0] == '@') && written[0] != '\'' {
			t.Errorf("%q is written unguarded", s)
		}
	}
	if got := Text("'tis wet"); got != "'tis wet" {
		t.Errorf("an apostrophe of the writer's own is taken off: %q", got)
	}
}

func TestName(t *testing.T) {
	for s, want := range map[string]string{
		"north slope": "north slope", " north\u00a0 slope ": "north slope", "e\u0301t\u00e9": "\u00e9t\u00e9", "'-1": "-1", "a  b\tc": "a b c",
	} {
		if got := Name(s); got != want {
			t.Errorf("%q: %q", s, got)
		}
	}
}

func TestPhotos(t *testing.T) {
	got := Photos(" a.jpg; b7*.jpg;; ")
	if len(got) != 2 || got[0] != "a.jpg" || got[1] != "b7*.jpg" || Photos(" ") != nil {
		t.Errorf("%q", got)
	}
}

func TestNearest(t *testing.T) {
	known := []string{"width", "width2", "depth", "length", "length2", "at", "by", "bags", "time", "note"}
	for wrong, want := range map[string]string{
		"widht": "width", "wdth": "width", "lenght": "length", "lenght2": "length2", "bag": "bags", "tiem": "time", "notes": "note", "it": "at",
		"colour": "", "weather": "", "b": "by", "x": "",
	} {
		if got := Nearest(wrong, known); got != want {
			t.Errorf("%s: %q, want %q", wrong, got, want)
		}
	}
}

func TestSplitHeader(t *testing.T) {
	for name, want := range map[string][2]string{
		"width_in": {"width", "in"}, "length_m": {"length", "m"}, "weight_kg": {"weight", "kg"}, "volume_ft3": {"volume", "ft3"}, "depth_mm": {"depth", "mm"},
	} {
		if base, u, ok := SplitHeader(name); !ok || base != want[0] || u.Symbol != want[1] {
			t.Errorf("%s: %s %s %v", name, base, u.Symbol, ok)
		}
	}
	for _, name := range []string{"width", "bag_step", "_in", "vent_space", "climate_zone"} {
		if base, _, ok := SplitHeader(name); ok || base != name {
			t.Errorf("%s is split", name)
		}
	}
}

// TestLooks: what a look was made under, and the way of a rod.
func TestLooks(t *testing.T) {
	nan := math.NaN()
	for s, want := range map[string]model.Look{
		"hand soft": {Probe: model.HandSoft, Under: nan}, "Rod Soft Along": {Probe: model.RodSoft, Way: model.Along, Under: nan},
		"rod firm across": {Probe: model.RodFirm, Way: model.Across, Under: nan}, "smoke still 50 Pa": {Probe: model.SmokeStill, Under: 50},
		"smoke moves 25pa": {Probe: model.SmokeMoves, Under: 25}, "ir even 18 F": {Probe: model.IREven, Under: 10}, "ir cold 12.5 °C": {Probe: model.IRCold, Under: 12.5},
	} {
		got, bad := Look(s)
		if bad != nil || got.Probe != want.Probe || got.Way != want.Way || !(got.Under == want.Under || math.IsNaN(got.Under) && math.IsNaN(want.Under)) {
			t.Errorf("%s: %+v (%v)", s, got, bad)
		}
	}
	if got, bad := Look("ir even 12,5 C"); bad != nil || got.Under != 12.5 {
		t.Errorf("a decimal comma: %+v (%v)", got, bad)
	}
	for s, want := range map[string]string{
		"hand firm along": "has along in the wrong place", "rod firm up": "has up after the rod", "smoke still 50": "has 50 in the wrong place",
		"smoke still 50 F": "has 50 F in the wrong place", "ir even 20 Pa": "has 20 Pa in the wrong place", "smoke still -5 Pa": "is negative", "ir even 0 F": "zero",
		"smoke still 5000 Pa": "over 500", "ir even F": "has F in the wrong place", "rod firm 4 ft": "has 4 ft after the rod",
	} {
		if _, bad := Look(s); bad == nil || !strings.Contains(bad.What, want) {
			t.Errorf("%s: %+v, want %s", s, bad, want)
		}
	}
}

// TestFeed: minutes and seconds, bursts added, and what a spreadsheet makes of them.
func TestFeed(t *testing.T) {
	for s, want := range map[string]model.Feed{
		"": {}, "4:10": {Seconds: 250}, "250 s": {Seconds: 250}, "2:00; 1:40": {Seconds: 220}, "4 min": {Seconds: 240}, "90s; 0:30": {Seconds: 120}, "Shared": {Shared: true},
	} {
		if got, bad := Feed(s); bad != nil || got != want {
			t.Errorf("%s: %+v (%v)", s, got, bad)
		}
	}
	for s, want := range map[string]string{
		"250": "does not say minutes or seconds", "4:75": "has over 59 seconds", "0:00": "zero", "4:10:00": "is not minutes and seconds", "-4:10": "is not minutes and seconds", "4:1": "is not minutes and seconds",
		"300 min": "is over 4 h", "0 s": "zero", "4 h": "does not say minutes or seconds", "NaN s": "is no time", "2:00;": "is no time", "0x10 s": "is no time",
	} {
		if got, bad := Feed(s); bad == nil || !strings.Contains(bad.What, want) {
			t.Errorf("%s: %+v, %+v, want %s", s, got, bad, want)
		}
	}
}

// TestStops: where, and at what; a unit, repeats, and the words.
func TestStops(t *testing.T) {
	f := column(t, "stop")
	got, bad := f.Stops("6 block; 9' 6 wire; 0 ?")
	if bad != nil || len(got) != 3 || got[0].What != model.StopBlock || !near(got[0].At, 6*model.Foot) || got[1].What != model.StopWire || got[2] != (model.Stop{}) {
		t.Errorf("%+v (%v)", got, bad)
	}
	for s, want := range map[string]string{"6": "does not say at what the rod stopped", "block": "does not say where the rod stopped", "6 brick": "does not say at what the rod stopped", "-6 block": "is negative", "41 flue": "longer than any bay", "6;": "does not say at what the rod stopped"} {
		if _, bad := f.Stops(s); bad == nil || !strings.Contains(bad.What, want) {
			t.Errorf("%s: %+v, want %s", s, bad, want)
		}
	}
	if text, bad := f.PlainStops("6 1/2 Block;9' wire"); bad != nil || text != "6.5 block; 9 ft wire" {
		t.Errorf("written %q (%v)", text, bad)
	}
}

// TestDifferences: signs, zeros, one unit for all.
func TestDifferences(t *testing.T) {
	f := column(t, "depth")
	f.Min, f.Zero = 0, true
	got, bad := f.Differences("1/8; 0; -1/16; + 1/4 in")
	if bad != nil || !slices.Equal(got, []float64{model.Inch / 8, 0, -model.Inch / 16, model.Inch / 4}) {
		t.Errorf("%v (%v)", got, bad)
	}
	for _, s := range []string{"1/8;", "1/8; x", "1; --2", "1 lb; 2"} {
		if got, bad := f.Differences(s); bad == nil {
			t.Errorf("%s: %v", s, got)
		}
	}
}
