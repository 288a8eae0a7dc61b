package cell

import (
	"strings"

	"bayproof/model"
)

// YesNo reads yes, no, y, n, true, false in any case; an empty cell is Unsaid.
func YesNo(name, s string) (model.Answer, *Refusal) {
	switch s {
	case "":
		return model.Unsaid, nil
	case "yes":
		return model.Yes, nil
	case "no":
		return model.No, nil
	}
	if Blank(s) {
		return model.Unsaid, nil
	}
	a, ok := model.ParseAnswer(s)
	if !ok {
		return a, refuse(name, s, 0, "neither yes nor no", "write yes or no, or leave the cell empty where nobody looked")
	}
	return a, nil
}

// Probe reads what a look into a bay found; an empty cell is ProbeNone.
func Probe(s string) (model.Probe, *Refusal) {
	if s == "" || Blank(s) {
		return model.ProbeNone, nil
	}
	p, ok := model.ParseProbe(s)
	if !ok {
		return p, oneOf("probe", s, model.ProbeWords())
	}
	return p, nil
}

// Entry reads the entry column; ok is false for an empty cell.
func Entry(s string) (kind model.EntryKind, ok bool, bad *Refusal) {
	if s == "" || Blank(s) {
		return 0, false, nil
	}
	kind, ok = model.ParseEntryKind(s)
	if !ok {
		return 0, false, oneOf("entry", s, model.EntryWords())
	}
	return kind, true, nil
}

// Shape reads the shape column; an empty cell is ShapeUnsaid.
func Shape(s string) (model.Shape, *Refusal) {
	if s == "" || Blank(s) {
		return model.ShapeUnsaid, nil
	}
	shape, ok := model.ParseShape(s)
	if !ok {
		return shape, oneOf("shape", s, model.ShapeWords())
	}
	return shape, nil
}

// OneOf reads one of several words in any case; an empty cell is "".
func OneOf(name, s string, words []string) (string, *Refusal) {
	t := strings.Trim(spaced(s), " ")
	if t == "" {
		return "", nil
	}
	for _, w := range words {
		if strings.EqualFold(t, w) {
			return w, nil
		}
	}
	return "", oneOf(name, s, words)
}

// oneOf refuses a word that is none of those known.
func oneOf(name, s string, words []string) *Refusal {
	hint := "known are " + strings.Join(words, ", ")
	if near := Nearest(strings.ToLower(strings.Trim(spaced(s), " ")), words); near != "" {
		hint = near + "?"
	}
	return refuse(name, s, 0, "a word that is not known here", hint)
}
