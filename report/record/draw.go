package record

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"bayproof/model"
	"bayproof/verify"
)

// Two kinds of drawings are made here, both SVG: the map and, after it, the charts (charts.go says
// what is in them).
//
// The map is drawn by the templates, one small drawing a bay. Lengths come in metres from
// the first piece of the bay, the bay itself; pieces added or taken away are not drawn. In a
// drawing x runs to the right and y downward from its upper left corner, px.

// mapBay is one bay seen square to its face, its low end at the bottom.
type mapBay struct {
	mark
	ID, Name, Label, Density string
	Width, Height            float64 // of the drawing, px
	Outline, Void            string  // corners of polygons; no void where no empty length is suspected
	HoleX, HoleY             float64
	Hole                     bool
}

// Sizes of the map's drawings.
const (
	mapWidest = 90.0 // px: the widest bay
	mapPad    = 2.0  // px round a bay, for its outline
)

// setMap draws the bays as they lie: one scale for width and length over the whole job, those that
// nobody logged at the end of their section.
func (p *page) setMap() {
	scale := p.mapScale()
	for _, s := range p.Sections {
		for _, b := range s.Bays {
			s.Map = append(s.Map, b.drawn(scale))
		}
		for range s.Missing {
			s.Map = append(s.Map, s.missingBay(scale))
		}
	}
}

// manyBays is from how many bays on the map shows their verdicts alone, and paper leaves to the
// table of bays what its charts would say again: the first pages are two, and the annex of 500 bays
// is no more than sixty.
const manyBays = 100

// Many tells whether the job has so many bays.
func (p *page) Many() bool { return len(p.bays) > manyBays }

// Places on paper, mm, as they were measured there, for a sheet of Letter, which is shorter than A4.
const (
	// What the map and the evidence may take of the second page beside the place to sign on, a line
	// of the evidence, and the map's head.
	mapRoom, mapLine, mapHead = 208.0, 3.9, 17.0
	// What a section and a row of bays take in height besides their drawings.
	mapSection, mapRow = 7.0, 7.5
	// How wide a bay is at least, a letter of its name, a name at most, and a row at most.
	mapBayWide, mapLetter, mapNameWide, mapWide = 12.2, 1.4, 23.0, 185.0
	// How wide a section's title is at most, and what is left between two sections.
	mapTitle, mapBeside = 109.0, 5.0
	// Lines of evidence and width of a title that a job usually has.
	usualLines, usualTitle = 13, 45.0
)

// Drawings on paper by those on a screen: what a pixel is in mm, how much smaller the map's usually
// are, and how small they may be for anybody to see a bay's shape.
const mmOfPx, mapZoom, leastZoom = 25.4 / 96, 0.46, 0.2

// zoom is by how much the map's drawings are made smaller on paper, so that the map, the evidence
// and the place to sign on, with evidence of so many lines, share a page. Sections stand beside each
// other where there is room. named tells whether names and titles take the room that they do.
func (p *page) zoom(evidence float64, named bool) float64 {
	letters := func(text string, usual, most float64) float64 {
		if !named {
			return usual
		}
		return math.Min(most, mapLetter*float64(utf8.RuneCountInString(text)))
	}
	room, drawn := mapRoom-mapHead-mapLine*evidence, 0.0
	left, beside := 0.0, 0.0 // what is left of the width beside the sections of a line, and how high their bays are
	for _, s := range p.Sections {
		// Bays stand in rows as a browser breaks them; the highest one says how high a row is.
		rows, wide, high := 1.0, 0.0, 0.0 // its rows of bays, how wide the last one is, how high all of them
		tallest := 0.0
		for _, b := range s.Map {
			own := math.Max(mapBayWide, math.Max(b.Width*mapZoom*mmOfPx, letters(b.Name, 0, mapNameWide)))
			if wide += own; wide > mapWide {
				rows, wide, high, tallest = rows+1, own, high+tallest, 0
			}
			tallest = math.Max(tallest, b.Height*mmOfPx)
		}
		high += tallest
		if rows > 1 {
			wide = mapWide
		}
		wide = math.Max(wide, 1.3*letters(s.Name+s.Title(), usualTitle, mapTitle)) + mapBeside
		// A section that fits beside the one before takes only what its bays are higher by.
		if wide <= left {
			left, drawn, beside = left-wide, drawn+math.Max(0, high-beside), math.Max(high, beside)
			continue
		}
		room -= mapSection + mapRow*rows
		left, drawn, beside = mapWide+mapBeside-wide, drawn+high, high
	}
	return math.Min(mapZoom, room/drawn)
}

// evidenceLines is how many lines the evidence takes below the map, a title as one and a half and the
// longer of its two columns: letters of a value and of a whole line were counted.
func (p *page) evidenceLines() float64 {
	const title, value, line = 1.6, 32, 60
	lines := func(text string, letters int) float64 { return float64(1 + (utf8.RuneCountInString(text)-1)/letters) }
	left, right := title, 3*title+lines(p.Differs(), line)
	for _, f := range append(p.Kinds(), p.Leakage()...) {
		left += lines(f.Value, value)
	}
	for _, f := range p.Work() {
		right += lines(f.Value, value)
	}
	for _, f := range p.Amendments() {
		right += lines(f.Name+" "+f.Value, line)
	}
	return math.Max(left, right+1)
}

// Zoom is what the map's drawings are made smaller by on paper where they have to be; empty where
// they stand as usual.
func (p *page) Zoom() string {
	zoom := math.Max(leastZoom, p.zoom(p.evidenceLines(), true))
	return when(zoom < mapZoom, strconv.FormatFloat(zoom, 'f', 2, 64))
}

// Strips tells whether the map shows verdicts alone: where so many bays could not be drawn beside
// evidence of the usual length. What somebody wrote does not change it.
func (p *page) Strips() bool { return p.Many() || p.zoom(usualLines, false) < leastZoom }

// flowing is from how many sections on the map follows the table of sections on the same page.
const flowing = 23

// Flows tells whether the job has so many sections.
func (p *page) Flows() bool { return len(p.Sections) >= flowing }

// mapScale returns px per metre, one scale for both directions of all bays, so that the longest and
// the widest bay fit into their places. Where there are many bays the places are lower.
func (p *page) mapScale() float64 {
	longest, widest, tallest := 0.0, 0.0, 190.0 // m, m, px
	for _, b := range p.bays {
		w, _, l, l2 := face(b.Bay)
		longest, widest = math.Max(longest, math.Max(l, l2)), math.Max(widest, w)
	}
	if len(p.bays) > 60 { // the map of a large job is to stay on a few screens
		tallest = 120
	}
	scale := 90.0
	if longest > 0 {
		scale = math.Min(scale, tallest/longest)
	}
	if widest > 0 {
		scale = math.Min(scale, mapWidest/widest)
	}
	return scale
}

// Scale is what the map's scale bar stands for.
func (p *page) Scale() string {
	if p.System == model.SI {
		return "1 m"
	}
	return "5 ft"
}

// ScalePx is the length of the map's scale bar, px.
func (p *page) ScalePx() float64 {
	if p.System == model.SI {
		return p.mapScale()
	}
	return 5 * model.Foot * p.mapScale()
}

// MapTitle says how many bays may hide an empty length.
func (p *page) MapTitle() string {
	if n := count(p.bays, (*bay).suspected); n > 0 {
		return "The bays as they lie: " + plural(n, "bay", "bays") + " with an empty length suspected"
	}
	return "The bays as they lie: no empty length suspected"
}

// HasVoids tells whether an empty length is drawn somewhere.
func (p *page) HasVoids() bool {
	return slices.ContainsFunc(p.Sections, func(s *section) bool {
		return slices.ContainsFunc(s.Map, func(b mapBay) bool { return b.Void != "" })
	})
}

// face returns the widths at both ends and the lengths of both sides of a bay's face, in metres;
// zeros where nobody measured.
func face(b *model.Bay) (w, w2, l, l2 float64) {
	if len(b.Pieces) == 0 {
		return 0, 0, 0, 0
	}
	p := b.Pieces[0]
	w, l = meanOr(&p.Width, 0), meanOr(&p.Length, 0)
	return w, meanOr(&p.Width2, w), l, meanOr(&p.Length2, l)
}

// meanOr is the mean of a reading in metres, or another figure where there is none.
func meanOr(r *model.Reading, otherwise float64) float64 {
	if r.State == model.Absent || len(r.Values) == 0 {
		return otherwise
	}
	return r.Mean()
}

// drawn draws a bay at a scale of px per metre: its outline, the fill hole, and the suspected empty
// length at the end away from the hole.
func (b *bay) drawn(scale float64) mapBay {
	w, w2, l, l2 := face(b.Bay)
	w, w2, l, l2 = w*scale, w2*scale, l*scale, l2*scale
	m := mapBay{mark: b.mark, ID: b.ID, Name: b.Name, Width: math.Max(w, w2) + 2*mapPad, Height: math.Max(l, l2) + 2*mapPad}
	// The low end (width w) lies at the bottom, the far end (w2) at the top, both centred; the
	// sides l and l2 may differ: a bay under a hip is cut askew.
	foot, side := m.Height-mapPad, (math.Max(w, w2)-w2)/2
	left := mapPad + (math.Max(w, w2)-w)/2
	m.Outline = points(left, foot, left+w, foot, mapPad+side+w2, foot-l2, mapPad+side, foot-l)
	if b.Judged() {
		m.Density = b.p.figure(b.Density, b.half())
	}
	m.Label = joined(", ", m.Name, m.Word, m.Density)
	hole := nan()
	if b.Bay.Fill != nil {
		hole = b.Bay.Fill.OneHole()
	}
	if !unknown(hole) {
		m.Hole, m.HoleX, m.HoleY = true, round2(left+w/2), round2(foot-math.Min(hole*scale, l))
	}
	if empty := b.EmptyLength * scale; b.suspected() && empty > 0 {
		empty = math.Min(empty, l)
		top := foot - l // where the hole is low, or nobody said where it is
		if !unknown(hole) && hole*scale > l/2 {
			top = foot - empty
		}
		m.Void = points(left, top+empty, left+w, top+empty, left+w, top, left, top)
		m.Label += ", empty length suspected " + b.p.Length(b.EmptyLength)
	}
	m.Width, m.Height = round2(m.Width), round2(m.Height)
	return m
}

// suspected tells whether a bay's empty length is worth drawing: the bay is short, or something
// that is not answered speaks for a void.
func (b *bay) suspected() bool {
	if unknown(b.EmptyLength) || !b.Judged() || b.Verdict == verify.Close {
		return false
	}
	return b.Verdict == verify.Add || slices.ContainsFunc(b.Reasons, func(r verify.Reason) bool {
		return r.Code == verify.ShortOfCrew && !r.IsAnswered()
	})
}

// missingBay stands for a bay that nobody logged, as large as is typical of its section, else as
// its first bay.
func (s *section) missingBay(scale float64) mapBay {
	// 0.4 m is a bay between framing 16 in on center, where the table says nothing.
	typical := &s.Section.Typical
	w, l := meanOr(&typical.Width, 0.4), meanOr(&typical.Length, 0)
	if i := slices.IndexFunc(s.p.bays, func(b *bay) bool { return b.Bay.Section == s.Section }); l == 0 && i >= 0 {
		w, _, l, _ = face(s.p.bays[i].Bay)
	}
	w, l = w*scale, l*scale
	return mapBay{
		mark: notInLog(), Name: "?", Label: "a bay that nobody logged", ID: "warnings",
		Width: round2(w + 2*mapPad), Height: round2(l + 2*mapPad), Outline: points(mapPad, l+mapPad, w+mapPad, l+mapPad, w+mapPad, mapPad, mapPad, mapPad),
	}
}

// drawWidth is the width of a drawing, px; it is shown as wide as there is room.
const drawWidth = 560.0

// drawing is a chart being written as SVG: its rooms for labels, px from the edges, and the scales
// of its axes.
type drawing struct {
	b                        strings.Builder
	left, right, top, bottom float64
	height                   float64
	xLo, xHi, yLo, yHi       float64
}

// x is where a value of the axis below stands, in px from the left; y where one of the other
// axis does, in px from the top, larger values higher up.
func (d *drawing) x(v float64) float64 {
	return round2(d.left + (v-d.xLo)/(d.xHi-d.xLo)*(drawWidth-d.left-d.right))
}

func (d *drawing) y(v float64) float64 {
	return round2(d.height - d.bottom - (v-d.yLo)/(d.yHi-d.yLo)*(d.height-d.top-d.bottom))
}

// text writes a label at a place; anchor is start, middle or end.
func (d *drawing) text(x, y float64, anchor, label string) {
	own := ""
	if anchor != "middle" { // that of the whole drawing
		own = ` text-anchor="` + anchor + `"`
	}
	fmt.Fprintf(&d.b, `<text x="%g" y="%g"%s>%s</text>`, round2(x), round2(y), own, template.HTMLEscapeString(label))
}

// path draws a line of a class through points, x and y in turn; a NaN lifts the pen.
func (d *drawing) path(class string, xy ...float64) {
	var line strings.Builder
	pen, last := byte('M'), 0.0
	for i := 0; i+1 < len(xy); i += 2 {
		if unknown(xy[i]) || unknown(xy[i+1]) {
			pen = 'M'
			continue
		}
		if x, y := round2(xy[i]), round2(xy[i+1]); pen == 'L' && y == last { // along the paper
			fmt.Fprintf(&line, "H%g", x)
		} else {
			fmt.Fprintf(&line, "%c%g %g", pen, x, y)
			last = y
		}
		pen = 'L'
	}
	if line.Len() > 0 {
		fmt.Fprintf(&d.b, `<path class="%s" d="%s"/>`, class, line.String())
	}
}

// marks lays the verdicts' symbols with their middles at places, x and y in turn, one path a
// verdict.
func (d *drawing) marks(at map[verify.Verdict][]float64) {
	for _, o := range outcomes() {
		xy := at[o.verdict]
		if len(xy) == 0 {
			continue
		}
		fmt.Fprintf(&d.b, `<path class="sym at-%s v-%s" d="`, o.Class, o.Class)
		for i := 0; i+1 < len(xy); i += 2 {
			x, y := round2(xy[i]), round2(xy[i+1])
			switch o.symbol {
			case "triangle":
				fmt.Fprintf(&d.b, "M%g %gl5 9h-10z", x, round2(y-5))
			case "diamond":
				fmt.Fprintf(&d.b, "M%g %gl5 5l-5 5l-5-5z", x, round2(y-5))
			case "rect":
				fmt.Fprintf(&d.b, "M%g %gh8v8h-8z", round2(x-4), round2(y-4))
			default:
				fmt.Fprintf(&d.b, "M%g %ga4 4 0 1 0 8 0a4 4 0 1 0-8 0", round2(x-4), y)
			}
		}
		d.b.WriteString(`"/>`)
	}
}

// done closes the drawing. It repeats what the label of its box says: nobody needs it read out.
func (d *drawing) done() template.HTML {
	return template.HTML(fmt.Sprintf(`<svg viewBox="0 0 %g %g" text-anchor="middle">%s</svg>`, drawWidth, d.height, d.b.String()))
}

// densityFrame starts a drawing along the axis of densities: its numbers and name below, the limits
// across it.
func (s *section) densityFrame(left, height float64) *drawing {
	p := s.p
	d := &drawing{left: left, right: 16, top: 20, bottom: 36, height: height, xLo: p.densities.lo, xHi: p.densities.hi}
	step := p.densityStep(0.5, 10)
	for (d.xHi-d.xLo)/step > 9 {
		step *= 2
	}
	foot := height - d.bottom
	d.path("axis", d.left, foot, drawWidth-d.right, foot)
	for i := 0; d.xLo+float64(i)*step <= d.xHi*(1+1e-9); i++ {
		v := d.xLo + float64(i)*step
		d.text(d.x(v), foot+14, "middle", p.Target(v))
	}
	d.text((d.left+drawWidth-d.right)/2, height-4, "middle", "density, "+p.unit(verify.Density))
	for _, l := range s.limits() {
		if !unknown(l.at) {
			d.path("limit "+l.name, d.x(l.at), d.top-4, d.x(l.at), foot)
			if l.named {
				d.text(d.x(l.at), d.top-8, "middle", l.name)
			}
		}
	}
	return d
}

// drawDensities draws one row a bay: the interval as a line, the estimate as its verdict's symbol.
func (s *section) drawDensities(bays []*bay) template.HTML {
	longest := 0
	for _, b := range bays {
		longest = max(longest, utf8.RuneCountInString(b.Name))
	}
	d := s.densityFrame(14+6.4*float64(longest), 20*float64(len(bays))+60)
	var rows, spans []float64
	marks := map[verify.Verdict][]float64{}
	for i, b := range bays {
		y := d.top + 20*float64(i) + 10
		rows = append(rows, d.left, y, drawWidth-d.right, y, nan(), nan())
		spans = append(spans, d.x(b.Lo), y, d.x(b.Hi), y, nan(), nan())
		marks[b.Verdict] = append(marks[b.Verdict], d.x(b.Density), y)
		d.text(d.left-8, y+4, "end", b.Name)
	}
	d.path("row", rows...)
	d.path("span", spans...)
	d.marks(marks)
	return d.done()
}

// drawSpread piles the bays' symbols up in the middle of their bins.
func (s *section) drawSpread(bins []bin, tallest int, height float64) template.HTML {
	d := s.densityFrame(34, height)
	d.yHi = float64(tallest)
	var rows []float64
	for i := 0; i <= tallest; i += max(1, tallest/4) {
		rows = append(rows, d.left, d.y(float64(i)), drawWidth-d.right, d.y(float64(i)), nan(), nan())
		d.text(d.left-6, d.y(float64(i))+4, "end", strconv.Itoa(i))
	}
	d.path("row", rows...)
	d.text(4, d.top-8, "start", "bays")
	marks := map[verify.Verdict][]float64{}
	for _, bin := range bins {
		for i, b := range bin.bays {
			marks[b.Verdict] = append(marks[b.Verdict], d.x((bin.lo+bin.hi)/2), d.y(float64(i)+0.5))
		}
	}
	d.marks(marks)
	return d.done()
}

// drawDrift draws the weighted mean between its limits along the order of filling.
func (p *page) drawDrift(points []verify.DriftPoint) template.HTML {
	d := &drawing{left: 48, right: 16, top: 12, bottom: 36, height: 240, xHi: float64(len(points)), yLo: math.Inf(1), yHi: math.Inf(-1)}
	for _, at := range points {
		for _, v := range []float64{at.EWMA, at.Lo, at.Hi} {
			if !unknown(v) {
				d.yLo, d.yHi = math.Min(d.yLo, v), math.Max(d.yHi, v)
			}
		}
	}
	if !(d.yLo < d.yHi) {
		return ""
	}
	pad := (d.yHi - d.yLo) / 12
	d.yLo, d.yHi = d.yLo-pad, d.yHi+pad
	for i := range 5 {
		v := d.yLo + float64(i)/4*(d.yHi-d.yLo)
		d.path("row", d.left, d.y(v), drawWidth-d.right, d.y(v))
		d.text(d.left-6, d.y(v)+4, "end", number(v/p.Of(verify.Density).SI, p.places(2, 1)))
	}
	var mean, lo, hi []float64
	every := max(1, len(points)/14)
	for i, at := range points {
		x := d.x(float64(i) + 0.5)
		mean, lo, hi = append(mean, x, d.y(at.EWMA)), append(lo, x, d.y(at.Lo)), append(hi, x, d.y(at.Hi))
		if i%every == 0 {
			d.text(x, d.height-d.bottom+14, "middle", brief(at.Bay.Name))
		}
	}
	d.text((d.left+drawWidth-d.right)/2, d.height-4, "middle", "bays in fill order; density, "+p.unit(verify.Density))
	d.path("limit aim", hi...)
	d.path("limit aim", lo...)
	d.path("mean", mean...)
	return d.done()
}

// points writes the corners of a polygon, x and y in turn, as SVG has them; y runs downward.
func points(xy ...float64) string {
	parts := make([]string, 0, len(xy)/2)
	for i := 0; i+1 < len(xy); i += 2 {
		parts = append(parts, fmt.Sprintf("%g,%g", round2(xy[i]), round2(xy[i+1])))
	}
	return strings.Join(parts, " ")
}

// round2 rounds what is drawn to hundredths of a pixel, or of a percent.
func round2(x float64) float64 { return math.Round(x*100) / 100 }
