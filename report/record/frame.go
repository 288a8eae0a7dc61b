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

func scatter(v verify.Verdict, data []opts.ScatterData, size int) *charts.Scatter {
	sc := charts.NewScatter()
	sc.AddSeries(verdictMark(v).Word, data, charts.WithScatterChartOpts(opts.ScatterChart{Symbol: symbol(v), SymbolSize: size}),
		charts.WithItemStyleOpts(opts.ItemStyle{Color: verdictColor(v), BorderColor: verdictColor(v), BorderWidth: 1.4, Opacity: opts.Float(1)}))
	return sc
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
