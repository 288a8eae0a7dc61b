package review

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
	"bayproof/verify/audit/plausible"
)

// suspects are the findings of one kind about one crew: what a crew does in job after job is one
// thing to ask it about.
type suspects struct {
	lead *plausible.Finding
	jobs []int // that the others speak about
}

// withCrew is the finding about a crew beside which those of its jobs say nothing more.
var withCrew = map[verify.Code]verify.Code{plausible.NearestStep: plausible.NearestOften, plausible.BagsBought: plausible.CrewTotals, plausible.Empties: plausible.CrewTotals}

// suspectsOf groups the findings of a review, in the order in which it has them. Jobs whose crew
// nobody named stand by themselves.
func suspectsOf(r *audit.Review) []suspects {
	type key struct {
		code      verify.Code
		crew, job string
	}
	keyOf := func(f *plausible.Finding) key {
		k := key{code: f.Code, crew: f.Crew}
		switch {
		case f.Crew != "" || f.Code == plausible.PhotoBays:
		case r.Jobs[f.Jobs[0]].Crew != "":
			k.crew = r.Jobs[f.Jobs[0]].Crew
		default:
			k.job = r.Jobs[f.Jobs[0]].Name
		}
		return k
	}
	of := map[key]bool{}
	for i := range r.Findings {
		of[keyOf(&r.Findings[i])] = true
	}
	var out []suspects
	at := map[key]int{}
	for i := range r.Findings {
		f := &r.Findings[i]
		k := keyOf(f)
		if above := (key{withCrew[f.Code], k.crew, ""}); f.Crew == "" && of[above] {
			k = above
		}
		n, again := at[k]
		switch {
		case !again:
			at[k] = len(out)
			out = append(out, suspects{lead: f})
			continue
		case f.Crew != "" && out[n].lead.Crew == "": // what is said of the crew stands first
			out[n].jobs = append(out[n].jobs, out[n].lead.Jobs[0])
			out[n].lead = f
		default:
			out[n].jobs = append(out[n].jobs, f.Jobs[0])
		}
	}
	for i := range out {
		slices.Sort(out[i].jobs)
		out[i].jobs = slices.Compact(out[i].jobs)
	}
	return out
}

// who is the crew that several findings speak about, or where the only one does; said is the
// sentence.
func (s *suspects) who(r *audit.Review) string {
	if len(s.jobs) == 0 || s.lead.Crew != "" {
		return where(r, s.lead)
	}
	return crewName(r.Jobs[s.lead.Jobs[0]].Crew) + " (" + say.Count(len(s.jobs)+1, "job", "jobs") + ")"
}

// others names the other jobs, the first few.
func (s *suspects) others(r *audit.Review) (names []string) {
	for _, j := range s.jobs {
		if len(names) == mostLinked && len(s.jobs) > mostLinked+1 {
			return append(names, fmt.Sprintf("%d more", len(s.jobs)-mostLinked))
		}
		names = append(names, r.Jobs[j].Name)
	}
	return names
}

// said is the leading finding's sentence, after the job that it speaks of. One about a crew
// names it itself.
func (s *suspects) said(r *audit.Review, u say.Units) string {
	text := u.Suspect(s.lead)
	if len(s.jobs) > 0 && s.lead.Crew == "" {
		text = where(r, s.lead) + ": " + text
	}
	return text
}

// where says which jobs and crew a finding speaks about.
func where(r *audit.Review, f *plausible.Finding) string {
	if f.Crew != "" {
		return crewName(f.Crew) + " (" + say.Count(len(f.Jobs), "job", "jobs") + ")"
	}
	if f.Code == plausible.PhotoBays && len(f.Jobs) > 1 {
		return say.Count(len(f.Jobs), "job", "jobs")
	}
	return r.Jobs[f.Jobs[0]].Name
}

// crewName is a crew by name.
func crewName(name string) string {
	if strings.HasPrefix(strings.ToLower(name), "crew") {
		return name // "crew 2" already
	}
	return "crew " + name
}

// foundText counts what was found: discoveries held down together, and pictures that stand twice,
// which are no matter of chance.
func foundText(r *audit.Review) string {
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
		text += "; " + say.Count(photos, "more stands", "more stand") + " in the files"
	}
	return text
}

// suspects lists what does not look as honest readings do, each with how rare it is and what may be
// innocent about it: the reader is to ask, not to accuse.
func (t *text) suspects() {
	if t.r.Figures {
		return
	}
	title, rest, _ := strings.Cut("Plausibility: "+foundText(t.r), "; ")
	t.Heading(title)
	if rest != "" {
		t.Item("", 0, t.Paint(screen.Dim, upperFirst(rest)+"."))
	}
	all := suspectsOf(t.r)
	for i := range all[:min(len(all), textFindings)] {
		s := &all[i]
		t.Item("", 0, t.Paint(screen.Bold, screen.Clean(s.who(t.r)))+": "+screen.Clean(s.said(t.r, t.u))+".")
		if more := s.others(t.r); len(more) > 0 {
			t.Item("", 2, "So in "+screen.Clean(say.List(more))+".")
		}
		t.Item("", 2, upperFirst(say.HowOften(s.lead.P))+". May be innocent: "+say.Innocent(s.lead.Code)+".")
	}
	if more := len(all) - textFindings; more > 0 {
		t.Line(fmt.Sprintf("and %d more: --table findings has them all", more))
	}
}

// findingRow are findings of one kind in words, with a link to the card of the job that they speak
// against, or to the crew.
type findingRow struct {
	Title, Where, Text, Often, Innocent string
	Link, Crew                          string // Crew is that of a job
	Others                              []jobLink
}

// findings are what does not look as honest readings do.
func (p *page) findings(r *audit.Review, u say.Units) {
	p.Plausible = upperFirst(foundText(r)) + "."
	if r.Figures {
		p.Plausible = "Plausibility was not looked at."
	} else if len(r.Findings) > 0 {
		p.Plausible += " None is a proof: rule out the innocent explanation first."
	}
	all := suspectsOf(r)
	for i := range all {
		s := &all[i]
		f, crew := s.lead, cmp.Or(s.lead.Crew, r.Jobs[s.lead.Jobs[0]].Crew)
		row := findingRow{Title: upperFirst(say.SuspectTitle(f.Code)), Where: s.who(r), Text: upperFirst(s.said(r, u)) + ".", Often: upperFirst(say.HowOften(f.P)), Innocent: say.Innocent(f.Code)}
		k := slices.IndexFunc(r.Crews, func(g audit.Group) bool { return g.Name == crew })
		switch {
		case f.Crew == "" && len(s.jobs) == 0 && (f.Speaks() || len(f.Jobs) == 1):
			row.Link, row.Crew = p.linkTo(f.Jobs[0]), crew
		case crew != "" && k >= 0 && len(r.Jobs) > 1 && f.Code != plausible.PhotoBays:
			row.Link = crewLink(k)
		}
		for _, j := range s.jobs {
			row.Others = append(row.Others, jobLink{Name: r.Jobs[j].Name, Link: p.linkTo(j)})
		}
		p.Findings = append(p.Findings, row)
	}
	if n := firstSaid; len(p.Findings) > n {
		p.Findings, p.MoreFindings = p.Findings[:n], p.Findings[n:]
	}
}
