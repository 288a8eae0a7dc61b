package record

import (
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"strconv"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

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

// shareFigure shows what the uncertainty of the densities comes from, by section.
type shareFigure struct {
	Title  string
	Inputs []string
	Rows   []shareRow
}

type shareRow struct {
	Name  string
	Parts []sharePart
	Cells []string
}

// sharePart is one stretch of a bar, in percent of it, with the number of its pattern.
type sharePart struct {
	X, Width float64
	Class    int
	Label    string
}

// budgetFigure averages the bays' budgets over each section; nil where there is none.
func (b *builder) budgetFigure() *shareFigure {
	inputs := []string{}
	means := make([]map[string]float64, len(b.f.Sections))
	overall := map[string]float64{}
	for i := range b.f.Sections {
		means[i] = b.meanBudget(&b.f.Sections[i])
	}
	for i := range b.f.Bays {
		for _, s := range b.f.Bays[i].Budget {
			if _, seen := overall[s.Input]; !seen {
				inputs = append(inputs, s.Input)
			}
			overall[s.Input] += s.Share
		}
	}
	if len(inputs) == 0 {
		return nil
	}
	sortByShare(inputs, overall)
	f := &shareFigure{Title: "What limits certainty here: the " + inputName(inputs[0])}
	for _, in := range inputs {
		f.Inputs = append(f.Inputs, inputName(in))
	}
	for i := range b.f.Sections {
		if len(means[i]) > 0 {
			f.Rows = append(f.Rows, shareRowOf(brief(sectionName(b.f.Sections[i].Section)), inputs, means[i]))
		}
	}
	return f
}

func (b *builder) meanBudget(s *verify.Section) map[string]float64 {
	mean, n := map[string]float64{}, 0.0
	for _, bay := range baysOf(b.f, s.Section) {
		if len(bay.Budget) == 0 {
			continue
		}
		n++
		for _, share := range bay.Budget {
			mean[share.Input] += share.Share
		}
	}
	for in := range mean {
		mean[in] /= n
	}
	return mean
}

func shareRowOf(name string, inputs []string, mean map[string]float64) shareRow {
	row, x := shareRow{Name: name}, 0.0
	for i, in := range inputs {
		w := 100 * mean[in]
		row.Cells = append(row.Cells, number(w, 0)+" %")
		if w > 0 {
			row.Parts = append(row.Parts, sharePart{round2(x), round2(w), min(i, 5), inputName(in) + " " + number(w, 0) + " %"})
		}
		x += w
	}
	return row
}

// sortByShare puts the largest share first; equal ones keep their order.
func sortByShare(inputs []string, share map[string]float64) {
	for i := 1; i < len(inputs); i++ {
		for j := i; j > 0 && share[inputs[j]] > share[inputs[j-1]]; j-- {
			inputs[j], inputs[j-1] = inputs[j-1], inputs[j]
		}
	}
}

// barFigure shows bags planned and used by section; it is drawn without a script.
type barFigure struct {
	Title string
	Rows  []barRow
}

// barRow is one section's bars, as shares of the longest, and its figures.
type barRow struct {
	Name                    string
	Required, Planned, Used float64 // 0 to 100
	RequiredText            string
	PlannedText, UsedText   string
	Empties                 string
}

// bagFigure compares what the target asks for, what the aim asks for, and what was used; nil where no bags were counted.
func (b *builder) bagFigure() *barFigure {
	longest := 0.0
	type counts struct{ required, planned, used float64 }
	all := make([]counts, len(b.f.Sections))
	for i := range b.f.Sections {
		s := &b.f.Sections[i]
		set := s.Section.Settings
		all[i] = counts{s.BagsRequired, s.BagsRequired * set.Aim / set.Target, s.Bags}
		for _, x := range []float64{all[i].required, all[i].planned, all[i].used} {
			if !unknown(x) {
				longest = math.Max(longest, x)
			}
		}
	}
	if longest == 0 {
		return nil
	}
	f := &barFigure{Title: b.bagTitle()}
	for i := range b.f.Sections {
		s, n := &b.f.Sections[i], all[i]
		row := barRow{
			Name: brief(sectionName(s.Section)), Required: bar(n.required, longest), Planned: bar(n.planned, longest), Used: bar(n.used, longest),
			RequiredText: number(n.required, 1), PlannedText: number(n.planned, 1), UsedText: bags(n.used), Empties: blank,
		}
		if !unknown(s.Section.BagsUsed) {
			row.Empties = bags(s.Section.BagsUsed)
		}
		f.Rows = append(f.Rows, row)
	}
	return f
}

func bar(x, longest float64) float64 {
	if unknown(x) {
		return 0
	}
	return round2(100 * x / longest)
}

func (b *builder) bagTitle() string {
	short := 0
	for _, s := range b.f.Sections {
		if s.Bags < s.BagsRequired {
			short++
		}
	}
	if short == 0 {
		return "Every section took at least the bags that the target asks for"
	}
	return plural(short, "section took", "sections took") + " fewer bags than the target asks for"
}
