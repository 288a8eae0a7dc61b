package record

import (
	"html/template"
	"strings"

	"bayproof/report/say"
	"bayproof/verify"
)

// page is what the templates read: everything already in words and in the job's units.
type page struct {
	Title  string
	Policy template.HTMLAttr
	Style  template.CSS
	Head   head
	Glance glance
	Map    drawnMap
	Charts chartSet
	Bays   []bayRow
	Cards  []sectionCards
	Unit   units
	Papers []paper
	Checks []designCheck
	Advice []caution
	Method method
	Carry  carry
	Zeros  string
}

// units are the units of table heads; Interval is that of densities with what their ± is.
type units struct{ Density, Interval, Mass, Volume, Length, Size, Area string }

// builder holds what every part of the page is made from.
type builder struct {
	show
	in    Input
	f     *verify.Findings
	words *say.Words
}

// build turns findings into the page.
func build(in Input) (*page, error) {
	b := builder{show: showFor(in.Findings.Job), in: in, f: in.Findings, words: say.New(in.Findings)}
	charts, err := b.charts()
	if err != nil {
		return nil, err
	}
	style := string(asset(in.Assets, "style.css"))
	p := &page{
		Title:  in.Findings.Job.Name,
		Style:  template.CSS(style),
		Head:   b.head(),
		Glance: b.glance(),
		Map:    b.drawnMap(),
		Charts: charts,
		Bays:   b.bayRows(),
		Cards:  b.cards(),
		Unit:   b.unitNames(),
		Papers: b.papers(),
		Checks: b.designChecks(),
		Advice: b.cautions(),
		Method: b.method(),
		Zeros:  zeroDigest(),
	}
	if p.Carry, err = b.carry(); err != nil {
		return nil, err
	}
	var scripts []string
	if charts.Library != "" {
		scripts = []string{string(charts.Library), string(charts.Boot)}
	}
	p.Policy = template.HTMLAttr(`content="` + strings.ReplaceAll(policy(style, scripts...), `"`, "&quot;") + `"`)
	return p, nil
}

func (b *builder) unitNames() units {
	return units{
		Density: b.unit(verify.Density), Interval: b.unit(verify.Density) + ", ± " + level(verify.Level), Mass: b.unit(verify.Mass), Volume: b.unit(verify.Volume),
		Length: b.unit(verify.Length), Size: b.unit(verify.Size), Area: b.Area().Name,
	}
}
