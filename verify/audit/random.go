package audit

import "math"

// source is a reproducible stream of random numbers: splitmix64.
type source struct{ state uint64 }

func (s *source) next() uint64 {
	z := mix(s.state)
	s.state += 0x9e3779b97f4a7c15
	return z
}

// uniform is in [0, 1).
func (s *source) uniform() float64 { return fraction(s.next()) }

// fraction is the upper 53 bits as a number in [0, 1).
func fraction(z uint64) float64 { return float64(z>>11) / (1 << 53) }

// normal is standard normal, by the ziggurat (Marsaglia and Tsang 2000, as Doornik 2005 lays it out): the bell is covered
// by layers of one area, and nearly every point of a layer lies below the bell.
func (s *source) normal() float64 {
	for {
		z := s.next()
		i, u := z%layers, 2*fraction(z)-1
		if math.Abs(u) < bell.within[i] {
			return u * bell.edge[i]
		}
		if i == 0 {
			return math.Copysign(s.tail(), u)
		}
		x := u * bell.edge[i]
		below, above := heightBy(bell.edge[i], x), heightBy(bell.edge[i+1], x)
		if above+s.uniform()*(below-above) < 1 {
			return x
		}
	}
}

// tail is a normal number above the base of the ziggurat.
func (s *source) tail() float64 {
	for {
		x, y := -math.Log(1-s.uniform())/base, -math.Log(1-s.uniform())
		if 2*y > x*x {
			return base + x
		}
	}
}

// heightBy is the bell's height at edge by that at x.
func heightBy(edge, x float64) float64 { return math.Exp((x*x - edge*edge) / 2) }

const (
	layers    = 128
	base      = 3.442619855899      // where the tail begins
	layerArea = 9.91256303526217e-3 // of each layer under exp(−x²/2), the lowest with the tail
)

// ziggurat are the right edges of the layers from the lowest up, and the share of each that lies below the bell for sure.
type ziggurat struct {
	edge   [layers + 1]float64
	within [layers]float64
}

var bell = newZiggurat()

func newZiggurat() *ziggurat {
	var z ziggurat
	height := math.Exp(-base * base / 2)
	z.edge[0], z.edge[1] = layerArea/height, base
	for i := 2; i < layers; i++ {
		z.edge[i] = math.Sqrt(-2 * math.Log(layerArea/z.edge[i-1]+height))
		height = math.Exp(-z.edge[i] * z.edge[i] / 2)
	}
	for i := range z.within {
		z.within[i] = z.edge[i+1] / z.edge[i]
	}
	return &z
}
