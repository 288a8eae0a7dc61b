// What a row is worth as evidence that it was copied.
//
// Two honest rows may agree by chance. A row's bits are −log₂ of the chance that a bay of its
// sizes, honestly measured and filled, gets the same cells: one honest row in 2^bits. Amounts tell
// by how far honest ones scatter in bays of one size; sizes tell little, as framing repeats itself
// from house to house; the way of the tube tells by how often the log's other rows have it. Every
// estimate leans to too few bits, which makes copies harder to prove and never easier.

package plausible

import (
	"encoding/binary"
	"math"
	"slices"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/crew"
	"bayproof/verify/stat"
)

// rowKey is a row's measured cells as a hash, and what they tell in bits. One is kept of every
// measured row of every job.
type rowKey struct {
	hash    uint64  // of sizes and amount
	sizes   uint32  // hash of the sizes alone
	bits    float32 // −log₂ of the chance that a bay of these sizes, honestly measured and filled, gets the same cells
	way     uint32  // hash of how the tube went; 0 where nothing is said
	line    uint16  // in the log, from the job's first one on
	wayBits uint8   // −log₂ of the chance that another row of the job has it, in sixteenths, never too many
	cut     uint8   // what the amount tells by itself, in sixteenths, the same for equal rows of any job: where windows are cut
}

// mostRows is how many rows of one job are kept for the comparison, mostLine how far from its first
// one.
const (
	mostRows = 512
	mostLine = math.MaxUint16
)

// firstLine is where a job begins in its log.
func firstLine(job *model.Job) int {
	if len(job.Log) == 0 {
		return 0
	}
	return job.Log[0].Src.Line
}

// measuredRows returns the keys of the rows that carry material and sizes that were measured,
// mostRows at most. Sizes that were taken over from the row before or from the section are no cells
// of the row: no wonder that they agree.
func measuredRows(f *verify.Findings) []rowKey {
	bays, first := make([]*verify.Bay, 0, min(len(f.Bays), mostRows)), firstLine(f.Job)
	for i := range f.Bays {
		if b := &f.Bays[i]; b.Bay.Fill != nil && b.Sized && len(b.Bay.Pieces) > 0 && len(bays) < mostRows && b.Bay.Fill.Src.Line-first <= mostLine {
			bays = append(bays, b)
		}
	}
	known := newKnownSizes(bays)
	keys, readings := make([]rowKey, len(bays)), make([]float64, len(bays))
	for i, b := range bays {
		readings[i] = known.bits(b)
		keys[i] = keyOf(b, readings[i])
		keys[i].line = uint16(b.Bay.Fill.Src.Line - first)
	}
	discountAlike(keys, readings)
	addWays(keys, bays)
	return keys
}

// keyOf hashes the values of a bay's fill and adds up what they tell: what its amount tells
// (amountBits) and what its readings tell, in bits. Twin houses have like bays throughout: a run of
// like sizes is no wonder, and what is nominal tells nothing.
func keyOf(b *verify.Bay, readings float64) rowKey {
	var room [mostCells]byte
	sizes, cells := sizesOf(b, room[:0])
	m := &b.Bay.Fill.Material
	amount := m.Bags
	if m.Kind == model.MaterialCounter {
		amount -= m.Prev // what the counter says went in
	}
	cells = appendFloat(appendFloat(appendFloat(append(cells, byte(m.Kind)), amount), m.Part), m.Mass)
	bits := amountBits(b, m, amount)
	return rowKey{hash: stat.Hash(cells), sizes: sizes, bits: float32(bits + readings), cut: sixteenths(bits)}
}

// mostCells is what the cells of most rows take, in bytes.
const mostCells = 160

// sizesOf hashes a bay's readings, which it appends to cells.
func sizesOf(b *verify.Bay, cells []byte) (uint32, []byte) {
	for d, x := range b.Bay.Pieces[0].Readings() {
		for _, v := range x.Values {
			cells = appendFloat(append(cells, byte(d)), v)
		}
	}
	return uint32(stat.Hash(cells)), cells
}

// tally counts how often keys come. A job has so few that it looks through them all.
type tally[K comparable] []counted[K]

// counted is a key and how often it came.
type counted[K comparable] struct {
	key K
	n   int
}

// add counts a key once more; of is how often it came.
func (t *tally[K]) add(key K) {
	for i := range *t {
		if c := &(*t)[i]; c.key == key {
			c.n++
			return
		}
	}
	*t = append(*t, counted[K]{key, 1})
}

func (t tally[K]) of(key K) int {
	for i := range t {
		if t[i].key == key {
			return t[i].n
		}
	}
	return 0
}

// leastAlike is the number of rows of one size from which on the log itself shows how often their
// amounts agree.
const leastAlike = 4

// discountAlike takes from what a row tells where the job's other rows of the same sizes have its
// amount too: like bays that all take the same count tell nothing. Of n such rows (leastAlike or
// more) with k others of the same amount, the amount tells −log₂(k/(n − 1)) bits at most. Readings
// are the same throughout such rows, so only the amount can differ.
func discountAlike(keys []rowKey, readings []float64) {
	var ofSizes tally[uint32]
	var same tally[uint64]
	for _, k := range keys {
		ofSizes.add(k.sizes)
		same.add(k.hash)
	}
	for i := range keys {
		k := &keys[i]
		if n, others := ofSizes.of(k.sizes), same.of(k.hash)-1; n >= leastAlike && others > 0 {
			shown := bitsOf(float64(others) / float64(n-1))
			k.bits = min(k.bits, float32(shown+readings[i]))
		}
	}
}

// bitsOf returns −log₂ of a probability; 0 of what is certain, impossible or not known.
func bitsOf(p float64) float64 {
	if !(p > 0 && p < 1) {
		return 0
	}
	return -math.Log2(p)
}

// amountBits returns −log₂ of the chance that two honest amounts for one size agree (sameStep). The
// spread is the prior's median; a count that is read at both ends has its reading error besides,
// one from a full hopper has not. 0 for a shared count.
func amountBits(b *verify.Bay, m *model.Material, amount float64) float64 {
	switch {
	case m.Shared:
		return 0
	case m.Part != 0:
		return bitsOf(sameStep(finestStep, crew.SpreadMedian*b.Mass))
	case m.Kind == model.MaterialWeight:
		return bitsOf(sameStep(scaleStep(m.Mass, 1e-6), crew.SpreadMedian*m.Mass))
	}
	set := &b.Bay.Section.Settings
	step, sigma := set.BagStep, crew.SpreadMedian*amount
	if m.Kind != model.MaterialBags || set.Counting != model.CountingFresh {
		const reading = 1.0/6 - 1.0/12 // variance, in steps², of readings at both ends less that of rounding alone
		sigma = math.Sqrt(crew.SpreadMedian*crew.SpreadMedian*amount*amount + step*step*reading)
	}
	return bitsOf(sameStep(step, sigma))
}

// finestStep is the finest that crews' scales are read to, kg.
const finestStep = 0.1 * model.Pound

// scaleStep returns the step in kg that a weight is taken to be read to: a whole pound where it is
// one, to within so much of a pound; else the finest.
func scaleStep(mass, within float64) float64 {
	if whole := mass / model.Pound; math.Abs(whole-math.Round(whole)) < within {
		return model.Pound
	}
	return finestStep
}

// sameStep returns the chance that two independent values with standard deviation sigma are rounded
// to one step of q, wherever the steps lie: the mean of max(0, 1 − |x|/q) over their difference x ~
// N(0, s²), s = √2·sigma. With z = q/s
//
//	erf(z/√2) − √(2/π)/z·(1 − e^(−z²/2))
//
// which for sigma well above q is q/(2√π·sigma). 1 for sigma 0. Derived here.
func sameStep(q, sigma float64) float64 {
	s := sigma * math.Sqrt2
	if !(s > 0) {
		return 1
	}
	z := q / s
	return math.Erf(z/math.Sqrt2) - math.Sqrt(2/math.Pi)/z*(1-math.Exp(-z*z/2))
}

// addWays adds what the tube's way tells: how far short of the bay's length it stopped, and where
// the hole was. How often two honest rows agree in that is estimated from the log, as the larger of
// two shares: among all its rows, and among those that follow the same value, as a habit that holds
// for a stretch of bays tells little.
func addWays(keys []rowKey, bays []*verify.Bay) {
	type step struct{ before, way uint32 }
	var ofAll, after tally[uint32]
	var steps tally[step]
	said, before := 0, uint32(0)
	for i, b := range bays {
		if way := wayOf(b); way != 0 {
			keys[i].way = way
			said++
			ofAll.add(way)
			if i > 0 {
				after.add(before)
				steps.add(step{before, way})
			}
		}
		before = keys[i].way
	}
	for i := range keys {
		k := &keys[i]
		if k.way == 0 {
			continue
		}
		chance := float64(ofAll.of(k.way)) / float64(said) // the row itself counts: never less than the share
		if i > 0 {
			before := keys[i-1].way
			chance = math.Max(chance, float64(steps.of(step{before, k.way}))/float64(after.of(before)))
		}
		k.wayBits = sixteenths(bitsOf(chance))
	}
}

// sixteenths returns bits in sixteenths, rounded down, at most 255.
func sixteenths(bits float64) uint8 { return uint8(math.Min(255, math.Floor(16*bits))) }

// wayOf hashes how far short of the length the tube stopped and where the hole was, to the
// millimeter; 0 where neither is said.
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
	var room [16]byte
	way := room[:0]
	for _, x := range [...]float64{short, fill.OneHole()} {
		way = appendFloat(way, math.Round(1000*x)+0) // + 0 turns −0 into 0
	}
	return uint32(stat.Hash(way)) | 1
}

// sharedBits returns what two rows that have the same cells tell, and by the tube's way where they
// agree in that too: the lesser of the two rows' bits each.
func sharedBits(a, b *rowKey) float64 {
	bits := math.Min(float64(a.bits), float64(b.bits))
	if a.way == b.way {
		bits += float64(min(a.wayBits, b.wayBits)) / 16
	}
	return bits
}

// Sizes on the nominal grid are the builder's, not the tape's: only what is read off it can differ
// between twin houses.
const (
	localSize = 0.5 * model.Inch  // readings nearer than that are taken for one nominal size
	tapeGrid  = 0.25 * model.Inch // a length on this grid tells nothing
)

// mostCompared bounds the bays that a reading is compared with.
const mostCompared = 64

// knownSizes are the readings of a job's first bays by dimension, in the order of
// model.Piece.Readings, alike ones of a section together. Lengths are not among them: every bay has
// one of its own, and what it tells is told by its fractions.
type knownSizes [7][]knownSize

// knownSize is one reading as some bays of a section have it.
type knownSize struct {
	section *model.Section
	values  []float64 // m
	mean    float64   // m
	bays    int       // that have it
}

// newKnownSizes gathers the readings of a job's first mostCompared bays.
func newKnownSizes(bays []*verify.Bay) *knownSizes {
	var s knownSizes
	for _, b := range bays[:min(len(bays), mostCompared)] {
		for d, r := range b.Bay.Pieces[0].Readings() {
			if len(r.Values) == 0 || isLength(d) {
				continue
			}
			at := slices.IndexFunc(s[d], func(k knownSize) bool { return k.section == b.Bay.Section && slices.Equal(k.values, r.Values) })
			if at < 0 {
				at, s[d] = len(s[d]), append(s[d], knownSize{b.Bay.Section, r.Values, r.Mean(), 0})
			}
			s[d][at].bays++
		}
	}
	return &s
}

// isLength tells whether a dimension of model.Piece.Readings is length or length2.
func isLength(d int) bool { return d == 4 || d == 5 }

// bits returns what a bay's tape readings tell: a length one bit where it was read finer than
// quarter inches, width and depth as much as they are rare among the section's bays of the same
// nominal size.
func (s *knownSizes) bits(b *verify.Bay) float64 {
	bits := 0.0
	for d, r := range b.Bay.Pieces[0].Readings() {
		switch {
		case r.State != model.Measured:
		case !isLength(d):
			bits += s.rarity(d, r, b.Bay.Section)
		default:
			if n := r.Values[0] / tapeGrid; math.Abs(n-math.Round(n)) > 1e-6 {
				bits++
			}
		}
	}
	return bits
}

// rarity returns what one size tells, in bits: −log₂ of the share of the section's bays of one
// nominal size (means within localSize) that have the same readings of dimension d.
func (s *knownSizes) rarity(d int, r *model.Reading, in *model.Section) float64 {
	same, all, mean := 1, 0, r.Mean()
	for i := range s[d] {
		k := &s[d][i]
		if k.section != in || math.Abs(k.mean-mean) > localSize+1e-9 {
			continue
		}
		all += k.bays
		if slices.Equal(k.values, r.Values) {
			same = k.bays
		}
	}
	return bitsOf(float64(same) / float64(max(all, 1)))
}

// appendFloat appends the bits of a number to what is to be hashed.
func appendFloat(data []byte, x float64) []byte {
	return binary.LittleEndian.AppendUint64(data, math.Float64bits(x))
}
