package prompt

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/verify/plan"
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
	case "rod", "hand", "smoke", "ir":
		return t.probe(tokens)
	case "box", "taper", "wedge", "round":
		t.said["shape"] = w
		return 1, nil
	case "photo", "photos":
		return t.photos(tokens)
	case "note":
		t.said["note"] = strings.Join(tokens[1:], " ")
		return len(tokens), nil
	default:
		return t.column(w, tokens)
	}
	return 0, nil
}

// column takes a column by its name: the figure behind it, or the one word of a column of words.
func (t *typed) column(name string, tokens []string) (int, error) {
	for _, c := range namedColumns() {
		switch {
		case c.Name != name:
		case c.Figure != nil && name != "stop":
			if c.Is == model.ColumnMaterial {
				t.amount = name
			}
			return t.figure(name, tokens)
		case len(tokens) == 1:
			return 0, fmt.Errorf("%s what?", name)
		case c.Is != model.ColumnObservation:
			t.said[name] = tokens[1]
			return 2, nil
		default:
			n := untilWord(tokens)
			t.said[name] = strings.Join(tokens[1:n], " ")
			return n, nil
		}
	}
	return 0, nil
}

// namedColumns are the columns of the log that a line says by their name: figures but for the three sizes, which are told by
// their place, and words of one's own but for the names of section and bay, and the note, which takes the rest of the line.
func namedColumns() []model.Column[model.Entry] {
	return slices.DeleteFunc(model.LogColumns(), func(c model.Column[model.Entry]) bool {
		if c.Figure != nil {
			return slices.Contains(sizeNames(""), c.Name)
		}
		if c.Field == nil || c.Name == "section" || c.Name == "bay" || c.Name == "note" {
			return true
		}
		switch c.Field(new(model.Entry)).(type) {
		case *string, *model.Feed:
			return false
		}
		return true
	})
}

func (t *typed) stall(tokens []string) (int, error) {
	t.said["stall"] = "yes"
	if len(tokens) > 1 {
		if a, bad := cell.Stalled("stall", tokens[1]); bad == nil {
			t.said["stall"] = a.String()
			return 2, nil
		}
	}
	return 1, nil
}

func (t *typed) probe(tokens []string) (int, error) {
	for n := min(len(tokens), 4); n > 1; n-- { // smoke still 50 Pa
		if look, bad := cell.Look(strings.Join(tokens[:n], " ")); bad == nil {
			t.said["probe"] = strings.Join(append([]string{look.Probe.String()}, tokens[2:n]...), " ")
			return n, nil
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

// untilWord is how many tokens there are up to the next word of the line, the first being one.
func untilWord(tokens []string) int {
	n := 1
	for n < len(tokens) && !isWord(tokens[n]) {
		n++
	}
	return n
}

// photos takes file names up to the next word.
func (t *typed) photos(tokens []string) (int, error) {
	n := untilWord(tokens)
	if n == 1 {
		return 0, fmt.Errorf("photo: a file name is missing")
	}
	t.said["photo"] = strings.Join(tokens[1:n], ";")
	return n, nil
}

// lineWords are the words that may stand behind a bay.
func lineWords() []string {
	words := []string{"stall", "stalled", "no-stall", "nostall", "rod", "hand", "smoke", "ir"}
	for _, c := range namedColumns() {
		words = append(words, c.Name)
	}
	return append(append(words, model.ShapeWords()...), "photo", "photos", "note")
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

// A line is cut at its spaces, and a figure may hold spaces itself: 1 3/4, 12' 6 1/2", 2 1/4; 2 1/2, 38 lb. Where two
// pieces must belong together they are joined, where they may, both readings are kept and the one that makes sense of
// the whole line is taken. Where two do, the person is asked.

// bond says whether a token belongs to the one before it.
type bond uint8

const (
	apart bond = iota
	maybe
	joined
)

// figures returns every way of cutting the tokens into figures, the likeliest first.
func figures(tokens []string) [][]string {
	ways := [][]string{nil}
	before := ","
	for _, token := range tokens {
		switch {
		case token == ",":
		case before == ",":
			ways = extend(ways, token, apart)
		default:
			ways = extend(ways, token, bondOf(before, token))
		}
		before = token
	}
	return ways
}

// mostWays bounds the readings that a line of fractions can have.
const mostWays = 256

// extend adds a token to every way so far.
func extend(ways [][]string, token string, b bond) [][]string {
	var out [][]string
	for _, w := range ways {
		if b != apart {
			with := append([]string(nil), w...)
			with[len(with)-1] += " " + token
			out = append(out, with)
		}
		if b != joined && len(out) < mostWays {
			out = append(out, append(append([]string(nil), w...), token))
		}
	}
	return out
}

// bondOf judges two neighbours.
func bondOf(before, token string) bond {
	switch {
	case token == `"` || before == `"` || token == "shared" || before == "shared":
		return apart
	case isUnit(token), opens(token), closes(before):
		return joined
	case endsInFeet(before) && inchMark(token):
		return joined
	case endsInFeet(before) && startsSmall(token):
		return maybe
	case wholeAtEnd(before) && fractionAtStart(token):
		return maybe
	}
	return apart
}

// isUnit tells whether a token is a unit spelled out.
func isUnit(token string) bool {
	r, _ := utf8.DecodeRuneInString(token)
	if !unicode.IsLetter(r) {
		return false
	}
	_, ok := model.LookupUnit(token)
	return ok
}

// opens tells whether a token goes on with what came before: a separator, a sign.
func opens(token string) bool {
	for _, p := range []string{";", "±", "+", "-"} {
		if strings.HasPrefix(token, p) {
			return true
		}
	}
	return false
}

// closes tells whether a token waits for the next one.
func closes(token string) bool {
	for _, s := range []string{";", "±", "+-", "+", "-"} {
		if strings.HasSuffix(token, s) {
			return true
		}
	}
	return false
}

func endsInFeet(token string) bool {
	for _, s := range []string{"'", "′", "’", "ft", "ft.", "feet", "foot"} {
		if strings.HasSuffix(token, s) && !strings.HasSuffix(token, "''") {
			return true
		}
	}
	return false
}

func inchMark(token string) bool {
	for _, s := range []string{`"`, "″", "”", "''", "in"} {
		if len(token) > len(s) && strings.HasSuffix(token, s) {
			return true
		}
	}
	return false
}

// startsSmall tells whether a token may be the inches after feet: a number of at most two digits before anything else.
func startsSmall(token string) bool {
	n := len(token) - len(strings.TrimLeft(token, "0123456789"))
	return n == 1 || n == 2 && token[0] == '1' && token[1] < '2' || fractionAtStart(token)
}

// wholeAtEnd tells whether a token ends in a whole number that a fraction may follow.
func wholeAtEnd(token string) bool {
	ok, _ := regexp.MatchString(`(^|[;'′’±-])\d+$`, token)
	return ok
}

// fractionAtStart tells whether a token begins with a fraction.
func fractionAtStart(token string) bool {
	ok, _ := regexp.MatchString(`^(\d+/\d+|[¼½¾⅛⅜⅝⅞])`, token)
	return ok
}

// numeric tells whether a token can be part of a figure.
func numeric(token string) bool {
	r, _ := utf8.DecodeRuneInString(token)
	return token == "," || unicode.IsDigit(r) || strings.ContainsRune(`.;"±+-¼½¾⅛⅜⅝⅞″′`, r) || isUnit(token)
}

// How far a reading of a line may lie from the bays here before another reading that fits is preferred without asking.
const (
	farSize  = 2.5 // ratio of a size
	farThin  = 0.4 // of the target
	farDense = 1.6 // of the ceiling
)

// likely leaves out readings of a line that no bay could have, where a reading is left that one could.
func (s *Session) likely(fits []draft) []draft {
	if len(fits) < 2 {
		return fits
	}
	var out []draft
	for _, d := range fits {
		if s.possible(d) {
			out = append(out, d)
		}
	}
	if len(out) == 0 {
		return fits
	}
	return out
}

// possible tells whether sizes and material of a draft could be those of a bay here. What cannot be told is possible.
func (s *Session) possible(d draft) bool {
	w, deep, long, ok := s.dims(d)
	if !ok {
		return true
	}
	if like := s.like(d.name); like != nil {
		x := like.Dims()
		if ratio(w, x.Width) > farSize || ratio(deep, x.Depth) > farSize || ratio(long, x.Length) > farSize {
			return false
		}
	}
	mass := s.massOf(d)
	if math.IsNaN(mass) {
		return true
	}
	set := &s.job.Settings
	density := mass / (w * deep * long)
	return density > farThin*set.Target && density < farDense*set.Ceiling
}

// dims are the sizes of a draft of a plain bay.
func (s *Session) dims(d draft) (w, deep, long float64, ok bool) {
	if len(d.sizes) != 3 || d.said["shape"] != "" {
		return 0, 0, 0, false
	}
	var v [3]float64
	for i, name := range sizeNames("") {
		form, _ := cell.Column(name, s.job.Settings.Units)
		var r model.Reading
		if _, bad := form.Reading(d.sizes[i], &r, nil); bad != nil || r.State != model.Measured {
			return 0, 0, 0, false
		}
		v[i] = r.Mean()
	}
	return v[0], v[1], v[2], true
}

// like is a bay to compare with: the one above, else the section's typical one; nil where there is neither.
func (s *Session) like(name string) *model.Piece {
	if b := s.above(name); b != nil {
		return &b.Pieces[0]
	}
	if sec := s.find(s.section); sec != nil && sec.Typical.Volume() > 0 {
		return &sec.Typical
	}
	return nil
}

// massOf is the mass in kg that a draft says went in; NaN where that cannot be told.
func (s *Session) massOf(d draft) float64 {
	form, _ := cell.Column("bags", s.job.Settings.Units)
	var m model.Material
	if d.mass == "" || form.Bags(d.mass, model.MaterialBags, &m) != nil || m.Shared {
		return math.NaN()
	}
	bags := m.Bags
	if last := lastReading(s.job); s.column() == "counter" && last != nil {
		bags -= last.Material.Bags
	}
	return bags*plan.BagWeight(&s.job.Settings) + m.Part
}
