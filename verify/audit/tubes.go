package audit

import (
	"math"

	"bayproof/verify"
)

// tubes adds what the tube's way tells: how far short of the bay's length it stopped, and where the hole was. How often two
// honest rows agree in that is estimated from the log: among all its rows, and among those that follow the same value, as
// a habit that holds for a stretch of bays tells little.
func (r *rowRoom) tubes(keys []rowKey) {
	r.ways = r.ways[:0]
	said := 0
	for _, b := range r.bays {
		w := wayOf(b)
		r.ways = append(r.ways, w)
		if w != 0 {
			said++
		}
	}
	if said == 0 {
		return
	}
	ofAll, after, steps := &r.counts[0], &r.counts[1], &r.counts[2]
	for i := range r.counts {
		r.counts[i].start(len(keys))
	}
	step := func(i int) uint64 { return uint64(r.ways[i-1])<<32 | uint64(r.ways[i]) }
	for i, w := range r.ways {
		if w == 0 {
			continue
		}
		*ofAll.at(uint64(w))++
		if i > 0 {
			*after.at(uint64(r.ways[i-1]))++
			*steps.at(step(i))++
		}
	}
	for i, w := range r.ways {
		if w == 0 {
			continue
		}
		chance := float64(*ofAll.at(uint64(w))) / float64(said) // the row itself counts: never less than the share
		if i > 0 {
			chance = math.Max(chance, float64(*steps.at(step(i)))/float64(*after.at(uint64(r.ways[i-1]))))
		}
		if sixteenths := math.Min(255, math.Floor(16*bitsOf(chance))); sixteenths > 0 {
			keys[i].tube = w | uint32(sixteenths)
		}
	}
}

// wayOf hashes how far short of the length the tube stopped and where the hole was, its low byte empty; 0 where neither is
// said.
func wayOf(b *verify.Bay) uint32 {
	fill := b.Bay.Fill
	if len(fill.Reach) == 0 && math.IsNaN(fill.Hole) {
		return 0
	}
	short := math.NaN()
	if len(fill.Reach) > 0 {
		short = b.Bay.Pieces[0].Length.Mean()
		for _, r := range fill.Reach {
			short -= r
		}
	}
	millimetres := func(x float64) float64 { return math.Round(1000*x) + 0 }
	h := newHash()
	for _, x := range [...]float64{short, fill.Hole} {
		if math.IsNaN(x) {
			h = h.number(1)
		} else {
			h = h.float(millimetres(x))
		}
	}
	return uint32(h.sum())&^0xff | 0x100
}

// tubeBits is what two rows tell by the tube's way where they agree in it.
func tubeBits(a, b *rowKey) float64 {
	if a.tube == 0 || a.tube>>8 != b.tube>>8 {
		return 0
	}
	return float64(min(a.tube&0xff, b.tube&0xff)) / 16
}
