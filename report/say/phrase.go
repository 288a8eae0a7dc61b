package say

import (
	"math"
	"strings"

	"bayproof/verify"
)

// phrase fills a sentence with the evidence of a finding. Places in it:
//
//	{key}            the datum in its unit
//	{key|one|many}   a count with its noun: 1 bay is, 3 bays are
//	{key ± half}     a mass that ends where its half-width begins
//	{lo to hi}       a range of lengths
//	{places}         the places to probe; {spots} in brief, {spot} one of them
//	[ … ]            left out as a whole where one of its own data is missing; may hold further brackets
//
// Outside brackets a missing datum is written as "?", which a test finds.
func (u Units) phrase(sentence string, data []verify.Datum) string {
	text, _ := u.bracketed(sentence, data)
	return text
}

// bracketed fills a sentence and tells whether all data outside its brackets were there.
func (u Units) bracketed(sentence string, data []verify.Datum) (string, bool) {
	var b strings.Builder
	whole := true
	for sentence != "" {
		before, inside, after := cutBracket(sentence)
		text, ok := u.fill(before, data)
		whole = whole && ok
		b.WriteString(text)
		if text, ok := u.bracketed(inside, data); ok {
			b.WriteString(text)
		}
		sentence = after
	}
	return b.String(), whole
}

// cutBracket finds the first bracket of a sentence and the one that closes it.
func cutBracket(sentence string) (before, inside, after string) {
	open := strings.IndexByte(sentence, '[')
	if open < 0 {
		return sentence, "", ""
	}
	depth := 0
	for i := open; i < len(sentence); i++ {
		switch sentence[i] {
		case '[':
			depth++
		case ']':
			depth--
		}
		if depth == 0 {
			return sentence[:open], sentence[open+1 : i], sentence[i+1:]
		}
	}
	return sentence[:open], sentence[open+1:], ""
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
		x, found := find(data, key)
		h, _ := find(data, half)
		return u.Mass(x.Value, h.Value), found
	}
	if lo, hi, ok := strings.Cut(place, " to "); ok {
		a, foundA := find(data, lo)
		b, foundB := find(data, hi)
		return u.LengthRange(a.Value, b.Value), foundA && foundB
	}
	if key, nouns, ok := strings.Cut(place, "|"); ok {
		one, many, _ := strings.Cut(nouns, "|")
		n, found := find(data, key)
		return Count(int(n.Value), one, many), found
	}
	if text, ok := u.probing(place, data); ok {
		return text, text != ""
	}
	d, ok := find(data, place)
	if !ok {
		return unknown, false
	}
	return u.Datum(d), true
}

// probing writes the places to probe; it answers false where something else is meant.
func (u Units) probing(place string, data []verify.Datum) (string, bool) {
	switch place {
	case "places":
		return u.places(data, placeSentence), true
	case "spots":
		return u.places(data, briefPlace), true
	case "spot":
		return u.spot(data), true
	}
	return "", false
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
		if d.Key == "finding" {
			// The log says rod-soft and ir-cold.
			return strings.Replace(strings.ReplaceAll(d.Text, "-", " "), "ir ", "infrared ", 1)
		}
		return d.Text
	case verify.Pressure:
		return u.Pressure(d.Value)
	}
	if d.Value == math.Trunc(d.Value) {
		return fixedOr(d.Value, 0)
	}
	return figures(d.Value, 2)
}
