package verify

import (
	"math"
	"slices"

	"bayproof/model"
)

// Lack is one piece of evidence that was asked for and is not there.
type Lack struct {
	Ask        string // the name of the ask in the program's file
	Have, Want float64
	Share      bool // Have and Want are shares of the bays; else numbers
}

// Lacks lists what a job lacks of what a program asks for, in the order of model.AskDefs; nil where nothing is asked for. A
// share of no bays is not known and counts as lacking.
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

// lacks tells what the program's terms beside the log ask for and the job lacks, once its totals are
// known.
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
