package report

import (
	"math"
	"math/bits"
	"strconv"
)

const (
	slotBits = 5
	slots    = 1 << slotBits // figures kept a column
)

// digits keeps figures of one column as they were written lately. Like bays share most of theirs, and the shortest
// digits that read back as the same number are dear to find.
type digits [slots]struct {
	bits uint64
	n    uint8 // bytes of text; 0 where nothing is kept
	text [27]byte
}

// append writes a comma and x with the shortest digits that read back as x; nothing where x does not exist.
func (d *digits) append(dst []byte, x float64) []byte {
	dst = append(dst, ',')
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return dst
	}
	key := math.Float64bits(x)
	// Fibonacci hashing: the high bits of the product depend on all bits of the key.
	high, _ := bits.Mul64(key*0x9E3779B97F4A7C15, slots)
	slot := &d[high]
	if slot.bits == key && slot.n > 0 {
		return append(dst, slot.text[:slot.n]...)
	}
	from := len(dst)
	dst = strconv.AppendFloat(dst, x, 'g', -1, 64)
	slot.bits, slot.n = key, uint8(copy(slot.text[:], dst[from:]))
	return dst
}
