package crew

import "math"

// bruteChain is the posterior of a section on one running counter with the errors of the readings
// on a grid of their own, summed forward and backward over 33 values of each reading's error at
// every rate by itself. Bag weight taken as known.
type bruteChain struct {
	mus, taus, rates int
	muLow, muHigh    float64
	uniform          bool // errors of a reading are even over the step instead of normal
}

const chainPoints = 33

// errorsOf returns the points of a reading's error and their weights.
func (b bruteChain) errorsOf(v float64) (at, weight [chainPoints]float64) {
	u := math.Sqrt(v)
	sum := 0.0
	for i := range at {
		z := -4 + 8*float64(i)/(chainPoints-1)
		at[i], weight[i] = z*u, math.Exp(-z*z/2)
		if b.uniform {
			at[i], weight[i] = z/4*(1-1.0/chainPoints)*u*math.Sqrt(3), 1
		}
		sum += weight[i]
	}
	for i := range weight {
		weight[i] /= sum
	}
	return at, weight
}

// lotAt are the likelihoods of one lot at a node for every difference of the two readings' errors.
type lotAt struct{ good, gp, bad, bp, over, op [2*chainPoints - 1]float64 }

func (b bruteChain) judge(lots []evidence) []bruteLot {
	n := len(lots)
	out := make([]bruteLot, n)
	at, prior := b.errorsOf(lots[1].out.v)
	step := at[1] - at[0]
	var weight float64
	base := math.NaN()
	for t := range b.taus {
		logTau := math.Log(SpreadMedian) + SpreadLogSD*(-3+6*float64(t)/float64(b.taus-1))
		for m := range b.mus {
			mu := b.muLow + (b.muHigh-b.muLow)*float64(m)/float64(b.mus-1)
			p := -0.5*sq((mu-meanPrior)/meanPriorSD) - 0.5*sq((logTau-math.Log(SpreadMedian))/SpreadLogSD)
			at := make([]lotAt, n)
			for j := range lots {
				at[j].fill(&lots[j], mu, math.Exp(logTau), step)
			}
			for i := range b.rates {
				r := sq((float64(i) + 0.5) / float64(b.rates))
				log := p + (badAlpha-0.5)*math.Log(r) + (badBeta-1)*math.Log(1-r)
				log += chainSum(lots, at, r, &prior, nil)
				if math.IsNaN(base) {
					base = log
				}
				if log < base-14 {
					continue
				}
				if log > base+30 { // start afresh from a better node
					f := math.Exp(base - log)
					base = log
					weight *= f
					for j := range out {
						out[j].pass, out[j].bad, out[j].over = out[j].pass*f, out[j].bad*f, out[j].over*f
					}
				}
				got := make([]bruteLot, n)
				chainSum(lots, at, r, &prior, got)
				w := math.Exp(log - base)
				weight += w
				for j := range got {
					out[j].pass += w * got[j].pass
					out[j].bad += w * got[j].bad
					out[j].over += w * got[j].over
				}
			}
		}
	}
	for j := range out {
		out[j].pass, out[j].bad, out[j].over = out[j].pass/weight, out[j].bad/weight, out[j].over/weight
	}
	return out
}

func (l *lotAt) fill(e *evidence, mu, tau, step float64) {
	u := math.Sqrt(e.v)
	over := func(low, high, x float64) float64 {
		if high <= low {
			return 0
		}
		return cdf((high-x)/u) - cdf((low-x)/u)
	}
	first := func(low, high, x float64) float64 { // of the density times the likelihood
		if high <= low {
			return 0
		}
		a, b := (low-x)/u, (high-x)/u
		return x*(cdf(b)-cdf(a)) - u*(density(b)-density(a))
	}
	for k := range l.good {
		x := e.x - e.out.coef*float64(k-(chainPoints-1))*step
		s2 := tau*tau + e.v
		l.good[k] = math.Exp(-sq(x-mu)/(2*s2)) / math.Sqrt(2*math.Pi*s2)
		mean, v := (x*tau*tau+mu*e.v)/s2, tau*tau*e.v/s2
		l.gp[k] = l.good[k] * cdf((mean-1)/math.Sqrt(v))
		hi := badMost * mu
		l.bad[k], l.bp[k] = badShare*over(0, hi, x)/hi+(1-badShare)*2*first(0, hi, x)/(hi*hi), badShare*over(1, hi, x)/hi+(1-badShare)*2*first(1, hi, x)/(hi*hi)
		lo := overLeast * mu
		hi = overMost * mu
		l.over[k] = over(lo, hi, x)/(hi-lo) + likelihoodLeak
		l.op[k] = over(math.Max(lo, 1), hi, x)/(hi-lo) + likelihoodLeak
	}
}

// chainSum returns the logarithm of the likelihood of the whole chain and, where out is given, each
// lot's posterior. The first reading is exact.
func chainSum(lots []evidence, at []lotAt, r float64, prior *[chainPoints]float64, out []bruteLot) float64 {
	n := len(lots)
	mix := make([][2*chainPoints - 1]float64, n)
	for j := range mix {
		for k := range mix[j] {
			mix[j][k] = (1-overRate)*((1-r)*at[j].good[k]+r*at[j].bad[k]) + overRate*at[j].over[k]
		}
	}
	const mid = (chainPoints - 1) / 2
	alpha := make([][chainPoints]float64, n+1)
	alpha[0][mid] = 1
	logs := 0.0
	for j := range n {
		sum := 0.0
		for o := range chainPoints {
			a := 0.0
			for i := range chainPoints {
				a += alpha[j][i] * mix[j][o-i+chainPoints-1]
			}
			alpha[j+1][o] = a * prior[o]
			sum += alpha[j+1][o]
		}
		for o := range chainPoints {
			alpha[j+1][o] /= sum
		}
		logs += math.Log(sum)
	}
	if out == nil {
		return logs
	}
	var beta [chainPoints]float64
	for i := range beta {
		beta[i] = 1
	}
	for j := n - 1; j >= 0; j-- {
		var all, pass, bad, over float64
		var before [chainPoints]float64
		sum := 0.0
		for i := range chainPoints {
			for o := range chainPoints {
				k := o - i + chainPoints - 1
				w := alpha[j][i] * prior[o] * beta[o]
				all += w * mix[j][k]
				pass += w * ((1-overRate)*((1-r)*at[j].gp[k]+r*at[j].bp[k]) + overRate*at[j].op[k])
				bad += w * (1 - overRate) * r * at[j].bad[k]
				over += w * overRate * at[j].over[k]
				before[i] += prior[o] * beta[o] * mix[j][k]
			}
			sum += before[i]
		}
		for i := range before {
			before[i] /= sum
		}
		out[j] = bruteLot{pass / all, bad / all, over / all}
		beta = before
	}
	return logs
}
