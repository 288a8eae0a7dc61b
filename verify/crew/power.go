package crew

import "math"

// scaled splits a positive x into f·2ᵉ with f in [1, 2); cheaper than a logarithm. 0 stays 0, at the lowest power.
func scaled(x float64) (f float64, e int) {
	const one = 1023
	if x < 0x1p-1000 {
		if x == 0 {
			return 0, -1 << 20
		}
		f, e = scaled(x * 0x1p200)
		return f, e - 200
	}
	bits := math.Float64bits(x)
	e = int(bits>>52)&0x7ff - one
	return math.Float64frombits(bits&(1<<52-1) | one<<52), e
}

// powerOfTwo is 2ᵉ, 0 where that leaves the range of normal numbers downward.
func powerOfTwo(e int) float64 {
	if e < -1022 {
		return 0
	}
	return math.Float64frombits(uint64(min(e, 1023)+1023) << 52)
}
