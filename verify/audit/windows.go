package audit

import "math"

// window is the shortest run of rows from a place on that tells enough to be looked up.
type window struct {
	hash uint64
	row  int32 // over all jobs
}

// windows cuts a window from every row on that is rare by at least so many bits within its job, and keeps those that come
// again. Which do is found in a first pass with one bit for every window seen and one for every window seen twice; a few
// that stand alone pass with them and are compared with nothing.
func (d *desk) windows(enough float64) []window {
	size := uint64(64)
	for size < 8*uint64(d.rows) {
		size *= 2
	}
	lengths := d.lengths(enough)
	seen, again := make([]uint64, size/64), make([]uint64, size/64)
	d.eachWindow(lengths, func(_ int, mark uint64) {
		at, bit := mark%size/64, uint64(1)<<(mark%64)
		again[at] |= seen[at] & bit
		seen[at] |= bit
	})
	var out []window
	d.eachWindow(lengths, func(row int, mark uint64) {
		if again[mark%size/64]&(1<<(mark%64)) != 0 {
			out = append(out, window{d.hashOf(row, int(lengths[row])), int32(row)})
		}
	})
	return out
}

// hashOf is the hash of n rows.
func (d *desk) hashOf(row, n int) uint64 {
	h := newHash()
	for k := range n {
		h = h.number(d.key(row + k).hash)
	}
	return h.sum()
}

// lengths are how many rows the window from each row on has: two at least, at most mostWindow; 0 where there is none. No row
// tells less than nothing, so no window ends before that of the row above.
func (d *desk) lengths(enough float64) []uint8 {
	all, ofSizes := float64(d.rows), make(map[uint32]float32, len(d.alike))
	for sizes, n := range d.alike {
		ofSizes[sizes] = float32(math.Min(mostRare, math.Log2(all/float64(n))))
	}
	out := make([]uint8, d.rows)
	var rare []float32
	for j := range len(d.first) - 1 {
		from, to := int(d.first[j]), int(d.first[j+1])
		rare = rare[:0]
		for i := from; i < to; i++ {
			k := d.key(i)
			rare = append(rare, k.bits+ofSizes[k.sizes])
		}
		bits, end := 0.0, 0
		for i := range rare {
			for end < len(rare) && (bits < enough || end < i+2) {
				bits += float64(rare[end])
				end++
			}
			if bits < enough || end < i+2 {
				break // and none below
			}
			if n := end - i; n <= mostWindow {
				out[from+i] = uint8(n)
			}
			bits -= float64(rare[i])
		}
	}
	return out
}

// markFactor is odd and has its bits all over: the multiplier of Knuth's 64-bit congruential generator MMIX.
const markFactor = 6364136223846793005

// eachWindow gives the first row of every window and a number that is the same for like windows: a polynomial in the hashes
// of its rows, as the difference of two that begin where the job does (Karp and Rabin 1987).
func (d *desk) eachWindow(lengths []uint8, give func(row int, mark uint64)) {
	var power [mostWindow + 1]uint64
	power[0] = 1
	for n := range mostWindow {
		power[n+1] = power[n] * markFactor
	}
	var sums []uint64 // of the rows above
	for j := range len(d.first) - 1 {
		from, to := int(d.first[j]), int(d.first[j+1])
		sums = append(sums[:0], 0)
		for i := from; i < to; i++ {
			sums = append(sums, sums[i-from]*markFactor+d.key(i).hash)
		}
		for i := from; i < to; i++ {
			if n := int(lengths[i]); n > 0 {
				give(i, sums[i-from+n]-sums[i-from]*power[n])
			}
		}
	}
}
