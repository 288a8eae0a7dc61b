package model

// loose names a setting that a section's sizes do not bear, so that it is told once.
type loose struct {
	section *Section
	setting string
}

// checkWithin refuses a _within setting that leaves nothing sure of a size it holds for, as the size's own ± is refused
// in its cell. Pieces are let be: a strip taken away may be thinner than a tape reads. So are the defaults, which nobody
// mistyped.
func (a *Assembler) checkWithin() {
	for _, s := range a.job.Sections {
		a.checkTape(s, &s.Typical)
	}
	var last *Section
	var set bool
	for _, g := range a.order {
		if s := g.bay.Section; s != last {
			last, set = s, setsTape(&s.Settings)
		}
		if set && len(g.bay.Pieces) > 0 && !g.bay.Struck {
			a.checkTape(last, &g.bay.Pieces[0])
		}
	}
}

// setsTape tells whether any of the tape's settings is not the default.
func setsTape(set *Settings) bool {
	return set.From["width_within"] != OriginDefault || set.From["depth_within"] != OriginDefault || set.From["length_within"] != OriginDefault
}

// checkTape checks one bay's sizes against the tape's settings; of two ends the larger counts.
func (a *Assembler) checkTape(s *Section, p *Piece) {
	set := &s.Settings
	file := p.Src.File
	a.checkReading(s, file, &p.Width, &p.Width2, "width", set.WidthWithin)
	a.checkReading(s, file, &p.Depth, &p.Depth2, "depth", set.DepthWithin)
	a.checkReading(s, file, &p.Length, &p.Length2, "length", set.LengthWithin)
}

// checkReading checks one size that the file says; within is in m.
func (a *Assembler) checkReading(s *Section, file string, r, far *Reading, size string, within float64) {
	if r.State != Measured || said(r.Within) || !(within >= least(r)) || longest(far) > within {
		return
	}
	setting := size + "_within"
	from := s.Settings.From[setting]
	if key := (loose{s, setting}); from != OriginDefault && !a.loose[key] {
		if a.loose == nil {
			a.loose = map[loose]bool{}
		}
		a.loose[key] = true
		u := a.job.Settings.Units.Unit(ShowSize)
		a.faultAt(Source{File: file, Line: int(r.Line), Col: int(r.Col)}, setting+" is how far off one reading may be, to either side: look at its unit",
			"%s %.4g %s: %s %.4g %s (%s) reaches down to zero", size, u.In(least(r)), u.Symbol, setting, u.In(within), u.Symbol, from)
	}
}

// least is the least of a reading's values, which has some.
func least(r *Reading) float64 {
	low := r.Values[0]
	for _, v := range r.Values {
		low = min(low, v)
	}
	return low
}
