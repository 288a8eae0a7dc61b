package audit

import (
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// lot is one mass that one row brought, and the bays that it filled.
type lot struct {
	section  int
	volume   float64 // m³, as measured
	bags     float64 // counted in steps; NaN where it was weighed or carries a part bag
	mass     float64 // kg as weighed, of a whole lot or of a part bag; NaN where nothing was weighed
	step     float64 // bags: the step that the log shows
	counting model.Counting
	follows  bool // its count starts where the one before ended
	order    int
}

// lotsOf adds the lots that exactly one row filled, by section in fill order.
func lotsOf(out []lot, f *verify.Findings) []lot {
	out = slices.Grow(out, len(f.Bays))
	used := stepsUsed(f)
	last := 0
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.State != verify.Filled && b.State != verify.Closed || b.Bay.Fill == nil || len(b.Bay.Moves) != 1 {
			continue
		}
		m := &b.Bay.Moves[0].Material
		if m.Shared || !math.IsNaN(m.Within) {
			continue
		}
		last = sectionAt(f, b.Bay.Section, last)
		l := lot{section: last, volume: b.Volume, bags: math.NaN(), mass: math.NaN(), step: used[last], counting: b.Bay.Section.Settings.Counting, order: b.Bay.Order}
		if !l.take(m) || !l.gather(f, b) {
			continue
		}
		out = append(out, l)
	}
	return out
}

// take reads a row's material.
func (l *lot) take(m *model.Material) bool {
	switch m.Kind {
	case model.MaterialBags:
		l.bags = m.Bags
		if m.Part != 0 {
			l.bags, l.mass = math.NaN(), math.Abs(m.Part)
		}
	case model.MaterialCounter:
		l.bags, l.counting, l.follows = m.Bags-m.Prev, model.CountingRunning, true
	case model.MaterialWeight:
		l.mass = m.Mass
	}
	return l.bags > 0 || l.mass > 0
}

// gather adds the volumes of the bays that share the count.
func (l *lot) gather(f *verify.Findings, b *verify.Bay) bool {
	for _, o := range b.SharedWith {
		l.volume += o.Volume()
		if len(o.Moves) > 1 {
			return false
		}
	}
	return l.volume > 0
}

// stepsUsed are the steps of the sections as the log shows them.
func stepsUsed(f *verify.Findings) []float64 {
	out := make([]float64, len(f.Sections))
	for i := range f.Sections {
		out[i] = f.Sections[i].Section.Settings.BagStep
	}
	for i := range f.Warnings {
		w := &f.Warnings[i]
		if w.Code != verify.StepDoubled {
			continue
		}
		for s := range f.Sections {
			if f.Sections[s].Section.Name == w.Section {
				out[s] = value(w.Data, "used")
			}
		}
	}
	return out
}

func cloned(s string) string { return strings.Clone(s) }
