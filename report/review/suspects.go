package review

import (
	"fmt"
	"math"
	"strings"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify/audit"
)

// Where says which jobs and crew a finding speaks about.
func Where(r *audit.Review, f *audit.Finding) string {
	if f.Crew != "" {
		return crewNamed(f.Crew) + " (" + say.Count(len(f.Jobs), "job", "jobs") + ")"
	}
	if f.Code == audit.PhotoBays && len(f.Jobs) > 1 {
		return say.Count(len(f.Jobs), "job", "jobs")
	}
	return r.Jobs[f.Jobs[0]].Name
}

// crewNamed is a crew in a sentence: "crew north", and "crew 2" where that is its name already.
func crewNamed(name string) string {
	if strings.HasPrefix(strings.ToLower(name), "crew") {
		return name
	}
	return "crew " + name
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
