package crew

import "math"

// brute is the posterior on plain grids, with the same priors and none of the shortcuts: every
// lot's likelihood is a table over its density, the components are sums over that table, μ, τ, the
// rate and the bag weight are summed over even grids. It shares no code with what serves.
type brute struct {
	like      func(e *evidence, y float64) float64 // likelihood of the lot's reading at density y
	muStep    float64
	taus      int
	rateSteps int
	kernels   map[[2]float64][]float64 // by μ and τ: those of the sections before serve again
}

// kernel is the share of packings N(μ, τ²) in each cell from reach below the middle one to reach
// above it; together 1.
func (b brute) kernel(mu, tau float64, mid, reach int) []float64 {
	at := [2]float64{mu, tau}
	kernel, ok := b.kernels[at]
	if ok {
		return kernel
	}
	var sum float64
	below := cdf((float64(mid-reach)*bruteStep - mu) / tau)
	for y := mid - reach; y <= mid+reach; y++ {
		upTo := cdf((float64(y+1)*bruteStep - mu) / tau)
		kernel = append(kernel, upTo-below)
		sum += upTo - below
		below = upTo
	}
	for i := range kernel {
		kernel[i] /= sum
	}
	b.kernels[at] = kernel
	return kernel
}

// badShare of the bad bays' distribution is even, the rest grows with the density: together from
// 0.5 to 1.5 of the mean.
const badShare = 0.5

const (
	bruteStep = 0.004 // of the density, as a share of the target
	bruteTop  = 2.6
)

// normalLike and intervalLike are the errors that the rule supposes.
func bruteLike(e *evidence, y float64) float64 {
	u := math.Sqrt(e.v)
	if e.half == 0 {
		return math.Exp(-0.5*sq((e.x-y)/u)) / u / math.Sqrt(2*math.Pi)
	}
	return (cdf((e.x+e.half-y)/u) - cdf((e.x-e.half-y)/u)) / (2 * e.half)
}

type bruteLot struct{ pass, bad, over float64 }

func (b brute) judge(lots []evidence) []bruteLot {
	total := make([]bruteLot, len(lots))
	var weight float64
	nodes, base := [][3]float64{{0, 1, 0}}, math.NaN()
	if lots[0].kappa > 0 {
		nodes = nil
		for z := -3.5; z <= 3.51; z += 0.5 {
			nodes = append(nodes, [3]float64{z, math.Exp(-z * z / 2), 0})
		}
	}
	if lots[0].half > 0 { // all fresh counts off by 0.3 of their half-width, to either side
		plain := nodes
		nodes = nil
		for _, n := range plain {
			nodes = append(nodes, [3]float64{n[0], n[1], -0.3}, [3]float64{n[0], n[1], 0.3})
		}
	}
	for _, n := range nodes {
		shifted := append(lots[:0:0], lots...)
		for j := range shifted {
			shifted[j].x += n[2] * shifted[j].half
		}
		w, log, got := b.once(shifted, n[0])
		if math.IsNaN(base) {
			base = log
		}
		w *= n[1] * math.Exp(log-base)
		weight += w
		for j := range got {
			total[j].pass += w * got[j].pass
			total[j].bad += w * got[j].bad
			total[j].over += w * got[j].over
		}
	}
	for j := range total {
		total[j].pass /= weight
		total[j].bad /= weight
		total[j].over /= weight
	}
	return total
}

// once is the posterior with the bag weight off by so many standard uncertainties: a lot of density
// y reads y·(1 − κ·bag).
func (b brute) once(lots []evidence, bag float64) (weight, logScale float64, out []bruteLot) {
	n := len(lots)
	cells := int(bruteTop / bruteStep)
	g := make([][]float64, n)             // likelihood at the middle of each cell
	cum := make([][]float64, n)           // its integral up to each cell's lower edge
	first := make([][]float64, n)         // the same of density times likelihood
	aim := int(math.Round(1 / bruteStep)) // first cell at the target or more
	for j := range lots {
		g[j], cum[j], first[j] = make([]float64, cells), make([]float64, cells+1), make([]float64, cells+1)
		for c := range g[j] {
			g[j][c] = b.like(&lots[j], (float64(c)+0.5)*bruteStep*(1-lots[j].kappa*bag))
			cum[j][c+1] = cum[j][c] + g[j][c]*bruteStep
			first[j][c+1] = first[j][c] + g[j][c]*(float64(c)+0.5)*sq(bruteStep)
		}
	}
	upTo := func(j int, y float64) float64 {
		f := math.Min(math.Max(y/bruteStep, 0), float64(cells)-1e-9)
		c := int(f)
		return cum[j][c] + (f-float64(c))*g[j][c]*bruteStep
	}
	firstUpTo := func(j int, y float64) float64 {
		f := math.Min(math.Max(y/bruteStep, 0), float64(cells)-1e-9)
		c := int(f)
		return first[j][c] + g[j][c]*(y*y-sq(float64(c)*bruteStep))/2
	}
	var rates, rateWeight []float64
	for i := range b.rateSteps {
		r := (float64(i) + 0.5) / float64(b.rateSteps)
		r = r * r // finer near nothing
		rates = append(rates, r)
		rateWeight = append(rateWeight, math.Pow(r, badAlpha-1+0.5)*math.Pow(1-r, badBeta-1))
	}
	type cell struct {
		log       float64
		good, gp  []float64
		bad, bp   []float64
		over, op  []float64
		rateTerms []float64
	}
	var all []cell
	top := math.Inf(-1)
	for t := range b.taus {
		logTau := math.Log(SpreadMedian) + SpreadLogSD*(-3.2+6.4*float64(t)/float64(b.taus-1))
		tau := math.Exp(logTau)
		reach := int(6*tau/bruteStep) + 2
		for mu := 0.62; mu < 1.5; mu += b.muStep {
			c := cell{log: -0.5*sq((mu-meanPrior)/meanPriorSD) - 0.5*sq((logTau-math.Log(SpreadMedian))/SpreadLogSD)}
			mid := int(mu / bruteStep)
			kernel := b.kernel(mu, tau, mid, reach)
			for j := range lots {
				var good, pass float64
				low, high := max(0, mid-reach), min(cells, mid+reach+1)
				for y := low; y < min(aim, high); y++ {
					good += kernel[y-mid+reach] * g[j][y]
				}
				for y := max(low, aim); y < high; y++ {
					pass += kernel[y-mid+reach] * g[j][y]
				}
				c.good, c.gp = append(c.good, good+pass), append(c.gp, pass)
				hi := badMost * mu
				c.bad = append(c.bad, badShare*upTo(j, hi)/hi+(1-badShare)*2*firstUpTo(j, hi)/(hi*hi))
				c.bp = append(c.bp, badShare*math.Max(0, upTo(j, hi)-upTo(j, 1))/hi+(1-badShare)*2*math.Max(0, firstUpTo(j, hi)-firstUpTo(j, 1))/(hi*hi))
				lo := overLeast * mu
				hi = overMost * mu
				c.over = append(c.over, (upTo(j, hi)-upTo(j, lo))/(hi-lo)+likelihoodLeak)
				c.op = append(c.op, (upTo(j, hi)-upTo(j, math.Max(lo, 1)))/(hi-lo)+likelihoodLeak)
			}
			best := math.Inf(-1)
			logs := make([]float64, len(rates))
			for i, r := range rates {
				l := math.Log(rateWeight[i])
				p := 1.0
				for j := range lots {
					p *= (1-overRate)*((1-r)*c.good[j]+r*c.bad[j]) + overRate*c.over[j]
					if j%8 == 7 {
						l += math.Log(p)
						p = 1
					}
				}
				logs[i] = l + math.Log(p)
				best = math.Max(best, logs[i])
			}
			for i := range logs {
				c.rateTerms = append(c.rateTerms, math.Exp(logs[i]-best))
			}
			c.log += best
			top = math.Max(top, c.log)
			if c.log > top-25 {
				all = append(all, c)
			}
		}
	}
	out = make([]bruteLot, n)
	for _, c := range all {
		f := math.Exp(c.log - top)
		for i, r := range rates {
			w := f * c.rateTerms[i]
			if w < 1e-10 {
				continue
			}
			weight += w
			for j := range lots {
				l := (1-overRate)*((1-r)*c.good[j]+r*c.bad[j]) + overRate*c.over[j]
				out[j].pass += w / l * ((1-overRate)*((1-r)*c.gp[j]+r*c.bp[j]) + overRate*c.op[j])
				out[j].bad += w / l * (1 - overRate) * r * c.bad[j]
				out[j].over += w / l * overRate * c.over[j]
			}
		}
	}
	for j := range out {
		out[j].pass /= weight
		out[j].bad /= weight
		out[j].over /= weight
	}
	return weight, top, out
}
