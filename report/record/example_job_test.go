package record

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"strings"
	"time"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/measure"
)

// exampleSection is a run of bays of the invented boathouse.
type exampleSection struct {
	name, kind           string
	shape                model.Shape
	w, d, l, l2          float64 // in, in, ft, ft
	densities            []float64
	expected             int
	unvented             model.Answer
	zone                 string
	labelR, impermeableR float64
}

func exampleSections() []exampleSection {
	return []exampleSection{
		{"north slope", "rafter", model.ShapeBox, 22.5, 5.5, 15.5, nan(), []float64{3.85, 3.79, 3.92, 3.88, 3.41, 3.83, 3.70, 3.21, 3.95, 3.86, 4.02, 3.77, 3.84, 4.71}, 15, model.Yes, "5A", 20, 20},
		{"hip end", "rafter", model.ShapeBox, 22.5, 5.5, 12, 10, []float64{3.80, 3.91, 3.74, 3.62, 3.88, 3.55, 3.97, 3.82}, 8, model.Yes, "5A", 20, 5},
		{"under board", "rafter", model.ShapeTaper, 22.5, 2.5, 14, nan(), []float64{3.66, 3.90, 3.58, 4.05, 3.77, 3.49}, 6, model.No, "5A", nan(), nan()},
		{"knee wall", "knee wall", model.ShapeWedge, 14.5, 18, 4, nan(), []float64{3.82, 3.75, 3.93, nan(), 3.88}, 5, model.Unsaid, "", nan(), nan()},
		{"stair wall", "wall", model.ShapeBox, 14.5, 3.5, 8, nan(), []float64{3.72, 3.72, 3.72, 3.81, 3.81, 3.81}, -1, model.Unsaid, "", 13, nan()},
	}
}

// exampleFindings is a job that no reader read and no rule judged: numbers of the right size in
// every field, so that the page can be looked at and its parts tested by themselves.
func exampleFindings() *verify.Findings {
	job := &model.Job{Name: "Old boathouse", Settings: exampleSettings()}
	f := &verify.Findings{Job: job, RuleUsed: model.RuleProcess}
	var log strings.Builder
	log.WriteString("section,bay,entry,width,depth,length,length2,bags,reach,stall,probe,at,photo,by,note,time\n")
	line, start := 1, time.Date(2026, 5, 12, 8, 30, 0, 0, time.UTC)
	for _, es := range exampleSections() {
		s := exampleModelSection(es, job.Settings)
		job.Sections = append(job.Sections, s)
		vs := verify.Section{Section: s, Expected: es.expected, Measured: 2, Area: 0, Covers: s.Covers}
		for i, rho := range es.densities {
			line++
			b := exampleBay(es, s, i, rho, line, start.Add(time.Duration(line)*9*time.Minute))
			job.Bays = append(job.Bays, b.Bay)
			for _, row := range b.Bay.Rows {
				job.Log = append(job.Log, *row)
			}
			for _, row := range b.Bay.Rows {
				log.WriteString(strings.Join(row.Cells, ",") + "\n")
				line = max(line, row.Src.Line)
			}
			f.Bays = append(f.Bays, b)
			addTo(&vs, &b)
		}
		finish(&vs, f, s)
		f.Sections = append(f.Sections, vs)
	}
	raw := []byte(log.String())
	settings := []byte("name,value\njob,Old boathouse\nsite,\"Landing 3, invented\"\nbag_weight,25 lb\n")
	job.Inputs = []model.Input{exampleInput("job.csv", settings), exampleInput("bays.csv", raw)}
	job.Photos = []model.Photo{{Name: "b5-rod.jpg", SHA256: strings.Repeat("ab", 32), Bytes: 812345, Taken: start.Add(3 * time.Hour)}}
	f.Totals = exampleTotals(f)
	rho := f.Bays[0].Density
	f.Bays[0].Cores = []verify.Core{{
		Core:    &model.Core{Kind: "core", At: 5 * model.Foot, By: "ro", Date: "2026-05-12", Photo: "b1-core.jpg", Src: model.Place{Source: model.Source{File: "cores.csv", Line: 2}, Row: 2}},
		Density: rho * 1.01, U: 0.06 * rho, Lo: (1.01 - 1.96*0.06) * rho, Hi: (1.01 + 1.96*0.06) * rho, Agrees: model.Yes,
	}}
	f.Priors = []verify.Constant{
		{Name: "μ/target", Value: "N(1.057, 0.10)", Unit: "1", Source: "fixed in the code", Use: "mean density of a section's bays before any is counted"},
		{Name: "τ/target", Value: "log-normal, median 0.035, σ 0.7", Unit: "1", Source: "fixed in the code", Use: "spread between a section's bays"},
	}
	f.Warnings = []verify.Warning{{Code: "photo-missing", Text: "b9.jpg is named and not in photos/", Src: model.Place{Source: model.Source{File: "bays.csv", Line: 10}}}}
	return f
}

func exampleInput(name string, raw []byte) model.Input {
	sum := sha256.Sum256(raw)
	return model.Input{File: name, SHA256: hex.EncodeToString(sum[:]), Raw: raw}
}

func exampleSettings() model.Settings {
	return model.Settings{
		Job: "Old boathouse", Site: "Landing 3, invented", Crew: "Blue truck", Installer: "R. Example", Program: "Example programme", WorkOrder: "B-17", Date: "2026-05-12",
		Material: "cellulose", Manufacturer: "Example maker", Product: "stabilised loose fill", Lot: "L-204",
		Target: 3.5 * model.PoundPerCubicFoot, Aim: 3.7 * model.PoundPerCubicFoot, Ceiling: 4.5 * model.PoundPerCubicFoot,
		Confidence: 0.95, Counting: model.CountingEnds, BagWeight: 25 * model.Pound, BagWithin: 0.015, BagStep: 0.25, WeighWithin: model.Pound,
		WidthWithin: model.Inch / 8, DepthWithin: model.Inch / 4, LengthWithin: model.Inch / 2, Throw: model.Foot,
		BagsLoaded: 60, BagsLeft: 3, BlowerPressure: 85 * 249.089, CFM50Before: nan(), CFM50After: nan(),
		From: map[string]model.Origin{"job": model.OriginJob, "bag_weight": model.OriginJob, "confidence": model.OriginDefault, "depth_within": model.OriginFlag},
		Raw:  map[string]string{"job": "Old boathouse", "bag_weight": "25 lb", "depth_within": "3/8"},
	}
}

func exampleModelSection(es exampleSection, s model.Settings) *model.Section {
	return &model.Section{
		Name: es.name, Listed: true, Kind: es.kind, Expected: es.expected, Covers: 300 * model.SquareFoot, Spacing: 24 * model.Inch,
		Face: "netting", BagsUsed: nan(), LabelR: es.labelR, Unvented: es.unvented, ClimateZone: es.zone, AirImpermeableR: es.impermeableR * model.RValue, Settings: s,
	}
}

func reading(v, unit float64, raw, _ string) model.Reading {
	if math.IsNaN(v) {
		return model.Reading{}
	}
	return model.Reading{State: model.Measured, Values: []float64{v * unit}, Within: nan(), Raw: raw}
}

// exampleBay makes one bay; the zero density is a bay that was forgotten.
func exampleBay(es exampleSection, s *model.Section, i int, rho float64, line int, at time.Time) verify.Bay {
	name := fmt.Sprintf("b%d", i+1)
	p := model.Piece{
		Shape: es.shape, Width: reading(es.w, model.Inch, fmt.Sprint(es.w), "in"), Depth: reading(es.d, model.Inch, fmt.Sprintf("%g; %g", es.d, es.d+0.125), "in"),
		Length: reading(es.l, model.Foot, fmt.Sprint(es.l), "ft"), Length2: reading(es.l2, model.Foot, fmt.Sprint(es.l2), "ft"), Bulge: model.Reading{},
	}
	length := es.l
	if !math.IsNaN(es.l2) {
		length = (es.l + es.l2) / 2
	}
	v := es.w / 12 * es.d / 12 * length * model.CubicFoot
	if es.shape == model.ShapeWedge {
		v /= 2
	}
	b := verify.Bay{Volume: v, Sized: i%3 == 0, Further: new(verify.Further)}
	b.Bay = &model.Bay{Section: s, Name: name, Pieces: []*model.Piece{&p}, Order: i + 1, Dead: map[*model.Entry]string{}}
	if math.IsNaN(rho) {
		row := exampleRow(s.Name, name, "size", line, at, "", es)
		b.Bay.Rows = []*model.Entry{row}
		b.Bay.Order = 0
		b.Density, b.U, b.Mass, b.Bags, b.Lo, b.Hi, b.ProbAtTarget, b.ProbMeasured = nan(), nan(), nan(), nan(), nan(), nan(), nan(), nan()
		b.AddMass, b.EmptyLength, b.CouldHide = nan(), nan(), nan()
		return b
	}
	b.State = verify.Filled
	b.Density = rho * model.PoundPerCubicFoot
	b.Mass = b.Density * v
	b.Bags = b.Mass / (25 * model.Pound)
	b.U = 0.13 * model.PoundPerCubicFoot
	b.DOF, b.Level = 23.4, 0.95
	b.Lo, b.Hi = b.Density-2.07*b.U, b.Density+2.07*b.U
	b.ProbMeasured = 0.5 + 0.5*math.Erf((b.Density-s.Settings.Target)/b.U/math.Sqrt2)
	b.ProbAtTarget = math.Min(0.999, b.ProbMeasured*1.05)
	b.Budget = []measure.Share{{Input: "bags", Share: 0.71}, {Input: "depth", Share: 0.2}, {Input: "bag_weight", Share: 0.06}, {Input: "width", Share: 0.02}, {Input: "length", Share: 0.01}}
	b.CouldHide = 2.1 * model.Foot
	b.AddMass, b.AddBags, b.AddDensity = nan(), nan(), nan()
	b.EmptyLength, b.EmptyLengthLo, b.EmptyLengthHi = nan(), nan(), nan()
	exampleVerdict(&b, rho)
	row := exampleRow(s.Name, name, "fill", line, at, s.Settings.Date, es)
	row.Material = model.Material{Kind: model.MaterialBags, Bags: b.Bags, Raw: fmt.Sprintf("%.2f", b.Bags)}
	row.Hole = []float64{es.l * 0.9 * model.Foot}
	row.Reach = []float64{(es.l - 1.5) * model.Foot}
	b.Bay.Fill = row
	b.Bay.Rows = []*model.Entry{row}
	b.Bay.Moves = []*model.Entry{row}
	b.Logged = &verify.Closing{Row: row, Verdict: b.Verdict, Density: b.Density, ProbAtTarget: b.ProbAtTarget}
	if i == 4 {
		exampleAmendment(&b, s, name, line, at, es)
	}
	if i == 0 && es.name == "north slope" {
		closed := exampleRow(s.Name, name, "closed", line+1, at.Add(40*time.Minute), "", es)
		b.State, b.VerdictToday, b.ProbToday = verify.Closed, b.Verdict, b.ProbAtTarget
		b.Bay.Rows = append(b.Bay.Rows, closed)
		b.Closings = []verify.Closing{{Row: closed, Verdict: verify.Close, Density: b.Density, ProbAtTarget: b.ProbAtTarget}}
		row.Photos = []string{"b5-rod.jpg"}
	}
	return b
}

func exampleAmendment(b *verify.Bay, s *model.Section, name string, line int, at time.Time, es exampleSection) {
	old := b.Bay.Fill
	amended := exampleRow(s.Name, name, "amend", line+1, at.Add(42*time.Minute), "", es)
	amended.Kind = model.EntryAmend
	amended.Material = model.Material{Kind: model.MaterialBags, Bags: old.Material.Bags + 0.25, Raw: fmt.Sprintf("%.2f", old.Material.Bags+0.25)}
	amended.Reach, amended.Hole = old.Reach, old.Hole
	b.Bay.Fill, b.Bay.Rows, b.Bay.Moves = amended, []*model.Entry{old, amended}, []*model.Entry{amended}
	b.Bay.Dead[old] = "amended"
	b.Amended = []verify.Amendment{{Row: amended, Replaced: old, Minutes: 42}}
}

func exampleRow(section, bay, entry string, line int, at time.Time, _ string, es exampleSection) *model.Entry {
	kinds := map[string]model.EntryKind{"size": model.EntrySize, "fill": model.EntryFill, "amend": model.EntryAmend, "closed": model.EntryClosed}
	cells := []string{section, bay, entry, fmt.Sprint(es.w), fmt.Sprint(es.d), fmt.Sprint(es.l), "", "2 1/4", "14", "yes", "", "", "", "RE", "", at.Format(time.RFC3339)}
	return &model.Entry{
		Src: model.Source{File: "bays.csv", Line: line}, Section: section, Bay: bay, Kind: kinds[entry], By: "RE", Time: at, Cells: cells,
	}
}

func exampleVerdict(b *verify.Bay, rho float64) {
	lengthFt := b.Bay.Pieces[0].Length.Mean()
	switch {
	case rho < 3.3:
		b.Verdict = verify.Add
		b.ProbAtTarget = 0.02
		b.AddMass, b.AddBags, b.AddDensity = 8*model.Pound, 0.32, 3.7*model.PoundPerCubicFoot
		b.Reasons = []verify.Reason{{Code: "short", Data: []verify.Datum{{Key: "density", Value: b.Density, Dim: verify.Density}}}}
		b.Now = verify.Order{Action: verify.ActBlow, Data: []verify.Datum{{Key: "mass", Value: b.AddMass, Dim: verify.Mass}, {Key: "mass_most", Value: 2 * b.AddMass, Dim: verify.Mass}}}
	case rho < 3.5:
		b.Verdict = verify.Probe
		b.EmptyLength, b.EmptyLengthLo, b.EmptyLengthHi = 0.12*lengthFt, 0.06*lengthFt, 0.18*lengthFt
		b.Reasons = []verify.Reason{{Code: "short-of-crew", Data: []verify.Datum{{Key: "empty_length", Value: b.EmptyLength, Dim: verify.Length}}}}
		b.Now = verify.Order{Action: verify.ActLook, Data: []verify.Datum{{Key: "at", Value: 0.9 * lengthFt, Dim: verify.Length}, {Key: "with", Text: "rod", Dim: verify.Name}, {Key: "way", Text: "along", Dim: verify.Name}}}
	case rho > 4.5:
		b.Verdict = verify.Probe
		b.Reasons = []verify.Reason{{Code: "over-full", Data: []verify.Datum{{Key: "density", Value: b.Density, Dim: verify.Density}}}}
		b.Now = verify.Order{Action: verify.ActMeasure, Data: []verify.Datum{{Key: "dimension", Text: "depth", Dim: verify.Name}, {Key: "places", Value: 3}}}
	case rho < 3.65:
		b.Verdict = verify.Measure
		b.ProbAtTarget, b.Basis = 0.81, verify.Crew
		b.Reasons = []verify.Reason{{Code: "target-not-shown"}, {Code: "no-stall", Answered: verify.Answer{Code: "rod-firm"}}}
		b.Now = verify.Order{Action: verify.ActBlow, Data: []verify.Datum{{Key: "mass", Value: 2 * model.Pound, Dim: verify.Mass}, {Key: "mass_most", Value: 6 * model.Pound, Dim: verify.Mass}}}
	default:
		b.Verdict, b.ProbAtTarget, b.Basis = verify.Close, 0.97, verify.Crew
		if rho > 3.85 {
			b.Basis = verify.Own
		}
	}
}

func addTo(s *verify.Section, b *verify.Bay) {
	s.Area += 0.5715 * b.Bay.Pieces[0].Length.Mean()
	if math.IsNaN(b.Density) {
		return
	}
	s.Bays++
	s.Volume += b.Volume
	s.Mass += b.Mass
	s.Bags += b.Bags
}

func finish(s *verify.Section, f *verify.Findings, ms *model.Section) {
	set := ms.Settings
	s.MassRequired = s.Volume * set.Target
	s.BagsRequired = s.MassRequired / set.BagWeight
	s.Density, s.U, s.ProbAtTarget = s.Mass/s.Volume, 0.04*model.PoundPerCubicFoot, 0.99
	s.Lo, s.Hi = s.Density-1.96*s.U, s.Density+1.96*s.U
	s.Mean, s.SD = s.Density*1.003, 0.1*model.PoundPerCubicFoot
	s.LowerTolerance, s.Emptied = s.Mean-2.2*s.SD, nan()
	if s.Expected > 0 {
		s.Missing = s.Expected - len(baysIn(f, ms))
	}
	if s.Bays < 8 {
		return
	}
	s.Drift = verify.Drift{Method: "ewma", Slope: -0.1, USlope: 0.08, Z: -1.2}
	ew := s.Mean
	for i, b := range baysIn(f, ms) {
		ew += 0.3 * (b.Density - ew)
		w := set.Target * 0.02 * (1 + math.Min(float64(i), 5)/5)
		s.Drift.Points = append(s.Drift.Points, verify.DriftPoint{Bay: b.Bay, EWMA: ew, Lo: s.Mean - w, Hi: s.Mean + w})
	}
}

func baysIn(f *verify.Findings, s *model.Section) []*verify.Bay {
	var out []*verify.Bay
	for i := range f.Bays {
		if f.Bays[i].Bay.Section == s {
			out = append(out, &f.Bays[i])
		}
	}
	return out
}

func exampleTotals(f *verify.Findings) verify.Totals {
	t := verify.Totals{NotInLog: 1, UnaccountedBags: 0.5}
	for _, b := range f.Bays {
		t.Bays++
		if b.State == verify.NotFilled {
			t.NotFilled++
			continue
		}
		switch b.Verdict {
		case verify.Close:
			t.Close++
			if b.Basis == verify.Own {
				t.CloseOwn++
			} else {
				t.CloseCrew++
			}
		case verify.Add:
			t.Add++
		case verify.Probe:
			t.Probe++
		default:
			t.Measure++
		}
		t.Volume += b.Volume
		t.Mass += b.Mass
		t.Bags += b.Bags
	}
	for _, s := range f.Sections {
		t.MassRequired += s.MassRequired
	}
	return t
}
