package verify_test

import (
	"math"
	"testing"

	"bayproof/verify"
)

// TestTopupOfNothing is a law: a top-up of 0, in whatever column and however the crew counts,
// changes no figure of any bay or section (exact: the same sums in the same order).
func TestTopupOfNothing(t *testing.T) {
	const head = "section,bay,entry,width,depth,length,bags,counter,weight\n"
	for name, c := range map[string]struct{ settings, plain, with string }{
		"counter": {"",
			"s,a,fill,22.5,5.5,12,,1.5,\ns,b,fill,22.5,5.5,12,,3.25,\ns,c,fill,22.5,5.5,12,,4.75,\n",
			"s,a,fill,22.5,5.5,12,,1.5,\ns,a,topup,,,,,1.5,\ns,b,fill,22.5,5.5,12,,3.25,\ns,a,topup,,,,,3.25 ± 1/2,\ns,b,topup,,,,,3.25,\ns,c,fill,22.5,5.5,12,,4.75,\n"},
		"counter, running": {"counting,running\n",
			"s,a,fill,22.5,5.5,12,,1.5,\ns,b,fill,22.5,5.5,12,,3.25,\ns,c,fill,22.5,5.5,12,,4.75,\n",
			"s,a,fill,22.5,5.5,12,,1.5,\ns,a,topup,,,,,1.5,\ns,b,fill,22.5,5.5,12,,3.25,\ns,b,topup,,,,,3.25,\ns,c,fill,22.5,5.5,12,,4.75,\n"},
		"counter, fresh": {"counting,fresh\n",
			"s,a,fill,22.5,5.5,12,,1.5,\ns,b,fill,22.5,5.5,12,,3.25,\n",
			"s,a,fill,22.5,5.5,12,,1.5,\ns,a,topup,,,,,1.5,\ns,b,fill,22.5,5.5,12,,3.25,\n"},
		"counter, bags of nothing": {"",
			"s,a,fill,22.5,5.5,12,,1.5,\ns,b,fill,22.5,5.5,12,,3.25,\n",
			"s,a,fill,22.5,5.5,12,,1.5,\ns,a,topup,,,,0,,\ns,b,fill,22.5,5.5,12,,3.25,\ns,b,topup,,,,,,0\n"},
		"bags, running": {"counting,running\n",
			"s,a,fill,22.5,5.5,12,1.5,,\ns,b,fill,22.5,5.5,12,1.75,,\ns,c,fill,22.5,5.5,12,1.5,,\n",
			"s,a,fill,22.5,5.5,12,1.5,,\ns,a,topup,,,,0,,\ns,b,fill,22.5,5.5,12,1.75,,\ns,b,topup,,,,0,,\ns,c,fill,22.5,5.5,12,1.5,,\n"},
		"weighed": {"",
			"s,a,fill,22.5,5.5,12,,,37\ns,b,fill,22.5,5.5,12,,,0\n",
			"s,a,fill,22.5,5.5,12,,,37\ns,a,topup,,,,0,,\ns,a,topup,,,,,,0\ns,b,fill,22.5,5.5,12,,,0\ns,b,topup,,,,,,0\n"},
		"a step that the log shows": {"",
			manyEven(""), manyEven("topup,,,,0,,\n")},
	} {
		settings := c.settings
		want := verify.Check(guardedJob(t, settings, head+c.plain), verify.All())
		got := verify.Check(guardedJob(t, settings, head+c.with), verify.All())
		for i := range want.Bays {
			x, y := figuresOf(&want.Bays[i]), figuresOf(&got.Bays[i])
			for k := range x {
				if x[k] != y[k] && !(math.IsNaN(x[k]) && math.IsNaN(y[k])) {
					t.Errorf("%s: %s, figure %d: %v without, %v with", name, want.Bays[i].Bay.Name, k, x[k], y[k])
				}
			}
		}
		for i := range want.Sections {
			if x, y := &want.Sections[i], &got.Sections[i]; x.Mass != y.Mass || x.Bags != y.Bags || x.U != y.U || x.Density != y.Density {
				t.Errorf("%s: pooled %v ± %v of %v bags without, %v ± %v of %v with", name, x.Density, x.U, x.Bags, y.Density, y.U, y.Bags)
			}
		}
	}
}

// manyEven is a log whose counts, all halves, show a step of half a bag where a quarter is stated;
// more follows each fill.
func manyEven(more string) string {
	rows := ""
	for i := range 24 {
		bay := string(rune('a' + i))
		rows += "s," + bay + ",fill,22.5,5.5," + []string{"12", "13", "9", "16"}[i%4] + "," + []string{"1.5", "1.5", "1", "2"}[i%4] + ",,\n"
		if more != "" {
			rows += "s," + bay + "," + more
		}
	}
	return rows
}

func figuresOf(b *verify.Bay) []float64 {
	return []float64{b.Volume, b.Mass, b.Bags, b.Density, b.U, b.DOF, b.Lo, b.Hi, b.ProbMeasured, b.ProbAtTarget, b.CouldHide}
}
