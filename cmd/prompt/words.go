package prompt

import (
	"fmt"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// typed is a line after its words were understood: the figures by place, in every way they can be cut, and what the
// words say, by column.
type typed struct {
	ways   [][]string
	said   Row
	amount string // "bags", "counter", "weight" where the line names the column; its figure is in said
}

// parseWords reads what stands behind the name of a bay.
func parseWords(tokens []string) (typed, error) {
	t := typed{said: Row{}}
	var loose []string
	for i := 0; i < len(tokens); {
		n, err := t.word(tokens[i:])
		switch {
		case err != nil:
			return t, err
		case n > 0:
			i += n
		case numeric(tokens[i]) || tokens[i] == "shared":
			loose = append(loose, tokens[i])
			i++
		default:
			return t, unknownWord(tokens[i])
		}
	}
	t.ways = figures(loose)
	return t, nil
}

// word takes one word with what belongs to it and returns how many tokens that was; 0 where it is no word.
func (t *typed) word(tokens []string) (int, error) {
	switch w := strings.ToLower(tokens[0]); w {
	case "stall", "stalled":
		return t.stall(tokens)
	case "no-stall", "nostall":
		t.said["stall"] = "no"
		return 1, nil
	case "no":
		if len(tokens) > 1 && strings.EqualFold(tokens[1], "stall") {
			t.said["stall"] = "no"
			return 2, nil
		}
	case "rod", "smoke", "ir":
		return t.probe(tokens)
	case "reach", "hole", "at", "bulge", "width2", "depth2", "length2":
		return t.figure(w, tokens)
	case "bags", "counter", "weight":
		t.amount = w
		return t.figure(w, tokens)
	case "box", "taper", "wedge", "round":
		t.said["shape"] = w
		return 1, nil
	case "photo", "photos":
		return t.photos(tokens)
	case "by":
		if len(tokens) > 1 {
			t.said["by"] = tokens[1]
			return 2, nil
		}
	case "note":
		t.said["note"] = strings.Join(tokens[1:], " ")
		return len(tokens), nil
	}
	return 0, nil
}

func (t *typed) stall(tokens []string) (int, error) {
	t.said["stall"] = "yes"
	if len(tokens) > 1 {
		if a, ok := model.ParseAnswer(tokens[1]); ok {
			t.said["stall"] = a.String()
			return 2, nil
		}
	}
	return 1, nil
}

func (t *typed) probe(tokens []string) (int, error) {
	if len(tokens) > 1 {
		if p, ok := model.ParseProbe(tokens[0] + " " + tokens[1]); ok {
			t.said["probe"] = p.String()
			return 2, nil
		}
	}
	return 0, fmt.Errorf("%s what? one of %s", tokens[0], strings.Join(model.ProbeWords(), ", "))
}

// figure takes the figure behind a word.
func (t *typed) figure(column string, tokens []string) (int, error) {
	n := 1
	for n < len(tokens) && (numeric(tokens[n]) || tokens[n] == "shared") {
		n++
	}
	if n == 1 {
		return 0, fmt.Errorf("%s: a figure is missing", column)
	}
	t.said[column] = strings.Join(tokens[1:n], " ")
	return n, nil
}

// photos takes file names up to the next word.
func (t *typed) photos(tokens []string) (int, error) {
	n := 1
	for n < len(tokens) && !isWord(tokens[n]) {
		n++
	}
	if n == 1 {
		return 0, fmt.Errorf("photo: a file name is missing")
	}
	t.said["photo"] = strings.Join(tokens[1:n], ";")
	return n, nil
}

// lineWords are the words that may stand behind a bay.
func lineWords() []string {
	return []string{"stall", "stalled", "no-stall", "nostall", "rod", "smoke", "ir", "reach", "hole", "at", "bulge", "width2", "depth2",
		"length2", "bags", "counter", "weight", "box", "taper", "wedge", "round", "photo", "photos", "by", "note"}
}

func isWord(token string) bool {
	for _, w := range lineWords() {
		if strings.EqualFold(w, token) {
			return true
		}
	}
	return false
}

func unknownWord(token string) error {
	if near := cell.Nearest(strings.ToLower(token), lineWords()); near != "" {
		return fmt.Errorf("what is %q? %s?", token, near)
	}
	return fmt.Errorf("what is %q? (help lists the words)", token)
}
