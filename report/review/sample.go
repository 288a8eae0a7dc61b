package review

import (
	"fmt"
	"math"
	"strings"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
)

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
