// Cells of words, times and days, and what stands behind a word: how a rod went, what pressure a
// look was made under, where a rod stopped.

package cell

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"bayproof/model"
)

// answer reads a cell that holds one word of a list; said is false for an empty cell. The list
// comes as a function because only a refusal needs it.
func answer[T any](name, s string, parse func(string) (T, bool), words func() []string) (v T, said bool, bad *Refusal) {
	switch v, ok := parse(s); {
	case ok:
		return v, true, nil
	case Blank(s):
		return v, false, nil
	}
	return v, false, oneOf(name, s, words())
}

// Stalled is YesNo with `?` for what nobody could tell.
func Stalled(name, s string) (model.Answer, *Refusal) {
	if strings.Contains(s, "?") && strings.Trim(spaced(s), " ") == "?" {
		return model.Doubtful, nil
	}
	a, bad := YesNo(name, s)
	if bad != nil {
		bad.Hint = "write yes, no, or ? if nobody could tell; leave the cell empty if nobody looked"
	}
	return a, bad
}

// Limits of what a look is made under: a blower door at 50 Pa, a roof in the sun. Beyond them it is
// a slip.
const (
	mostPascal = 500
	mostKelvin = 100
	fahrenheit = 5. / 9 // K
)

// Look reads what a look into a bay found, and how: along or across behind a rod, `50 Pa` behind
// smoke, `20 F` or `11 C`, a difference of temperature, behind ir, with either decimal mark. An
// empty cell is no look.
func Look(s string) (model.Look, *Refusal) {
	look := model.Look{Under: math.NaN()}
	if Blank(s) {
		return look, nil
	}
	var ok bool
	if look.Probe, ok = model.ParseProbe(s); ok {
		return look, nil
	}
	words := strings.Fields(spaced(s))
	if len(words) > 2 {
		look.Probe, ok = model.ParseProbe(words[0] + " " + words[1])
	}
	if !ok {
		return look, oneOf("probe", s, model.ProbeWords())
	}
	tail := strings.Join(words[2:], " ")
	var bad *Refusal
	switch look.Probe {
	case model.RodFirm, model.RodSoft, model.RodEmpty:
		way := slices.IndexFunc(model.RodWays(), func(w string) bool { return strings.EqualFold(w, tail) })
		if look.Way = model.Along + model.RodWay(way); way < 0 {
			bad = refuse("probe", s, 0, "has "+tail+" after the rod", "write along or across, the way the rod went, or nothing")
		}
	case model.SmokeStill, model.SmokeMoves:
		look.Under, bad = under(s, tail, mostPascal, "50 Pa, the pressure across the face", map[string]float64{"pa": 1})
	case model.IREven, model.IRCold:
		look.Under, bad = under(s, tail, mostKelvin, "20 F or 11 C, the difference between inside and outside",
			map[string]float64{"f": fahrenheit, "°f": fahrenheit, "c": 1, "°c": 1, "k": 1})
	default:
		bad = refuse("probe", s, 0, "has "+tail+" in the wrong place", "write "+look.Probe.String()+" alone")
	}
	return look, bad
}

// under reads a figure and its unit, which a look has to say, and returns it times the unit's
// factor in units (Pa or K), most at most.
func under(s, text string, most float64, write string, units map[string]float64) (float64, *Refusal) {
	number := strings.TrimRight(text, "°abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ")
	factor, ok := units[strings.ToLower(strings.TrimSpace(text[len(number):]))]
	if !ok || Blank(number) {
		return math.NaN(), refuse("probe", s, 0, "has "+text+" in the wrong place", "write "+write+", or nothing")
	}
	form := Form{Name: "probe", Unit: model.Unit{Dimension: model.DimCount, Factor: 1}, Comma: strings.Contains(number, ","), Max: most / factor}
	v, bad := form.Number(strings.TrimSpace(number))
	if bad != nil {
		return math.NaN(), refuse("probe", s, 0, strings.TrimPrefix(bad.What, "probe "+show(number)+" "), "write "+write)
	}
	return v * factor, nil
}

// Stops reads where a rod stopped, in m, and at what: `6 block`, several with `;` between. Nil for
// an empty cell.
func (f *Form) Stops(s string) (stops []model.Stop, bad *Refusal) {
	if Blank(s) {
		return nil, nil
	}
	bad = f.eachStop(s, func(place string, what int) *Refusal {
		at, bad := f.Number(place)
		stops = append(stops, model.Stop{At: at, What: model.StopUnknown + model.StopAt(what)})
		return bad
	})
	if bad != nil {
		return nil, bad
	}
	return stops, nil
}

// PlainStops rewrites a good cell as Plain does.
func (f *Form) PlainStops(s string) (string, *Refusal) {
	var parts []string
	bad := f.eachStop(s, func(place string, what int) *Refusal {
		text, bad := f.Plain(place)
		parts = append(parts, text+" "+model.StopWords()[what])
		return bad
	})
	return strings.Join(parts, "; "), bad
}

// eachStop cuts a cell into stops: the place as written, and the word behind it by its place among
// those known.
func (f *Form) eachStop(s string, give func(place string, what int) *Refusal) *Refusal {
	const ways = "write 6 block, 6 wire, 6 pipe, 6 duct, 6 flue, or 6 ? if nobody can tell"
	for part := range strings.SplitSeq(spaced(s), ";") {
		part = strings.Trim(part, " ")
		what := slices.IndexFunc(model.StopWords(), func(w string) bool {
			return len(part) >= len(w) && strings.EqualFold(part[len(part)-len(w):], w)
		})
		if what < 0 {
			return refuse(f.Name, s, 0, "does not say at what the rod stopped", ways)
		}
		place := strings.TrimSpace(part[:len(part)-len(model.StopWords()[what])])
		if place == "" {
			return refuse(f.Name, s, 0, "does not say where the rod stopped", ways)
		}
		if bad := give(place, what); bad != nil {
			return bad
		}
	}
	return nil
}

// longestFeed is longer than any bay takes, in seconds: four hours.
const longestFeed = 4 * 3600

// Feed reads for how many seconds material ran: `4:10`, `250 s`, `4 min`, bursts with `;` between,
// which add up; or shared. The zero value for an empty cell. Zero, more than four hours, and a
// number without a unit are refused.
func Feed(s string) (feed model.Feed, bad *Refusal) {
	if Blank(s) {
		return feed, nil
	}
	if isShared(s) {
		return model.Feed{Shared: true}, nil
	}
	for part := range strings.SplitSeq(spaced(s), ";") {
		seconds, why := burst(strings.ToLower(strings.Trim(part, " ")))
		if feed.Seconds += seconds; why == "" && feed.Seconds > longestFeed {
			why = "is over 4 h"
		}
		if why != "" {
			hint := "write 4:10 or 250 s, bursts with ; between, or shared"
			if strings.Count(part, ":") > 1 {
				hint = "format the column as text and write 250 s: a spreadsheet turned minutes and seconds into a time of day"
			}
			return model.Feed{}, refuse("feed", s, 0, why, hint)
		}
	}
	return feed, nil
}

// burst reads one stretch of time in seconds; why says what is wrong with it.
func burst(s string) (seconds float64, why string) {
	if minute, second, ok := strings.Cut(s, ":"); ok {
		m, err1 := strconv.ParseUint(minute, 10, 16)
		sec, err2 := strconv.ParseUint(second, 10, 16)
		switch {
		case err1 != nil || err2 != nil || len(second) != 2:
			return 0, "is not minutes and seconds"
		case sec > 59:
			return 0, "has over 59 seconds"
		case m+sec == 0:
			return 0, "is zero"
		}
		return float64(60*m + sec), ""
	}
	number := strings.TrimRight(s, "abcdefghijklmnopqrstuvwxyz. ")
	unit := map[string]float64{"s": 1, "sec": 1, "seconds": 1, "min": 60, "minutes": 60}[strings.Trim(s[len(number):], ". ")]
	v, err := strconv.ParseUint(number, 10, 16)
	switch {
	case unit == 0 && err == nil:
		return 0, "does not say minutes or seconds"
	case unit == 0 || err != nil:
		return 0, "is no time"
	case v == 0:
		return 0, "is zero"
	}
	return unit * float64(v), ""
}

// Differences reads figures with `;` between that may be below zero, or 0, in SI; a unit after the
// last holds for all. Nil for an empty cell.
func (f *Form) Differences(s string) (values []float64, bad *Refusal) {
	if Blank(s) {
		return nil, nil
	}
	parts := strings.Split(spaced(s), ";")
	last := strings.Trim(parts[len(parts)-1], " ")
	unit := last[len(strings.TrimRight(last, "abcdefghijklmnopqrstuvwxyz\"")):]
	for _, part := range parts {
		part = strings.Trim(part, " ")
		size := strings.Trim(strings.TrimPrefix(strings.TrimPrefix(part, "-"), "+"), " ")
		if !strings.HasSuffix(size, unit) {
			size += " " + unit
		}
		v, bad := f.Number(size)
		if bad == nil && math.IsNaN(v) {
			bad = refuse(f.Name, s, 0, "has an empty value", "write the differences with ; between")
		}
		if bad != nil {
			return nil, bad
		}
		if strings.HasPrefix(part, "-") {
			v = -v
		}
		values = append(values, v)
	}
	return values, nil
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
		bad = refuse(name, s, 0, "is neither yes nor no", "write yes or no, or leave the cell empty if nobody looked")
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
	hint := "write " + anyOf(words)
	if near := Nearest(strings.ToLower(strings.Trim(spaced(s), " ")), words); near != "" {
		hint = "write " + near
	}
	return refuse(name, s, 0, "is not one of its words", hint)
}

// Nearest returns the known word that is one or two letters off (one, where either word has four
// letters or fewer), or "". A swap of neighbors counts as one. Of several the nearest wins, then
// the first.
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

// lettersOff returns the optimal string alignment distance of two words: how many letters are put
// in, left out, changed, or swapped with a neighbor, no letter touched twice. d[i][j] is the
// distance of a's first i letters from b's first j, by
//
//	d[i+1][j+1] = min(d[i][j] + [a[i] ≠ b[j]], d[i][j+1] + 1, d[i+1][j] + 1, d[i−1][j−1] + 1 after a swap)
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

// stamps are the ways to write a day and a time, the commonest first. Where seconds stand, the
// library takes a fraction after them. Without a zone the time is UTC, which stands for the local
// clock.
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

// Time reads RFC 3339, also with a space for the T and without seconds or zone; `14:20` takes Day.
// An empty cell is the zero time.
func (c *Clock) Time(s string) (time.Time, *Refusal) {
	if strings.HasSuffix(s, "Z") { // as the format has it: nearly all
		if t, err := time.Parse(time.RFC3339, s); err == nil {
			return t, nil
		}
	}
	text := strings.Trim(spaced(s), " ")
	if text == "" {
		return time.Time{}, nil
	}
	for _, layout := range stamps {
		// The library takes 9:20 for 09:20. Behind a day, where nothing but the length tells a time
		// from a slip, it is none.
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
			return time.Time{}, refuse("time", s, 0, "is a time of day, and the job has no date", "give the job its date, or write 2026-03-02 "+text)
		}
		return time.Date(c.Day.Year(), c.Day.Month(), c.Day.Day(), t.Hour(), t.Minute(), t.Second(), 0, c.Day.Location()), nil
	}
	return time.Time{}, refuse("time", s, 0, "is not a time", "write 2026-03-02 14:20, 2026-03-02T14:20:00-05:00, or 14:20 if the job has a date")
}

// Date reads 2026-03-02; an empty cell is the zero time. No other order of day and month is taken:
// 3/2/2026 is two days.
func Date(name, s string) (time.Time, *Refusal) {
	text := strings.Trim(spaced(s), " ")
	if text == "" {
		return time.Time{}, nil
	}
	t, err := time.Parse("2006-01-02", text)
	if err != nil {
		return t, refuse(name, s, 0, "is not a day as year-month-day", "write 2026-03-02, and format the cell as text")
	}
	return t, nil
}
