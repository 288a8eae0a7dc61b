package measure

import (
	"math"

	"bayproof/model"
)

// RareStep is the probability under which an honest reader of the stated step would show so few odd multiples.
const RareStep = 0.01

// Step is the smallest part of a bag that a section's counts are taken to tell apart.
type Step struct {
	Stated, Used float64 // bags
	Counts, Odd  int     // counts looked at, and how many were odd multiples of the stated step
	Prob         float64 // probability that an honest reader shows so few odd multiples; 1 where nothing was tested
}

// tally is one count that may speak about the step: the material of a lot that one row brought.
type tally struct {
	count, volume float64
	fresh         bool
}

// stepsOf finds the step that the log shows, for every stated step of the job. Sections that state the same step are
// looked at together: the habit is the crew's.
func (m *Measured) stepsOf(job *model.Job) {
	m.Steps = Zeroed(m.Steps, len(job.Sections))
	out := m.Steps
	for s, sec := range job.Sections {
		q := sec.Settings.BagStep
		out[s] = Step{Stated: q, Used: q, Prob: 1}
		for p := range s {
			if out[p].Stated == q {
				out[s] = out[p]
				break
			}
		}
		if out[s].Counts == 0 && q > 0 {
			out[s] = shownStep(q, m.tallies(job, q))
		}
	}
}

// tallies gathers the counts of the sections that state step q: lots whose material came in one row, counted in steps.
func (m *Measured) tallies(job *model.Job, q float64) []tally {
	m.memory.tallies = m.memory.tallies[:0]
	for s, sec := range job.Sections {
		if sec.Settings.BagStep != q {
			continue
		}
		fresh := sec.Settings.Counting == model.CountingFresh
		for k := m.Sections[s].From; k < m.Sections[s].To; k++ {
			v := m.Lots[k].sizes.Volume
			if n, ok := steppedCount(&m.Lots[k]); ok && v > 0 {
				m.memory.tallies = append(m.memory.tallies, tally{n, v, fresh})
			}
		}
	}
	return m.memory.tallies
}

// steppedCount returns the count of a lot that exactly one row brought and that was read in steps.
func steppedCount(l *Lot) (float64, bool) {
	var found *model.Entry
	for _, b := range l.Bays {
		for _, e := range b.Moves {
			if e.Material.Shared || e.TopsUpNothing() {
				continue
			}
			if found != nil {
				return 0, false
			}
			found = e
		}
	}
	if found == nil || found.Material.Part != 0 || !math.IsNaN(found.Material.Within) {
		return 0, false
	}
	switch g := &found.Material; g.Kind {
	case model.MaterialBags:
		return g.Bags, g.Bags > 0
	case model.MaterialCounter:
		return g.Bags - g.Prev, g.Bags > g.Prev
	}
	return 0, false
}

// shownStep doubles the step while its odd multiples are too rare for an honest reader, up to one bag.
func shownStep(q float64, t []tally) Step {
	out := Step{Stated: q, Used: q, Counts: len(t), Prob: 1}
	out.Odd = oddMultiples(t, q)
	for odd := out.Odd; 2*out.Used <= 1; odd = oddMultiples(t, out.Used) {
		p := likeliest(t, out.Used, odd)
		if p >= RareStep {
			break
		}
		if out.Used == q {
			out.Prob = p
		}
		out.Used *= 2
	}
	return out
}

// oddMultiples counts those that are not even multiples of q; what falls between multiples was read finer than q.
func oddMultiples(t []tally, q float64) int {
	odd := 0
	for i := range t {
		half := t[i].count / (2 * q)
		if math.Abs(half-math.RoundToEven(half)) > 1e-6 { // which way a half goes does not matter
			odd++
		}
	}
	return odd
}
