package cell

import (
	"strings"
	"time"

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

// Nearest returns the known word that is one or two letters off (one, for words of up to four letters), or "". A
// swap of neighbours counts as one. Of several the nearest wins, then the first.
func Nearest(wrong string, known []string) string {
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

// lettersOff is the optimal string alignment distance: letters put in, left out, changed, or swapped with a neighbour.
func lettersOff(a, b []rune) int {
	before, row, next := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		next[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			next[j] = min(row[j]+1, next[j-1]+1, row[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				next[j] = min(next[j], before[j-2]+1)
			}
		}
		before, row, next = row, next, before
	}
	return row[len(b)]
}

// Clock reads the times of a log. Rows that follow each other are mostly of one day: the last one is kept.
type Clock struct {
	Day      time.Time // what a time of day without a date takes
	date     string    // the day read last
	midnight time.Time // and when it began
}

// Time reads one time as a Clock does that has read none before.
func Time(s string, day time.Time) (time.Time, *Refusal) {
	c := Clock{Day: day}
	return c.Time(s)
}

// Time reads RFC 3339, also with a space for the T and without seconds or zone (then UTC stands for the local clock);
// `14:20` takes Day. An empty cell is the zero time.
func (c *Clock) Time(s string) (time.Time, *Refusal) {
	if t, ok := c.stamp(s); ok {
		return t, nil
	}
	text := strings.Trim(spaced(s), " ")
	if text == "" {
		return time.Time{}, nil
	}
	if t, ok := c.stamp(text); ok {
		return t, nil
	}
	for _, layout := range layouts() {
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

// layouts are the spellings that stamp leaves to the library: fractions of a second, zones.
func layouts() []string {
	return []string{
		time.RFC3339, "2006-01-02 15:04:05Z07:00", "2006-01-02 15:04:05 Z07:00", "2006-01-02T15:04:05", "2006-01-02 15:04:05",
		"2006-01-02T15:04Z07:00", "2006-01-02 15:04Z07:00", "2006-01-02 15:04 Z07:00",
	}
}

// stamp reads the commonest spellings without help: 2026-03-02T14:20, with seconds, with Z.
func (c *Clock) stamp(s string) (time.Time, bool) {
	if len(s) < 16 || s[10] != 'T' && s[10] != ' ' || s[13] != ':' || s[:10] != c.date && !c.turn(s[:10]) {
		return time.Time{}, false
	}
	hour, ok1 := twoDigits(s[11:])
	minute, ok2 := twoDigits(s[14:])
	second, ok3, rest := 0, true, s[16:]
	if len(rest) >= 3 && rest[0] == ':' {
		second, ok3 = twoDigits(rest[1:])
		rest = rest[3:]
	}
	// Other zones need a *time.Location each; the library makes them.
	if !(ok1 && ok2 && ok3) || rest != "" && rest != "Z" || hour > 23 || minute > 59 || second > 59 {
		return time.Time{}, false
	}
	return c.midnight.Add(time.Duration(3600*hour+60*minute+second) * time.Second), true
}

// turn makes a day written 2026-03-02 the last one read.
func (c *Clock) turn(s string) bool {
	century, ok1 := twoDigits(s[0:])
	year, ok2 := twoDigits(s[2:])
	month, ok3 := twoDigits(s[5:])
	day, ok4 := twoDigits(s[8:])
	year += 100 * century
	// Date would carry over what is out of range: a day that does not exist must not become the next one.
	if !(ok1 && ok2 && ok3 && ok4) || s[4] != '-' || s[7] != '-' || month < 1 || month > 12 || day < 1 || day > daysOf(month, year) {
		return false
	}
	c.date, c.midnight = s, time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
	return true
}

// daysOf is the number of days of a month, from 1, in a year of the Gregorian calendar.
func daysOf(month, year int) int {
	switch month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// twoDigits reads the first two bytes.
func twoDigits(s string) (int, bool) {
	a, b := s[0]-'0', s[1]-'0'
	return int(a)*10 + int(b), a <= 9 && b <= 9
}

// Date reads 2026-03-02; an empty cell is the zero time.
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
