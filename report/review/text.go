package review

import (
	"fmt"
	"math"
	"strings"

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
	line := fmt.Sprintf("%s, %s", say.Count(len(t.r.Jobs), "job", "jobs"), say.Count(int(n.Bays), "bay", "bays"))
	if len(t.r.Crews) > 1 {
		line = fmt.Sprintf("%s, %d crews, %s", say.Count(len(t.r.Jobs), "job", "jobs"), len(t.r.Crews), say.Count(int(n.Bays), "bay", "bays"))
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
	t.heard()
}

// Standing says how bays stand: "412 CLOSE (301 by their own count, 111 with the crew's help), 12 ADD, …".
func Standing(n *audit.Tally) string {
	parts := []string{fmt.Sprintf("■ %d CLOSE (%d by own count, %d with the crew's help)", n.Close, n.CloseOwn, n.CloseCrew)}
	for _, x := range []struct {
		n    int32
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
