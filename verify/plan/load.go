package plan

import (
	"bayproof/verify/stat"
	"math"
)

// Load is what to bring.
type Load struct {
	Expected float64 // bags that the whole job takes at the aim; NaN without a bag weight
	U        float64 // bags, standard uncertainty: sizes not measured, the crew's mean, the bag weight
	Bags     float64 // whole bags to load for the whole job
	Left     float64 // whole bags still to be loaded for, after those the log counts; equal to Bags before the first
	Used     float64 // bags counted in the log
	Mass     float64 // kg that the job takes at the aim
	Chance   float64 // of not running out
}

// loadOf adds up what is to go in. Sizes that were not measured are taken to be off together within a section, the
// crew's mean and the bag weight for the whole job. Bags in the log are known.
func loadOf(p *Plan) Load {
	l := Load{Chance: loadChance}
	var sizes2, crew, rest, bagWeightShare float64
	for i := range p.Sections {
		sec := &p.Sections[i]
		set := &sec.Section.Settings
		bag := BagWeight(set)
		var off float64
		for j := range p.Bays {
			b := &p.Bays[j]
			if b.Section != sec.Section {
				continue
			}
			l.Mass += b.Mass
			if b.Filled {
				continue
			}
			bags := packTo(sec) * b.Volume / bag / (1 - set.Spill)
			rest += bags
			off += bags * b.UVolume / b.Volume
			crew += bags * sec.meanU / packTo(sec)
		}
		sizes2 += off * off
		bagWeightShare = bagShare(set)
		if sec.BagsUsed > 0 {
			l.Used += sec.BagsUsed
		}
	}
	l.U = math.Sqrt(sizes2 + crew*crew + rest*rest*bagWeightShare*bagWeightShare)
	l.Expected = l.Used + rest
	l.Left = math.Max(0, math.Ceil(rest+stat.NormalQuantile(loadChance)*l.U-1e-9))
	l.Bags = math.Ceil(l.Used + rest + stat.NormalQuantile(loadChance)*l.U - 1e-9)
	return l
}

// packTo returns the density that the rest of the section will be packed to: the crew's own mean once the log shows it.
func packTo(sec *Section) float64 {
	if sec.FromLog {
		return sec.Mean
	}
	return sec.Aim
}
