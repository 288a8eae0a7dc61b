package verify

import (
	"math"
	"slices"

	"bayproof/model"
	"bayproof/verify/measure"
)

// warn gathers what is worth knowing and holds no verdict: the reader's warnings first.
func (w *work) warn() {
	for _, m := range w.job.Warnings {
		w.f.Warnings = append(w.f.Warnings, Warning{Code: Code(m.Code), Text: m.Text, Src: m.Src, Section: m.Section, Bay: m.Bay})
	}
	w.warnSettings()
	w.warnMeasurement()
	w.warnSections()
	w.warnPhotos()
	w.unaccounted()
}

func (w *work) warnData(c Code, d ...Datum) *Warning {
	w.f.Warnings = append(w.f.Warnings, Warning{Code: c, Data: w.room.datums(d...)})
	return &w.f.Warnings[len(w.f.Warnings)-1]
}

// warnSettings looks at what the job's settings say about the evidence.
func (w *work) warnSettings() {
	st := &w.job.Settings
	if st.BlowerPressure < LeastBlower {
		w.warnData(BlowerLow, Datum{Key: "pressure", Value: st.BlowerPressure, Dim: Pressure})
	}
	if w.rule == model.RuleGuarded && len(w.m.Lots) > 0 {
		w.warnData(CrewNotAsked)
	}
	if st.Spill == 0 && len(w.m.Lots) > 0 {
		w.warnData(SpillNotTaken)
	}
	if st.Flagged() {
		for _, def := range model.SettingDefs() {
			if def.Bears != model.BearsNothing && st.From[def.Name] == model.OriginFlag {
				w.warnData(FlagOverride, Datum{Key: "setting", Text: def.Name, Dim: Name})
			}
		}
	}
	if bag := &w.m.Bag; bag.Weighed > 0 {
		if label := bag.Mass * st.BagWithin / math.Sqrt(3); bag.U > label {
			w.warnData(BagChecksCoarse, Datum{Key: "u", Value: bag.U, Dim: Mass}, Datum{Key: "u_label", Value: label, Dim: Mass})
		}
	}
}

// warnMeasurement looks at what could not be known about the readings.
func (w *work) warnMeasurement() {
	if len(w.m.Lots) == 0 {
		return
	}
	var room [measure.Bulge]string
	unknown := room[:0]
	for d := measure.Width; d < measure.Bulge; d++ {
		if w.m.UnknownSpread(d) {
			unknown = append(unknown, d.String())
		}
	}
	if len(unknown) > 0 {
		w.warnData(SpreadUnknown, Datum{Key: "input", Text: w.inputs.list(unknown), Dim: Name})
	}
	for s, step := range w.m.Steps {
		if step.Used == step.Stated {
			continue
		}
		w.warnData(StepDoubled, Datum{Key: "stated", Value: step.Stated, Dim: Bags}, Datum{Key: "used", Value: step.Used, Dim: Bags},
			Datum{Key: "odd", Value: float64(step.Odd)}, Datum{Key: "counts", Value: float64(step.Counts)},
			Datum{Key: "prob", Value: step.Prob, Dim: Probability}).Section = w.job.Sections[s].Name
	}
}

// warnSections looks at sizes taken over and at faces that bulge.
func (w *work) warnSections() {
	for s := range w.f.Sections {
		sec := &w.f.Sections[s]
		if n := w.inLog(s); sec.Measured < n {
			w.warnData(SizesTakenOver, Datum{Key: "measured", Value: float64(sec.Measured)}, Datum{Key: "bays", Value: float64(n)}).Section = sec.Section.Name
		}
		if f := sec.Section.Face; (f == "netting" || f == "membrane") && sec.Bays > 0 && !w.bulged(s) {
			w.warnData(NoBulge, Datum{Key: "face", Text: f, Dim: Name}).Section = sec.Section.Name
		}
		if sec.Section.VentSpace == model.Yes {
			w.warnVented(s)
		}
	}
}

// warnVented looks whether the typical bay of a vented section, or half of those that were measured, are as deep as a rafter:
// the channel under the sheathing is then in the volume, or has been filled. One bay among others hits such a depth by chance.
func (w *work) warnVented(s int) {
	full, ok := rafterDepth(&w.job.Sections[s].Typical)
	hit, measured := 0, 0
	for i, b := range w.job.Bays {
		if w.m.SectionOf(i) != s || b.Struck || len(b.Pieces) == 0 || b.Pieces[0].Depth.State != model.Measured {
			continue
		}
		measured++
		if d, is := rafterDepth(&b.Pieces[0]); is {
			full, hit = d, hit+1
		}
	}
	if ok || hit > 0 && 2*hit >= measured {
		w.warnData(VentInDepth, Datum{Key: "depth", Value: full, Dim: Size}, Datum{Key: "bays", Value: float64(hit)}).Section = w.job.Sections[s].Name
	}
}

// rafterDepth returns the rafter's depth that a piece was measured as deep as, at either end.
func rafterDepth(p *model.Piece) (float64, bool) {
	for _, r := range [...]*model.Reading{&p.Depth, &p.Depth2} {
		if r.State == model.Measured {
			if full, ok := model.RafterDepth(r.Mean()); ok {
				return full, true
			}
		}
	}
	return 0, false
}

// inLog counts a section's bays in the log that were not withdrawn and have sizes.
func (w *work) inLog(s int) int {
	n := 0
	for i := range w.f.Bays {
		if w.m.SectionOf(i) == s && w.f.Bays[i].State != Struck && len(w.job.Bays[i].Pieces) > 0 {
			n++
		}
	}
	return n
}

func (w *work) bulged(s int) bool {
	for i, b := range w.job.Bays {
		if w.m.SectionOf(i) != s {
			continue
		}
		for k := range b.Pieces {
			if b.Pieces[k].Bulge.State != model.Absent {
				return true
			}
		}
	}
	return false
}

// warnPhotos names the photos that rows of the log or of cores.csv name and the folder lacks.
func (w *work) warnPhotos() {
	look := func(photo string, src model.Source, section, bay string) {
		if !slices.ContainsFunc(w.job.Photos, func(f model.Photo) bool { return model.NamesPhoto(photo, f.Name) }) {
			warning := w.warnData(PhotoMissing, Datum{Key: "photo", Text: photo, Dim: Name})
			warning.Src, warning.Section, warning.Bay = src, section, bay
		}
	}
	for i := range w.job.Log {
		e := &w.job.Log[i]
		for _, p := range e.Photos {
			look(p, e.Src, e.Section, e.Bay)
		}
	}
	for i := range w.job.Cores {
		if c := &w.job.Cores[i]; c.Photo != "" {
			look(c.Photo, c.Src, c.Section, c.Bay)
		}
	}
}
