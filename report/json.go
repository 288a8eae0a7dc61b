package report

import (
	"bytes"
	"encoding/json"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

// word is a key of the format that is null in JSON where there is none.
type word string

// MarshalJSON writes null for no word.
func (w word) MarshalJSON() ([]byte, error) {
	if w == "" {
		return []byte("null"), nil
	}
	return plainJSON(string(w))
}

// pairs is an object whose keys keep their order.
type pairs []pair

type pair struct {
	key   string
	value any
}

// MarshalJSON writes the keys in their order.
func (p pairs) MarshalJSON() ([]byte, error) {
	out := []byte{'{'}
	for i, x := range p {
		if i > 0 {
			out = append(out, ',')
		}
		key, err := plainJSON(x.key)
		if err != nil {
			return nil, err
		}
		value, err := plainJSON(x.value)
		if err != nil {
			return nil, err
		}
		out = append(append(append(out, key...), ':'), value...)
	}
	return append(out, '}'), nil
}

// plainJSON encodes without turning < and & into escapes: the document is not part of a page.
func plainJSON(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	err := enc.Encode(v)
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), err
}

// AppendJSON appends the document of one job and a line end: on one line, or indented for reading.
func AppendJSON(dst []byte, f *verify.Findings, tool Tool, indent bool) ([]byte, error) {
	line, err := plainJSON(newDocument(f, tool))
	if err != nil {
		return dst, err
	}
	if indent {
		var b bytes.Buffer
		if err := json.Indent(&b, line, "", "  "); err != nil {
			return dst, err
		}
		line = b.Bytes()
	}
	return append(append(dst, screen.JSON(line)...), '\n'), nil
}

// evidence returns the data of a finding as an object, in the job's units. Places to probe, each with where it lies,
// become a list under "places".
func evidence(u say.Units, data []verify.Datum) pairs {
	out := make(pairs, 0, len(data))
	var places []pairs
	for _, d := range data {
		p := pair{d.Key, Number(u.In(d.Dim, d.Value))}
		if d.Dim == verify.Name {
			p.value = d.Text
		}
		switch {
		case d.Key == "place":
			places = append(places, pairs{p})
		case len(places) > 0 && (d.Key == "from" || d.Key == "to" || d.Key == "at"):
			places[len(places)-1] = append(places[len(places)-1], p)
		default:
			out = append(out, p)
		}
	}
	if places != nil {
		out = append(out, pair{"places", places})
	}
	return out
}
