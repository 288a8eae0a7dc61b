package record

import (
	"html/template"
	"math"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"bayproof/verify"
)

// Colours are the style sheet's own, so that light, dark and paper change them without drawing again.
const (
	inkColor  = "var(--ink)"
	softColor = "var(--soft)"
	lineColor = "var(--rule)"
	cardColor = "var(--paper)"
)

func verdictColor(v verify.Verdict) string { return "var(--" + verdictMark(v).Class + ")" }

// shown rounds a density for a chart: four digits are more than any screen shows.
func (b *builder) shown(x float64) any {
	if unknown(x) {
		return nil
	}
	return math.Round(x/b.Of(verify.Density).SI*1e4) / 1e4
}

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

func scatter(v verify.Verdict, data []opts.ScatterData, size int) *charts.Scatter {
	sc := charts.NewScatter()
	sc.AddSeries(verdictMark(v).Word, data, charts.WithScatterChartOpts(opts.ScatterChart{Symbol: symbol(v), SymbolSize: size}),
		charts.WithItemStyleOpts(opts.ItemStyle{Color: verdictColor(v), BorderColor: verdictColor(v), BorderWidth: 1.4, Opacity: opts.Float(1)}))
	return sc
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

// frame is what all charts share: axes, no title and no legend (they are HTML), no animation.
func (b *builder) frame(x opts.XAxis, y opts.YAxis, g opts.Grid) []charts.GlobalOpts {
	line := &opts.AxisLine{Show: opts.Bool(true), LineStyle: &opts.LineStyle{Color: lineColor}}
	x.AxisLine, y.AxisLine = line, line
	x.AxisTick = &opts.AxisTick{Show: opts.Bool(false)} // the boot script does so for y, which has no such field
	return []charts.GlobalOpts{
		charts.WithXAxisOpts(x), charts.WithYAxisOpts(y), charts.WithGridOpts(g), charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(false)}), charts.WithTitleOpts(opts.Title{Show: opts.Bool(false)}),
		charts.WithTooltipOpts(opts.Tooltip{Show: opts.Bool(true), Trigger: "item", Formatter: "{b}", BackgroundColor: cardColor, BorderColor: lineColor}),
	}
}

func axisLabel() *opts.AxisLabel {
	return &opts.AxisLabel{Show: opts.Bool(true), Color: softColor, FontSize: 11}
}

// everyLabel shows the name of every bay.
func everyLabel() *opts.AxisLabel {
	l := axisLabel()
	l.Interval, l.Color = "0", inkColor
	return l
}

func rowLines() *opts.SplitLine {
	return &opts.SplitLine{Show: opts.Bool(true), LineStyle: &opts.LineStyle{Color: "var(--faint)"}}
}

// finished takes the options out of a chart.
func finished(c *charts.Line) (template.JS, error) {
	c.Validate()
	return encode(c.JSON())
}
