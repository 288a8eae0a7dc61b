package prompt

import (
	"fmt"
	"strings"
)

// draft is an entry of a bay while it is put together.
type draft struct {
	name    string
	kind    string   // entry, empty for the kind that follows from what is said
	sizes   []string // width, depth, length as far as they are said
	mass    string   // the figure of what went in, or empty
	said    Row
	stepped bool // figures were asked for one by one
}

// entry takes the figures and words behind a bay's name.
func (s *Session) entry(name string, t typed) {
	if b := s.bay(name); b != nil && (b.Fill != nil || b.Waiting) && len(t.ways[0]) == 0 && t.amount == "" {
		s.seen(b, t.said)
		return
	}
	s.withFigures(draft{name: name, said: t.said}, t, s.step)
}

// withFigures fills the draft with the figures of a line, asking where they can be read in two ways, and goes on.
func (s *Session) withFigures(d draft, t typed, then func(draft)) {
	fits := s.fitting(d, t)
	switch len(fits) {
	case 0:
		s.sayf("%s", s.misfit(d, t))
	case 1:
		then(fits[0])
	default:
		s.choose(fits, then)
	}
}

// sizeNames are the sizes that a shape is typed with.
func sizeNames(shape string) []string {
	if shape == "round" {
		return []string{"width", "length"}
	}
	return []string{"width", "depth", "length"}
}

// fitting returns the drafts that the line can stand for: all sizes, the amount, or both; each figure must read in its column.
func (s *Session) fitting(d draft, t typed) []draft {
	sizes := sizeNames(d.said["shape"])
	var fits []draft
	for _, way := range t.ways {
		with := d
		switch n := len(way); {
		case n == 0:
		case n == len(sizes):
			with.sizes = way
		case n == len(sizes)+1 && t.amount == "" && d.kind != "size" && s.opt.Sheet != Roof:
			with.sizes, with.mass = way[:n-1], way[n-1]
		case n == 1 && t.amount == "" && d.kind != "size" && s.opt.Sheet != Roof:
			with.mass = way[0]
		default:
			continue
		}
		if s.readable(with, sizes) {
			fits = append(fits, with)
		}
	}
	return s.likely(fits)
}

// readable tells whether every figure reads in its column.
func (s *Session) readable(d draft, sizes []string) bool {
	units := s.job.Settings.Units
	for i, text := range d.sizes {
		if !reads(sizes[i], text, units) {
			return false
		}
	}
	return d.mass == "" || d.mass == "shared" || reads("bags", d.mass, units) || reads("weight", d.mass, units)
}

// misfit says what a line of figures should have been.
func (s *Session) misfit(d draft, t typed) string {
	units := s.job.Settings.Units
	sizes := sizeNames(d.said["shape"])
	for _, way := range t.ways {
		if len(way) != len(sizes) && len(way) != len(sizes)+1 {
			continue
		}
		for i, text := range way {
			column := "bags"
			if i < len(sizes) {
				column = sizes[i]
			}
			if _, bad := plainCell(column, text, units); bad != nil {
				return bad.What + "; " + bad.Hint
			}
		}
	}
	want := strings.Join(sizes, " ")
	if s.opt.Sheet != Roof {
		want += " " + s.column()
	}
	return fmt.Sprintf("%s: %d figures; type %s, or %s", d.name, len(t.ways[0]), want, s.shorter())
}

func (s *Session) shorter() string {
	if s.opt.Sheet == Roof {
		return "Enter to be asked"
	}
	return "the count alone for a bay like the one above"
}

// choose asks which of several readings is meant.
func (s *Session) choose(fits []draft, then func(draft)) {
	if len(fits) > 9 {
		fits = fits[:9]
	}
	var options []string
	for i, d := range fits {
		options = append(options, fmt.Sprintf("%d: %s", i+1, d.inWords(s)))
	}
	s.sayf("  %s", strings.Join(options, "\n  "))
	s.question(fmt.Sprintf("which of the %d? ", len(fits)), func(line string) {
		if len(line) == 1 && line[0] >= '1' && int(line[0]-'0') <= len(fits) {
			then(fits[line[0]-'1'])
			return
		}
		s.sayf("  dropped")
		if line != "" {
			s.rest(line)
		}
	})
}

// inWords says how a draft was understood.
func (d draft) inWords(s *Session) string {
	parts := []string{}
	for i, column := range sizeNames(d.said["shape"]) {
		if i < len(d.sizes) {
			parts = append(parts, column+" "+d.sizes[i])
		}
	}
	if d.mass != "" {
		parts = append(parts, s.columnOf(d.mass)+" "+d.mass)
	} else {
		parts = append(parts, "not filled yet")
	}
	return strings.Join(parts, ", ")
}
