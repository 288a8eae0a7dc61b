package crew

import (
	"math"
	"slices"
)

// tauRow is what the nodes of one τ say about μ: sums over them, by weight.
type tauRow struct{ weight, mu, mu2 float64 }

func (r *tauRow) add(n *node) {
	r.weight += n.weight
	r.mu += n.weight * n.mu
	r.mu2 += n.weight * n.mu * n.mu
}

// pack is one τ with the distribution that μ has beside it.
type pack struct{ mu, sd, tau, weight float64 }

// finer is how many steps along τ a quantile takes for one of the grid, whose steps are as wide as sums need.
const finer = 4

// spread fills in the packs between the rows of a grid: cubics follow the logarithms of weight and τ and what μ is.
func (s *sums) spread(g *grid, rows []tauRow) {
	var log, mean, v [mostTau]float64
	n := 0
	first := slices.IndexFunc(rows, func(r tauRow) bool { return r.weight > 0 })
	for _, r := range rows[first:] {
		if r.weight == 0 {
			break
		}
		log[n], mean[n] = math.Log(r.weight), r.mu/r.weight
		v[n] = max(0, r.mu2/r.weight-mean[n]*mean[n])
		n++
	}
	for i := range n {
		s.packs = append(s.packs, pack{mean[i], math.Sqrt(v[i]), g.tau[first+i], rows[first+i].weight})
		if i+1 == n {
			break
		}
		for q := 1; q < finer; q++ {
			at := float64(i) + float64(q)/finer
			s.packs = append(s.packs, pack{cubic(mean[:n], at), math.Sqrt(max(0, cubic(v[:n], at))),
				math.Exp(cubic(g.log[first:][:n], at)), math.Exp(cubic(log[:n], at))})
		}
	}
}

// cubic runs through the four values nearest to a place among values an even step apart, or as many as there are, by Neville's
// scheme (Abramowitz & Stegun 25.2.28).
func cubic(y []float64, at float64) float64 {
	n := min(len(y), 4)
	from := min(max(int(at)-1, 0), len(y)-n)
	var p [4]float64
	copy(p[:n], y[from:])
	at -= float64(from)
	for order := 1; order < n; order++ {
		per := 1 / float64(order)
		for i := 0; i+order < n; i++ {
			p[i] += (at - float64(i)) * per * (p[i+1] - p[i])
		}
	}
	return p[0]
}

// What the lower tolerance of a section says: the share of its bays that exceed it, as a standard normal quantile, and how
// sure that is, as the share of the posterior below it.
const (
	nineteenInTwenty = 1.6448536269514722 // Φ⁻¹(0.95)
	atNinety         = 0.1
)

// lower is the point of μ − wide·τ that the share of the posterior lies below, with the common error of the bag weight.
func (s *sums) lower(wide, share float64) float64 {
	for i := range s.packs {
		p := &s.packs[i]
		p.sd = math.Sqrt(sq(p.sd) + sq(s.by.wide*s.mu) + sq(tiny))
	}
	sd := math.Sqrt(max(0, s.mu2-s.mu*s.mu) + sq(wide)*max(0, s.tau2-s.tau*s.tau) + sq(s.by.wide*s.mu))
	lo, hi := s.mu-2, s.mu+0.5
	q := s.mu - wide*s.tau - 1.28*sd // near it for a share of a tenth
	for range 40 {                   // Newton's steps inside a bracket
		below, slope := 0.0, 0.0
		for i := range s.packs {
			p := &s.packs[i]
			c, d := normal.at((q - p.mu + wide*p.tau) / p.sd)
			below += p.weight * c
			slope += p.weight * d / p.sd
		}
		if below < share {
			lo = q
		} else {
			hi = q
		}
		next := q + (share-below)/slope
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-q) < 1e-7 {
			break
		}
		q = next
	}
	return q
}

// tiny keeps the distribution of a mean that is known exactly from becoming a step.
const tiny = 1e-4
