package plan

import (
	"slices"

	"bayproof/model"
)

// Held is one bay to leave open for an inspector: the one that is filled as the Place-th of its section, whatever it is
// called then.
type Held struct {
	Section *model.Section
	Place   int    // in the section's fill order, from 1
	Name    string // as it is called, or will be if names count on
}

// hold draws bays without replacement, each bay of the job as likely as any other (Fisher–Yates over the bays in
// section order): the same job size and seed give the same places. It is drawn by place in fill order, so that nobody
// can steer it by naming bays.
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
	n := min(max(opt.Hold, 0), len(all))
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	r := splitMix(opt.Seed)
	for i := len(order) - 1; i > 0; i-- {
		j := r.below(uint64(i + 1))
		order[i], order[j] = order[j], order[i]
	}
	order = order[:n]
	slices.Sort(order)
	held := make([]Held, n)
	for i, k := range order {
		held[i] = all[k]
	}
	return held
}

// placeNames returns the names of a section's bays by place in fill order: the filled ones as they were filled, then
// the rest as planned.
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

// splitMix is the generator SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number generators, OOPSLA
// 2014): one seed, one sequence, on every machine and in every version.
type splitMix uint64

func (r *splitMix) next() uint64 {
	*r += 0x9e3779b97f4a7c15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// below returns a number from 0 to n−1, each as likely: what would make the low ones likelier is drawn again.
func (r *splitMix) below(n uint64) uint64 {
	for limit := -n % n; ; {
		if x := r.next(); x >= limit {
			return x % n
		}
	}
}
