package crew

import (
	"math"
	"math/rand/v2"

	"bayproof/verify/measure"
)

// known is the rule that nothing can beat: the world's own distribution of densities as the prior,
// the bag weight known.
type known struct {
	y, prior []float64
}

func newKnown(w *world) *known {
	k := &known{}
	rng := rand.New(rand.NewPCG(0, 0))
	mu := w.mean(0, w.bays, rng)
	for i := range w.bays { // without one mean the world's densities have no simple form
		if w.mean(i, w.bays, rng) != mu || w.like {
			return nil
		}
	}
	normal := func(y, m, s float64) float64 { return density((y-m)/s) / s }
	const steps = 40
	for y := 0.0025; y < 6; y += 0.005 {
		p := (1 - w.voids - w.weak) * normal(y, mu, w.spread)
		for i := range steps {
			f := 1 - w.voidLow - (w.voidHigh-w.voidLow)*(float64(i)+0.5)/steps
			p += w.voids / steps * normal(y, mu*f, w.spread*f)
		}
		if y > 2.6 && y < 3.3 {
			p += w.weak / 0.7
		}
		k.y, k.prior = append(k.y, y), append(k.prior, p)
	}
	return k
}

func (k *known) prob(lot *measure.Lot) float64 {
	x, s := lot.Density/lb, math.Sqrt(sq(lot.Own)+sq(lot.Count))/lb
	var all, above float64
	for i, y := range k.y {
		l := k.prior[i] * density((x-y)/s)
		all += l
		if y >= target {
			above += l
		}
	}
	return above / all
}
