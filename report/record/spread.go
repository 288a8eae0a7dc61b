package record

import (
	"fmt"
	"math"
	"strconv"

	"bayproof/verify"
)

// spreadFigure piles the bays' densities up against the target, a mark for each bay.
func (b *builder) spreadFigure(s *verify.Section, at int, sp span) (*figure, error) {
	bins := b.bins(s, sp)
	filled, below := 0, 0
	for _, bin := range bins {
		filled += len(bin.bays)
	}
	if filled < 4 {
		return nil, nil
	}
	f := &figure{ID: fmt.Sprintf("spread-%d", at+1), Head: []string{"Density from", "to", "Bays", "Which"}}
	tallest := 0
	for _, bin := range bins {
		if len(bin.bays) == 0 {
			continue
		}
		names := make([]string, len(bin.bays))
		for i, bay := range bin.bays {
			names[i] = brief(bay.Bay.Bay.Name)
			if bay.Density < bay.Bay.Bay.Section.Settings.Target {
				below++
			}
		}
		tallest = max(tallest, len(bin.bays))
		f.Rows = append(f.Rows, []string{b.Target(bin.lo), b.Target(bin.hi), strconv.Itoa(len(names)), joinNames(names)})
	}
	var err error
	f.Options, err = b.spreadOptions(s, bins, sp, tallest)
	f.Height = 104 + 15*min(tallest, 14)
	f.Title = firstUpper(b.spreadTitle(s, filled, below))
	f.Note = "Distribution against the target: a mark for each bay at its best estimate."
	f.Summary = brief(sectionName(s.Section)) + ": " + f.Title
	return f, err
}

func (b *builder) spreadTitle(s *verify.Section, filled, below int) string {
	text := fmt.Sprintf("%d of %d best estimates lie below the target", below, filled)
	if below == 0 {
		text = "no best estimate lies below the target"
	}
	if unknown(s.Mean) {
		return text
	}
	return text + "; the crew packs to " + b.Spread(s.Mean, s.SD)
}

// bin is a stretch of densities with the bays in it.
type bin struct {
	lo, hi float64 // kg/m³
	bays   []placed
}

// bins cuts the shared span into equal stretches of a tenth of a pound a cubic foot or two kilograms a cubic metre;
// twice that, and again, where the span is wide.
func (b *builder) bins(s *verify.Section, sp span) []bin {
	width := 0.1 * b.Of(verify.Density).SI
	if b.Of(verify.Density).SI == 1 {
		width = 2
	}
	for (sp.hi-sp.lo)/width > 60 {
		width *= 2
	}
	first := math.Floor(sp.lo / width)
	out := make([]bin, int(math.Floor(sp.hi/width)-first)+1)
	for i := range out {
		out[i].lo, out[i].hi = (first+float64(i))*width, (first+float64(i)+1)*width
	}
	for _, bay := range filledOrder(b.f, s.Section) {
		if bay.Bay.Judged() && !unknown(bay.Density) {
			i := min(max(int(math.Floor(bay.Density/width)-first), 0), len(out)-1)
			out[i].bays = append(out[i].bays, bay)
		}
	}
	return out
}

func joinNames(names []string) string {
	text := ""
	for i, n := range names {
		if i > 0 {
			text += ", "
		}
		text += n
	}
	return text
}
