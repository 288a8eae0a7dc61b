package record

import (
	"fmt"

	"bayproof/verify"
)

// driftFigure shows how the density moves along the fill order; nil where that was not looked into.
func (b *builder) driftFigure(s *verify.Section, at int) (*figure, error) {
	d := s.Drift
	if d.Method == "" || len(d.Points) < 2 {
		return nil, nil
	}
	options, err := b.driftOptions(d)
	if err != nil {
		return nil, err
	}
	f := &figure{
		ID: fmt.Sprintf("drift-%d", at+1), Options: options, Height: 240,
		Title: firstUpper(driftTitle(d)),
		Note: "Exponentially weighted mean of the density in fill order, between the limits that a steady machine would keep. " +
			b.neighbours(d),
		Head: []string{"Bay", "Weighted mean", "Lower limit", "Upper limit"},
	}
	for _, p := range d.Points {
		f.Rows = append(f.Rows, []string{brief(p.Bay.Name), b.density(p.EWMA, nan(), nan()), b.density(p.Lo, nan(), nan()), b.density(p.Hi, nan(), nan())})
	}
	f.Summary = brief(sectionName(s.Section)) + ": " + f.Title
	return f, nil
}

func driftTitle(d verify.Drift) string {
	if !d.Found {
		return "no drift of the machine is shown"
	}
	out := 0
	for _, p := range d.Points {
		if p.EWMA < p.Lo || p.EWMA > p.Hi {
			out++
		}
	}
	way := "downward"
	if d.Slope > 0 {
		way = "upward"
	}
	if out > 0 {
		return "the density drifts; " + plural(out, "bay lies", "bays lie") + " outside the limits"
	}
	return "the density drifts " + way
}

// neighbours says what bays filled one after the other are apart beside how all scatter, and names those that stand out by it.
// Of a counter's readings, each of variance u², alike bays have differences r₁ − r₀ of variance 2u², and those of neighbours,
// r₂ − 2r₁ + r₀, have 6u² where bays apart have 4u²: √1.5 is some 1.2. Bays that are not alike come to less (derived).
func (b *builder) neighbours(d verify.Drift) string {
	var beyond []string
	for _, p := range d.Points {
		if p.Beyond {
			beyond = append(beyond, brief(p.Bay.Name))
		}
	}
	text := fmt.Sprintf("As read, bays filled one after the other scatter by %s %s (mean difference of neighbours over 1.128) and all of "+
		"them by %s, the noise of the readings in both; a slow drift is in the second only.", b.density(d.Neighbours, nan(), nan()), b.unit(verify.Density), b.density(d.Overall, nan(), nan()))
	if d.Shared {
		text += " Neighbours share a reading of the counter, whose noise alone would make the first some 1.2 times the second."
	}
	mean := "the mean"
	if parted(d.Points) {
		text += " The stretches between set rows are taken each by itself."
		mean = "the mean of the stretch"
	}
	if len(beyond) > 0 {
		text += " Beyond three times the first from " + mean + ": " + joined(", ", beyond...) + "."
	}
	return text
}

// parted says whether the machine was set afresh between the bays shown.
func parted(points []verify.DriftPoint) bool {
	return len(points) > 0 && points[0].Bay.Run != points[len(points)-1].Bay.Run
}
