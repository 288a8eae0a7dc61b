package review

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bayproof/report/screen"

	"bayproof/report/say"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// results are the tables per crew, section kind and month, and per job where there are few.
func (t *text) results() {
	t.groups("By crew", "crew", t.r.Crews)
	t.groups("By kind of section", "kind", t.r.Kinds)
	t.groups("By month", "month", t.r.Months)
}

func (t *text) groups(title, what string, groups []audit.Group) {
	if len(groups) < 2 {
		return
	}
	t.heading(title)
	var rows [][]string
	outside := false
	for i := range groups {
		g := &groups[i]
		n := &g.Tally
		mark := Outside(g)
		outside = outside || mark != ""
		rows = append(rows, []string{
			screen.Short(screen.Clean(nameOr(g.Name, "not said")), 16), fmt.Sprint(n.Jobs), fmt.Sprint(n.Filled), say.Rate(g.Pass) + mark,
			t.density(n.Density()), lower(t.u, n), say.Share(n.Mass, n.MassRequired), zero(n.ClosedHold),
		})
	}
	t.table([]string{what, "jobs", "bays", "CLOSE (95 %)", "mean", "low", "in/need", "early"}, rows)
	if what == "crew" {
		t.item("", 0, t.paint(dim, "mean and low in "+t.u.Of(verify.Density).Name+"; low: what 19 bays in 20 exceed in the weakest section. early: closed though not CLOSE."))
		if outside {
			t.item("", 0, t.paint(dim, "! and !!: fewer or more CLOSE than 95 % and 99.8 % of crews with so many bays have, were all alike."))
		}
	}
}

// Outside marks a group that lies outside the funnel.
func Outside(g *audit.Group) string {
	switch g.Outside {
	case -2, 2:
		return "!!"
	case -1, 1:
		return "!"
	}
	return ""
}

func (t *text) density(x float64) string { return t.u.Density(x, math.NaN(), math.NaN()) }

func lower(u say.Units, n *audit.Tally) string {
	if n.LowerKnown == 0 {
		return ""
	}
	return u.Density(n.Lower, math.NaN(), math.NaN())
}

func zero(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

func nameOr(name, otherwise string) string {
	if name == "" {
		return otherwise
	}
	return name
}

// Where says which jobs and crew a finding speaks about.
func Where(r *audit.Review, f *audit.Finding) string {
	if f.Crew != "" {
		return "crew " + f.Crew + " (" + say.Count(len(f.Jobs), "job", "jobs") + ")"
	}
	if f.Code == audit.PhotoBays && len(f.Jobs) > 1 {
		return say.Count(len(f.Jobs), "job", "jobs")
	}
	return r.Jobs[f.Jobs[0]].Name
}

// Plausible counts what was found: discoveries held down together, and pictures that stand twice, which are no matter of
// chance.
func Plausible(r *audit.Review) string {
	photos := 0
	for i := range r.Findings {
		if math.IsNaN(r.Findings[i].P) {
			photos++
		}
	}
	text := fmt.Sprintf("%s in %s looked at", say.Count(len(r.Findings)-photos, "finding", "findings"), say.Count(r.Looked, "thing", "things"))
	if len(r.Findings) > photos {
		text += "; at most 1 in 20 of such is chance"
	}
	if photos > 0 {
		text += "; " + say.Count(photos, "photo finding", "photo findings")
	}
	return text
}

// suspects lists what does not look as honest readings do.
func (t *text) suspects() {
	if t.r.Figures {
		return
	}
	title, rest, _ := strings.Cut("Plausibility: "+Plausible(t.r), "; ")
	t.heading(title)
	if rest != "" {
		t.item("", 0, t.paint(dim, upperFirst(rest)+"."))
	}
	for i := range t.r.Findings[:min(len(t.r.Findings), textFindings)] {
		f := &t.r.Findings[i]
		t.item("", 0, t.paint(bold, screen.Clean(Where(t.r, f)))+": "+screen.Clean(t.u.Suspect(f))+".")
		t.item("", 2, upperFirst(say.HowOften(f.P))+". May be innocent: "+say.Innocent(f.Code)+".")
	}
	if more := len(t.r.Findings) - textFindings; more > 0 {
		t.line(fmt.Sprintf("and %d more: --table findings has them all", more))
	}
}

// missing lists the evidence that the programme asks for and jobs lack.
func (t *text) missing() {
	if !t.r.Asks.Any() {
		return
	}
	jobs, counts := lacking(t.r)
	if len(jobs) == 0 {
		t.heading("Missing evidence: none, every job has what the programme asks for")
		return
	}
	t.heading(fmt.Sprintf("Missing evidence in %d of %d jobs", len(jobs), len(t.r.Jobs)))
	t.item("", 0, upperFirst(strings.Join(counts, ", "))+".")
	for _, j := range jobs[:min(len(jobs), textLacks)] {
		t.item(screen.Short(screen.Clean(j.Name), 22)+"  ", 24, Lacks(j))
	}
	if more := len(jobs) - textLacks; more > 0 {
		t.line(fmt.Sprintf("and %d more: --table evidence has them all", more))
	}
}

// lacking returns the jobs that lack evidence, those that lack most first, and in how many each kind is missing.
func lacking(r *audit.Review) (jobs []*audit.Job, counts []string) {
	of := map[string]int{}
	for _, j := range r.Jobs {
		if len(j.Missing) > 0 {
			jobs = append(jobs, j)
		}
		for _, l := range j.Missing {
			of[l.Ask]++
		}
	}
	slices.SortStableFunc(jobs, func(a, b *audit.Job) int { return len(b.Missing) - len(a.Missing) })
	for _, d := range audit.AskDefs() {
		if n := of[d.Name]; n > 0 {
			counts = append(counts, fmt.Sprintf("%s in %d", say.LackName(d.Name), n))
		}
	}
	return jobs, counts
}

// Lacks says all that a job lacks.
func Lacks(j *audit.Job) string {
	parts := make([]string, len(j.Missing))
	for i, l := range j.Missing {
		parts[i] = say.Lacking(l)
	}
	return strings.Join(parts, "; ")
}

// opened sets what inspectors found against the verdicts.
func (t *text) opened() {
	o := &t.r.Opened
	if o.Bays == 0 {
		return
	}
	t.heading(fmt.Sprintf("%s opened by inspectors", say.Count(o.Bays, "bay", "bays")))
	t.item("", 0, OpenedText(o))
}

// OpenedText says how many of the opened bays were short.
func OpenedText(o *audit.OpenedSum) string {
	text := fmt.Sprintf("Of %d called CLOSE %d were short: %s", o.Close.N, o.Close.K, say.Rate(o.Close))
	if o.Close.N == 0 {
		text = "None of them was called CLOSE"
	}
	if o.Hold.N > 0 {
		text += fmt.Sprintf(". Of %d on hold %d were short: %s", o.Hold.N, o.Hold.K, say.Rate(o.Hold))
	}
	return text + "."
}

// sample lists the bays to open.
func (t *text) sample() {
	s := t.r.Sample
	if s == nil {
		return
	}
	t.heading(fmt.Sprintf("%s to open, drawn with seed %d", say.Count(len(s.Bays), "bay", "bays"), s.Seed))
	last := audit.Stratum(255)
	for i := range s.Bays {
		d := &s.Bays[i]
		if d.Stratum != last {
			t.item("", 0, t.paint(dim, say.WhyDrawn(d.Stratum)))
			last = d.Stratum
		}
		t.item("  "+screen.Pad(say.Mark(d.Verdict)+" "+say.Verdict(d.Verdict), 11), 13, screen.Clean(BayName(t.r, d))+t.reads(d))
	}
	for _, line := range Proves(s) {
		t.item("", 0, line)
	}
}

func (t *text) reads(d *audit.Drawn) string {
	if math.IsNaN(d.Density) {
		return ""
	}
	return ", reads " + t.density(d.Density) + " " + t.u.Of(verify.Density).Name
}

// BayName is a drawn bay with its job and section.
func BayName(r *audit.Review, d *audit.Drawn) string {
	parts := []string{r.Jobs[d.Job].Name}
	if d.Section != "" {
		parts = append(parts, d.Section)
	}
	return strings.Join(append(parts, d.Bay), ", ")
}

// Proves says what finding none bad would show, and what it takes to show more.
func Proves(s *audit.Sample) []string {
	var out []string
	for _, c := range s.Class {
		if c.Drawn == 0 || c.Stratum == audit.OpenHold {
			continue
		}
		out = append(out, fmt.Sprintf("%s: none bad in %d of %d would leave at most %d possible (%.0f %%), 95 %% sure.",
			upperFirst(say.WhyDrawn(c.Stratum)), c.Drawn, c.Bays, c.Left, math.Ceil(100*c.LeftShare())))
	}
	for _, p := range s.Proofs {
		if p.Need > 0 && p.Need < p.Bays {
			out = append(out, fmt.Sprintf("To show that fewer than %.0f %% of the %d called CLOSE are bad takes %d drawn at random from them, none bad.", 100*p.Rate, p.Bays, p.Need))
		}
	}
	return out
}

func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// bad lists the jobs that could not be read.
func (t *text) bad() {
	if len(t.r.Bad) == 0 {
		return
	}
	t.heading(fmt.Sprintf("Not readable: %s", say.Count(len(t.r.Bad), "job", "jobs")))
	for i := range t.r.Bad[:min(len(t.r.Bad), textBad)] {
		b := &t.r.Bad[i]
		t.item("", 0, t.paint(bold, screen.Clean(b.Place)))
		for _, f := range b.Faults {
			t.item("", 2, screen.Clean(f))
		}
		if b.More > 0 {
			t.line(fmt.Sprintf("  and %s", say.Count(b.More, "more fault", "more faults")))
		}
	}
	if more := len(t.r.Bad) - textBad; more > 0 {
		t.line(fmt.Sprintf("and %d more", more))
	}
}
