package record

import (
	"html/template"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"bayproof/verify"
)

// densityOptions is one row a bay, down the page: the interval as a line, the estimate as its verdict's symbol.
func (b *builder) densityOptions(s *verify.Section, bays []placed, sp span) (template.JS, error) {
	c := charts.NewLine()
	names := make([]string, len(bays))
	lines := make([]opts.LineData, 0, 3*len(bays))
	marks := map[verify.Verdict][]opts.ScatterData{}
	for i, bay := range bays {
		names[i] = brief(bay.Bay.Bay.Name)
		lines = append(lines, opts.LineData{Value: []any{b.shown(bay.Lo), i}}, opts.LineData{Value: []any{b.shown(bay.Hi), i}}, opts.LineData{Value: []any{nil, nil}})
		marks[bay.Verdict] = append(marks[bay.Verdict], opts.ScatterData{Name: b.tip(bay), Value: []any{b.shown(bay.Density), i}})
	}
	c.SetGlobalOptions(b.frame(opts.XAxis{
		Type: "value", Name: "density, " + b.unit(verify.Density), NameLocation: "middle", NameGap: 26, Min: b.shown(sp.lo), Max: b.shown(sp.hi),
		SplitLine: &opts.SplitLine{Show: opts.Bool(false)}, AxisLabel: axisLabel(),
	}, opts.YAxis{
		Type: "category", Data: names, Inverse: opts.Bool(true), AxisLabel: everyLabel(), SplitLine: rowLines(),
	}, opts.Grid{Left: "8", Right: "22", Top: "26", Bottom: "30", ContainLabel: opts.Bool(true)})...)
	c.AddSeries("interval", lines, charts.WithLineStyleOpts(opts.LineStyle{Color: inkColor, Width: 1.6}), charts.WithLineChartOpts(opts.LineChart{ShowSymbol: opts.Bool(false)}))
	b.addLimits(c, s, "start") // the axis runs downward: the start is at the top
	for _, v := range verdicts() {
		if len(marks[v]) > 0 {
			c.Overlap(scatter(v, marks[v], 11))
		}
	}
	return finished(c)
}

// tip is what hovering over a bay says.
func (b *builder) tip(bay placed) string {
	set := bay.Bay.Bay.Section.Settings
	return joined(" · ", brief(bay.Bay.Bay.Name), b.density(bay.Density, half(bay.Bay), set.Target)+" "+b.unit(verify.Density), markOf(bay.Bay).Word, "at the target: "+percent(bay.ProbAtTarget, set.Confidence))
}

// addLimits draws target, aim and ceiling across the chart, their names at the given end.
func (b *builder) addLimits(c *charts.Line, s *verify.Section, names string) {
	set := s.Section.Settings
	for _, l := range []struct {
		name, dash string
		at, width  float64
		named      bool // the aim stands too near the target for a name of its own: the legend has it
	}{{"target", "solid", set.Target, 1.6, true}, {"aim", "dashed", set.Aim, 1, false}, {"ceiling", "dotted", set.Ceiling, 1.4, true}} {
		c.AddSeries(l.name, []opts.LineData{}, charts.WithMarkLineNameXAxisItemOpts(opts.MarkLineNameXAxisItem{Name: l.name, XAxis: b.shown(l.at)}),
			charts.WithMarkLineStyleOpts(opts.MarkLineStyle{
				Symbol: []string{"none", "none"}, Label: &opts.Label{Show: opts.Bool(l.named), Formatter: "{b}", Position: names, Color: softColor, FontSize: 11},
				LineStyle: &opts.LineStyle{Color: softColor, Type: l.dash, Width: float32(l.width)},
			}))
	}
}

// driftOptions is the weighted mean along the fill order between its limits.
func (b *builder) driftOptions(d verify.Drift) (template.JS, error) {
	names := make([]string, len(d.Points))
	var mean, lo, hi []opts.LineData
	for i, p := range d.Points {
		names[i] = brief(p.Bay.Name)
		tip := names[i] + " · " + b.density(p.EWMA, nan(), nan()) + " (" + b.density(p.Lo, nan(), nan()) + " to " + b.density(p.Hi, nan(), nan()) + ")"
		mean = append(mean, opts.LineData{Name: tip, Value: b.shown(p.EWMA)})
		lo = append(lo, opts.LineData{Name: tip, Value: b.shown(p.Lo)})
		hi = append(hi, opts.LineData{Name: tip, Value: b.shown(p.Hi)})
	}
	c := charts.NewLine()
	c.SetGlobalOptions(b.frame(
		opts.XAxis{Type: "category", Data: names, Name: "bays in fill order", NameLocation: "middle", NameGap: 26, AxisLabel: axisLabel()},
		opts.YAxis{Type: "value", Name: "density, " + b.unit(verify.Density), NameLocation: "middle", NameGap: 40, Scale: opts.Bool(true), AxisLabel: axisLabel(), SplitLine: rowLines()},
		opts.Grid{Left: "38", Right: "16", Top: "12", Bottom: "30", ContainLabel: opts.Bool(true)})...)
	c.SetXAxis(names)
	line := func(name string, data []opts.LineData, dash string, width float32, symbols bool) {
		c.AddSeries(name, data, charts.WithLineStyleOpts(opts.LineStyle{Color: inkColor, Type: dash, Width: width}),
			charts.WithItemStyleOpts(opts.ItemStyle{Color: inkColor}),
			charts.WithLineChartOpts(opts.LineChart{ShowSymbol: opts.Bool(symbols), Symbol: "circle", SymbolSize: 6}))
	}
	line("upper limit", hi, "dashed", 1, false)
	line("lower limit", lo, "dashed", 1, false)
	line("weighted mean", mean, "solid", 1.8, true)
	return finished(c)
}

// spreadOptions piles marks up over the densities.
func (b *builder) spreadOptions(s *verify.Section, bins []bin, sp span, tallest int) (template.JS, error) {
	c := charts.NewLine()
	c.SetGlobalOptions(b.frame(
		opts.XAxis{Type: "value", Name: "density, " + b.unit(verify.Density), NameLocation: "middle", NameGap: 26, Min: b.shown(sp.lo), Max: b.shown(sp.hi), SplitLine: &opts.SplitLine{Show: opts.Bool(false)}, AxisLabel: axisLabel()},
		opts.YAxis{Type: "value", Name: "bays", NameLocation: "middle", NameGap: 26, Min: 0, Max: max(tallest, 2), MinInterval: 1, AxisLabel: axisLabel(), SplitLine: rowLines()},
		opts.Grid{Left: "24", Right: "22", Top: "26", Bottom: "30", ContainLabel: opts.Bool(true)})...)
	b.addLimits(c, s, "end")
	marks := map[verify.Verdict][]opts.ScatterData{}
	for _, bin := range bins {
		for i, bay := range bin.bays {
			marks[bay.Verdict] = append(marks[bay.Verdict], opts.ScatterData{Name: b.tip(bay), Value: []any{b.shown((bin.lo + bin.hi) / 2), float64(i) + 0.5}})
		}
	}
	for _, v := range verdicts() {
		if len(marks[v]) > 0 {
			c.Overlap(scatter(v, marks[v], 11))
		}
	}
	return finished(c)
}
