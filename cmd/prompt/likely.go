package prompt

import (
	"math"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/verify/plan"
)

// How far a reading of a line may lie from the bays here before another reading that fits is preferred without asking.
const (
	farSize  = 2.5 // ratio of a size
	farThin  = 0.4 // of the target
	farDense = 1.6 // of the ceiling
)

// likely leaves out readings of a line that no bay could have, where a reading is left that one could.
func (s *Session) likely(fits []draft) []draft {
	if len(fits) < 2 {
		return fits
	}
	var out []draft
	for _, d := range fits {
		if s.possible(d) {
			out = append(out, d)
		}
	}
	if len(out) == 0 {
		return fits
	}
	return out
}

// possible tells whether sizes and material of a draft could be those of a bay here. What cannot be told is possible.
func (s *Session) possible(d draft) bool {
	w, deep, long, ok := s.dims(d)
	if !ok {
		return true
	}
	if like := s.like(d.name); like != nil {
		x := like.Dims()
		if ratio(w, x.Width) > farSize || ratio(deep, x.Depth) > farSize || ratio(long, x.Length) > farSize {
			return false
		}
	}
	mass := s.massOf(d)
	if math.IsNaN(mass) {
		return true
	}
	set := &s.job.Settings
	density := mass / (w * deep * long)
	return density > farThin*set.Target && density < farDense*set.Ceiling
}

// dims are the sizes of a draft of a plain bay.
func (s *Session) dims(d draft) (w, deep, long float64, ok bool) {
	if len(d.sizes) != 3 || d.said["shape"] != "" {
		return 0, 0, 0, false
	}
	var v [3]float64
	for i, name := range sizeNames("") {
		form, _ := cell.Column(name, s.job.Settings.Units)
		var r model.Reading
		if _, bad := form.Reading(d.sizes[i], &r, nil); bad != nil || r.State != model.Measured {
			return 0, 0, 0, false
		}
		v[i] = r.Mean()
	}
	return v[0], v[1], v[2], true
}

// like is a bay to compare with: the one above, else the section's typical one; nil where there is neither.
func (s *Session) like(name string) *model.Piece {
	if b := s.above(name); b != nil {
		return &b.Pieces[0]
	}
	if sec := s.find(s.section); sec != nil && sec.Typical.Volume() > 0 {
		return &sec.Typical
	}
	return nil
}

// massOf is the mass in kg that a draft says went in; NaN where that cannot be told.
func (s *Session) massOf(d draft) float64 {
	form, _ := cell.Column("bags", s.job.Settings.Units)
	var m model.Material
	if d.mass == "" || form.Bags(d.mass, model.MaterialBags, &m) != nil || m.Shared {
		return math.NaN()
	}
	bags := m.Bags
	if last := lastReading(s.job); s.column() == "counter" && last != nil {
		bags -= last.Material.Bags
	}
	return bags*plan.BagWeight(&s.job.Settings) + m.Part
}
