package record

import (
	"fmt"
	"math"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// The map is drawn by the templates as SVG, one small drawing a bay. Lengths come in metres from
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
	n := 0
	for _, b := range p.bays {
		if b.suspected() {
			n++
		}
	}
	if n == 0 {
		return "The bays as they lie: no empty length suspected"
	}
	return "The bays as they lie: " + plural(n, "bay", "bays") + " with an empty length suspected"
}

// HasVoids tells whether an empty length is drawn somewhere.
func (p *page) HasVoids() bool {
	for _, s := range p.Sections {
		for _, b := range s.Map {
			if b.Void != "" {
				return true
			}
		}
	}
	return false
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
	for _, r := range b.Reasons {
		if !r.IsAnswered() && r.Code == verify.ShortOfCrew {
			return true
		}
	}
	return b.Verdict == verify.Add
}

// missingBay stands for a bay that nobody logged, as large as is typical of its section, else as
// its first bay.
func (s *section) missingBay(scale float64) mapBay {
	// 0.4 m is a bay between framing 16 in on center, where the table says nothing.
	typical := &s.Section.Typical
	w, l := meanOr(&typical.Width, 0.4), meanOr(&typical.Length, 0)
	if l == 0 && len(s.Bays) > 0 {
		w, _, l, _ = face(s.first().Bay)
	}
	w, l = w*scale, l*scale
	return mapBay{
		mark: notInLog(), Name: "?", Label: "a bay that nobody logged", ID: "warnings",
		Width: round2(w + 2*mapPad), Height: round2(l + 2*mapPad), Outline: points(mapPad, l+mapPad, w+mapPad, l+mapPad, w+mapPad, mapPad, mapPad, mapPad),
	}
}

// first is the section's first bay in the log.
func (s *section) first() *bay {
	for _, b := range s.p.bays {
		if b.Bay.Section == s.Section {
			return b
		}
	}
	return nil
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
