package record

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
	"bayproof/verify/measure"
)

func nan() float64 { return math.NaN() }

func (b *builder) data(ds []verify.Datum) string {
	parts := make([]string, len(ds))
	for i, d := range ds {
		parts[i] = d.Key + " " + b.Datum(d)
	}
	return strings.Join(parts, ", ")
}

// doNow says what can be done about a bay in two minutes; a dash where nothing is to be done.
func (b *builder) doNow(bay *verify.Bay) string {
	if bay.State == verify.Struck {
		return "withdrawn"
	}
	if bay.State == verify.NotFilled {
		return "no material in the log yet"
	}
	return b.said(b.words.Now(bay), bay.Now.Code, bay.Now.Data)
}

// nextBay says what would have settled this bay, for the next one.
func (b *builder) nextBay(bay *verify.Bay) string { return b.words.NextBay(bay) }

func (b *builder) reasonText(r verify.Reason) string {
	return b.said(b.words.Reason(r), r.Code, r.Data)
}

func (b *builder) answerText(r verify.Reason) string { return b.words.Answered(r) }

// said falls back on the code and its figures where there is no sentence for it.
func (b *builder) said(text string, code verify.Code, data []verify.Datum) string {
	if text != "" || code == "" {
		return text
	}
	return joined(": ", string(code), b.data(data))
}

// level names an interval's level.
func level(p float64) string {
	if unknown(p) {
		return "level unknown"
	}
	return strconv.FormatFloat(math.Round(p*1000)/10, 'f', -1, 64) + " % interval"
}

// freedom writes effective degrees of freedom, which are not rounded before use.
func freedom(dof float64) string {
	switch {
	case math.IsNaN(dof):
		return "ν unknown"
	case math.IsInf(dof, 1) || dof > 1000:
		return "ν unlimited"
	}
	return "ν = " + number(dof, 1)
}

func (b *builder) densityRange(lo, hi, half float64) string {
	if unknown(lo) || unknown(hi) {
		return "cannot be stated"
	}
	return b.figure(lo, half) + " to " + b.figure(hi, half) + " " + b.unit(verify.Density)
}

// inputName says an input's name in the words of the trade.
func inputName(input string) string {
	switch input {
	case "bags":
		return "counting"
	case "bag_weight":
		return "bag weight"
	case "weight":
		return "weighing"
	case "ditto":
		return "sizes taken over"
	}
	return strings.ReplaceAll(input, "_", " ")
}

func budgetLine(shares []measure.Share) string {
	var parts []string
	for _, s := range shares {
		if s.Share >= 0.005 {
			parts = append(parts, inputName(s.Input)+" "+number(s.Share*100, 0)+" %")
		}
	}
	return strings.Join(parts, ", ")
}

// show writes quantities in the job's units: sentences as package say does, and plain numbers for table cells, whose
// heading carries the unit.
type show struct{ say.Units }

func showFor(job *model.Job) show { return show{say.UnitsOf(job)} }

// blank stands in a cell where there is no figure.
const blank = "–"

func unknown(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }

// number writes x with the given places behind the point.
func number(x float64, places int) string {
	if unknown(x) {
		return blank
	}
	s := strconv.FormatFloat(x, 'f', places, 64)
	if x < 0 && !hasDigit(s[1:]) {
		return s[1:]
	}
	return s
}

func hasDigit(s string) bool {
	for _, c := range s {
		if c >= '1' && c <= '9' {
			return true
		}
	}
	return false
}

func (s show) unit(d verify.Dim) string { return s.Of(d).Name }

// mass, length and area are cells: no unit, places fit for a bay.
func (s show) mass(x float64) string   { return number(x/s.Of(verify.Mass).SI, 1) }
func (s show) length(x float64) string { return number(x/s.Of(verify.Length).SI, s.fine(1)) }
func (s show) area(x float64) string   { return number(x/s.Area().SI, s.coarse(1)) }

// density is a cell with the digits that its half-width allows.
func (s show) density(x, half, limit float64) string {
	if unknown(x) {
		return blank
	}
	return s.Density(x, half, limit)
}

// figure is a density with the digits that its half-width allows, without that.
func (s show) figure(x, half float64) string {
	if unknown(x) {
		return blank
	}
	return s.DensityFigure(x, half)
}

func (s show) size(x float64) string {
	if unknown(x) {
		return blank
	}
	return s.Size(x)
}

func (s show) fine(us int) int {
	if s.System == model.SI {
		return us + 1
	}
	return us
}

func (s show) coarse(si int) int {
	if s.System == model.SI {
		return si
	}
	return 0
}

func bags(x float64) string {
	if unknown(x) {
		return blank
	}
	return say.Bags(x)
}

func percent(p, limit float64) string {
	if unknown(p) {
		return blank
	}
	return say.Percent(p, limit)
}

// plural writes a count with its noun.
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// sectionTitle says what was found in a section: how many may be closed, and which may not.
func (b *builder) sectionTitle(s *verify.Section) string {
	byVerdict := map[verify.Verdict][]string{}
	filled := 0
	for _, bay := range filledOrder(b.f, s.Section) {
		if bay.Bay.Judged() {
			filled++
			byVerdict[bay.Verdict] = append(byVerdict[bay.Verdict], brief(bay.Bay.Bay.Name))
		}
	}
	if filled == 0 {
		return "no bay is filled yet"
	}
	shown := len(byVerdict[verify.Close])
	head := fmt.Sprintf("%d of %d bays may be closed", shown, filled)
	if shown == filled {
		head = "all " + plural(filled, "bay", "bays") + " may be closed"
		if filled == 1 {
			head = "its one bay may be closed"
		}
	}
	var rest []string
	for _, v := range verdicts() {
		if names := byVerdict[v]; v != verify.Close && len(names) > 0 {
			rest = append(rest, nameList(names)+" "+verdictMark(v).Word)
		}
	}
	if len(rest) == 0 {
		return head
	}
	return head + "; " + strings.Join(rest, ", ")
}

// nameList writes a few names, and how many more there are.
func nameList(names []string) string {
	const most = 4
	if len(names) <= most {
		return strings.Join(names, " ")
	}
	return strings.Join(names[:most], " ") + fmt.Sprintf(" and %d more", len(names)-most)
}

func (b *builder) mapTitle() string {
	n := 0
	for i := range b.f.Bays {
		if suspected(&b.f.Bays[i]) {
			n++
		}
	}
	if n == 0 {
		return "The bays as they lie: no empty length is suspected"
	}
	return "The bays as they lie: " + plural(n, "bay", "bays") + " with an empty length suspected"
}

// firstUpper starts a title that follows nothing.
func firstUpper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// mark is how a verdict or a state looks: a word, a shape and a pattern, never a colour alone.
type mark struct {
	Word  string
	Class string // names the colour, the pattern (p-…) and the shape (s-…)
}

func markOf(b *verify.Bay) mark {
	switch b.State {
	case verify.Struck:
		return mark{"STRUCK", "struck"}
	case verify.NotFilled:
		return mark{"NOT FILLED", "open"}
	}
	return verdictMark(b.Verdict)
}

func verdictMark(v verify.Verdict) mark {
	switch v {
	case verify.Close:
		return mark{say.Verdict(v), "close"}
	case verify.Add:
		return mark{say.Verdict(v), "add"}
	case verify.Probe:
		return mark{say.Verdict(v), "probe"}
	}
	return mark{say.Verdict(v), "measure"}
}

// symbol names the chart library's shape for a verdict; the drawn shapes are the same.
func symbol(v verify.Verdict) string {
	switch v {
	case verify.Close:
		return "rect"
	case verify.Add:
		return "triangle"
	case verify.Probe:
		return "diamond"
	}
	return "emptyCircle"
}

// verdicts is the order in which verdicts are told: what is to be done first.
func verdicts() []verify.Verdict {
	return []verify.Verdict{verify.Add, verify.Probe, verify.Measure, verify.Close}
}

func bayID(i int) string     { return "bay-" + strconv.Itoa(i+1) }
func sectionID(i int) string { return "section-" + strconv.Itoa(i+1) }

// sectionName names a section; the job's only one may have no name.
func sectionName(s *model.Section) string {
	if s.Name == "" {
		return "all bays"
	}
	return s.Name
}

// placed is a bay with its place in the findings.
type placed struct {
	*verify.Bay
	At int
}

// baysOf returns the bays of a section in the log's order.
func baysOf(f *verify.Findings, s *model.Section) []placed {
	var out []placed
	for i := range f.Bays {
		if f.Bays[i].Bay.Section == s {
			out = append(out, placed{&f.Bays[i], i})
		}
	}
	return out
}

// filledOrder returns the bays of a section in fill order, those not filled at the end as the log names them.
func filledOrder(f *verify.Findings, s *model.Section) []placed {
	out := baysOf(f, s)
	slices.SortStableFunc(out, func(a, b placed) int { return place(a) - place(b) })
	return out
}

func place(b placed) int {
	if b.Bay.Bay.Order == 0 {
		return int(^uint(0) >> 2)
	}
	return b.Bay.Bay.Order
}

// briefly is the most characters of a name that a drawing or a title shows; the bay's card has it whole.
const briefly = 24

// brief cuts a name that would push everything else off a drawing.
func brief(name string) string {
	r := []rune(name)
	if len(r) <= briefly {
		return name
	}
	return string(r[:briefly-1]) + "…"
}
