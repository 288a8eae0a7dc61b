package cell

import (
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
	if _, bad := YesNo("stall", "maybe"); bad == nil || bad.What != "stall maybe: neither yes nor no" {
		t.Errorf("maybe: %+v", bad)
	}
}

func TestWordColumns(t *testing.T) {
	if p, bad := Probe("Rod  Firm"); bad != nil || p != model.RodFirm {
		t.Errorf("%v (%v)", p, bad)
	}
	if _, bad := Probe("rod frm"); bad == nil || bad.What != "probe rod frm: a word that is not known here" || bad.Hint != "rod firm?" {
		t.Errorf("%+v", bad)
	}
	if k, ok, bad := Entry("TopUp"); bad != nil || !ok || k != model.EntryTopup {
		t.Errorf("%v %v (%v)", k, ok, bad)
	}
	if _, ok, bad := Entry(" "); ok || bad != nil {
		t.Errorf("empty entry: %v (%v)", ok, bad)
	}
	if _, _, bad := Entry("fil"); bad == nil || bad.Hint != "fill?" {
		t.Errorf("%+v", bad)
	}
	if _, bad := Shape("pyramid"); bad == nil || bad.Hint != "known are box, taper, wedge, round" {
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
	if _, bad := Time("14:20", time.Time{}); bad == nil || bad.Hint != "give the job's date, or write 2026-03-02 14:20" {
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
