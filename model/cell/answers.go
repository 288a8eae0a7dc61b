package cell

import (
	"slices"
	"strings"
	"time"

	"bayproof/model"
)

// answer reads a cell that holds one word of a list; said is false for an empty cell. The list comes as a function because only
// a refusal needs it.
func answer[T any](name, s string, parse func(string) (T, bool), words func() []string) (v T, said bool, bad *Refusal) {
	if Blank(s) {
		return v, false, nil
	}
	v, ok := parse(s)
	if !ok {
		return v, false, oneOf(name, s, words())
	}
	return v, true, nil
}

// Probe reads what a look into a bay found; an empty cell is ProbeNone.
func Probe(s string) (model.Probe, *Refusal) {
	p, _, bad := answer("probe", s, model.ParseProbe, model.ProbeWords)
	return p, bad
}

// Entry reads the entry column; ok is false for an empty cell.
func Entry(s string) (kind model.EntryKind, ok bool, bad *Refusal) {
	return answer("entry", s, model.ParseEntryKind, model.EntryWords)
}

// Shape reads the shape column; an empty cell is ShapeUnsaid.
func Shape(s string) (model.Shape, *Refusal) {
	shape, _, bad := answer("shape", s, model.ParseShape, model.ShapeWords)
	return shape, bad
}

// YesNo reads yes, no, y, n, true, false in any case; an empty cell is Unsaid.
func YesNo(name, s string) (model.Answer, *Refusal) {
	a, _, bad := answer(name, s, model.ParseAnswer, func() []string { return nil })
	if bad != nil {
		bad = refuse(name, s, 0, "neither yes nor no", "write yes or no, or leave the cell empty where nobody looked")
	}
	return a, bad
}

// OneOf reads one of several words in any case; an empty cell is "".
func OneOf(name, s string, words []string) (string, *Refusal) {
	t := strings.Trim(spaced(s), " ")
	if i := slices.IndexFunc(words, func(w string) bool { return strings.EqualFold(t, w) }); i >= 0 {
		return words[i], nil
	} else if t == "" {
		return "", nil
	}
	return "", oneOf(name, s, words)
}

// oneOf refuses a word that is none of those known, and asks for the one that it is nearly.
func oneOf(name, s string, words []string) *Refusal {
	hint := "known are " + strings.Join(words, ", ")
	if near := Nearest(strings.ToLower(strings.Trim(spaced(s), " ")), words); near != "" {
		hint = near + "?"
	}
	return refuse(name, s, 0, "a word that is not known here", hint)
}

// Nearest returns the known word that is one or two letters off (one, for words of up to four letters), or "". A
// swap of neighbours counts as one. Of several the nearest wins, then the first.
func Nearest(wrong string, known []string) string {
	// Short words are near to each other by themselves: two letters off, lid would be rod.
	best, found := 3, ""
	if len([]rune(wrong)) <= 4 {
		best = 2
	}
	for _, k := range known {
		limit := best
		if len([]rune(k)) <= 4 {
			limit = min(limit, 2)
		}
		if d := lettersOff([]rune(wrong), []rune(k)); d < limit {
			best, found = d, k
		}
	}
	return found
}

// lettersOff is the optimal string alignment distance of two words: how many letters are put in, left out, changed, or
// swapped with a neighbor, no letter touched twice. Row i, column j of the table is the distance of a's first i letters
// from b's first j.
func lettersOff(a, b []rune) int {
	d := make([][]int, len(a)+1)
	for i := range d {
		d[i] = make([]int, len(b)+1)
		d[i][0] = i
	}
	for j := range b {
		d[0][j+1] = j + 1
	}
	for i := range a {
		for j := range b {
			changed := d[i][j]
			if a[i] != b[j] {
				changed++
			}
			d[i+1][j+1] = min(changed, d[i][j+1]+1, d[i+1][j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				d[i+1][j+1] = min(d[i+1][j+1], d[i-1][j-1]+1)
			}
		}
	}
	return d[len(a)][len(b)]
}

// stamps are the ways to write a day and a time, the commonest first. Where seconds stand, the library takes a fraction
// after them. Without a zone the time is UTC, which stands for the local clock.
var stamps = []string{
	time.RFC3339, "2006-01-02T15:04", "2006-01-02 15:04", "2006-01-02 15:04:05", "2006-01-02T15:04:05",
	"2006-01-02 15:04:05Z07:00", "2006-01-02 15:04:05 Z07:00", "2006-01-02T15:04Z07:00", "2006-01-02 15:04Z07:00", "2006-01-02 15:04 Z07:00",
}

// Clock reads the times of a log.
type Clock struct {
	Day time.Time // what a time of day without a date takes; zero where the job has no date
}

// Time reads one time of a job whose day is given, as Clock.Time does.
func Time(s string, day time.Time) (time.Time, *Refusal) { return (&Clock{day}).Time(s) }

// Time reads RFC 3339, also with a space for the T and without seconds or zone; `14:20` takes Day. An empty cell is the
// zero time.
func (c *Clock) Time(s string) (time.Time, *Refusal) {
	text := strings.Trim(spaced(s), " ")
	if text == "" {
		return time.Time{}, nil
	}
	for _, layout := range stamps {
		// The library takes 9:20 for 09:20. Behind a day, where nothing but the length tells a time from a slip, it is none.
		if short := strings.HasSuffix(layout, "15:04"); short && len(text) != len(layout) {
			continue
		}
		if t, err := time.Parse(layout, text); err == nil {
			return t, nil
		}
	}
	for _, layout := range []string{"15:04", "15:04:05"} {
		t, err := time.Parse(layout, text)
		if err != nil {
			continue
		}
		if c.Day.IsZero() {
			return time.Time{}, refuse("time", s, 0, "a time of day, but the job has no date", "give the job's date, or write 2026-03-02 "+text)
		}
		return time.Date(c.Day.Year(), c.Day.Month(), c.Day.Day(), t.Hour(), t.Minute(), t.Second(), 0, c.Day.Location()), nil
	}
	return time.Time{}, refuse("time", s, 0, "not a time", "write 2026-03-02 14:20, 2026-03-02T14:20:00-05:00, or 14:20 where the job has a date")
}

// Date reads 2026-03-02; an empty cell is the zero time. No other order of day and month is taken: 3/2/2026 is two days.
func Date(name, s string) (time.Time, *Refusal) {
	text := strings.Trim(spaced(s), " ")
	if text == "" {
		return time.Time{}, nil
	}
	t, err := time.Parse("2006-01-02", text)
	if err != nil {
		return t, refuse(name, s, 0, "not a day as year-month-day", "write 2026-03-02, and format the cell as text")
	}
	return t, nil
}
