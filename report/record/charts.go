package record

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"bayproof/report/screen"
	"bayproof/verify"
)

// A chart comes into the page in three parts: a drawing, its options as a block of JSON beside it,
// and below both the figures in a table. The drawing is made here, so that a browser without
// scripts, a mail's preview and a printer show it. Where the boot script runs it reads the blocks
// and hands them to the chart library, which draws the same into the boxes and tells a bay's
// figures where the pointer is; it knows nothing of bays. All of them are line charts with an axis
// of densities: lines carry intervals, means and limits, and the bays' marks are laid over as
// scattered points, one series a verdict, so that each has its own shape and colour. How axes and
// labels look the boot script knows: it is the same in all.
//
// Bars of bags and of shares are so plain that the templates draw them as SVG: they need no script.

// figure is one chart with the table behind it.
type figure struct {
	ID, Title, Note, Summary string
	Height                   int // px
	Head                     []string
	Rows                     [][]string
	TableLink                string        // where the table stands if it is not here
	Drawing                  template.HTML // what the chart shows, as SVG
	chart                    *charts.Line  // nil where the pointer has nothing to ask: the table has all
}

// Options are the chart's options as JSON that is safe inside a script element: the encoder escapes
// < and >. The library's Validate fills in what it leaves open; a template stops at the error.
func (f figure) Options() (template.JS, error) {
	if f.chart == nil {
		return "", nil
	}
	f.chart.Validate()
	options := f.chart.JSON()
	for _, unused := range []string{"color", "legend", "title", "toolbox"} { // all series have colours, and the rest is HTML
		delete(options, unused)
	}
	raw, err := json.Marshal(options)
	if err != nil {
		return "", fmt.Errorf("the options of a chart: %w", err)
	}
	// What is the same in all charts the boot script knows; a quotation mark of a name is escaped,
	// so that no name can hold any of it.
	for _, same := range [][2]string{
		{`"animation":false,`, ""}, {`"tooltip":{"show":true,"trigger":"item","formatter":"{b}"},`, ""}, {`"symbol":["none","none"],`, ""}, {`"showMinLabel":null,"showMaxLabel":null,`, ""},
		{`"label":{"show":true,"position":"start","formatter":"{b}"},`, ""}, {`,"position":"start","formatter":"{b}"}`, "}"},
	} {
		raw = bytes.ReplaceAll(raw, []byte(same[0]), []byte(same[1]))
	}
	raw = bareValue().ReplaceAll(raw, []byte("$1"))
	return template.JS(screen.JSON(raw)), nil
}

// bareValue is a point without a name: its place alone says as much.
var bareValue = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\{"value":(\[[^\]"]*\])\}`) })

// setFigures makes a section's charts, n being its number from 1: densities always, drift and
// distribution only where it has enough bays for them to say something.
func (s *section) setFigures(n int) {
	const low = 300 // px: a chart of densities below this height leaves room for another under it
	s.Figures = s.densityFigures(n)
	if len(s.Figures) == 0 {
		return
	}
	if spread := s.spreadFigure(n); spread != nil {
		s.Beside = append(s.Beside, *spread)
	}
	switch drift := s.driftFigure(n); {
	case drift == nil:
	case s.Figures[0].Height < low:
		s.Figures = append(s.Figures, *drift)
	default:
		s.Beside = append(s.Beside, *drift)
	}
}

// densityFigures are the bays' densities with their intervals in fill order: one chart, or several
// where a section has many bays.
func (s *section) densityFigures(n int) []figure {
	const chunk = 40 // the most bays that one chart shows
	filled := s.filled()
	var out []figure
	for part := range slices.Chunk(filled, chunk) {
		from := chunk * len(out)
		title := firstUpper(s.Title())
		switch {
		case from > 0:
			title = fmt.Sprintf("Continued: bays %d to %d of %d", from+1, from+len(part), len(filled))
		case len(filled) > chunk:
			title += fmt.Sprintf(" (the first %d here)", len(part))
		}
		out = append(out, figure{
			ID: fmt.Sprintf("density-%d-%d", n, len(out)+1), chart: s.densityChart(part), Drawing: s.drawDensities(part), Height: 20*len(part) + 74, Title: title, TableLink: "bays",
			Summary: s.Name + ": density of " + plural(len(part), "bay", "bays") + " in fill order with its interval against the target; the table of bays has the same figures.",
		})
	}
	return out
}

// densityChart is one row a bay, down the page: the interval as a line, the estimate as its
// verdict's symbol. All intervals are one series of the line, broken between bays.
func (s *section) densityChart(bays []*bay) *charts.Line {
	p := s.p
	names := make([]string, len(bays))
	var lines []opts.LineData
	marks := map[verify.Verdict][]opts.ScatterData{}
	for i, b := range bays {
		names[i] = b.Name
		for _, end := range []any{p.shown(b.Lo), p.shown(b.Hi)} {
			lines = append(lines, opts.LineData{Value: []any{end, i}})
		}
		lines = append(lines, opts.LineData{Value: []any{nil, nil}}) // the line stops: the next bay's is its own
		marks[b.Verdict] = append(marks[b.Verdict], opts.ScatterData{Name: b.tip(), Value: []any{p.shown(b.Density), i}})
	}
	every := &opts.AxisLabel{Interval: "0", Color: inkColor} // the name of every bay
	c := framed(p.densityAxis(), opts.YAxis{Type: "category", Data: names, Inverse: opts.Bool(true), AxisLabel: every}, opts.Grid{Left: "8", Right: "22", Top: "26", Bottom: "30"})
	c.AddSeries("interval", lines, charts.WithLineStyleOpts(opts.LineStyle{Color: inkColor, Width: 1.6}), charts.WithLineChartOpts(opts.LineChart{ShowSymbol: opts.Bool(false)}))
	s.addLimits(c)
	addMarks(c, marks)
	return c
}

// tip is what hovering over a bay says: name, density with interval, verdict, how sure.
func (b *bay) tip() string {
	return joined(" · ", b.Name, b.reads(), b.Word, "at the target: "+percent(b.ProbAtTarget, b.set.Confidence))
}

// spreadFigure piles the bays' densities up against the target, a mark for each bay, one upon the
// other in the middle of its bin; nil for fewer than four, of which nothing can be seen.
func (s *section) spreadFigure(n int) *figure {
	bins := s.bins()
	f := &figure{ID: fmt.Sprintf("spread-%d", n), Head: []string{"Density from", "to", "Bays", "Which"}, Note: "One mark for each bay, at its best estimate, against the target."}
	filled, below, tallest := 0, 0, 0
	for _, bin := range bins {
		var names []string
		for _, b := range bin.bays {
			names = append(names, b.Name)
			if b.Density < b.set.Target {
				below++
			}
		}
		filled, tallest = filled+len(names), max(tallest, len(names))
		if len(names) > 0 {
			f.Rows = append(f.Rows, []string{s.p.Target(bin.lo), s.p.Target(bin.hi), strconv.Itoa(len(names)), strings.Join(names, ", ")})
		}
	}
	if filled < 4 {
		return nil
	}
	title := fmt.Sprintf("%d of %d best estimates lie below the target", below, filled)
	if below == 0 {
		title = "no best estimate lies below the target"
	}
	if !unknown(s.Mean) {
		title += "; the crew packs to " + s.p.Spread(s.Mean, s.SD)
	}
	f.Title = firstUpper(title)
	f.Summary = s.Name + ": " + f.Title
	f.Height = 104 + 15*min(tallest, 14)
	f.Drawing = s.drawSpread(bins, max(tallest, 2), float64(f.Height))
	return f
}

// bin is a stretch of densities, kg/m³, with the bays in it.
type bin struct {
	lo, hi float64
	bays   []*bay
}

// bins sorts a section's bays by density. It cuts the shared span into equal stretches of a tenth
// of a pound a cubic foot or two kilograms a cubic metre; twice that, and again, where the span is
// wide.
func (s *section) bins() []bin {
	at, width := s.p.densities, s.p.densityStep(0.1, 2)
	for (at.hi-at.lo)/width > 60 {
		width *= 2
	}
	// Edges are multiples of the width, so that they are round numbers in the job's unit.
	first := math.Floor(at.lo / width)
	out := make([]bin, int(math.Floor(at.hi/width)-first)+1)
	for i := range out {
		out[i].lo, out[i].hi = (first+float64(i))*width, (first+float64(i)+1)*width
	}
	for _, b := range s.filled() {
		if !unknown(b.Density) {
			i := min(max(int(math.Floor(b.Density/width)-first), 0), len(out)-1)
			out[i].bays = append(out[i].bays, b)
		}
	}
	return out
}

// driftFigure shows how the density moves along the fill order: its exponentially weighted mean
// between the limits that a steady machine keeps (NIST/SEMATECH e-Handbook, 6.3.2.4), both from the
// findings; nil where there are too few bays or no order.
func (s *section) driftFigure(n int) *figure {
	d, p := s.Drift, s.p
	if d.Method == "" || len(d.Points) < 2 {
		return nil
	}
	f := &figure{
		ID: fmt.Sprintf("drift-%d", n), Height: 240, Title: firstUpper(driftTitle(d)),
		Note: "Running average of the density in fill order. Between the dashed lines the machine ran steady." + afresh(d.Points),
		Head: []string{"Bay", "Running average", "Lower limit", "Upper limit"},
	}
	f.Summary = s.Name + ": " + f.Title
	var names []string
	var mean, lo, hi []opts.LineData
	for _, at := range d.Points {
		row := []string{brief(at.Bay.Name)}
		for _, x := range []float64{at.EWMA, at.Lo, at.Hi} {
			row = append(row, p.density(x, nan(), nan()))
		}
		f.Rows, names = append(f.Rows, row), append(names, row[0])
		tip := row[0] + " · " + row[1] + " (" + row[2] + " to " + row[3] + ")"
		mean = append(mean, opts.LineData{Name: tip, Value: p.shown(at.EWMA)})
		lo = append(lo, opts.LineData{Value: p.shown(at.Lo)})
		hi = append(hi, opts.LineData{Value: p.shown(at.Hi)})
	}
	f.chart = framed(
		opts.XAxis{Type: "category", Data: names, Name: "bays in fill order", NameLocation: "middle", NameGap: 26},
		opts.YAxis{Type: "value", Name: "density, " + p.unit(verify.Density), NameLocation: "middle", NameGap: 40, Scale: opts.Bool(true)},
		opts.Grid{Left: "38", Right: "16", Top: "12", Bottom: "30"})
	// Limits first, so that the mean is drawn over them.
	f.chart.SetXAxis(names)
	line := func(name string, data []opts.LineData, dash string, width float32) {
		f.chart.AddSeries(name, data, charts.WithLineStyleOpts(opts.LineStyle{Color: inkColor, Type: dash, Width: width}), charts.WithItemStyleOpts(opts.ItemStyle{Color: inkColor}),
			charts.WithLineChartOpts(opts.LineChart{ShowSymbol: opts.Bool(dash == "solid"), Symbol: "circle", SymbolSize: 6}))
	}
	f.Drawing = p.drawDrift(d.Points)
	line("upper limit", hi, "dashed", 1)
	line("lower limit", lo, "dashed", 1)
	line("running average", mean, "solid", 1.8)
	return f
}

// driftTitle says what was found: no drift, bays outside the limits, or a slope, kg/m³ per bay,
// that no bay shows by itself.
func driftTitle(d verify.Drift) string {
	out := count(d.Points, func(p verify.DriftPoint) bool { return p.EWMA < p.Lo || p.EWMA > p.Hi })
	switch {
	case !d.Found:
		return "the machine ran steady"
	case out > 0:
		return "the density drifts; " + plural(out, "bay lies", "bays lie") + " outside the limits"
	case d.Slope > 0:
		return "the density drifts upward"
	}
	return "the density drifts downward"
}

// afresh says what rows do to the figure with which the machine was set between the bays shown.
func afresh(points []verify.DriftPoint) string {
	first, last := points[0].Bay, points[len(points)-1].Bay
	if first.Run == last.Run && first.Machine == last.Machine {
		return ""
	}
	return " Each machine counts by itself, and so does each stretch between set rows."
}

// Colours are the style sheet's own variables, so that light, dark and paper change them without
// drawing again.
const (
	inkColor  = "var(--ink)"
	softColor = "var(--soft)"
)

// framed starts a chart with what all of them share: axes, no title and no legend (they are HTML),
// no animation.
func framed(x opts.XAxis, y opts.YAxis, g opts.Grid) *charts.Line {
	g.ContainLabel = opts.Bool(true)
	c := charts.NewLine()
	c.SetGlobalOptions(
		charts.WithXAxisOpts(x), charts.WithYAxisOpts(y), charts.WithGridOpts(g), charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(false)}), charts.WithTitleOpts(opts.Title{Show: opts.Bool(false)}),
		charts.WithTooltipOpts(opts.Tooltip{Show: opts.Bool(true), Trigger: "item", Formatter: "{b}"}),
	)
	return c
}

// densityAxis is the horizontal axis of densities, the same in all charts that have one.
func (p *page) densityAxis() opts.XAxis {
	return opts.XAxis{
		Type: "value", Name: "density, " + p.unit(verify.Density), NameLocation: "middle", NameGap: 26, Min: p.shown(p.densities.lo), Max: p.shown(p.densities.hi),
		SplitLine: &opts.SplitLine{Show: opts.Bool(false)},
	}
}

// limit is a line across a section's charts of densities.
type limit struct {
	name, dash string
	at         float64 // kg/m³
	width      float32 // px
	named      bool    // the aim stands too near the target for a name of its own: the legend has it
}

// limits are the section's three lines of density. A ceiling is never near the target: only the
// aim may go without a name.
func (s *section) limits() []limit {
	set := &s.Section.Settings
	return []limit{{"target", "solid", set.Target, 1.6, true}, {"aim", "dashed", set.Aim, 1, false}, {"ceiling", "dotted", set.Ceiling, 1.4, true}}
}

// addLimits draws target, aim and ceiling across the chart, their names at the top: its axis runs
// downward.
func (s *section) addLimits(c *charts.Line) {
	for _, l := range s.limits() {
		c.AddSeries(l.name, []opts.LineData{}, charts.WithMarkLineNameXAxisItemOpts(opts.MarkLineNameXAxisItem{Name: l.name, XAxis: s.p.shown(l.at)}),
			charts.WithMarkLineStyleOpts(opts.MarkLineStyle{
				Symbol: []string{"none", "none"}, Label: &opts.Label{Show: opts.Bool(l.named), Formatter: "{b}", Position: "start"},
				LineStyle: &opts.LineStyle{Color: softColor, Type: l.dash, Width: l.width},
			}))
	}
}

// addMarks lays the bays' symbols over a chart, verdict by verdict: a series has one shape and one
// colour.
func addMarks(c *charts.Line, marks map[verify.Verdict][]opts.ScatterData) {
	for _, o := range outcomes() {
		if len(marks[o.verdict]) == 0 {
			continue
		}
		color := "var(--" + o.Class + ")"
		sc := charts.NewScatter()
		sc.AddSeries(o.Word, marks[o.verdict], charts.WithScatterChartOpts(opts.ScatterChart{Symbol: o.symbol, SymbolSize: 11}),
			charts.WithItemStyleOpts(opts.ItemStyle{Color: color}))
		c.Overlap(sc)
	}
}

// shown rounds a density, kg/m³, for a chart, in the job's unit: four places are more than any
// screen shows, and keep the record small. Null, which the library does not draw, where it is
// unknown.
func (p *page) shown(x float64) any {
	if unknown(x) {
		return nil
	}
	return math.Round(x/p.Of(verify.Density).SI*1e4) / 1e4
}

// shareFigure shows what the uncertainty of the densities comes from: for each section the mean
// over its bays of each input's share of the variance. It is drawn without a script.
type shareFigure struct {
	Title  string
	Inputs []string // the largest share of the job first
	Rows   []shareRow
}

// shareRow is a section's bar, one share an input.
type shareRow struct {
	Name   string
	Shares []share
}

// share is one stretch of a bar, all in percent of it, with the number of its pattern.
type share struct {
	Input    string
	Percent  float64
	X, Width float64 // as drawn
	Pattern  int
}

// Budget is the figure of shares; nil where no bay has a budget.
func (p *page) Budget() *shareFigure {
	var inputs []string
	overall := map[string]float64{}
	for i := range p.f.Bays {
		for _, s := range p.f.Bays[i].Budget {
			if _, seen := overall[s.Input]; !seen {
				inputs = append(inputs, s.Input)
			}
			overall[s.Input] += s.Share
		}
	}
	if len(inputs) == 0 {
		return nil
	}
	// Equal shares keep the order in which the bays name them: the same input gives the same bytes.
	slices.SortStableFunc(inputs, func(a, b string) int { return cmp.Compare(overall[b], overall[a]) })
	f := &shareFigure{Title: "What limits certainty here: the " + inputName(inputs[0]), Inputs: inputs}
	for _, s := range p.Sections {
		if mean := s.meanBudget(); len(mean) > 0 {
			row, x := shareRow{Name: s.Name}, 0.0
			for i, in := range inputs {
				w := 100 * mean[in]
				row.Shares = append(row.Shares, share{in, w, round2(x), round2(w), min(i, 5)})
				x += w
			}
			f.Rows = append(f.Rows, row)
		}
	}
	return f
}

// meanBudget averages the shares of the variance over the bays that have them: an input that a bay
// does not name has no share in it. Shares are of 1, by input.
func (s *section) meanBudget() map[string]float64 {
	mean, n := map[string]float64{}, 0.0
	for _, b := range s.Bays {
		if len(b.Budget) > 0 {
			n++
		}
		for _, share := range b.Budget {
			mean[share.Input] += share.Share
		}
	}
	for in := range mean {
		mean[in] /= n
	}
	return mean
}

// bagFigure compares by section what the target asks for, what the aim asks for, and what was used.
// It is drawn without a script: bars in percent of the longest.
type bagFigure struct {
	Title   string
	Rows    []bagRow
	longest float64
}

// bagRow are a section's counts; Empties is NaN where nobody counted them.
type bagRow struct {
	Name                             string
	Required, Planned, Used, Empties float64
}

// Bags is the figure of bags; nil where none were counted.
func (p *page) Bags() *bagFigure {
	f := &bagFigure{Title: "Every section took the bags the target asks for, or more"}
	for _, s := range p.Sections {
		set := &s.Section.Settings
		row := bagRow{s.Name, s.BagsRequired, s.BagsRequired * set.Aim / set.Target, s.sums.Bags, s.Emptied}
		// Weighed sections have no bags: NaN, no bar and no say in the scale.
		for _, x := range []float64{row.Required, row.Planned, row.Used} {
			if !unknown(x) {
				f.longest = math.Max(f.longest, x)
			}
		}
		f.Rows = append(f.Rows, row)
	}
	if f.longest == 0 {
		return nil
	}
	if short := count(f.Rows, func(r bagRow) bool { return r.Used < r.Required }); short > 0 {
		f.Title = plural(short, "section took", "sections took") + " fewer bags than the target asks for"
	}
	return f
}

// Bar is the length of a bar in percent of the longest; an unknown count has none.
func (f *bagFigure) Bar(x float64) float64 {
	if unknown(x) {
		return 0
	}
	return round2(100 * x / f.longest)
}
