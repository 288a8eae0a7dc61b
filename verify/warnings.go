// What is worth knowing and holds no verdict: a figure that rests on less than it seems to, or
// something in the job that contradicts something else.

package verify

import (
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/verify/measure"
)

// warn gathers what is worth knowing and holds no verdict: the reader's warnings first. A warning
// says that a figure rests on less than it seems to, or that something in the job contradicts
// something else; what to do about a bay is never in it.
func (c *check) warn() {
	c.found.Warnings = slices.Grow(c.found.Warnings, len(c.job.Warnings)+4) // of the reader, and of most jobs
	for _, m := range c.job.Warnings {
		c.found.Warnings = append(c.found.Warnings, Warning{Code: Code(m.Code), Text: m.Text, Src: m.Src, Section: m.Section, Bay: m.Bay})
	}
	if !c.opts.Codes {
		c.warnSettings()
	}
	c.warnMeasurement()
	c.warnSections()
	c.warnPhotos()
}

// warning adds one; section and bay are the caller's to fill in.
func (c *check) warning(code Code, data ...Datum) *Warning {
	c.found.Warnings = append(c.found.Warnings, Warning{Code: code, Data: data})
	return &c.found.Warnings[len(c.found.Warnings)-1]
}

// warnSettings looks at what the job's settings say about the evidence.
func (c *check) warnSettings() {
	st := &c.job.Settings
	if st.BlowerPressure < LeastBlower {
		c.warning(BlowerLow, num("pressure", st.BlowerPressure, Pressure))
	}
	if c.rule == model.RuleGuarded && c.measured.Filled() {
		c.warning(CrewNotAsked)
	}
	if st.Spill == 0 && c.measured.Filled() {
		c.warning(SpillNotTaken)
	}
	for _, name := range st.Flagged() {
		c.warning(FlagOverride, named("setting", name))
	}
	c.overruled(st.Overruled, "")
	for _, s := range c.job.Sections {
		own := slices.DeleteFunc(slices.Clone(s.Settings.Overruled), func(o model.Overruled) bool { return slices.Contains(st.Overruled, o) })
		c.overruled(own, s.Name)
	}
	if bag := &c.measured.Bag; bag.Weighed > 0 {
		// Weighing bags is meant to know them better than the label does: its limit as a
		// rectangular one, a/√3.
		if label := bag.Mass * st.BagWithin / math.Sqrt(3); bag.U > label {
			c.warning(BagChecksCoarse, num("u", bag.U, Mass), num("u_label", label, Mass))
		}
	}
}

// overruled says which values of the job's own, or of a section's, the program's terms put aside.
func (c *check) overruled(list []model.Overruled, section string) {
	for _, o := range list {
		w := c.warning(TermsOverride, named("setting", o.Name), named("own", o.Own), named("used", o.Used))
		w.Src, w.Section = o.Src, section
	}
}

// warnMeasurement looks at what could not be known about the readings.
func (c *check) warnMeasurement() {
	if !c.measured.Filled() {
		return
	}
	// A bulge is read once as a rule, and most bays have none: nothing is said about it.
	var unknown []string
	for d := measure.Width; d < measure.Bulge && !c.opts.Codes; d++ {
		if c.measured.UnknownSpread(d) {
			unknown = append(unknown, d.String())
		}
	}
	if len(unknown) > 0 {
		c.warning(SpreadUnknown, named("input", strings.Join(unknown, ", ")))
	}
	for s := range c.measured.Sections {
		step := &c.measured.Sections[s].Step
		if step.Used == step.Stated {
			continue
		}
		c.warning(StepDoubled, num("stated", step.Stated, Bags), num("used", step.Used, Bags),
			num("odd", float64(step.Odd), Number), num("counts", float64(step.Counts), Number),
			num("prob", step.Prob, Probability)).Section = c.job.Sections[s].Name
	}
}

// warnSections looks at sizes taken over and at depths that have the vent space in them.
func (c *check) warnSections() {
	for s := range c.found.Sections {
		sec := &c.found.Sections[s]
		sized := 0 // bays with sizes, measured or taken over
		for _, b := range c.baysOf(s) {
			if len(b.Bay.Pieces) > 0 {
				sized++
			}
		}
		if sec.Measured < sized {
			c.warning(SizesTakenOver, num("measured", float64(sec.Measured), Number), num("bays", float64(sized), Number)).Section = sec.Section.Name
		}
		if sec.Section.VentSpace == model.Yes {
			c.warnVented(s)
		}
	}
}

// warnVented looks whether the typical bay of a vented section, or half of those that were
// measured, are as deep as a rafter: the channel under the sheathing is then in the volume, or has
// been filled. One bay among others hits such a depth by chance.
func (c *check) warnVented(s int) {
	full, ok := rafterDepth(&c.job.Sections[s].Typical)
	hit, measured := 0, 0
	for _, b := range c.baysOf(s) {
		if p := b.Bay.Pieces; len(p) > 0 && p[0].Depth.State == model.Measured {
			measured++
			if d, is := rafterDepth(p[0]); is {
				full, hit = d, hit+1
			}
		}
	}
	if ok || hit > 0 && 2*hit >= measured {
		c.warning(VentInDepth, num("depth", full, Size), num("bays", float64(hit), Number)).Section = c.job.Sections[s].Name
	}
}

// rafterDepth returns the depth of rafter (dressed or full-sawn lumber, within a sixteenth of an
// inch) that a piece was measured as deep as, at either end.
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

// bulged tells whether a bulge of the bay's face is known, measured or taken over.
func bulged(b *model.Bay) bool {
	return slices.ContainsFunc(b.Pieces, func(p *model.Piece) bool { return p.Bulge.State != model.Absent })
}

// warnPhotos names the photos that rows of the log or of cores.csv name and the folder lacks: a
// photo is evidence only where it can be looked at.
func (c *check) warnPhotos() {
	look := func(photo string, src model.Place, section, bay string) {
		if !slices.ContainsFunc(c.job.Photos, func(f model.Photo) bool { return model.NamesPhoto(photo, f.Name) }) {
			m := c.warning(PhotoMissing, named("photo", photo))
			m.Src, m.Section, m.Bay = src, section, bay
		}
	}
	for i := range c.job.Log {
		e := &c.job.Log[i]
		for _, p := range e.Photos {
			look(p, c.job.Place(e.Src), e.Section, e.Bay)
		}
	}
	for i := range c.job.Cores {
		if c := &c.job.Cores[i]; c.Photo != "" {
			look(c.Photo, c.Src, c.Section, c.Bay)
		}
	}
}

// Lack is one piece of evidence that was asked for and is not there.
type Lack struct {
	Ask        string // the name of the ask in the program's file
	Have, Want float64
	Share      bool // Have and Want are shares of the bays; else numbers
}

// Lacks lists what a job lacks of what a program asks for, in the order of model.AskDefs; nil where
// nothing is asked for. A share of no bays is not known and counts as lacking.
func Lacks(a *model.Asks, f *Findings) []Lack {
	if !a.Any() {
		return nil
	}
	held := holdings(f)
	var out []Lack
	for _, d := range model.AskDefs() {
		have, want, share := held[d.Name], 0.0, false
		switch p := d.Field(a).(type) {
		case *float64:
			want, share = *p, true
		case *int:
			want = float64(*p)
		case *bool:
			if *p {
				want = 1
			}
		}
		if want > 0 && !(have >= want-1e-9) {
			out = append(out, Lack{Ask: d.Name, Have: have, Want: want, Share: share})
		}
	}
	return out
}

// lacks tells what the program's terms beside the log ask for and the job lacks, once its totals
// are known.
func (c *check) lacks() {
	if c.job.Terms == nil {
		return
	}
	for _, l := range Lacks(&c.job.Terms.Asks, c.found) {
		share := 0.0
		if l.Share {
			share = 1
		}
		c.warning(EvidenceMissing, named("ask", l.Ask), num("have", l.Have, Number), num("want", l.Want, Number), num("share", share, Number))
	}
}

// LackOf is what such a warning speaks about.
func LackOf(w *Warning) Lack {
	var l Lack
	for _, d := range w.Data {
		switch d.Key {
		case "ask":
			l.Ask = d.Text
		case "have":
			l.Have = d.Value
		case "want":
			l.Want = d.Value
		case "share":
			l.Share = d.Value > 0
		}
	}
	return l
}

// holdings returns the evidence that a job has, by ask: a share from 0 to 1, a number, or 1 for
// yes; NaN for a share of no bays.
//
// Shares are over the bays that could have the evidence: sizes over all in the log, the rest over
// those that are filled. What is asked of sections every section must have, as one that was
// forgotten is the one to ask about.
func holdings(f *Findings) map[string]float64 {
	var filled, bays, photos, measured, probes, stalls, untimed float64
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.State == Struck {
			continue
		}
		bays++
		measured += one(b.Sized)
		if b.State == NotFilled {
			continue
		}
		filled++
		seen := observed(f, b.Bay)
		photos, probes, stalls = photos+one(seen.photo), probes+one(seen.probe), stalls+one(seen.stall)
		untimed += one(seen.untimed)
	}
	counted, empties, label := true, true, true
	for i, s := range f.Job.Sections {
		counted = counted && s.Expected >= 0
		empties = empties && !math.IsNaN(f.Sections[i].Emptied)
		label = label && !math.IsNaN(s.LabelR)
	}
	st := &f.Job.Settings
	return map[string]float64{
		"ask_photos": photos / filled, "ask_measured": measured / bays, "ask_probes": probes / filled, "ask_stalls": stalls / filled,
		"ask_cores": float64(len(f.Job.Cores)), "ask_bag_checks": float64(len(st.BagChecks)),
		"ask_blower_pressure": one(!math.IsNaN(st.BlowerPressure)),
		"ask_signature":       one(st.Installer != "" && st.Date != ""),
		"ask_counted":         one(counted),
		"ask_empties":         one(empties || !math.IsNaN(f.Totals.Emptied)),
		"ask_times":           one(untimed == 0),
		"ask_label_r":         one(label),
	}
}

// one counts: 1 for yes, 0 for no.
func one(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// observations is what a bay's rows say besides sizes and material.
type observations struct{ photo, probe, stall, untimed bool }

// observed gathers what the rows of a bay that still stand say.
func observed(f *Findings, b *model.Bay) observations {
	var o observations
	for _, e := range b.Rows {
		if _, dead := b.Dead[e]; dead {
			continue
		}
		o.photo = o.photo || slices.ContainsFunc(f.Job.Photos, func(p model.Photo) bool { return e.NamesPhoto(p.Name) })
		o.probe = o.probe || e.Probe != model.ProbeNone
		o.stall = o.stall || e.Stall != model.Unsaid
		o.untimed = o.untimed || e.Material.Kind != model.MaterialNone && e.Time.IsZero()
	}
	return o
}
