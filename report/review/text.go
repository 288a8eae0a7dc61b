package review

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"bayproof/report/screen"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// How much of a long list the text shows; JSON, CSV and the page show all.
const (
	textJobs     = 15
	textFindings = 20
	textLacks    = 12
	textBad      = 10
)

// AppendText appends the review as text: what needs the supervisor first, then the results, then what is implausible,
// missing, drawn and unreadable.
func AppendText(dst []byte, r *audit.Review, colour bool) []byte {
	t := &text{sheet: sheet{dst: dst, colour: colour}, r: r, u: unitsOf(r)}
	t.head()
	t.needs()
	t.suspects()
	t.results()
	t.missing()
	t.opened()
	t.sample()
	t.bad()
	return t.dst
}

type text struct {
	sheet
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

func (t *text) head() {
	n := &t.r.Tally
	line := fmt.Sprintf("%s, %s", say.Count(len(t.r.Jobs), "job", "jobs"), say.Count(n.Bays, "bay", "bays"))
	if len(t.r.Crews) > 1 {
		line = fmt.Sprintf("%s, %d crews, %s", say.Count(len(t.r.Jobs), "job", "jobs"), len(t.r.Crews), say.Count(n.Bays, "bay", "bays"))
	}
	if m := len(t.r.Bad); m > 0 {
		line += fmt.Sprintf("; %d not readable", m)
	}
	t.line(t.paint(bold, line))
	if len(t.r.Bad) > 0 {
		t.item("", 0, "What could not be read is in no figure; it is listed at the end.")
	}
	t.item("", 0, Standing(n))
	t.item("", 0, Pounds(t.u, n))
}

// Standing says how bays stand: "412 CLOSE (301 by their own count, 111 with the crew's help), 12 ADD, …".
func Standing(n *audit.Tally) string {
	parts := []string{fmt.Sprintf("■ %d CLOSE (%d by own count, %d with the crew's help)", n.Close, n.CloseOwn, n.CloseCrew)}
	for _, x := range []struct {
		n    int
		word string
	}{{n.Add, "▲ %d ADD"}, {n.Probe, "◆ %d PROBE"}, {n.Measure, "○ %d MEASURE"}, {n.NotFilled, "%d not filled"}, {n.NotInLog, "%d not in the log"}, {n.ClosedHold, "%d closed though not CLOSE"}} {
		if x.n > 0 {
			parts = append(parts, fmt.Sprintf(x.word, x.n))
		}
	}
	return strings.Join(parts, ", ") + "."
}

// Pounds says what went in against what the target takes.
func Pounds(u say.Units, n *audit.Tally) string {
	s := fmt.Sprintf("%s in, %s needed: %s.", mass(u, n.Mass), mass(u, n.MassRequired), say.Share(n.Mass, n.MassRequired))
	if n.UnaccountedJobs > 0 {
		s += fmt.Sprintf(" Bags unaccounted for: %s in %s that counted them.", fmt.Sprintf("%+.1f", n.Unaccounted), say.Count(n.UnaccountedJobs, "job", "jobs"))
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

// Urgent returns the jobs that need someone, the most urgent first: bays closed though not CLOSE, then ADD and PROBE, then
// findings, then the rest.
func Urgent(r *audit.Review) []int {
	weight := make([]int, len(r.Jobs))
	for i, j := range r.Jobs {
		n := &j.Tally
		weight[i] = 1000*n.ClosedHold + 100*(n.Add+n.Probe) + 20*(n.NotFilled+n.NotInLog) + 10*n.Measure
	}
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Speaks() {
			weight[f.Jobs[0]] += 500
		}
	}
	var out []int
	for i := range r.Jobs {
		if weight[i] > 0 {
			out = append(out, i)
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return weight[out[a]] > weight[out[b]] })
	return out
}

// needs lists the jobs that need someone with the bays by name.
func (t *text) needs() {
	urgent := Urgent(t.r)
	if len(urgent) == 0 {
		t.heading("No job needs you: every bay read is CLOSE")
		return
	}
	t.heading(fmt.Sprintf("%d of %d jobs need you", len(urgent), len(t.r.Jobs)))
	for _, i := range urgent[:min(len(urgent), textJobs)] {
		j := t.r.Jobs[i]
		head := screen.Clean(j.Name)
		if j.Crew != "" {
			head += ", " + screen.Clean(j.Crew)
		}
		t.item("", 0, t.paint(bold, head))
		for _, line := range append(t.openLines(j), t.doubts(i)...) {
			t.item("", 2, line)
		}
	}
	if more := len(urgent) - textJobs; more > 0 {
		t.line(fmt.Sprintf("and %d more: --html FILE and --table open show them all", more))
	}
}

// doubts names what speaks against a job alone; the figures follow below.
func (t *text) doubts(job int) []string {
	var lines []string
	for i := range t.r.Findings {
		if f := &t.r.Findings[i]; f.Speaks() && f.Jobs[0] == job {
			lines = append(lines, "! "+say.SuspectTitle(f.Code))
		}
	}
	return lines
}

// openLines says what is open in a job, one line a kind.
func (t *text) openLines(j *audit.Job) []string {
	var lines []string
	for _, k := range OpenKinds(j) {
		names := k.Names
		if more := k.Count - len(names); more > 0 && len(names) > 0 {
			names = append(names[:len(names):len(names)], fmt.Sprintf("and %d more", more))
		}
		mark, word, _ := strings.Cut(k.Word, " ")
		line := fmt.Sprintf("%s %d %s", mark, k.Count, word)
		if len(names) > 0 {
			line += ": " + strings.Join(names, ", ")
		}
		lines = append(lines, screen.Clean(line))
	}
	return lines
}

// OpenKind are the bays of a job that are open for one reason.
type OpenKind struct {
	Word, Class string
	Count       int
	Names       []string // those that were kept, with their section where the job has more than one
}

// OpenKinds groups the bays of a job that need someone, the most urgent kind first.
func OpenKinds(j *audit.Job) []OpenKind {
	n := &j.Tally
	kinds := []OpenKind{
		{Word: "✕ closed though not CLOSE", Class: "add", Count: n.ClosedHold},
		{Word: "▲ ADD", Class: "add", Count: n.OpenHold[verify.Add]},
		{Word: "◆ PROBE", Class: "probe", Count: n.OpenHold[verify.Probe]},
		{Word: "○ MEASURE", Class: "measure", Count: n.OpenHold[verify.Measure]}, {Word: "□ not filled", Class: "open", Count: n.NotFilled},
		{Word: "□ not in the log", Class: "open", Count: n.NotInLog},
	}
	var last [6]string // the section last named, by kind
	for i := range j.Open {
		b := &j.Open[i]
		name, at := b.Bay, kindAt(b)
		if len(j.Sections) > 1 && b.Section != last[at] {
			name, last[at] = b.Section+" "+b.Bay, b.Section
		}
		kinds[at].Names = append(kinds[at].Names, name)
	}
	out := kinds[:0]
	for _, k := range kinds {
		if k.Count > 0 || len(k.Names) > 0 {
			out = append(out, k)
		}
	}
	return out
}

func kindAt(b *audit.OpenBay) int {
	switch {
	case b.State == verify.NotFilled:
		return 4
	case b.State == verify.Closed:
		return 0
	case b.Verdict == verify.Add:
		return 1
	case b.Verdict == verify.Probe:
		return 2
	}
	return 3
}
