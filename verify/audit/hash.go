package audit

import "math"

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
