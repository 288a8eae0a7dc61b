package review

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
	"bayproof/verify/audit/compare"
)

// How much of a long list the text shows; JSON, CSV and the page show all.
const (
	textJobs     = 15
	textFindings = 20
	textLacks    = 12
	textNamed    = 10 // bays of a job of one kind
	textBad      = 10
)

// AppendText appends the review as text: what needs the supervisor first, then the results, then
// what is implausible, missing, drawn and unreadable. What changed since an earlier review stands
// where one is given.
func AppendText(dst []byte, r *audit.Review, since *Since, colour bool) []byte {
	t := &text{screen.Page{Dst: dst, Colour: colour, Width: width}, r, unitsOf(r)}
	t.head()
	t.needs()
	t.since(since)
	t.suspects()
	t.groups("By crew", "crew", r.Crews)
	t.groups("By kind of section", "kind", r.Kinds)
	t.groups("By month, crews taken off", "month", r.Months)
	t.groups("By way of counting", "counting", r.Ways)
	t.drifts()
	t.missing()
	t.inspected()
	t.plan()
	t.bad()
	return t.Dst
}

// text is the review as lines for a terminal, bold and dim where the screen shows them.
type text struct {
	screen.Page
	r *audit.Review
	u say.Units
}

// unitsOf are the units of the first job: one review is shown in one system.
func unitsOf(r *audit.Review) say.Units {
	if len(r.Jobs) > 0 {
		return say.Units{System: r.Jobs[0].Units}
	}
	return say.Units{System: model.US}
}

// head counts jobs and bays, and says how they stand. What could not be read is in no figure, so it
// is said at once.
func (t *text) head() {
	n := &t.r.Tally
	line := say.Count(len(t.r.Jobs), "job", "jobs")
	if len(t.r.Crews) > 1 {
		line += fmt.Sprintf(", %d crews", len(t.r.Crews))
	}
	line += ", " + say.Count(int(n.Bays), "bay", "bays")
	if m := len(t.r.Bad); m > 0 {
		line += fmt.Sprintf("; %d not readable", m)
	}
	t.Line(t.Paint(screen.Bold, line))
	if len(t.r.Bad) > 0 {
		t.Item("", 0, "What could not be read is in no figure; it is listed at the end.")
	}
	t.Item("", 0, screen.Clean(t.u.TermsLine(&t.r.Terms, termsOfJobs(t.r))))
	t.Item("", 0, standing(n))
	t.Item("", 0, pounds(t.u, n))
	if line := readerWarnings(t.r); line != "" {
		t.Item("", 0, screen.Clean(line+"; --table warnings has them all."))
	}
}

// standing says how bays stand: "412 CLOSE (301 by their own count, 111 with the crew's help), 12
// ADD, …".
func standing(n *audit.Tally) string {
	parts := []string{fmt.Sprintf("■ %d CLOSE (%d by own count, %d with the crew's help)", n.Close, n.CloseOwn, n.CloseCrew)}
	for _, x := range []struct {
		n    int32
		word string
	}{{n.Add, "▲ %d ADD"}, {n.Probe, "◆ %d PROBE"}, {n.Measure, "○ %d MEASURE"}, {n.NotFilled, "%d not filled"}, {n.NotInLog, "%d not in the log"}, {n.ClosedHold, "%d closed though not CLOSE"},
		{n.Decided, "%d decided by a person"}, {n.Left, "%d left on purpose"}} {
		if x.n > 0 {
			parts = append(parts, fmt.Sprintf(x.word, x.n))
		}
	}
	return strings.Join(parts, ", ") + "."
}

// pounds says what went in against what the target takes.
func pounds(u say.Units, n *audit.Tally) string {
	s := fmt.Sprintf("%s in, %s needed: %s.", mass(u, n.Mass), mass(u, n.MassRequired), say.Share(n.Mass, n.MassRequired))
	if n.UnaccountedJobs > 0 {
		s += fmt.Sprintf(" Bags unaccounted for: %s in %s that counted them.", fmt.Sprintf("%+.1f", n.Unaccounted), say.Count(int(n.UnaccountedJobs), "job", "jobs"))
	}
	return s
}

// mass writes a large mass, whole.
func mass(u say.Units, x float64) string {
	unit := u.Of(verify.Mass)
	return group(math.Round(x/unit.SI)) + " " + unit.Name
}

// group writes a whole number with commas between thousands.
func group(x float64) string {
	s := fmt.Sprintf("%.0f", x)
	for i := len(s) - 3; i > 0 && s[i-1] != '-'; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

// groups is the table of the crews, kinds of section or months; one alone is no table.
func (t *text) groups(title, what string, groups []audit.Group) {
	if len(groups) < 2 {
		return
	}
	t.Heading(title)
	var rows [][]string
	outside := false
	for i := range groups {
		g := &groups[i]
		n := &g.Tally
		outside = outside || g.Outside() != 0
		closed := ""
		if n.ClosedHold > 0 {
			closed = fmt.Sprint(n.ClosedHold)
		}
		rows = append(rows, []string{
			screen.Short(screen.Clean(cmp.Or(g.Name, "not said")), 16), fmt.Sprint(n.Jobs), fmt.Sprint(n.Filled),
			meanOf(t.u, g) + strings.Repeat("!", max(g.Outside(), -g.Outside())), // one for the inner limits, two for the outer ones
			shareOf(&g.Short), wholeShare(g.Reached.Share), say.Share(n.Mass, n.MassRequired), closed,
		})
	}
	t.table([]string{what, "jobs", "bays", "mean (95 %)", "short", "CLOSE", "in/need", "early"}, rows)
	if what == "crew" {
		t.Item("", 0, t.Paint(screen.Dim, "Mean density in "+t.u.Of(verify.Density).Name+", by a model in which bays of a job stand or fall together. short: bays expected below the target, of those weighed or blown to the stall. CLOSE: of those that this way of counting could show. early: closed though not CLOSE."))
		if outside {
			t.Item("", 0, t.Paint(screen.Dim, "! and !!: a lower or higher mean than 95 % and 99.8 % of crews with so many jobs have, were all alike."))
		}
	}
}

// meanOf writes a group's mean density with its interval, where it has one.
func meanOf(u say.Units, g *audit.Group) string {
	unit := u.Of(verify.Density)
	switch d := &g.Density; {
	case math.IsNaN(d.Mean):
		return "–"
	case math.IsNaN(d.Lo):
		return fmt.Sprintf("%.2f", d.Mean/unit.SI)
	default:
		return fmt.Sprintf("%.2f (%.2f to %.2f)", d.Mean/unit.SI, d.Lo/unit.SI, d.Hi/unit.SI)
	}
}

// shareOf writes an expected share of short bays with its interval, where it has one.
func shareOf(s *compare.Share) string {
	switch {
	case math.IsNaN(s.Share):
		return "–"
	case math.IsNaN(s.Lo):
		return wholeShare(s.Share)
	}
	return fmt.Sprintf("%.0f %% (%.0f to %.0f)", 100*s.Share, 100*s.Lo, 100*s.Hi)
}

// wholeShare writes a share in whole percent.
func wholeShare(x float64) string {
	if math.IsNaN(x) {
		return "–"
	}
	return fmt.Sprintf("%.0f %%", 100*x)
}

// drifts lists crews whose jobs move over the year, and jobs whose bays fall along the order of
// filling.
func (t *text) drifts() {
	lines := driftLines(t.u, t.r)
	if len(lines) == 0 {
		return
	}
	t.Heading("Drift")
	for _, line := range lines[:min(len(lines), textFindings)] {
		t.Item("", 0, screen.Clean(line))
	}
	if more := len(lines) - textFindings; more > 0 {
		t.Line(fmt.Sprintf("and %d more: --format json has them all", more))
	}
}

// driftLines say which crews and which jobs drift.
func driftLines(u say.Units, r *audit.Review) (out []string) {
	unit := u.Of(verify.Density)
	for i := range r.Drifts {
		if d := &r.Drifts[i]; d.Found {
			out = append(out, fmt.Sprintf("%s: %+.2f %s a year over %d jobs (95 %%: %+.2f to %+.2f).", cmp.Or(d.Name, "no crew said"), d.Slope/unit.SI, unit.Name, d.Jobs, d.Lo/unit.SI, d.Hi/unit.SI))
		}
	}
	for _, j := range r.Jobs {
		if !j.Falls.Found() {
			continue
		}
		way := "falls"
		if j.Falls.Slope > 0 {
			way = "rises"
		}
		line := fmt.Sprintf("%s: density %s by %.3f %s a bay in the order of filling", j.Name, way, math.Abs(j.Falls.Slope)/unit.SI, unit.Name)
		if len(j.Falls.Sections) == 0 {
			line += ", all sections together"
		} else if len(j.Sections) > 1 {
			line += ": " + strings.Join(j.Falls.Sections, ", ")
		}
		out = append(out, line+".")
	}
	return out
}

// density writes a mean density without an interval.
func density(u say.Units, x float64) string { return u.Density(x, math.NaN(), math.NaN()) }

// lower writes the lower tolerance bound of the weakest section; empty where no section has enough
// bays for one.
func lower(u say.Units, n *audit.Tally) string {
	if n.LowerKnown == 0 {
		return ""
	}
	return density(u, n.Lower)
}

// upperFirst begins a sentence with a phrase that stands in the middle of one elsewhere. It begins
// with an ASCII letter or figure.
func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// bad lists the jobs that could not be read.
func (t *text) bad() {
	if len(t.r.Bad) == 0 {
		return
	}
	t.Heading(fmt.Sprintf("Not readable: %s", say.Count(len(t.r.Bad), "job", "jobs")))
	for i := range t.r.Bad[:min(len(t.r.Bad), textBad)] {
		b := &t.r.Bad[i]
		t.Item("", 0, t.Paint(screen.Bold, screen.Clean(b.Place)))
		for _, f := range b.Faults {
			t.Item("", 2, screen.Clean(f.Told()))
		}
		if b.More > 0 {
			t.Line(fmt.Sprintf("  and %s", say.Count(b.More, "more fault", "more faults")))
		}
	}
	if more := len(t.r.Bad) - textBad; more > 0 {
		t.Line(fmt.Sprintf("and %d more: --table unreadable has them all", more))
	}
}

// method says how the figures were made, for the page: who has to answer for them reads it there.
func method(r *audit.Review) []string {
	out := []string{
		"Crews are compared by the mean density of their bays in a model of jobs in crews and bays in jobs: how far jobs of one crew differ is found from all crews, and intervals and limits hold it (Paule and Mandel 1982; Knapp and Hartung 2003).",
		"Limits: where a crew with so many jobs lies if it is like all the others together: 19 in 20 within the inner limits, 998 in 1000 within the outer ones.",
		"Shares stand with intervals that know that bays of a job stand or fall together (Korn and Graubard 1998). CLOSE is a share of the bays that this way of counting could show, were all packed to the aim.",
		"19 in 20: the lowest density, over the sections, that nineteen in twenty of the bays packed like the rest exceed, at 90 %.",
	}
	if !r.Figures {
		out = append(out,
			"Counts are held against the likeliest honest crew by a ratio of likelihoods whose mean over honest crews is at most one, whatever their spread; some honest bays among invented ones cost it little (Wasserman, Ramdas and Balakrishnan 2020).",
			"A copied run of rows is held against the chance that like bays, honestly measured, get the same cells; bags and weights tell as much as they are fine beside the spread of honest bays. Sizes alone tell nothing, as framing repeats itself and twin houses share it: all places with the same run of sizes are counted. Where the tube stopped and where the hole was tell as much as they are rare in their log.",
			"All probabilities that were looked at are taken together and false discoveries held at 5 % whatever hangs together (Benjamini and Yekutieli 2001).")
	}
	return out
}

// width is what a small screen shows without breaking.
const width = 72

// leastName is what is left of the first column of a table at least, in characters.
const leastName = 8

// table appends columns; the first is left-aligned and gives way where all do not fit, the others
// stand right. Columns that are empty throughout are left out.
func (t *text) table(head []string, rows [][]string) {
	widths, over := make([]int, len(head)), -2-width
	for i := range head {
		for _, row := range rows {
			widths[i] = max(widths[i], utf8.RuneCountInString(row[i]))
		}
		if widths[i] > 0 || i == 0 {
			widths[i] = max(widths[i], utf8.RuneCountInString(head[i]))
			over += widths[i] + 2
		}
	}
	if over > 0 {
		widths[0] = max(leastName, widths[0]-over)
	}
	for i, row := range append([][]string{head}, rows...) {
		line := screen.Pad(screen.Short(row[0], widths[0]), widths[0])
		for k, cell := range row[1:] {
			if w := widths[k+1]; w > 0 {
				line += "  " + screen.PadLeft(cell, w)
			}
		}
		if i == 0 {
			line = t.Paint(screen.Bold, line)
		}
		t.Line(line)
	}
}
