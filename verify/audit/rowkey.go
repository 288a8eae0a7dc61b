package audit

import (
	"math"

	"bayproof/verify"
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
