package plan

import (
	"math"

	"bayproof/model"
	"bayproof/verify"
)

// massStep is how finely the marks of a weighed bay are said, in kg: half a pound.
const massStep = model.Pound / 2

// newSection starts the plan of a section. From three filled bays on, mean and spread are the crew's own.
func newSection(f *verify.Findings, s *model.Section, bays []Bay) Section {
	set := &s.Settings
	sec := Section{
		Section: s, Bays: len(bays), BagsUsed: math.NaN(),
		Aim: set.Aim, Target: set.Target, Ceiling: set.Ceiling,
		Mean: set.Aim, SD: spreadShare * set.Target, meanU: crewMeanOff * set.Aim,
		counting: countingOf(f.Job, s),
	}
	for i := range f.Sections {
		g := &f.Sections[i]
		if g.Section != s || g.Bays == 0 {
			continue
		}
		sec.BagsUsed = g.Bags
		if g.Bays >= weighFirst && g.Mean > 0 && g.SD > 0 {
			sec.Mean, sec.SD, sec.FromLog = g.Mean, g.SD, true
			sec.meanU = math.Hypot(g.SD, g.U) / math.Sqrt(float64(g.Bays))
		}
	}
	return sec
}

// countingOf is how a section's bags are counted: as the settings say, else running where its log has a counter.
func countingOf(job *model.Job, s *model.Section) model.Counting {
	if s.Settings.Counting != model.CountingUnsaid {
		return s.Settings.Counting
	}
	for i := range job.Log {
		if e := &job.Log[i]; e.Section == s.Name && e.Material.Kind == model.MaterialCounter {
			return model.CountingRunning
		}
	}
	return model.CountingEnds
}

// fill completes one bay: what it takes at the aim, its marks, the void that would stay unseen.
func (sec *Section) fill(b *Bay) {
	set := &b.Section.Settings
	g := newGauge(set, sec.counting)
	b.Mass = sec.Aim * b.Volume
	b.Bags = b.Mass / g.bag
	b.Marks = Marks{math.NaN(), math.NaN(), math.NaN()}
	if g.bag > 0 && g.step > 0 {
		b.Marks = g.marks(b, set, g.step*g.bag).times(g.step)
	}
	weighed := g
	weighed.weigh = set.WeighWithin
	b.MarksMass = weighed.marks(b, set, massStep).times(massStep)
	b.Blind = sec.blind(b, g)
}

// blind returns the blind length in m: 3.29·√(u² + τ² + u_μ²)/μ of the length, u at the section's mean density, u_μ for
// as many bays as the section has. It is never more than the bay.
func (sec *Section) blind(b *Bay, g gauge) float64 {
	own, _ := g.uDensity(b, sec.Mean*b.Volume, 0)
	uMean := math.Hypot(own, sec.SD) / math.Sqrt(float64(max(sec.Bays, 1)))
	share := detection * math.Sqrt(own*own+sec.SD*sec.SD+uMean*uMean) / sec.Mean
	return math.Min(share, 1) * b.Length
}

// sum adds up the bays.
func (sec *Section) sum(bays []Bay) {
	sec.BlindMin, sec.BlindMax = math.Inf(1), math.Inf(-1)
	for i := range bays {
		b := &bays[i]
		sec.Volume += b.Volume
		sec.Mass += b.Mass
		sec.Bags += b.Bags
		sec.BlindMin, sec.BlindMax = math.Min(sec.BlindMin, b.Blind), math.Max(sec.BlindMax, b.Blind)
		if !b.Typical {
			sec.Sized++
		}
		if b.Filled {
			sec.Filled++
		}
	}
}
