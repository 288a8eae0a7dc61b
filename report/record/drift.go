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
		Note: "Exponentially weighted mean of the density in fill order, between the limits that a steady machine would keep." +
			afresh(d.Points),
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

// afresh says what set rows do to the figure.
func afresh(points []verify.DriftPoint) string {
	if !parted(points) {
		return ""
	}
	return " The stretches between set rows are taken each by itself."
}

// parted says whether the machine was set afresh between the bays shown.
func parted(points []verify.DriftPoint) bool {
	return len(points) > 0 && points[0].Bay.Run != points[len(points)-1].Bay.Run
}
