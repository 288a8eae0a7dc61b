package crew

import (
	"math"
	"math/rand/v2"

	"bayproof/model"
	"bayproof/verify/measure"
)

// jobWorld is a job of sections alike, with what a crew says and counts besides its bays, and crews
// that do not do what the rule supposes.
type jobWorld struct {
	world
	sections int
	apart    float64                          // lb/ft³: sections' means lie evenly within ± apart of the crew's
	unsaid   bool                             // nobody says that the bays were blown to the stall
	total    float64                          // bags: half-width of a total of the job, 0 for none
	stops    func(i int, rng *rand.Rand) bool // the man stops at the least count that reads the target
	extra    float64                          // bags booked too much for every bay
	roundUp  bool                             // every count is rounded up to the next step
	tapeOff  func(rng *rand.Rand) float64     // in: what all readings of the depth are off by, instead of bias
	checks   int                              // depth checks at the crew's own marks
	checkOff float64                          // in: half-width of what the other tape is off by; it is taken to be within 3/32 in
	moved    float64                          // bags of bay 12 that are booked to bay 13
	empty    float64                          // every bay has this share of its length empty; 0 for the world's voids
	feed     float64                          // scatter of the feed time, relative; 0 for none
	ranOn    float64                          // share of the bays in which feed ran on by 30 %
}

const (
	checkScatter = 0.0625  // in: one check at the crew's mark
	checkWithin  = 3. / 32 // in: half-width of the other tape
)

// fillJob makes a job: what the rule is told, and the truth by section.
func (w *jobWorld) fillJob(rng *rand.Rand) (sections []Section, total Total, truths [][]truth) {
	bag := bagPounds * (1 + bagLimit*(2*rng.Float64()-1))
	tape := 0.0
	if w.tapeOff != nil {
		tape = w.tapeOff(rng)
	}
	correction, shared := w.checked(tape, rng)
	counter, used := 0.0, 0.0
	rate := 0.10 * math.Exp(0.2*rng.NormFloat64()) // lb/s at the machine
	for range max(w.sections, 1) {
		off := w.apart * (2*rng.Float64() - 1)
		scatter := w.pooled(rng)
		order := rng.Perm(w.bays)
		lots, truth := make([]measure.Lot, w.bays), make([]truth, w.bays)
		for i := range lots {
			truth[i] = w.pack(i, rng)
			truth[i].density += off * (1 - truth[i].empty)
			if w.empty > 0 {
				truth[i] = w.emptied(i, rng)
			}
			feet := w.length(order[i])
			volume := widthIn * w.depth / 144 * feet
			off := tape
			if w.tapeOff == nil {
				off = w.bias * (2*rng.Float64() - 1)
			}
			seen, u, dof := w.measure(volume, feet, off, scatter, rng)
			seen *= 1 + correction/w.depth
			l := &lots[i]
			*l = measure.Lot{Volume: seen * model.CubicFoot, Bags: math.NaN()}
			bags := truth[i].density * volume / bag
			fed := bags
			if w.moved > 0 && (i == 11 || i == 12) {
				bags += w.moved * float64(2*i-23)
			}
			if w.stops != nil && w.stops(i, rng) {
				bags = math.Ceil(target*seen/bagPounds/w.step-1e-9)*w.step - w.step*rng.Float64()
				truth[i].density, truth[i].empty = bags*bag/volume, 0
				w.booked(l, bags, math.Ceil(bags/w.step-1e-9)*w.step, seen)
			} else if w.roundUp {
				w.booked(l, bags, math.Ceil(bags/w.step-1e-9)*w.step, seen)
			} else {
				w.count(l, i, bags, &counter, seen, rng)
				if w.extra > 0 {
					w.booked(l, bags, l.Bags+w.extra, seen)
				}
			}
			used += bags
			w.finish(l, u, dof)
			w.shareTape(l, shared)
			l.Used = l.Bags
			if math.IsNaN(l.Bags) {
				l.Used = bags
			} else {
				l.PerBag = bagPounds / seen * lb
				if w.unsaid {
					l.OneSided = w.step * l.PerBag
				}
			}
			if w.feed > 0 {
				l.Feed = fed * bag / rate * math.Exp(w.feed*rng.NormFloat64())
				if rng.Float64() < w.ranOn {
					l.Feed *= 1.3
				}
			}
		}
		sections = append(sections, Section{Lots: lots, Target: target * lb, Ceiling: ceiling * lb, Step: w.step})
		truths = append(truths, truth)
	}
	if w.total > 0 {
		total = Total{Bags: used + w.total*(2*rng.Float64()-1), U: w.total / math.Sqrt(3)}
	}
	return sections, total, truths
}

// booked writes a count of its own errors into the log, as `ends` has it.
func (w *jobWorld) booked(l *measure.Lot, bags, count, seen float64) {
	perBag := bagPounds / seen * lb
	l.Bags, l.Count = count, w.step/math.Sqrt(6)*perBag
	l.Density = count * perBag
	l.Common, l.CommonDOF = l.Density*bagLimit/math.Sqrt(3), math.Inf(1)
}

// emptied is a bay packed like the crew's with a part of its length empty.
func (w *jobWorld) emptied(i int, rng *rand.Rand) truth {
	t := truth{density: w.mean(i, w.bays, rng) + w.spread*rng.NormFloat64(), empty: 0}
	if i%8 == 3 {
		t.empty = w.empty
		t.density *= 1 - w.empty
	}
	return t
}

// checked is what depth checks put right, in, and the standard uncertainty of what the readings
// share after it, relative.
func (w *jobWorld) checked(tape float64, rng *rand.Rand) (correction, shared float64) {
	if w.checks == 0 {
		return 0, w.within / math.Sqrt(12) / w.depth
	}
	n := float64(w.checks)
	other := w.checkOff * (2*rng.Float64() - 1)
	return -tape + other + checkScatter/math.Sqrt(n)*rng.NormFloat64(), math.Sqrt(sq(checkScatter)/n+sq(checkWithin)/3) / w.depth
}

// shareTape parts the tape's variance: a quarter of it is common to all bays, or what the checks
// leave of it.
func (w *jobWorld) shareTape(l *measure.Lot, shared float64) {
	l.Own = math.Sqrt(sq(l.Own) - sq(l.Density*w.within/math.Sqrt(12)/w.depth))
	l.Shared = l.Density * shared
}

// simulateJobs runs jobs through the rule.
func simulateJobs(w jobWorld, jobs int, seed uint64) *jobTally {
	t := new(jobTally)
	rng := rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15))
	for range jobs {
		sections, total, truths := w.fillJob(rng)
		for s, r := range JudgeJob(sections, total) {
			t.section(&sections[s], &r, truths[s], &w)
		}
	}
	return t
}

// jobTally counts more than a tally does.
type jobTally struct {
	tally
	onCount     int // bays closed that were counted
	held, holds int // sections with a lower tolerance, and those in which it holds
	hid, hidden int // voids, and those at most as long as could be hidden
	open        int // of them kept open
	swapFalse   int // sections in which a swapped pair is named
	contrary    int // sections whose totals contradict
}

func (t *jobTally) section(s *Section, r *Result, truths []truth, w *jobWorld) {
	t.jobs++
	told := suspicions(s.Lots, *r)
	t.count(told, s.Lots, *r)
	if len(r.Pairs) > 0 {
		t.swapFalse++
	}
	if contradicted(r, w) {
		t.contrary++
	}
	for i := range s.Lots {
		p := &r.Lots[i]
		counted := s.Lots[i].PerBag > 0
		closed := p.ProbAtTarget >= confidence && told[i] == "" && !r.MeanOver && !(counted && contradicted(r, w))
		t.bay(truths[i], p.ProbAtTarget, closed, false, told[i])
		if closed && counted {
			t.onCount++
		}
		if truths[i].empty > 0 {
			t.hid++
			if truths[i].empty <= p.CouldHide {
				t.hidden++
			}
			if !closed {
				t.open++
			}
		}
	}
	if x := r.Process.LowerTolerance; !math.IsNaN(x) {
		t.held++
		if x/lb <= w.mean(0, w.bays, rand.New(rand.NewPCG(0, 0)))-1.6449*w.spread {
			t.holds++
		}
	}
}

// contradicted tells whether the log holds more than the empties, of the section or of the job, can
// explain by honest readings.
func contradicted(r *Result, w *jobWorld) bool {
	for _, t := range []*totals{r.own, r.job} {
		if t != nil && t.over > t.u*TotalsLimit(t.u*t.u-w.total*w.total/3, w.total) {
			return true
		}
	}
	return false
}
