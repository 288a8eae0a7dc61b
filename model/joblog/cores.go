package joblog

import (
	"math"

	"bayproof/model"
	"bayproof/model/cell"
)

// coreColumns are the columns of cores.csv.
func coreColumns() *knownColumns {
	k := newKnown("cores.csv")
	k.must = []string{"weight"}
	k.add(0, "section", "bay", "kind", "diameter", "depth", "volume", "weight", "at", "by", "date", "photo", "job")
	return k
}

// makeCores reads the rows of cores.csv for a job.
func (r *reader) makeCores(job *model.Job, f *faultList) []model.Core {
	if r.cores == nil {
		return nil
	}
	var out []model.Core
	for _, c := range r.cores.of(job, f) {
		k := model.Core{Section: cell.Name(c.raw("section")), Bay: cell.Name(c.raw("bay")), By: c.text("by"), Date: c.text("date"), Photo: c.text("photo")}
		k.Src = model.Source{File: c.t.sheet.file, Line: c.row.line}
		if k.Kind = c.word("kind", "core", "test box"); k.Kind == "" {
			k.Kind = "core"
		}
		k.Diameter, k.Depth, k.Volume = c.number("diameter"), c.number("depth"), c.number("volume")
		k.Mass, k.At = c.number("weight"), c.number("at")
		if _, bad := cell.Date("date", c.raw("date")); bad != nil {
			c.fault("date", bad.Hint, "%s", bad.What)
		}
		c.coreVolume(&k)
		c.coreBay(job, &k)
		out = append(out, k)
	}
	return out
}

// coreVolume works out the volume that a core was taken from: π/4·diameter²·depth, or as given.
func (c *cells) coreVolume(k *model.Core) {
	round := !math.IsNaN(k.Diameter) && !math.IsNaN(k.Depth)
	switch {
	case math.IsNaN(k.Mass):
		c.fault("weight", "weigh it, in grams", "a core without a weight")
	case math.IsNaN(k.Volume) && round:
		k.Volume = math.Pi / 4 * k.Diameter * k.Diameter * k.Depth
	case math.IsNaN(k.Volume):
		c.fault("volume", "give diameter and depth, or volume", "a core without a volume")
	case round:
		c.fault("volume", "keep one of them", "a core with diameter and depth, and with a volume too")
	}
	if k.Mass > model.Densest*k.Volume {
		c.fault("weight", "a bare weight is in grams; look at the sizes and their units", "weight %s: no loose fill packs to %s",
			c.text("weight"), c.units.Figure(model.ShowDensity, k.Mass/k.Volume))
	}
}

// coreBay checks that the core's bay is in the log. A test box belongs to no bay.
func (c *cells) coreBay(job *model.Job, k *model.Core) {
	if k.Kind == "test box" {
		return
	}
	if k.Bay == "" {
		c.fault("bay", "name the bay that it was taken from", "bay is blank")
		return
	}
	for i := range job.Log {
		if e := &job.Log[i]; e.Bay == k.Bay && e.Section == k.Section {
			return
		}
	}
	c.fault("bay", "write its section and bay as the log does", "core of %s %s, which the log does not name", k.Section, k.Bay)
}

// corePlaces refuses cores that were taken where their bay is not. It needs the bays put together.
func (r *reader) corePlaces(job *model.Job, f *faultList) {
	for i := range job.Cores {
		k := &job.Cores[i]
		if math.IsNaN(k.At) {
			continue
		}
		for _, b := range job.Bays {
			if b.Name == k.Bay && b.Section.Name == k.Section && k.Kind == "core" {
				src := k.Src
				src.Col = r.cores.sheet.field("at") + 1
				if what, hint := b.Beyond("at", k.At, job.Settings.Units); what != "" {
					f.add(src, what, hint)
				}
			}
		}
	}
}
