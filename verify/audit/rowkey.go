package audit

import (
	"math"
	"slices"

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

// rowRoom is what the rows of one job are looked at with, used again for the next.
type rowRoom struct {
	bays     []*verify.Bay
	sizes    readSizes
	readings []float64 // bits of a row's tape readings
	amounts  []amountRead
	ways     []uint32
	counts   [3]keyCounts
}

// measuredRows returns the keys of the rows that carry material and sizes that were measured, not taken over.
func (r *rowRoom) measuredRows(f *verify.Findings) []rowKey {
	r.bays, r.readings, r.amounts = r.bays[:0], r.readings[:0], r.amounts[:0]
	for i := range f.Bays {
		if b := &f.Bays[i]; b.Bay.Fill != nil && b.Sized && len(b.Bay.Pieces) > 0 && len(r.bays) < mostRows {
			r.bays = append(r.bays, b)
		}
	}
	if len(r.bays) == 0 {
		return nil
	}
	out := make([]rowKey, len(r.bays))
	r.sizes.read(r.bays)
	for i, b := range r.bays {
		r.readings = append(r.readings, r.sizes.bits(b))
		out[i] = r.keyOf(b, r.readings[i])
	}
	r.alike(out)
	r.tubes(out)
	return out
}

// keyOf hashes the values and adds up what they tell. Framing repeats itself from house to house, and twin houses have like
// bays throughout: a run of like sizes is no wonder, and what is nominal tells nothing. What a count or a weight tells
// follows from how far honest ones scatter in bays of one size.
func (r *rowRoom) keyOf(b *verify.Bay, readings float64) rowKey {
	h := newHash()
	piece := &b.Bay.Pieces[0]
	for d, x := range piece.Readings() {
		for _, v := range x.Values {
			h = h.number(uint64(d)).float(v)
		}
	}
	sizes := uint32(h.sum())
	m := &b.Bay.Fill.Material
	amount := amountOf(m)
	h = h.number(uint64(m.Kind)).float(amount).float(m.Part).float(m.Mass)
	bits := r.amountBits(b, m, amount) + readings
	return rowKey{hash: h.sum(), sizes: sizes, bits: float32(bits), line: int32(b.Bay.Fill.Src.Line)}
}

// leastAlike is the number of rows of one size from which on the log itself shows how often their amounts agree.
const leastAlike = 4

// alike takes from what a row tells where the job's other rows of the same sizes have its amount too: like bays that all
// take the same count tell nothing.
func (r *rowRoom) alike(keys []rowKey) {
	sizes, same := &r.counts[0], &r.counts[1]
	sizes.start(len(keys))
	same.start(len(keys))
	for i := range keys {
		*sizes.at(uint64(keys[i].sizes))++
		*same.at(keys[i].hash)++ // of the sizes and the amount
	}
	for i := range keys {
		k := &keys[i]
		if n := *sizes.at(uint64(k.sizes)); n >= leastAlike {
			if others := *same.at(k.hash) - 1; others > 0 { // readings are the same throughout: the amount is what agrees
				shown := bitsOf(float64(others) / float64(n-1))
				k.bits = min(k.bits, float32(shown+r.readings[i]))
			}
		}
	}
}

func bitsOf(p float64) float64 {
	if !(p > 0 && p < 1) {
		return 0
	}
	return -math.Log2(p)
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
func (r *rowRoom) amountBits(b *verify.Bay, m *model.Material, amount float64) float64 {
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
	set := &b.Bay.Section.Settings
	return r.countBits(set.BagStep, amount, m.Kind == model.MaterialBags && set.Counting == model.CountingFresh)
}

// amountRead is a count that some row of the job has, and what it tells.
type amountRead struct {
	step, amount, bits float64
	fresh              bool
}

// mostAmounts bounds the counts that are kept.
const mostAmounts = 32

// countBits is what a count tells; the same counts come again and again.
func (r *rowRoom) countBits(step, amount float64, fresh bool) float64 {
	for i := range r.amounts {
		if a := &r.amounts[i]; a.amount == amount && a.step == step && a.fresh == fresh {
			return a.bits
		}
	}
	sigma := crew.SpreadMedian * amount
	if !fresh {
		const reading = 1.0/6 - 1.0/12 // of both ends, less that of rounding alone
		sigma = math.Sqrt(crew.SpreadMedian*crew.SpreadMedian*amount*amount + step*step*reading)
	}
	bits := bitsOf(agreement(step, sigma))
	if len(r.amounts) < mostAmounts {
		r.amounts = append(r.amounts, amountRead{step, amount, bits, fresh})
	}
	return bits
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
	if len(fill.Reach)+len(fill.Hole) == 0 {
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
	for _, x := range [...]float64{short, fill.OneHole()} {
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

// Sizes on the nominal grid are the builder's, not the tape's: only what is read off it can differ between twin houses.
const (
	localSize = 0.5 * model.Inch  // readings nearer than that are taken for one nominal size
	tapeGrid  = 0.25 * model.Inch // a length on this grid tells nothing
)

// mostCompared bounds the bays that a reading is compared with.
const mostCompared = 64

// readSizes are the readings of a job's first bays, alike ones together: by dimension and section.
type readSizes [7][]readSize

// readSize is one reading as some bays of a section have it.
type readSize struct {
	section *model.Section
	values  []float64
	mean    float64
	bays    int
	bits    float64 // as of rarity; NaN until it is asked for
}

// read gathers the readings that others are compared with.
func (s *readSizes) read(all []*verify.Bay) {
	for d := range s {
		s[d] = s[d][:0]
	}
	for _, b := range all[:min(len(all), mostCompared)] {
		for d, r := range b.Bay.Pieces[0].Readings() {
			if len(r.Values) == 0 || along(d) {
				continue
			}
			if known := s.find(d, r, b.Bay.Section); known != nil {
				known.bays++
			} else {
				s[d] = append(s[d], readSize{b.Bay.Section, r.Values, r.Mean(), 1, math.NaN()})
			}
		}
	}
}

// along tells whether a dimension of a piece is length or length2.
func along(d int) bool { return d == 4 || d == 5 }

func (s *readSizes) find(d int, r *model.Reading, in *model.Section) *readSize {
	for i := range s[d] {
		if k := &s[d][i]; k.section == in && slices.Equal(k.values, r.Values) {
			return k
		}
	}
	return nil
}

// bits is what a bay's tape readings tell: a length one bit where it was read finer than quarter inches, width and depth as
// much as they are rare among the section's bays of the same nominal size.
func (s *readSizes) bits(b *verify.Bay) float64 {
	bits := 0.0
	for d, r := range b.Bay.Pieces[0].Readings() {
		switch {
		case r.State != model.Measured:
		case !along(d):
			bits += s.rarity(d, r, b.Bay.Section)
		default:
			if n := r.Values[0] / tapeGrid; math.Abs(n-math.Round(n)) > 1e-6 {
				bits++
			}
		}
	}
	return bits
}

// rarity is −log₂ of the share of the section's bays of one nominal size with the same readings of a dimension.
func (s *readSizes) rarity(d int, r *model.Reading, in *model.Section) float64 {
	same := s.find(d, r, in)
	if same != nil && !math.IsNaN(same.bits) {
		return same.bits
	}
	of, n, mean := 1, 0, r.Mean()
	for i := range s[d] {
		if k := &s[d][i]; k.section == in && !(math.Abs(k.mean-mean) > localSize+1e-9) {
			n += k.bays
		}
	}
	if same != nil {
		of = same.bays
	}
	bits := bitsOf(float64(of) / float64(max(n, 1)))
	if same != nil {
		same.bits = bits
	}
	return bits
}

// hash is a 64-bit FNV-1a hash with a last mixing, for keys that are compared within one run and for seeds that must be
// the same everywhere.
type hash uint64

func newHash() hash { return 14695981039346656037 }

func (h hash) text(s string) hash {
	for i := range len(s) {
		h = (h ^ hash(s[i])) * 1099511628211
	}
	return (h ^ 0xff) * 1099511628211 // ends the text: "ab", "c" is not "a", "bc"
}

func (h hash) number(x uint64) hash {
	h ^= hash(x)
	return hash(mix(uint64(h)))
}

func (h hash) float(x float64) hash { return h.number(math.Float64bits(x)) }

func (h hash) sum() uint64 { return mix(uint64(h)) }

// mix is the finalizer of splitmix64 (Steele, Lea, Flood 2014).
func mix(z uint64) uint64 {
	z += 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}
