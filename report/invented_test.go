package report

import (
	"math"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/measure"
)

var nan = math.NaN()

const pcf = model.PoundPerCubicFoot

// inventedFindings is a job that no reader read and no rule judged: figures of the right size for
// every kind of line that a report has.
func inventedFindings() *verify.Findings {
	s := inventedSettings()
	job := &model.Job{Name: "Old boathouse", Settings: s, Inputs: []model.Input{{File: "bays.csv", SHA256: "00ff"}}}
	slope := &model.Section{Name: "north slope", Expected: 14, Settings: s}
	knee := &model.Section{Name: "knee wall", Expected: -1, Settings: s}
	job.Sections = []*model.Section{slope, knee}
	f := &verify.Findings{Job: job, RuleUsed: model.RuleProcess}
	f.Bays = []verify.Bay{
		inventedBay(slope, "b1", 2, 3.92, 0.13, 0.991, verify.Close, verify.Own),
		inventedBay(slope, "b2", 3, 3.62, 0.13, 0.972, verify.Close, verify.Crew),
		added(inventedBay(slope, "b3", 4, 3.12, 0.13, 0.006, verify.Add, verify.Own)),
		unsure(inventedBay(slope, "b4", 5, 3.496, 0.14, 0.81, verify.Measure, verify.Crew)),
		doubted(inventedBay(slope, "b5", 6, 3.58, 0.13, 0.93, verify.Probe, verify.Crew)),
		inventedUnfilled(slope, "b6", 7),
		closedEarly(inventedBay(knee, "k1", 8, 3.45, 0.2, 0.62, verify.Measure, verify.Crew)),
		inventedBay(knee, "left of the chimney flue", 9, 3.98, 0.2, 0.96, verify.Close, verify.Crew),
	}
	for i := range f.Bays {
		job.Bays = append(job.Bays, f.Bays[i].Bay)
	}
	f.Sections = []verify.Section{inventedSection(slope, 5, 14, 8), inventedSection(knee, 2, -1, 0)}
	f.Totals = verify.Totals{Bays: 8, Close: 3, Add: 1, Measure: 2, Probe: 1, NotFilled: 1, NotInLog: 8, CloseOwn: 1, CloseCrew: 2,
		ClosedNotClose: 1, Volume: 46 * model.CubicFoot, Mass: 168 * model.Pound, MassRequired: 161 * model.Pound, Bags: 6.75, UnaccountedBags: 1.5}
	f.Warnings = []verify.Warning{{Code: "unknown-column", Text: "1 column is not used, only kept in the record: color", Src: model.Place{Source: model.Source{File: "bays.csv", Line: 1, Col: 14}, Row: 1, Title: "color"}}}
	return f
}

func inventedSettings() model.Settings {
	return model.Settings{
		Job: "Old boathouse", Site: "Landing 3", Crew: "blue truck", Date: "2026-05-12", Material: "cellulose",
		Target: 3.5 * pcf, Aim: 3.7 * pcf, Ceiling: 4.5 * pcf, Confidence: 0.95, BagWeight: 25 * model.Pound, BagWithin: 0.015, BagStep: 0.125,
		WeighWithin: model.Pound, WidthWithin: model.Inch / 8, DepthWithin: model.Inch / 4, LengthWithin: model.Inch / 2, Throw: model.Foot,
		BagsLoaded: nan, BagsLeft: nan, BlowerPressure: nan, CFM50Before: nan, CFM50After: nan,
		From: map[string]model.Origin{"bag_weight": model.OriginJob, "bag_step": model.OriginJob, "depth_within": model.OriginFlag},
	}
}

func inventedBay(s *model.Section, name string, line int, rho, u, prob float64, v verify.Verdict, basis verify.Basis) verify.Bay {
	row := &model.Entry{Src: model.Source{File: "bays.csv", Line: line}, Section: s.Name, Bay: name}
	volume := 6.6 * model.CubicFoot
	return verify.Bay{
		Bay: &model.Bay{Section: s, Name: name, Rows: []*model.Entry{row}}, State: verify.Filled, Volume: volume, Mass: rho * pcf * volume,
		Bags: 1, Density: rho * pcf, U: u * pcf, DOF: math.Inf(1), Lo: (rho - 1.96*u) * pcf, Hi: (rho + 1.96*u) * pcf, Level: 0.95,
		ProbMeasured: prob, ProbAtTarget: prob, Basis: basis, Verdict: v, VerdictToday: v, ProbToday: prob, AddMass: nan, AddBags: nan, AddDensity: nan,
		EmptyLength: nan, EmptyLengthLo: nan, EmptyLengthHi: nan, CouldHide: 1.4 * model.Foot,
		Further: &verify.Further{Budget: []measure.Share{{Input: "bags", Share: 0.75}, {Input: "depth", Share: 0.25}}},
	}
}

func added(b verify.Bay) verify.Bay {
	b.AddMass, b.AddBags, b.AddDensity = 3.83*model.Pound, 0.153, 3.7*pcf
	b.Reasons = []verify.Reason{{Code: "short", Data: []verify.Datum{{Key: "prob_short", Value: 0.994, Dim: verify.Probability}}}}
	b.Now = blowOf(7*model.Pound, 12*model.Pound)
	return b
}

// blowOf is an order to blow through the hole that is there.
func blowOf(mass, most float64) verify.Order {
	return verify.Order{Action: verify.ActBlow, Minutes: 5, Data: []verify.Datum{
		{Key: "mass", Value: mass, Dim: verify.Mass}, {Key: "mass_most", Value: most, Dim: verify.Mass},
		{Key: "bags", Value: mass / (25 * model.Pound), Dim: verify.Bags}, {Key: "hole", Value: nan, Dim: verify.Length}}}
}

func unsure(b verify.Bay) verify.Bay {
	b.Reasons = []verify.Reason{{Code: verify.NotShown, Data: []verify.Datum{{Key: "prob", Value: 0.81, Dim: verify.Probability}, {Key: "confidence", Value: 0.95, Dim: verify.Probability}}}}
	b.Now = blowOf(3*model.Pound, 8*model.Pound)
	b.NextBay = &verify.Advice{Input: "weight", Prob: 0.98}
	return b
}

func doubted(b verify.Bay) verify.Bay {
	b.EmptyLength, b.EmptyLengthLo, b.EmptyLengthHi = 1.9*model.Foot, 0.8*model.Foot, 3.1*model.Foot
	b.Reasons = []verify.Reason{
		{Code: "no-stall", Answered: verify.Answer{Code: "tube", Row: b.Bay.Rows[0]}},
		{Code: "short-of-crew", Data: []verify.Datum{
			{Key: "rarity", Value: 1. / 60, Dim: verify.Rarity}, {Key: "empty", Value: b.EmptyLength, Dim: verify.Length},
			{Key: "empty_lo", Value: b.EmptyLengthLo, Dim: verify.Length}, {Key: "empty_hi", Value: b.EmptyLengthHi, Dim: verify.Length},
		}},
	}
	b.Now = verify.Order{Action: verify.ActLook, Minutes: 4, Data: []verify.Datum{
		{Key: "at", Value: 12 * model.Foot, Dim: verify.Length}, {Key: "at", Value: 13.5 * model.Foot, Dim: verify.Length},
		{Key: "with", Text: "rod", Dim: verify.Name}, {Key: "with", Text: "hole", Dim: verify.Name}, {Key: "way", Text: "across", Dim: verify.Name},
	}}
	return b
}

func inventedUnfilled(s *model.Section, name string, line int) verify.Bay {
	b := inventedBay(s, name, line, nan, nan, nan, verify.Measure, verify.Own)
	b.State, b.Bags, b.Level, b.CouldHide, b.Budget, b.DOF = verify.NotFilled, nan, nan, nan, nil, nan
	return b
}

func closedEarly(b verify.Bay) verify.Bay {
	b.State = verify.Closed
	row := &model.Entry{Src: model.Source{File: "bays.csv", Line: 11}}
	b.Closings = []verify.Closing{{Row: row, Verdict: verify.Close, Density: b.Density, ProbAtTarget: 0.96}}
	return b
}

func inventedSection(s *model.Section, bays, expected, missing int) verify.Section {
	return verify.Section{Section: s, Bays: bays, Expected: expected, Missing: missing, Measured: bays - 1,
		Volume: float64(bays) * 6.6 * model.CubicFoot, Mass: float64(bays) * 24 * model.Pound, MassRequired: float64(bays) * 23.1 * model.Pound,
		Bags: float64(bays), BagsRequired: float64(bays) * 0.92, Density: 3.64 * pcf, U: 0.05 * pcf, ProbAtTarget: 0.99, Lo: (3.64 - 1.96*0.05) * pcf, Hi: (3.64 + 1.96*0.05) * pcf,
		Mean: 3.83 * pcf, SD: 0.12 * pcf, LowerTolerance: 3.55 * pcf, Area: nan, Covers: nan,
		Drift: verify.Drift{Method: "slope", Slope: -0.002 * pcf, USlope: 0.01 * pcf, Z: -0.2}}
}
