package record

import (
	"fmt"
	"math"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// drawnMap is the bays as they lie: one scale for width and length over the whole job.
type drawnMap struct {
	Title    string
	Sections []mapSection
	Scale    string  // what the scale bar stands for
	ScalePx  float64 // its length
	Empty    bool    // an empty length is drawn somewhere
	Missing  bool
}

type mapSection struct {
	Link, Name, Title string
	Bays              []mapBay
}

// mapBay is one bay seen square to its face, its low end at the bottom.
type mapBay struct {
	mark
	Link, Name, Label, Density string
	Width, Height              float64 // of the drawing, px
	Outline, Void              string  // points of polygons
	HoleX, HoleY               float64
	Hole                       bool
}

const (
	mapWidest = 90.0 // px: the widest bay
	mapPad    = 2.0  // px round a bay, for its outline
)

func (b *builder) drawnMap() drawnMap {
	perMetre := b.mapScale()
	m := drawnMap{Title: b.mapTitle()}
	m.Scale, m.ScalePx = "5 ft", 5*model.Foot*perMetre
	if b.System == model.SI {
		m.Scale, m.ScalePx = "1 m", perMetre
	}
	for i := range b.f.Sections {
		s := &b.f.Sections[i]
		ms := mapSection{Link: sectionID(i), Name: brief(sectionName(s.Section)), Title: b.sectionTitle(s)}
		for _, bay := range filledOrder(b.f, s.Section) {
			mb := b.mapBay(bay, perMetre)
			m.Empty = m.Empty || mb.Void != ""
			ms.Bays = append(ms.Bays, mb)
		}
		for range s.Missing {
			m.Missing = true
			ms.Bays = append(ms.Bays, b.missingBay(s, perMetre))
		}
		m.Sections = append(m.Sections, ms)
	}
	return m
}

// mapScale returns px per metre so that the longest and the widest bay fit.
func (b *builder) mapScale() float64 {
	longest, widest := 0.0, 0.0
	for i := range b.f.Bays {
		w, _, l, l2 := face(b.f.Bays[i].Bay)
		longest, widest = math.Max(longest, math.Max(l, l2)), math.Max(widest, w)
	}
	scale := 90.0
	if longest > 0 {
		scale = math.Min(scale, tallest(len(b.f.Bays))/longest)
	}
	if widest > 0 {
		scale = math.Min(scale, mapWidest/widest)
	}
	return scale
}

// tallest is the height, px, of the longest bay of a job: lower where there are many.
func tallest(bays int) float64 {
	switch {
	case bays > 200:
		return 80
	case bays > 80:
		return 120
	}
	return 190
}

// face returns the widths at both ends and the lengths of both sides of a bay's face, in metres; zeros where nobody measured.
func face(b *model.Bay) (w, w2, l, l2 float64) {
	if len(b.Pieces) == 0 {
		return 0, 0, 0, 0
	}
	p := b.Pieces[0]
	w, l = value(p.Width, 0), value(p.Length, 0)
	return w, value(p.Width2, w), l, value(p.Length2, l)
}

func value(r model.Reading, otherwise float64) float64 {
	if r.State == model.Absent || len(r.Values) == 0 {
		return otherwise
	}
	return r.Mean()
}

func (b *builder) mapBay(bay placed, scale float64) mapBay {
	w, w2, l, l2 := face(bay.Bay.Bay)
	w, w2, l, l2 = w*scale, w2*scale, l*scale, l2*scale
	m := mapBay{mark: markOf(bay.Bay), Link: bayID(bay.At), Name: brief(bay.Bay.Bay.Name)}
	m.Width, m.Height = math.Max(w, w2)+2*mapPad, math.Max(l, l2)+2*mapPad
	foot, side := m.Height-mapPad, (math.Max(w, w2)-w2)/2
	left := mapPad + (math.Max(w, w2)-w)/2
	m.Outline = points(left, foot, left+w, foot, mapPad+side+w2, foot-l2, mapPad+side, foot-l)
	if bay.Bay.Judged() {
		m.Density = b.figure(bay.Density, half(bay.Bay))
	}
	m.Label = joined(", ", m.Name, m.Word, m.Density)
	b.drawEvidence(&m, bay, scale, left, w, l)
	return m
}

// drawEvidence adds the suspected empty length, at the end away from the fill hole, and the hole itself.
func (b *builder) drawEvidence(m *mapBay, bay placed, scale, left, w, l float64) {
	foot := m.Height - mapPad
	hole := math.NaN()
	if fill := bay.Bay.Bay.Fill; fill != nil {
		hole = fill.OneHole()
	}
	if !unknown(hole) {
		m.Hole, m.HoleX, m.HoleY = true, round2(left+w/2), round2(foot-math.Min(hole*scale, l))
	}
	empty := bay.EmptyLength * scale
	if !suspected(bay.Bay) || !(empty > 0) {
		return
	}
	empty = math.Min(empty, l)
	lo := foot - l // top: the hole is low, or nobody said where it is
	if !unknown(hole) && hole*scale > l/2 {
		lo = foot - empty
	}
	m.Void = points(left, lo+empty, left+w, lo+empty, left+w, lo, left, lo)
	m.Label += ", empty length suspected " + b.Length(bay.EmptyLength)
}

// suspected tells whether a bay's empty length is worth drawing: something that is not answered speaks for it.
func suspected(b *verify.Bay) bool {
	if unknown(b.EmptyLength) || !b.Judged() || b.Verdict == verify.Close {
		return false
	}
	for _, r := range b.Reasons {
		if !r.IsAnswered() && r.Code == "short-of-crew" {
			return true
		}
	}
	return b.Verdict == verify.Add
}

func (b *builder) missingBay(s *verify.Section, scale float64) mapBay {
	w, l := value(s.Section.Typical.Width, 0.4), value(s.Section.Typical.Length, 0)
	if bays := baysOf(b.f, s.Section); l == 0 && len(bays) > 0 {
		w, _, l, _ = face(bays[0].Bay.Bay)
	}
	w, l = w*scale, l*scale
	return mapBay{
		mark: mark{"NOT IN LOG", "missing"}, Name: "?", Label: "a bay that nobody logged", Link: "warnings",
		Width: w + 2*mapPad, Height: l + 2*mapPad, Outline: points(mapPad, l+mapPad, w+mapPad, l+mapPad, w+mapPad, mapPad, mapPad, mapPad),
	}
}

// points writes the corners of a polygon.
func points(xy ...float64) string {
	parts := make([]string, 0, len(xy)/2)
	for i := 0; i+1 < len(xy); i += 2 {
		parts = append(parts, fmt.Sprintf("%g,%g", round2(xy[i]), round2(xy[i+1])))
	}
	return strings.Join(parts, " ")
}

func round2(x float64) float64 { return math.Round(x*100) / 100 }
