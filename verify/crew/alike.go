package crew

import "math"

// apart is the difference in the relative common error between lots above which it is integrated by nodes.
const apart = 0.002

// integrate runs over what is common to all lots: the habit of reading fresh counts, and the bag weight. Where the latter is
// the same share of every lot it only shifts the target against all of them, which the sums hold in closed form; where lots
// differ it is taken at three nodes. The seats of the lots in keep are kept.
func (s *scratch) integrate(lots []evidence, keep []int) *sums {
	at := alikes(lots)
	if len(at) == 1 {
		s.used = 0
		return newSums(s, lots, meanScale(lots), keep)
	}
	total := &sums{}
	shifted := make([]evidence, len(lots))
	for _, w := range at {
		logScale, wide := 0.0, meanScale(lots)
		for j, e := range lots {
			e.x += w.habit * e.half
			if w.bagApart {
				wide = 0
				f := 1 - e.kapp*w.bag
				logScale -= float64(e.times) * math.Log(f)
				e = e.scaled(1 / f)
			}
			shifted[j] = e
		}
		s.used = 0
		one := newSums(s, shifted, wide, keep)
		one.logScale += logScale // a likelihood is per share of the density as read
		for k := range one.seats {
			if w.bagApart {
				one.seats[k].weigh(1, 1/(1-lots[keep[k]].kapp*w.bag))
			}
		}
		total.add(one, w.weight)
	}
	return total
}

// alike is one state of what all lots share.
type alike struct {
	habit    float64 // by how much of its half-width every fresh count is off
	bag      float64 // by how many standard uncertainties the bag weight is off
	bagApart bool    // the bag weight is taken at nodes
	weight   float64
}

// alikes lists the nodes of the outer integral.
func alikes(lots []evidence) []alike {
	habits, bags := []alike{{weight: 1}}, []alike{{weight: 1}}
	low, high := math.Inf(1), 0.0
	for i := range lots {
		low, high = math.Min(low, lots[i].kapp), math.Max(high, lots[i].kapp)
		if lots[i].half > 0 {
			habits = []alike{{habit: -readingHabit, weight: 0.5}, {habit: readingHabit, weight: 0.5}}
		}
	}
	if high-low > apart {
		bags = scaleNodes()
	}
	var all []alike
	for _, h := range habits {
		for _, b := range bags {
			all = append(all, alike{h.habit, b.bag, b.bagApart, h.weight * b.weight})
		}
	}
	return all
}

// meanScale is the relative standard uncertainty of the bag weight, the mean over the lots.
func meanScale(lots []evidence) float64 {
	sum := 0.0
	for i := range lots {
		sum += float64(lots[i].times) * lots[i].kapp
	}
	return sum / float64(total(lots))
}

// scaleNodes is the three-point Gauss–Hermite rule for a standard normal variable (Abramowitz & Stegun 25.4.46): the
// bag weight moves the density by less than the rest of the uncertainty, so that more points change nothing.
func scaleNodes() []alike {
	return []alike{{bag: -1.7320508075688772, bagApart: true, weight: 1. / 6}, {bagApart: true, weight: 2. / 3},
		{bag: 1.7320508075688772, bagApart: true, weight: 1. / 6}}
}
