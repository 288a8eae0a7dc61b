package review

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify/audit"
	"bayproof/verify/audit/plausible"
)

// needs lists the jobs that need someone with the bays by name.
func (t *text) needs() {
	urgent := t.r.Ranked()
	if len(urgent) == 0 {
		t.Heading("No job needs you: every bay read is CLOSE")
		return
	}
	t.Heading(needsYou(len(urgent), len(t.r.Jobs)))
	for _, line := range queueLines(t.u, &t.r.Needs) {
		t.Item("", 0, line)
	}
	cut := false
	for _, i := range urgent[:min(len(urgent), textJobs)] {
		j := t.r.Jobs[i]
		head := screen.Clean(j.Name)
		if j.Crew != "" {
			head += ", " + screen.Clean(j.Crew)
		}
		if short := t.u.Face(j.ShortArea); j.ShortArea > 0 && short != t.u.Face(0) {
			head += ", " + short + " expected short"
		}
		t.Item("", 0, t.Paint(screen.Bold, head))
		kinds := openKinds(t.u, j)
		for _, k := range kinds {
			mark, word, _ := strings.Cut(k.Word, " ")
			line := fmt.Sprintf("%s %d %s", mark, k.Count, word)
			if names, _, more := k.some(textNamed); names != "" {
				line += ": " + names
				if more > 0 {
					line += fmt.Sprintf(", and %d more", more)
					cut = true
				}
			}
			t.Item("", 2, screen.Clean(line))
		}
		var said []string
		for k := range t.r.Findings { // what speaks against the job alone, or against it too where nothing else stands here; the figures follow below
			f := &t.r.Findings[k]
			alone := f.Speaks() && f.Jobs[0] == i
			if too := len(kinds) == 0 && f.Code != plausible.PhotoBays && slices.Contains(f.Jobs, i); (alone || too) && !slices.Contains(said, say.SuspectTitle(f.Code)) {
				said = append(said, say.SuspectTitle(f.Code))
				t.Item("", 2, "! "+said[len(said)-1])
			}
		}
	}
	if more := len(urgent) - textJobs; more > 0 {
		t.Line(fmt.Sprintf("and %s: --html FILE and --table open show them", say.Count(more, "more job", "more jobs")))
	}
	if cut {
		t.Item("", 0, t.Paint(screen.Dim, "Bays that are counted here and not named stand in --table bays."))
	}
}

// queueLines say what there is to mend, to look at and to ask about, each with its count.
func queueLines(u say.Units, n *audit.Needs) (out []string) {
	for q := range audit.Queue(audit.Queues) {
		if n.In(q) == 0 {
			continue
		}
		out = append(out, fmt.Sprintf("%s %d: %s.", say.QueueWord(q), n.In(q), strings.Join(queueParts(u, n, q), ", ")))
	}
	return out
}

// queueParts are the kinds of bays in a queue, each with its count and its area.
func queueParts(u say.Units, n *audit.Needs, q audit.Queue) (parts []string) {
	for p := range audit.Plight(audit.Plights) {
		if p.Queue() == q && n.Bays[p] > 0 {
			mark, words := say.Plight(p)
			part := fmt.Sprintf("%s %d %s", mark, n.Bays[p], words)
			if n.Area[p] > 0 {
				part += " (" + u.Face(n.Area[p]) + ")"
			}
			parts = append(parts, part)
		}
	}
	return parts
}

// queueCard is one queue on the first screen: how many bays, of which kinds, and the jobs to begin
// with.
type queueCard struct {
	Word, Class, Means string
	Count              int32
	Parts              []string
	First              []jobLink
	More               int // jobs of the queue beyond those
}

// jobLink leads to the card of a job. Without a link it is not on the page.
type jobLink struct{ Name, Link, What string }

// How many jobs, and whose findings, a card of the first screen names.
const (
	mostLinked = 7
	mostFound  = 10
)

// queues are the cards of the first screen: what to mend, to look at, to ask; and what to ask about
// because it does not look as honest readings do. Jobs stand by the area that is expected to be
// short.
func (p *page) queues(r *audit.Review, u say.Units, urgent []int) {
	classes := [audit.Queues]string{"add", "measure", "open"}
	means := [audit.Queues]string{"material is missing, and where is known", "somebody has to look or to measure", "somebody has to say something"}
	for q := range audit.Queue(audit.Queues) {
		card := queueCard{Word: say.QueueWord(q), Class: classes[q], Means: means[q], Count: r.Needs.In(q), Parts: queueParts(u, &r.Needs, q)}
		for _, i := range urgent {
			n := r.Jobs[i].Needs.In(q)
			switch {
			case n == 0:
			case len(card.First) == mostLinked:
				card.More++
			default:
				card.First = append(card.First, jobLink{r.Jobs[i].Name, p.linkTo(i), say.Count(int(n), "bay", "bays")})
			}
		}
		p.Queues = append(p.Queues, card)
	}
	if r.Figures {
		return
	}
	card := queueCard{Word: "Findings", Class: "probe", Means: "what does not look as honest readings do: rule out the innocent first", Count: int32(len(r.Findings)), More: max(0, len(p.Findings)+len(p.MoreFindings)-mostFound)}
	for i := range p.Findings[:min(len(p.Findings), mostFound)] {
		f := &p.Findings[i]
		card.First = append(card.First, jobLink{f.Where, f.Link, f.Title})
	}
	p.Queues = append(p.Queues, card)
}

// crewJobs are the jobs of one crew, in the order in which they need someone.
type crewJobs struct {
	Name, Link string
	Bays       int32
	Jobs       []jobLink
}

// crewLink is the id, on the page, of the crew at this place of the review.
func crewLink(at int) string { return fmt.Sprintf("crew-%d", at+1) }

// crews lists the jobs of every crew, so that the way leads from a crew to its jobs and their bays.
func (p *page) crews(r *audit.Review) {
	at := map[string]int{}
	for i := range r.Crews {
		g := &r.Crews[i]
		at[g.Name] = i
		p.Crews = append(p.Crews, crewJobs{Name: cmp.Or(g.Name, "not said"), Link: crewLink(i), Bays: g.Tally.Bays})
	}
	for i := range p.Jobs {
		row := &p.Jobs[i]
		c, ok := at[row.Crew]
		if !ok {
			continue
		}
		var needs []string
		for _, k := range row.Kinds {
			needs = append(needs, fmt.Sprintf("%d %s", k.Count, k.Short))
		}
		if len(row.Findings) > 0 {
			needs = append(needs, say.Count(len(row.Findings), "finding", "findings"))
		}
		p.Crews[c].Jobs = append(p.Crews[c].Jobs, jobLink{row.Name, row.Link, strings.Join(needs, ", ")})
	}
}

// termsOfJobs counts the jobs whose own folder or record has the terms of the review, has others,
// and has none.
func termsOfJobs(r *audit.Review) (n say.TermsOfJobs) {
	for _, j := range r.Jobs {
		if j.Own != nil {
			n.Own++
		}
		switch j.Programme {
		case "":
			n.None++
		case r.Terms.Digest:
			n.Same++
		default:
			n.Other++
		}
	}
	return n
}

// openKind are the bays of a job that stand alike.
type openKind struct {
	Word, Class string
	Count       int
	Names       []string // those that were kept, with their section where the job has more than one
	Long        bool     // more than a name stands there
}

// some are the first of the names, joined by what none of them holds, and how many bays are left.
func (k *openKind) some(most int) (names, sep string, more int) {
	sep = ", "
	if len(k.Names) > 0 && strings.Contains(k.Names[0], sep) {
		sep = "; "
	}
	shown := k.Names[:min(len(k.Names), most)]
	return strings.Join(shown, sep), sep, k.Count - len(shown)
}

// openKinds groups the bays of a job that need someone, the gravest kind first. What is short is
// named with how much.
func openKinds(u say.Units, j *audit.Job) []openKind {
	var kinds [audit.Plights]openKind
	classes := [audit.Plights]string{"add", "add", "close", "measure", "add", "probe", "measure", "open", "open"}
	var last [audit.Plights]string // the section last named
	for p := range kinds {
		mark, words := say.Plight(audit.Plight(p))
		kinds[p] = openKind{Word: mark + " " + words, Class: classes[p], Count: int(j.Needs.Bays[p])}
	}
	for i := range j.Open {
		b := &j.Open[i]
		name, k := b.Bay, &kinds[b.Plight]
		if len(j.Sections) > 1 && j.SectionOf(b) != last[b.Plight] {
			name, last[b.Plight] = j.SectionOf(b)+" "+b.Bay, j.SectionOf(b)
		}
		switch b.Plight {
		case audit.ShortClosed:
			name, k.Long = u.ShortBay(j, b, name), true
		case audit.Decided:
			name += " (" + b.By + ")"
		}
		k.Names = append(k.Names, name)
	}
	return slices.DeleteFunc(kinds[:], func(k openKind) bool { return k.Count == 0 })
}

// needsYou is the headline: how many jobs wait for someone.
func needsYou(urgent, jobs int) string {
	switch {
	case jobs == 1 && urgent == 1:
		return "The job needs you"
	case urgent == 1:
		return fmt.Sprintf("1 of %d jobs needs you", jobs)
	}
	return fmt.Sprintf("%d of %d jobs need you", urgent, jobs)
}
