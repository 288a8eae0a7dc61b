package record

import (
	"encoding/json"
	"fmt"
	"html/template"

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
		if bay.Bay.Judged() {
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

// encode writes options as JSON that is safe inside a script element.
func encode(options map[string]any) (template.JS, error) {
	raw, err := json.Marshal(options)
	if err != nil {
		return "", fmt.Errorf("the options of a chart: %w", err)
	}
	return template.JS(escapeDirection(raw)), nil
}
