package prompt

import (
	"fmt"
	"math"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// How far a figure may lie from its neighbours before it is asked about; moves no verdict.
const (
	oddSize   = 1.35 // width, depth: ratio to the nearest one of the section
	oddLength = 1.6
	oddThin   = 0.6  // of the target
	oddDense  = 1.25 // of the ceiling
)

// doubt asks about the first thing in the rows that looks odd; empty where nothing does.
func (s *Session) doubt(rows []Row, job *model.Job, f *verify.Findings) string {
	first := rows[0]
	switch first["entry"] {
	case "size", "fill", "amend":
	default:
		return ""
	}
	b := bayOf(job, first["section"], first["bay"])
	if b == nil || len(b.Pieces) == 0 {
		return ""
	}
	if q := s.doubtSizes(job, b); q != "" {
		return q
	}
	return s.doubtDensity(f, b)
}

// doubtSizes compares what was measured with the section's other bays and its typical one.
func (s *Session) doubtSizes(job *model.Job, b *model.Bay) string {
	p := &b.Pieces[0]
	for _, x := range []struct {
		name  string
		of    func(*model.Piece) model.Reading
		limit float64
		say   func(float64) string
	}{
		{"wide", func(p *model.Piece) model.Reading { return p.Width }, oddSize, s.say.Size},
		{"deep", func(p *model.Piece) model.Reading { return p.Depth }, oddSize, s.say.Size},
		{"long", func(p *model.Piece) model.Reading { return p.Length }, oddLength, s.say.Length},
	} {
		r := x.of(p)
		if r.State != model.Measured {
			continue
		}
		for _, v := range r.Values {
			if near, ok := nearest(job, b, x.of, v); ok && ratio(v, near) > x.limit {
				return fmt.Sprintf("%s: %s %s? bays here are %s;", b.Name, x.say(v), x.name, x.say(near))
			}
		}
	}
	return ""
}

// nearest is the size in the section, the typical bay's among them, that comes closest to v.
func nearest(job *model.Job, b *model.Bay, of func(*model.Piece) model.Reading, v float64) (float64, bool) {
	best, found := 0.0, false
	take := func(p *model.Piece) {
		r := of(p)
		if r.State == model.Absent || len(r.Values) == 0 {
			return
		}
		if m := r.Mean(); !found || ratio(v, m) < ratio(v, best) {
			best, found = m, true
		}
	}
	for _, other := range job.Bays {
		if other.Section == b.Section && other != b && !other.Struck && len(other.Pieces) > 0 {
			take(&other.Pieces[0])
		}
	}
	take(&b.Section.Typical)
	if !found && len(of(&b.Pieces[0]).Values) > 1 {
		return of(&b.Pieces[0]).Mean(), true // alone here: its readings against each other
	}
	return best, found
}

// ratio is how many times one positive number is the other, at least 1.
func ratio(a, b float64) float64 { return math.Exp(math.Abs(math.Log(a / b))) }

// doubtDensity asks about a count that would make the bay nearly empty or impossibly dense.
func (s *Session) doubtDensity(f *verify.Findings, b *model.Bay) string {
	x := of(f, b)
	if x == nil || math.IsNaN(x.Density) || b.Fill == nil {
		return ""
	}
	set := &b.Section.Settings
	if x.Density >= oddThin*set.Target && x.Density <= oddDense*set.Ceiling {
		return ""
	}
	unit := s.say.Of(verify.Density).Name
	aim := s.amount(set.Aim*x.Volume, set)
	return fmt.Sprintf("%s: %s in %s makes %s %s; at the aim it takes %s;", b.Name, materialText(b.Fill), s.say.Volume(x.Volume),
		s.say.Target(x.Density), unit, aim)
}

// of returns the findings of a bay; nil where there are none.
func of(f *verify.Findings, b *model.Bay) *verify.Bay {
	for i := range f.Bays {
		if f.Bays[i].Bay == b {
			return &f.Bays[i]
		}
	}
	return nil
}

// materialText says what a row says went in.
func materialText(e *model.Entry) string {
	m := &e.Material
	switch m.Kind {
	case model.MaterialCounter:
		return "counter " + m.Raw
	case model.MaterialWeight:
		return "weight " + m.Raw
	}
	if strings.Trim(m.Raw, "0123456789./") == "" && m.Raw == "1" {
		return "1 bag"
	}
	return m.Raw + " bags"
}
