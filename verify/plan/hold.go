// Bays to leave open for an inspector: a reproducible random draw by place in fill order.

package plan

import (
	"slices"

	"bayproof/model"
	"bayproof/verify/stat"
)

// Held is one bay to leave open for an inspector: the one that is filled as the Place-th of its
// section, whatever it is called then.
type Held struct {
	Section *model.Section
	Place   int    // in the section's fill order, from 1
	Name    string // as it is called, or will be if names count on
}

// hold draws opt.Hold bays without replacement, each bay of the job as likely as any other: the
// first ones of a random permutation of the bays in section order, seeded with opt.Seed, so that
// the same job size and seed give the same places. All of them where fewer are there. It is drawn
// by place in fill order, so that nobody can steer it by naming bays.
func hold(p *Plan, opt Options) []Held {
	var all []Held
	for i := range p.Sections {
		names := placeNames(p, p.Sections[i].Section)
		if n := p.Sections[i].Section.Expected; n > 0 && n < len(names) {
			names = names[:n] // what the table counts, so that bays nobody counted do not move the draw
		}
		for k, name := range names {
			all = append(all, Held{Section: p.Sections[i].Section, Place: k + 1, Name: name})
		}
	}
	drawn := stat.Rand(opt.Seed).Perm(len(all))[:min(max(opt.Hold, 0), len(all))]
	slices.Sort(drawn)
	held := make([]Held, 0, len(drawn))
	for _, k := range drawn {
		held = append(held, all[k])
	}
	return held
}

// placeNames returns the names of a section's bays by place in fill order: the filled ones as they
// were filled, then the rest as planned.
func placeNames(p *Plan, s *model.Section) []string {
	var filled []*model.Bay
	var rest []string
	for i := range p.Bays {
		b := &p.Bays[i]
		switch {
		case b.Section != s:
		case b.Filled:
			filled = append(filled, b.Bay)
		default:
			rest = append(rest, b.Name)
		}
	}
	slices.SortStableFunc(filled, func(a, b *model.Bay) int { return a.Order - b.Order })
	names := make([]string, 0, len(filled)+len(rest))
	for _, b := range filled {
		names = append(names, b.Name)
	}
	return append(names, rest...)
}
