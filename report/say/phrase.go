package say

import (
	"math"
	"strings"

	"bayproof/verify"
)

// phrase fills a sentence with the evidence of a finding. Places in it:
//
//	{key}        the datum in its unit
//	{key ± half} a density with its half-width, or a mass that ends where its half-width begins
//	{lo to hi}   a range of lengths
//	[ … ]        left out as a whole where one of its data is missing
//
// Outside brackets a missing datum is written as "?", which a test would find.
func (u Units) phrase(sentence string, data []verify.Datum) string {
	var b strings.Builder
	for sentence != "" {
		open := strings.IndexByte(sentence, '[')
		if open < 0 {
			text, _ := u.fill(sentence, data)
			b.WriteString(text)
			break
		}
		before, _ := u.fill(sentence[:open], data)
		b.WriteString(before)
		inside, after, _ := strings.Cut(sentence[open+1:], "]")
		if text, whole := u.fill(inside, data); whole {
			b.WriteString(text)
		}
		sentence = after
	}
	return b.String()
}

// fill replaces the places of a sentence and tells whether all of its data were there.
func (u Units) fill(sentence string, data []verify.Datum) (text string, whole bool) {
	var b strings.Builder
	whole = true
	for {
		before, rest, found := strings.Cut(sentence, "{")
		b.WriteString(before)
		if !found {
			return b.String(), whole
		}
		place, after, _ := strings.Cut(rest, "}")
		value, ok := u.place(place, data)
		whole = whole && ok
		b.WriteString(value)
		sentence = after
	}
}

// place writes what stands for one pair of braces.
func (u Units) place(place string, data []verify.Datum) (string, bool) {
	if key, half, ok := strings.Cut(place, " ± "); ok {
		x, okX := find(data, key)
		h, okH := find(data, half)
		if x.Dim == verify.Mass {
			return u.Mass(x.Value, h.Value), okX
		}
		limit, hasLimit := find(data, "target")
		if !hasLimit {
			limit.Value = math.NaN()
		}
		return u.Density(x.Value, orNaN(h.Value, okH), limit.Value), okX
	}
	if lo, hi, ok := strings.Cut(place, " to "); ok {
		a, okA := find(data, lo)
		b, okB := find(data, hi)
		return u.LengthRange(a.Value, b.Value), okA && okB
	}
	d, ok := find(data, place)
	if !ok {
		return unknown, false
	}
	return u.Datum(d), true
}

// find returns a datum that has a value.
func find(data []verify.Datum, key string) (verify.Datum, bool) {
	for _, d := range data {
		if d.Key == key && (d.Dim == verify.Name && d.Text != "" || d.Dim != verify.Name && !math.IsNaN(d.Value)) {
			return d, true
		}
	}
	return verify.Datum{Value: math.NaN()}, false
}

func orNaN(x float64, ok bool) float64 {
	if !ok {
		return math.NaN()
	}
	return x
}

// Datum writes one piece of evidence in its unit.
func (u Units) Datum(d verify.Datum) string {
	switch d.Dim {
	case verify.Probability:
		return Percent(d.Value, math.NaN())
	case verify.Length:
		return u.Length(d.Value)
	case verify.Size:
		return u.Size(d.Value)
	case verify.Volume:
		return u.Volume(d.Value)
	case verify.Mass:
		return u.Mass(d.Value, math.NaN())
	case verify.Density:
		return u.Density(d.Value, math.NaN(), math.NaN())
	case verify.Bags:
		return Bags(d.Value)
	case verify.Name:
		return d.Text
	}
	if d.Value == math.Trunc(d.Value) {
		return fixedOr(d.Value, 0)
	}
	return figures(d.Value, 2)
}
