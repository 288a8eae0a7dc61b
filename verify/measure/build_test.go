package measure_test

import (
	"math"
	"testing"

	"bayproof/model"
	"bayproof/verify/measure"
)

// near compares with a stated tolerance; NaN never is near.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.12g, want %.12g ± %g", what, got, want, tol)
	}
}

// read is a measured size cell; the setting's ± holds.
func read(values ...float64) model.Reading {
	return model.Reading{State: model.Measured, Values: values, Within: math.NaN()}
}

// readWithin is a measured size cell with a ± of its own.
func readWithin(value, within float64) model.Reading {
	return model.Reading{State: model.Measured, Values: []float64{value}, Within: within}
}

// exact are settings without any ± but those that a test sets.
func exact() model.Settings {
	return model.Settings{BagWeight: 1, BagStep: 0.25, Counting: model.CountingEnds, Confidence: 0.95, Target: 1, Aim: 1.06, Ceiling: 1.3,
		BagsLoaded: math.NaN(), BagsLeft: math.NaN()}
}

// builder puts a job together row by row, without files.
type builder struct {
	job *model.Job
}

func newJob(st model.Settings) *builder {
	sec := &model.Section{Name: "s", Expected: -1, BagsUsed: math.NaN(), Settings: st}
	return &builder{&model.Job{Settings: st, Sections: []*model.Section{sec}}}
}

// bay adds a filled bay.
func (b *builder) bay(m model.Material, pieces ...model.Piece) *model.Bay {
	n := len(b.job.Bays)
	e := &model.Entry{Kind: model.EntryFill, Index: n, Material: m}
	bay := &model.Bay{Section: b.job.Sections[0], Fill: e, Moves: []*model.Entry{e}, Rows: []*model.Entry{e}, Order: n + 1}
	for i := range pieces {
		bay.Pieces = append(bay.Pieces, &pieces[i])
	}
	b.job.Bays = append(b.job.Bays, bay)
	return bay
}

func (b *builder) measure() *measure.Measured {
	return measure.Of(b.job, measure.Options{Budget: true})
}

func box(width, depth, length model.Reading) model.Piece {
	return model.Piece{Shape: model.ShapeBox, Width: width, Depth: depth, Length: length}
}

// unitBox has 1 m³ without any ±.
func unitBox() model.Piece { return box(readWithin(1, 0), readWithin(1, 0), readWithin(1, 0)) }

// weighed is a mass with its ±.
func weighed(mass, within float64) model.Material {
	return model.Material{Kind: model.MaterialWeight, Mass: mass, Within: within}
}

// counted is a count of bags read to the step.
func counted(n float64) model.Material {
	return model.Material{Kind: model.MaterialBags, Bags: n, Within: math.NaN()}
}

// countedWithin is a count with a ± of its own.
func countedWithin(n, within float64) model.Material {
	return model.Material{Kind: model.MaterialBags, Bags: n, Within: within}
}

// counter is the reading number k of the running counter after prev.
func counter(prev, now float64, k int) model.Material {
	return model.Material{Kind: model.MaterialCounter, Bags: now, Prev: prev, PrevAt: k - 1, ReadAt: k, Within: math.NaN()}
}

// shareOf is an input's share in a variance.
func shareOf(budget []measure.Share, input string) float64 {
	for _, s := range budget {
		if s.Input == input {
			return s.Share
		}
	}
	return 0
}
