package prompt

import (
	"fmt"
	"math"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
	"bayproof/verify/plan"
)

// sizesText says the sizes of the bay itself.
func (s *Session) sizesText(b *model.Bay) string {
	d := b.Pieces[0].Dims()
	if d.Shape == model.ShapeRound {
		return fmt.Sprintf("%s round, %s", s.say.Size(d.Width), s.say.Length((d.Length+d.Length2)/2))
	}
	return fmt.Sprintf("%s x %s x %s", bare(s.say.Size(d.Width)), s.say.Size(d.Depth), s.say.Length((d.Length+d.Length2)/2))
}

// bare leaves the unit off a size that another of the same unit follows.
func bare(size string) string { return size[:strings.LastIndexByte(size, ' ')] }

// amount says a mass as bags, or as it is where no bags are counted.
func (s *Session) amount(mass float64, set *model.Settings) string {
	bags := mass / plan.BagWeight(set)
	if math.IsNaN(bags) {
		return s.say.Mass(mass, model.Pound)
	}
	if set.BagStep > 0 {
		return fmt.Sprintf("%.2f\u00a0bags\u00a0(%s)", bags, strings.ReplaceAll(say.Bags(math.Round(bags/set.BagStep)*set.BagStep), " ", "\u00a0"))
	}
	return fmt.Sprintf("%.2f bags", bags)
}

// went says what went in against the aim.
func (s *Session) went(x *verify.Bay, set *model.Settings) string {
	aim := set.Aim * x.Volume
	bags := aim / plan.BagWeight(set)
	if math.IsNaN(x.Bags) || math.IsNaN(bags) {
		return s.say.Mass(x.Mass, math.NaN()) + " in, aim " + s.say.Mass(aim, math.NaN())
	}
	return fmt.Sprintf("%s in, aim %.2f", bagsOf(x.Bags), bags)
}

// bagsOf says a count of bags: 1 bag, 1 3/4 bags.
func bagsOf(n float64) string {
	if n == 1 {
		return "1 bag"
	}
	return say.Bags(n) + " bags"
}
