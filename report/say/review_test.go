package say

import (
	"math"
	"testing"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/audit/plausible"
)

// TestSuspect holds every sentence of a finding, with and without what may be missing.
func TestSuspect(t *testing.T) {
	number := func(key string, x float64) verify.Datum { return verify.Datum{Key: key, Value: x} }
	text := func(key, s string) verify.Datum { return verify.Datum{Key: key, Text: s, Dim: verify.Name} }
	share := func(key string, x float64) verify.Datum {
		return verify.Datum{Key: key, Value: x, Dim: verify.Probability}
	}
	bags := func(key string, x float64) verify.Datum { return verify.Datum{Key: key, Value: x, Dim: verify.Bags} }
	data := func(d ...verify.Datum) []verify.Datum { return d }
	photos := func(n, places float64, bay string) []verify.Datum {
		return data(number("photos", n), number("places", places), text("photo", "a.jpg"), text("bay", bay), text("other", "mill"), text("other_photo", "b.jpg"), text("other_bay", "b2"))
	}
	shared := func(photos, bays float64) []verify.Datum {
		return data(number("photos", photos), number("bays", bays), text("photo", "a.jpg"), text("bay", "b1"), text("other_bay", "b2"), text("job", "barn"))
	}
	often := data(number("times", 3), number("of", 4), share("others", 0.123))
	tally := func(section string) []verify.Datum {
		return data(text("section", section), bags("counted", 12), bags("logged", 9.25), bags("stated", 0.125), bags("shown", 0.5), number("odd", 2), number("counts", 30))
	}
	for _, x := range []struct {
		code verify.Code
		jobs int
		data []verify.Datum
		want string
	}{
		{plausible.NearestStep, 1, data(number("agree", 28), number("counts", 30), number("usual", 17.46)), "28 of 30 bag counts are the nearest step to one density times the bay's volume; honest ones would be 17"},
		{plausible.NearestOften, 4, data(number("agree", 140), number("counts", 144), number("of", 6)), "in 6 jobs together 140 of 144 bag counts are the nearest step to one density times the bay's volume, more than any honest reading of both ends gives"},
		{plausible.MadeWeights, 1, data(number("within", 20), number("bays", 24), number("width", 0.16), verify.Datum{Key: "density", Value: 59.6, Dim: verify.Density}), "20 of 24 weighed bays lie within 0.16 % of one density, 3.72 lb/ft³: closer than bays are packed and a tape is read"},
		{plausible.CopiedNear, 2, data(number("rows", 15), number("line", 2), text("other", "mill"), number("other_line", 20)), "15 rows from line 2 on have the sizes of those from line 20 on of mill, and weights within a quarter of a pound"},
		{plausible.CopiedShuffled, 2, data(number("rows", 15), number("line", 2), text("other", "mill"), number("other_line", 20)), "15 weighed rows, the first in line 2, stand in mill too, in another order"},
		{plausible.OwnTerms, 1, data(text("own", "target 3 lb/ft³"), text("used", "3.5 lb/ft³"), number("close_own", 14), number("close", 2), number("bays", 15)), "target 3 lb/ft³ in its own files, judged at 3.5 lb/ft³: 14 of 15 bays CLOSE by its own terms, 2 by the program's"},
		{plausible.LastDigits, 1, data(number("values", 60), number("step", 0.5), number("digit", 5), number("times", 31), number("chi_square", 71.6)),
			"31 of 60 weighed masses, read to 0.5 lb, end in 5; the ten digits should be about even (chi-square 72)"},
		{plausible.CopiedRows, 1, data(number("rows", 6), number("line", 2), text("other", "mill"), number("other_line", 20)), "6 rows from line 2 on are those from line 20 on, cell for cell"},
		{plausible.CopiedRows, 2, data(number("rows", 6), number("line", 2), text("other", "mill"), number("other_line", 20)), "6 rows from line 2 on are those from line 20 on of mill, cell for cell"},
		{plausible.PhotoTwice, 1, photos(1, 2, "b1"), "photo a.jpg (bay b1) is the same picture as b.jpg (bay b2)"},
		{plausible.PhotoTwice, 2, photos(1, 3, ""), "photo a.jpg is the same picture as b.jpg (bay b2) of mill; 3 files in 2 jobs"},
		{plausible.PhotoTwice, 1, photos(2, 5, "b1"), "photo a.jpg (bay b1) is the same picture as b.jpg (bay b2); so is one more; 5 files"},
		{plausible.PhotoTwice, 1, photos(4, 8, "b1"), "photo a.jpg (bay b1) is the same picture as b.jpg (bay b2); so are 3 more"},
		{plausible.PhotoBays, 1, shared(1, 2), "photo a.jpg at bay b1 and at bay b2"},
		{plausible.PhotoBays, 2, shared(1, 3), "1 photo at 3 bays, as a.jpg of barn at bay b1 and at bay b2"},
		{plausible.PhotoBays, 1, shared(3, 6), "3 photos at 6 bays, as a.jpg at bay b1 and at bay b2"},
		{plausible.BagsBought, 1, data(bags("bought", 40), bags("logged", 36.5)), "40 bags left the truck, the log has 36 1/2"},
		{plausible.Empties, 1, tally("north"), "north: 12 empties counted, the log has 9 1/4 bags"},
		{plausible.Empties, 1, tally(""), "all bays: 12 empties counted, the log has 9 1/4 bags"},
		{plausible.CoarseStep, 1, tally("north"), "north: bags are said to be read to 1/8, but only 2 of 30 counts show it: the log looks like 1/2"},
		{plausible.AllStalled, 1, often, "all 4 bays stalled; other crews say no in 12 %"},
		{plausible.LateTimes, 1, often, "in 3 of 4 jobs every time lies after the day of the job; other crews: 12 % of the jobs"},
		{plausible.RaisedAfter, 1, often, "3 of 4 bays were amended to a higher density after a verdict other than CLOSE; others: 12 % of the bays"},
	} {
		f := &plausible.Finding{Code: x.code, Jobs: make([]int, x.jobs), Data: x.data}
		if got := (Units{System: model.US}).Suspect(f); got != x.want {
			t.Errorf("%s says\n%s, want\n%s", x.code, got, x.want)
		}
	}
	for p, want := range map[float64]string{math.NaN(): "no chance in it: it stands in the files", 0: "honest data: never by chance", 1e-10: "honest data: less than once in a billion",
		0.00031: "honest data: once in 3200", 0.000031: "honest data: once in 32,000", 0.00000031: "honest data: once in 3 million", 0.2: "honest data: once in 5"} {
		if got := HowOften(p); got != want {
			t.Errorf("%v: %q, want %q", p, got, want)
		}
	}
}
