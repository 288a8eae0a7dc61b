package prompt

import (
	"bayproof/model"
)

// columnOf is the column that a figure of material stands in: a figure with a unit of mass alone is a weight.
func (s *Session) columnOf(mass string) string {
	units := s.job.Settings.Units
	if mass != "shared" && !reads("bags", mass, units) && reads("weight", mass, units) {
		return "weight"
	}
	return s.column()
}

// column is the column of a bare figure here: as the section's last fill, else the counter on the truck sheet and where
// the job counts by a running counter, else bags.
func (s *Session) column() string {
	bays := baysOf(s.job, s.section)
	for i := len(bays) - 1; i >= 0; i-- {
		b := bays[i]
		if b.Fill == nil || b.Fill.Material.Kind == model.MaterialWeight {
			continue
		}
		if b.Fill.Material.Kind == model.MaterialCounter {
			return "counter"
		}
		return "bags"
	}
	counting := s.job.Settings.Counting
	if sec := s.find(s.section); sec != nil {
		counting = sec.Settings.Counting
	}
	if s.opt.Sheet == Truck || counting == model.CountingRunning {
		return "counter"
	}
	return "bags"
}
