package record

import (
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"strconv"

	"bayproof/verify"
)

// charts are the figures of the record. Those that are drawn by the chart library come with their options as JSON; the
// others are drawn here and need no script.
type chartSet struct {
	Library, Boot template.JS // both empty where the library was not built in
	Groups        []chartGroup
	Packing       []packingRow
	Bags          *barFigure
	Budget        *shareFigure
}

// chartGroup is the charts of one section.
type chartGroup struct {
	Link, Name string
	Density    []figure // one, or several where a section has many bays; the drift under a low one
	Beside     []figure // distribution against the target, drift; where there are bays enough
}

// figure is one chart of the library with the table behind it.
type figure struct {
	ID, Title, Note, Summary string
	Height                   int // px
	Options                  template.JS
	Head                     []string
	Rows                     [][]string
	TableLink                string // where the table stands if it is not here
}

func (b *builder) charts() (chartSet, error) {
	c := chartSet{Library: template.JS(asset(b.in.Assets, chartScript)), Bags: b.bagFigure(), Budget: b.budgetFigure(), Packing: b.packings()}
	if c.Library != "" {
		c.Boot = template.JS(asset(b.in.Assets, "boot.js"))
	}
	sp := b.densitySpan()
	for i := range b.f.Sections {
		s := &b.f.Sections[i]
		group, err := b.chartGroup(s, i, sp)
		if err != nil {
			return c, err
		}
		if len(group.Density) > 0 {
			c.Groups = append(c.Groups, group)
		}
	}
	return c, nil
}

// chartGroup makes a section's charts; drift and distribution only where it has enough bays for them to say something.
func (b *builder) chartGroup(s *verify.Section, i int, sp span) (chartGroup, error) {
	g := chartGroup{Link: sectionID(i), Name: brief(sectionName(s.Section))}
	var err error
	if g.Density, err = b.densityFigures(s, i, sp); err != nil {
		return g, err
	}
	spread, err := b.spreadFigure(s, i, sp)
	if err != nil {
		return g, err
	}
	drift, err := b.driftFigure(s, i)
	if err != nil {
		return g, err
	}
	if spread != nil {
		g.Beside = append(g.Beside, *spread)
	}
	switch {
	case drift == nil || len(g.Density) == 0:
	case g.Density[0].Height < low:
		g.Density = append(g.Density, *drift)
	default:
		g.Beside = append(g.Beside, *drift)
	}
	return g, nil
}

// low is the height, px, below which a chart of densities leaves room for another under it.
const low = 300

// chunk is the most bays that one chart shows.
const chunk = 40

func (b *builder) densityFigures(s *verify.Section, at int, sp span) ([]figure, error) {
	var filled []placed
	for _, bay := range filledOrder(b.f, s.Section) {
		if judged(bay.Bay) {
			filled = append(filled, bay)
		}
	}
	var out []figure
	for from := 0; from < len(filled); from += chunk {
		part := filled[from:min(from+chunk, len(filled))]
		options, err := b.densityOptions(s, part, sp)
		if err != nil {
			return nil, err
		}
		f := figure{
			ID: fmt.Sprintf("density-%d-%d", at+1, from/chunk+1), Options: options, Height: 20*len(part) + 74,
			Title: firstUpper(b.sectionTitle(s)), TableLink: "bays",
		}
		switch {
		case from > 0:
			f.Title = fmt.Sprintf("Continued: bays %d to %d of %d", from+1, from+len(part), len(filled))
		case len(filled) > chunk:
			f.Title += fmt.Sprintf(" (the first %d here)", len(part))
		}
		f.Summary = brief(sectionName(s.Section)) + ": density of " + plural(len(part), "bay", "bays") + " in fill order with its interval against the target; the same figures stand in the table of bays."
		out = append(out, f)
	}
	return out, nil
}

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
		Note:  "Exponentially weighted mean of the density in fill order, between the limits that a steady machine would keep.",
		Head:  []string{"Bay", "Weighted mean", "Lower limit", "Upper limit"},
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
	return text + "; the crew packs to " + b.density(s.Mean, s.SD, nan()) + " from bay to bay"
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
		if judged(bay.Bay) && !unknown(bay.Density) {
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

// encode writes options as JSON that is safe inside a script element.
func encode(options map[string]any) (template.JS, error) {
	raw, err := json.Marshal(options)
	if err != nil {
		return "", fmt.Errorf("the options of a chart: %w", err)
	}
	return template.JS(escapeDirection(raw)), nil
}
