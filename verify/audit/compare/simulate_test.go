package compare

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"
)

var simulate = flag.Bool("simulate", false, "run the simulations of SIMULATION.md in full")

// town is a programme of crews with known truth, at the level of the jobs' means.
type town struct {
	crews, jobs, bays   int // jobs: the most a crew has; bays: about, of a job
	between, job        float64
	spread, reading     float64 // of a bay in a job, lb/ft³
	voids               float64 // share of the bays
	uneven              bool    // crews have from one job to the most, and jobs of 6 bays to twice as many
	ownSpread, heavy    bool    // job-to-job spread differs by crew; means have heavy tails (t with 4 degrees)
	outside, wayOutside int     // counted
	looked, held        int
	shareOutside        [2]int
	shareHeld, shares   int
}

// run draws programmes and counts.
func (w *town) run(n int, seed uint64) {
	r := rand.New(rand.NewPCG(seed, 20))
	const target = 3.5
	for range n {
		var units []Unit
		var counts []Count
		truth, share := map[string]float64{}, map[string]float64{}
		for c := range w.crews {
			name := string(rune('a' + c))
			mu := 3.85 + w.between*r.NormFloat64()
			truth[name] = mu * (1 - w.voids*0.25)
			sd := w.job
			if w.ownSpread {
				sd *= math.Exp(0.4*r.NormFloat64() - 0.16)
			}
			jobs := w.jobs
			if w.uneven {
				jobs = 1 + r.IntN(w.jobs)
			}
			share[name] = w.shortShare(mu, sd)
			for range jobs {
				a := sd * r.NormFloat64()
				if w.heavy { // t with 4 degrees, of variance 2, scaled to the same
					a = sd * r.NormFloat64() / math.Sqrt(2*(r.ExpFloat64()+r.ExpFloat64())/4) / math.Sqrt2
				}
				bays := w.bays
				if w.uneven {
					bays = 6 + r.IntN(2*w.bays-6)
				}
				sum, squares, k := 0.0, 0.0, 0.0
				for range bays {
					rho := mu + a + w.spread*r.NormFloat64()
					if r.Float64() < w.voids {
						rho *= 1 - 0.5*r.Float64()
					}
					if rho < target {
						k++
					}
					x := rho + w.reading*r.NormFloat64()
					sum, squares = sum+x, squares+x*x
				}
				m := float64(bays)
				mean := sum / m
				units = append(units, Unit{name, mean, (squares - m*mean*mean) / (m - 1) / m})
				counts = append(counts, Count{name, k, m})
			}
		}
		for _, g := range Fit(units).Groups {
			w.looked++
			if g.Outside != 0 {
				w.outside++
			}
			if g.Outside == 2 || g.Outside == -2 {
				w.wayOutside++
			}
			if g.Lo <= truth[g.Name] && truth[g.Name] <= g.Hi {
				w.held++
			}
		}
		for _, g := range FitShares(counts).Groups {
			w.shares++
			if g.Outside != 0 {
				w.shareOutside[0]++
			}
			if g.Outside == 2 || g.Outside == -2 {
				w.shareOutside[1]++
			}
			if g.Lo <= share[g.Name] && share[g.Name] <= g.Hi {
				w.shareHeld++
			}
		}
	}
}

// shortShare is the true share of short bays of a crew, by sums over how much a bay's void takes.
func (w *town) shortShare(mu, sd float64) float64 {
	s := math.Hypot(sd, w.spread)
	phi := func(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }
	share := (1 - w.voids) * phi((3.5-mu)/s)
	const steps = 400
	for i := range steps {
		left := 1 - 0.5*(float64(i)+0.5)/steps
		share += w.voids / steps * phi((3.5/left-mu)/s)
	}
	return share
}

func towns() []town {
	alike := town{crews: 20, jobs: 3, bays: 24, job: 0.08, spread: 0.12, reading: 0.15, voids: 0.05}
	uneven, more, own, heavy, unlike := alike, alike, alike, alike, alike
	uneven.uneven, uneven.jobs = true, 6
	more.jobs, more.crews = 10, 10
	own.ownSpread = true
	heavy.heavy = true
	unlike.between = 0.12
	return []town{alike, uneven, more, own, heavy, unlike}
}

// TestSimulatedCrews holds the limits against crews that are all alike and the intervals against
// the truth.
func TestSimulatedCrews(t *testing.T) {
	n := 60
	if *simulate {
		n = 2000
	}
	for i, w := range towns() {
		w.run(n, uint64(900+i))
		share := func(k, n int) float64 { return 100 * float64(k) / float64(n) }
		t.Logf("%d crews of %d jobs, between %.2f uneven %v own spread %v heavy %v: means outside %.2f %% and %.2f %%, held %.1f %%; shares outside %.2f and %.2f %%, held %.1f %%",
			w.crews, w.jobs, w.between, w.uneven, w.ownSpread, w.heavy, share(w.outside, w.looked), share(w.wayOutside, w.looked), share(w.held, w.looked),
			share(w.shareOutside[0], w.shares), share(w.shareOutside[1], w.shares), share(w.shareHeld, w.shares))
	}
}
