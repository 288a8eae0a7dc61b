package audit

import (
	"math"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/crew"
)

// rowKey is a row's measured cells as a hash, and how much it would take for another honest row to have the same. One is
// kept of every measured row of every job: 24 bytes.
type rowKey struct {
	hash  uint64
	sizes uint32  // hash of the sizes alone
	bits  float32 // −log₂ of the chance that a bay of these sizes, honestly measured and filled, gets the same cells
	line  int32
	tube  uint32 // how the tube went, hashed to 24 bits, and what that tells in sixteenths of a bit; 0 where it tells nothing
}

// mostRows is how many rows of one job are kept for the comparison.
const mostRows = 512

// measuredRows returns the keys of the rows that carry material and sizes that were measured, not taken over.
func measuredRows(f *verify.Findings) []rowKey {
	bays := make([]*verify.Bay, 0, len(f.Bays))
	for i := range f.Bays {
		if b := &f.Bays[i]; b.Bay.Fill != nil && b.Sized && len(b.Bay.Pieces) > 0 {
			bays = append(bays, b)
		}
	}
	bays = bays[:min(len(bays), mostRows)]
	if len(bays) == 0 {
		return nil
	}
	out, sizes := make([]rowKey, len(bays)), sizesRead(bays)
	readings := make([]float64, len(bays)) // bits
	for i, b := range bays {
		readings[i] = sizes.bits(b)
		out[i] = keyOf(b, readings[i])
	}
	alike(out, readings)
	tubes(out, bays)
	return out
}

// keyOf hashes the values and adds up what they tell. Framing repeats itself from house to house, and twin houses have like
// bays throughout: a run of like sizes is no wonder, and what is nominal tells nothing. What a count or a weight tells
// follows from how far honest ones scatter in bays of one size.
func keyOf(b *verify.Bay, readings float64) rowKey {
	h := newHash()
	piece := &b.Bay.Pieces[0]
	for d, r := range piece.Readings() {
		for _, v := range r.Values {
			h = h.number(uint64(d)).float(v)
		}
	}
	sizes := uint32(h.sum())
	m := &b.Bay.Fill.Material
	amount := amountOf(m)
	h = h.number(uint64(m.Kind)).float(amount).float(m.Part).float(m.Mass)
	bits := amountBits(b, m, amount) + readings
	return rowKey{hash: h.sum(), sizes: sizes, bits: float32(bits), line: int32(b.Bay.Fill.Src.Line)}
}

// amountOf is what a count says: the difference of a counter.
func amountOf(m *model.Material) float64 {
	if m.Kind == model.MaterialCounter {
		return m.Bags - m.Prev
	}
	return m.Bags
}

// amountBits is −log₂ of the chance that two honest amounts for one size agree. The spread is the prior's median; a count
// that is read at both ends has its reading error besides, one from a full hopper has not.
func amountBits(b *verify.Bay, m *model.Material, amount float64) float64 {
	switch {
	case m.Shared:
		return 0
	case m.Kind == model.MaterialWeight || m.Part != 0:
		x := m.Mass
		if m.Part != 0 {
			x = b.Mass
		}
		step := 0.1 * model.Pound
		if whole := x / model.Pound; m.Part == 0 && math.Abs(whole-math.Round(whole)) < 1e-6 {
			step = model.Pound
		}
		return bitsOf(agreement(step, crew.SpreadMedian*x))
	}
	step, reading := b.Bay.Section.Settings.BagStep, 1.0/6
	if m.Kind == model.MaterialBags && b.Bay.Section.Settings.Counting == model.CountingFresh {
		reading = 0
	}
	if reading == 0 {
		return bitsOf(agreement(step, crew.SpreadMedian*amount))
	}
	return bitsOf(agreement(step, math.Sqrt(crew.SpreadMedian*crew.SpreadMedian*amount*amount+step*step*(reading-1.0/12))))
}

// agreement is the chance that two values with standard deviation sigma are rounded to one step of q, wherever the steps
// lie: the mean of 1 − |x|/q over their difference x, nought beyond q. For sigma well above q it is q/(2√π·sigma).
func agreement(q, sigma float64) float64 {
	s := sigma * math.Sqrt2
	if !(s > 0) {
		return 1
	}
	z := q / s
	return math.Erf(z/math.Sqrt2) - math.Sqrt(2/math.Pi)/z*(1-math.Exp(-z*z/2))
}

// leastAlike is the number of rows of one size from which on the log itself shows how often their amounts agree.
const leastAlike = 4

// alike takes from what a row tells where the job's other rows of the same sizes have its amount too: like bays that all
// take the same count tell nothing.
func alike(keys []rowKey, readings []float64) {
	type row struct {
		sizes uint32
		hash  uint64
	}
	sizes, same := map[uint32]int{}, make(map[row]int, len(keys))
	for i := range keys {
		sizes[keys[i].sizes]++
		same[row{keys[i].sizes, keys[i].hash}]++
	}
	for i := range keys {
		k := &keys[i]
		if n := sizes[k.sizes]; n >= leastAlike {
			if others := same[row{k.sizes, k.hash}] - 1; others > 0 { // readings are the same throughout: the amount is what agrees
				shown := bitsOf(float64(others) / float64(n-1))
				k.bits = min(k.bits, float32(shown+readings[i]))
			}
		}
	}
}

// tubes adds what the tube's way tells: how far short of the bay's length it stopped, and where the hole was. How often two
// honest rows agree in that is estimated from the log: among all its rows, and among those that follow the same value, as
// a habit that holds for a stretch of bays tells little.
func tubes(keys []rowKey, bays []*verify.Bay) {
	way := make([]uint32, len(bays))
	for i, b := range bays {
		way[i] = wayOf(b)
	}
	type step struct{ before, now uint32 }
	all, ofAll, after, steps := 0, map[uint32]int{}, map[uint32]int{}, map[step]int{}
	for i, w := range way {
		if w == 0 {
			continue
		}
		all, ofAll[w] = all+1, ofAll[w]+1
		if i > 0 {
			after[way[i-1]]++
			steps[step{way[i-1], w}]++
		}
	}
	for i, w := range way {
		if w == 0 {
			continue
		}
		chance := float64(ofAll[w]) / float64(all) // the row itself counts: never less than the share
		if i > 0 {
			before := way[i-1]
			chance = math.Max(chance, float64(steps[step{before, w}])/float64(after[before]))
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

func bitsOf(p float64) float64 {
	if !(p > 0 && p < 1) {
		return 0
	}
	return -math.Log2(p)
}
