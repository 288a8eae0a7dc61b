package prompt

import (
	"cmp"
	"errors"
	"math"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/report/say"
	"bayproof/verify/plan"
)

// typed is a line after its words were understood: the figures by place, in every way they can be
// cut, and what the words say, by column.
type typed struct {
	units  say.Units
	loose  []string // figures without a word, as tokens; a comma keeps apart
	ways   [][]string
	said   Row
	amount string // "bags", "counter", "weight" where the line names the column in front of its figure, which is in said
	counts bool   // the last of the figures without a word is what went in: "1 1/2 bags"
}

// parseWords reads what stands behind the name of a bay. Words may stand in any order; figures
// without a word belong to the sizes and the material by their place.
func parseWords(units say.Units, tokens []string) (typed, error) {
	t := typed{said: Row{}, units: units}
	for len(tokens) > 0 {
		n, err := 0, error(nil)
		if w := lineWordOf(tokens[0]); w != nil {
			n, err = w.take(&t, tokens)
		}
		switch {
		case err != nil:
			return t, err
		case n > 0:
		case len(tokens) > 1 && strings.EqualFold(tokens[0], "no") && strings.EqualFold(tokens[1], "stall"):
			t.said["stall"] = "no"
			n = 2
		case numeric(tokens[0]) || tokens[0] == "shared" || isTimes(tokens[0]):
			t.loose = append(t.loose, cutFigures(tokens[0])...)
			n = 1
		default:
			return t, t.unknown(tokens[0])
		}
		tokens = tokens[n:]
	}
	t.ways = figures(t.loose)
	return t, nil
}

// isTimes tells whether a token is the sign between sizes, as in 22.5 x 5.5 x 12.
func isTimes(token string) bool { return slices.Contains([]string{"x", "X", "×", "*"}, token) }

// decimalComma is a figure as it is written where the decimal mark is a comma.
var decimalComma = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^\d*,\d{1,2}$`) })

// pointed is a figure with a point for its decimal mark, and any other text as it is.
func pointed(text string) string {
	if decimalComma().MatchString(text) {
		return strings.Replace(text, ",", ".", 1)
	}
	return text
}

// cutFigures cuts what was typed without spaces, as 22.5x5.5x12 or 14.5,5.5,12, and takes a comma
// within one figure for its decimal mark. What keeps figures apart comes back as a comma.
func cutFigures(token string) []string {
	if isTimes(token) {
		return []string{","}
	}
	token = pointed(token)
	var out []string
	begun := 0
	flush := func(end int) {
		if part := token[begun:end]; part != "" {
			out = append(out, part)
		}
	}
	for i, r := range token {
		next, _ := utf8.DecodeRuneInString(token[i+utf8.RuneLen(r):])
		if r == ',' || (r == 'x' || r == 'X' || r == '×') && i > 0 && numeric(string(next)) {
			flush(i)
			out, begun = append(out, ","), i+utf8.RuneLen(r)
		}
	}
	flush(len(token))
	return out
}

// lineWord are words that may stand behind a bay. take notes one of them with what belongs to it
// and returns how many tokens that was; 0 where it is no such word after all.
type lineWord struct {
	words []string
	take  func(t *typed, tokens []string) (int, error)
}

// lineWords are all of them: those of one thing that was seen, and the columns of the log that are
// said by their name.
func lineWords() []lineWord {
	words := []lineWord{
		{[]string{"stall", "stalled"}, (*typed).stall},
		{[]string{"no-stall", "nostall"}, func(t *typed, _ []string) (int, error) { t.said["stall"] = "no"; return 1, nil }},
		{[]string{"rod", "hand", "smoke", "ir"}, (*typed).probe},
		{model.ShapeWords(), func(t *typed, tokens []string) (int, error) {
			t.said["shape"] = strings.ToLower(tokens[0])
			return 1, nil
		}},
		{[]string{"photo", "photos"}, (*typed).photos},
		{[]string{"w"}, before("width")},
		{[]string{"d"}, before("depth")},
		{[]string{"l"}, before("length")},
		{[]string{"wide"}, behind("width")},
		{[]string{"deep"}, behind("depth")},
		{[]string{"long"}, behind("length")},
		{[]string{"bag"}, (*typed).bags},
		{[]string{"note"}, func(t *typed, tokens []string) (int, error) {
			t.said["note"] = strings.Join(tokens[1:], " ")
			return len(tokens), nil
		}},
	}
	for _, c := range namedColumns() {
		words = append(words, lineWord{[]string{c.Name}, func(t *typed, tokens []string) (int, error) { return t.column(&c, tokens) }})
	}
	return words
}

// namedColumns are the columns of the log that a line says by their name: figures, and words of
// one's own but for the names of section and bay, and the note, which takes the rest of the line.
func namedColumns() []model.Column[model.Entry] {
	return slices.DeleteFunc(model.LogColumns(), func(c model.Column[model.Entry]) bool {
		if c.Figure != nil {
			return false
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

// column takes what stands behind the name of a column: its figure, one word, or of what was seen
// all up to the next word. A count may stand before its word: "1 1/2 bags".
func (t *typed) column(c *model.Column[model.Entry], tokens []string) (int, error) {
	switch {
	case c.Is == model.ColumnMaterial && len(t.loose) > 0 && !(len(tokens) > 1 && numeric(tokens[1])):
		return t.bags(tokens)
	case c.Figure != nil && c.Name != "stop":
		if c.Is == model.ColumnMaterial {
			t.amount = c.Name
		}
		return t.figure(c.Name, tokens)
	case len(tokens) == 1:
		return 0, t.errorf("%s what?", c.Name)
	case c.Is != model.ColumnObservation:
		t.said[c.Name] = tokens[1]
		return 2, nil
	}
	n := untilWord(tokens)
	t.said[c.Name] = strings.Join(tokens[1:n], " ")
	return n, nil
}

// bags takes the figure before the word for what went in.
func (t *typed) bags(tokens []string) (int, error) {
	if len(t.loose) == 0 {
		return 0, t.errorf("%s: a figure is missing", tokens[0])
	}
	t.counts = true
	return 1, nil
}

// before takes the figure behind a short word for a column.
func before(column string) func(*typed, []string) (int, error) {
	return func(t *typed, tokens []string) (int, error) { return t.figure(column, tokens) }
}

// behind takes the figure before the word, as in "8 1/4 wide": of the figures that it may be the
// longest.
func behind(column string) func(*typed, []string) (int, error) {
	return func(t *typed, tokens []string) (int, error) {
		for k := range t.loose {
			if text := strings.Join(t.loose[k:], " "); reads(column, text, t.units.System) {
				t.said[column], t.loose = text, t.loose[:k]
				return 1, nil
			}
		}
		return 0, t.errorf("How much? As in: 8 1/4 %s", tokens[0])
	}
}

// lineWordOf finds a word in any case; nil where the token is none.
func lineWordOf(token string) *lineWord {
	for _, w := range lineWords() {
		if slices.Contains(w.words, strings.ToLower(token)) {
			return &w
		}
	}
	return nil
}

// isWord tells whether a token is one of the words behind a bay.
func isWord(token string) bool { return lineWordOf(token) != nil }

// errorf is an error in the crew's language.
func (t *typed) errorf(english string, args ...any) error {
	return errors.New(t.units.F(english, args...))
}

// unknown says what may have been meant by a token that is nothing.
func (t *typed) unknown(token string) error {
	var known []string
	for _, w := range lineWords() {
		known = append(known, w.words...)
	}
	if near := cell.Nearest(strings.ToLower(token), known); near != "" {
		return t.errorf("What is %q? Did you mean %s?", token, near)
	}
	return t.errorf("What is %q? help lists the words.", token)
}

// stall takes the word with the answer that may follow it: alone it is a yes.
func (t *typed) stall(tokens []string) (int, error) {
	t.said["stall"] = "yes"
	if len(tokens) > 1 {
		if a, bad := cell.Stalled("stall", answerIn(t.units.Language, tokens[1])); bad == nil {
			t.said["stall"] = a.String()
			return 2, nil
		}
	}
	return 1, nil
}

// probe takes a probe with what it showed, as in "rod firm".
func (t *typed) probe(tokens []string) (int, error) {
	for n := min(len(tokens), 4); n > 1; n-- { // smoke still 50 Pa
		if look, bad := cell.Look(strings.Join(tokens[:n], " ")); bad == nil {
			t.said["probe"] = strings.Join(append([]string{look.Probe.String()}, tokens[2:n]...), " ")
			return n, nil
		}
	}
	return 0, t.errorf("%s what? One of: %s", tokens[0], strings.Join(model.ProbeWords(), ", "))
}

// figure takes the figure behind the word of its column: of the tokens there as many as read as one.
// Those left are figures by their place: in "width 8 1/4 3/4" the last is what went in.
func (t *typed) figure(column string, tokens []string) (int, error) {
	most := 1
	for most < len(tokens) && (numeric(tokens[most]) || tokens[most] == "shared") {
		most++
	}
	if most == 1 {
		return 0, t.errorf("%s: a figure is missing", column)
	}
	for n := most; n > 1; n-- {
		text := pointed(strings.Join(tokens[1:n], " "))
		if reads(column, text, t.units.System) {
			t.said[column] = text
			return n, nil
		}
	}
	t.said[column] = strings.Join(tokens[1:most], " ") // refused with its reason when it is written
	return most, nil
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
		return 0, t.errorf("photo: a file name is missing")
	}
	t.said["photo"] = strings.Join(tokens[1:n], ";")
	return n, nil
}

// A line is cut at its spaces, and a figure may hold spaces itself: 1 3/4, 12' 6 1/2", 2 1/4; 2
// 1/2, 38 lb. Where two pieces must belong together they are joined, where they may, both readings
// are kept and the one that makes sense of the whole line is taken. Where two do, the person is
// asked.

// bond says whether a token belongs to the one before it.
type bond uint8

const (
	apart bond = iota
	maybe
	joined
)

// figures returns every way of cutting the tokens into figures, the likeliest first.
func figures(tokens []string) [][]string {
	ways, before := [][]string{nil}, ","
	for _, token := range tokens {
		b := apart
		if before != "," {
			b = bondOf(before, token)
		}
		if token != "," {
			ways = extend(ways, token, b)
		}
		before = token
	}
	return ways
}

// mostWays bounds the readings that a line of fractions can have: each fraction may double them.
const mostWays = 256

// extend adds a token to every way so far: to its last figure, as a figure of its own, or both
// where that cannot be told.
func extend(ways [][]string, token string, b bond) [][]string {
	var out [][]string
	for _, w := range ways {
		if b != apart {
			with := slices.Clone(w)
			with[len(with)-1] += " " + token
			out = append(out, with)
		}
		if b != joined && len(out) < mostWays {
			out = append(out, append(slices.Clone(w), token))
		}
	}
	return out
}

// What a token looks like that belongs to the one before it, or waits for the one after it.
const (
	goesOn     = `^[;±+-]`                           // a separator, a sign
	waits      = `[;±+-]$`                           // for what comes behind such a sign
	feet       = `(^|[^'])'$|(′|’|ft\.?|feet|foot)$` // two marks of feet are one of inches
	inches     = `.("|″|”|''|in)$`
	fraction   = `^(\d+/\d+|[¼½¾⅛⅜⅝⅞])`
	fewInches  = `^(\d|1[01])(\D|$)|` + fraction // what may stand behind feet: at most 11, or a fraction
	wholeAtEnd = `(^|[;'′’±-])\d+$`              // a whole number that a fraction may follow
)

// looks tells whether a token matches a pattern.
func looks(token, like string) bool { return regexp.MustCompile(like).MatchString(token) }

// bondOf judges two neighbours.
func bondOf(before, token string) bond {
	switch {
	case token == `"` || before == `"` || token == "shared" || before == "shared":
		return apart
	case isUnit(token), looks(token, goesOn), looks(before, waits):
		return joined
	case looks(before, feet) && looks(token, inches):
		return joined
	case looks(before, feet) && looks(token, fewInches):
		return maybe
	case looks(before, wholeAtEnd) && looks(token, fraction):
		return maybe
	}
	return apart
}

// isUnit tells whether a token is a unit spelled out: lb, mm, ft. Marks as in 12' stand in the
// figure's own token.
func isUnit(token string) bool {
	r, _ := utf8.DecodeRuneInString(token)
	if !unicode.IsLetter(r) {
		return false
	}
	_, ok := model.LookupUnit(token)
	return ok
}

// numeric tells whether a token can be part of a figure.
func numeric(token string) bool {
	r, _ := utf8.DecodeRuneInString(token)
	return token == "," || unicode.IsDigit(r) || strings.ContainsRune(`.;"±+-¼½¾⅛⅜⅝⅞″′`, r) || isUnit(token)
}

// How far a reading of a line may lie from the bays here, or from any bay, and still be offered.
const (
	farSize  = 2.5 // ratio of a size
	farThin  = 0.4 // of the target
	farDense = 1.6 // of the ceiling
	clearly  = 0.5 // how much farther off (see off) the next reading lies where nobody is asked
)

// likely are the readings of a line that a bay here could have, the likeliest first; all of them
// where none could be. Where the first is by far the likeliest it is the only one: 14.5 5 11 1/4
// may end in a length of 11 1/4 ft, or in 11 ft and a quarter of a bag, which no bay of that size
// is filled with.
func (s *Session) likely(fits []draft) []draft {
	if len(fits) < 2 {
		return fits
	}
	slices.SortStableFunc(fits, func(a, b draft) int { return cmp.Compare(s.off(a), s.off(b)) })
	if none := slices.IndexFunc(fits, func(d draft) bool { return math.IsInf(s.off(d), 1) }); none > 0 {
		fits = fits[:none]
	}
	if len(fits) > 1 && s.off(fits[1])-s.off(fits[0]) > clearly {
		fits = fits[:1]
	}
	return fits
}

// off is how far a reading of a line lies from the bays here, as the sum of the logarithms of what
// its sizes and its density differ by; infinite where no bay could be so. What cannot be told is
// not far off.
func (s *Session) off(d draft) (sum float64) {
	w, deep, long, ok := s.dims(d)
	if !ok {
		return 0
	}
	if w < model.Inch || deep < model.Inch/2 || long < 4*model.Inch {
		return math.Inf(1)
	}
	if like := s.like(d.name); like != nil {
		x := like.Dims()
		for _, r := range []float64{ratio(w, x.Width), ratio(deep, x.Depth), ratio(long, x.Length)} {
			if sum += math.Log(r); r > farSize {
				return math.Inf(1)
			}
		}
	}
	mass := s.massOf(d)
	if math.IsNaN(mass) {
		return sum
	}
	set := &s.job.Settings
	density := mass / (w * deep * long)
	if density < farThin*set.Target || density > farDense*set.Ceiling {
		return math.Inf(1)
	}
	return sum + math.Log(ratio(density, set.Aim))
}

// dims are the sizes, m, of a draft of a plain bay.
func (s *Session) dims(d draft) (w, deep, long float64, ok bool) {
	var v [3]float64
	for i, name := range sizeNames("") {
		form, _ := cell.Column(name, s.job.Settings.Units)
		var r model.Reading
		if _, bad := form.Reading(d.said[name], &r, nil); bad != nil || r.State != model.Measured {
			return 0, 0, 0, false
		}
		v[i] = r.Mean()
	}
	return v[0], v[1], v[2], d.said["shape"] == ""
}

// like is a bay to compare with: the one above, else the section's typical one; nil where there is
// neither.
func (s *Session) like(name string) *model.Piece {
	if b := s.above(name); b != nil {
		return b.Pieces[0]
	}
	if sec := s.find(s.section); sec != nil && sec.Typical.Volume() > 0 {
		return &sec.Typical
	}
	return nil
}

// massOf is the mass in kg that a draft says went in: bags, or the counter less its last reading,
// times a bag's weight, and a part bag that was weighed. NaN where that cannot be told.
func (s *Session) massOf(d draft) float64 {
	form, _ := cell.Column("bags", s.job.Settings.Units)
	var m model.Material
	if d.mass == "" || form.Bags(d.mass, model.MaterialBags, &m) != nil || m.Shared {
		return math.NaN()
	}
	bags := m.Bags
	if last, ok := s.lastReading(); s.column() == "counter" && ok {
		bags -= last
	}
	return bags*plan.BagWeight(&s.job.Settings) + m.Part
}
