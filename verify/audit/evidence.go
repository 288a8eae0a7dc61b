package audit

import (
	"math"
	"slices"

	"bayproof/model"
	"bayproof/verify"
)

// Asks is the evidence that a program asks for. The zero value asks for nothing.
type Asks struct {
	Photos    float64 // share of the filled bays with a photo
	Measured  float64 // share of the bays whose sizes were all measured
	Probes    float64 // share of the filled bays with a probe
	Stalls    float64 // share of the filled bays of which it is said whether the flow stalled
	Cores     int     // core samples or test boxes a job
	BagChecks int     // weighed bags a job
	Blower    bool    // blower pressure
	Signature bool    // installer and date, as they sign for the work
	Counted   bool    // bays counted from outside in every section
	Empties   bool    // bags loaded and left, or empties counted by section
	Times     bool    // a time on every row with material
	LabelR    bool    // the bag label's R-value in every section
}

// Lack is one piece of evidence that was asked for and is not there.
type Lack struct {
	Ask        string // the name of the ask in the program's file
	Have, Want float64
	Share      bool // Have and Want are shares of the bays; else numbers
}

// AskDef explains one ask for help and tables.
type AskDef struct {
	Name  string
	Kind  string // share, number, yes or no
	Means string
	Field func(*Asks) any // *float64, *int or *bool
}

// AskDefs is the table of what a program can ask for, in the order in which lacks are listed.
func AskDefs() []AskDef {
	return []AskDef{
		{"ask_photos", "share", "of the filled bays with a photo that is there", func(a *Asks) any { return &a.Photos }},
		{"ask_measured", "share", "of the bays whose sizes were all measured", func(a *Asks) any { return &a.Measured }},
		{"ask_probes", "share", "of the filled bays with a rod, smoke or infrared look", func(a *Asks) any { return &a.Probes }},
		{"ask_stalls", "share", "of the filled bays of which it is said whether the flow stalled", func(a *Asks) any { return &a.Stalls }},
		{"ask_cores", "number", "of cores and test boxes a job", func(a *Asks) any { return &a.Cores }},
		{"ask_bag_checks", "number", "of weighed bags a job", func(a *Asks) any { return &a.BagChecks }},
		{"ask_blower_pressure", "yes or no", "the blower's pressure", func(a *Asks) any { return &a.Blower }},
		{"ask_signature", "yes or no", "the installer's name and the date, to be signed for", func(a *Asks) any { return &a.Signature }},
		{"ask_counted", "yes or no", "bays counted from outside in every section", func(a *Asks) any { return &a.Counted }},
		{"ask_empties", "yes or no", "bags loaded and left, or empties by section", func(a *Asks) any { return &a.Empties }},
		{"ask_times", "yes or no", "a time on every row with material", func(a *Asks) any { return &a.Times }},
		{"ask_label_r", "yes or no", "the bag label's R-value in every section", func(a *Asks) any { return &a.LabelR }},
	}
}

// Any tells whether anything is asked for.
func (a *Asks) Any() bool { return *a != Asks{} }

// lacks lists what a job lacks, in the order of AskDefs. A share of no bays is not known and counts as lacking.
func (a *Asks) lacks(f *verify.Findings) []Lack {
	if !a.Any() {
		return nil
	}
	held := holdings(f)
	var out []Lack
	for _, d := range AskDefs() {
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

// holdings is the evidence that a job has, by ask: a share, a number, or 1 for yes.
//
// Shares are over the bays that could have the evidence: sizes over all in the log, the rest over those that are filled. What
// is asked of sections every section must have, as one that was forgotten is the one to ask about.
func holdings(f *verify.Findings) map[string]float64 {
	var filled, bays, photos, measured, probes, stalls, untimed float64
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.State == verify.Struck {
			continue
		}
		bays++
		measured += one(b.Sized)
		if b.State == verify.NotFilled {
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
func observed(f *verify.Findings, b *model.Bay) observations {
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
