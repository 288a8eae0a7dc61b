package review

import (
	"fmt"
	"math"
	"strings"

	"bayproof/report/say"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// jobRow is one job in the table and in its own card.
type jobRow struct {
	At                                int
	Link, Name, Crew, Date, Input     string
	Record                            string
	Kinds                             []kindRow
	Bar                               bar
	Rate, Share, Density, Lower, Bays string
	Close, Filled                     int
	Sections                          []sectionRow
	Open                              []openRow
	OpenMore                          int
	Lacks, Heard                      []string
	Findings                          []string
	Opened                            []string
	Unaccounted                       string
	Calm                              bool
}

type kindRow struct {
	Word, Short, Class, Names string // Short as on the tiles
	Count                     int
}

type sectionRow struct {
	Name, Kind, Rate, Share, Density, Lower string
	Bays                                    string
	Bar                                     bar
}

type openRow struct{ Section, Bay, State, Class, Density, Prob, Why string }

// jobs fills the table: what needs someone first, then the calm ones in the order of the inputs.
func (p *page) jobs(r *audit.Review, u say.Units, urgent []int) {
	order := append([]int(nil), urgent...)
	is := make([]bool, len(r.Jobs))
	for _, i := range urgent {
		is[i] = true
	}
	for i := range r.Jobs {
		if !is[i] {
			order = append(order, i)
		}
	}
	if len(order) > mostOnPage {
		p.Shown = fmt.Sprintf("Shown are the %d of %d jobs that need someone most; --format csv holds all.", mostOnPage, len(order))
		order = order[:mostOnPage]
	}
	said := map[int][]string{}
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Code == audit.PhotoBays {
			continue // told once, of all jobs together
		}
		for _, j := range f.Jobs {
			said[j] = append(said[j], say.SuspectTitle(f.Code)+": "+u.Suspect(f))
		}
	}
	for _, i := range order {
		row := newJobRow(u, r.Jobs[i], i)
		row.Findings, row.Calm = said[i], !is[i]
		p.Jobs = append(p.Jobs, row)
	}
	first := min(len(urgent), 8)
	p.First, p.More = p.Jobs[:first], len(urgent)-first
}

func newJobRow(u say.Units, j *audit.Job, at int) jobRow {
	n := &j.Tally
	row := jobRow{
		At: at, Link: fmt.Sprintf("job-%d", at+1), Name: j.Name, Crew: j.Crew, Date: j.Date, Input: j.At.Input, Record: j.At.Record,
		Bar: newBar(n), Rate: say.Rate(j.Pass()), Share: say.Share(n.Mass, n.MassRequired),
		Density: u.Density(n.Density(), math.NaN(), math.NaN()), Lower: lower(u, n), Bays: baysOf(n), Close: int(n.Close), Filled: int(n.Filled),
	}
	for _, k := range OpenKinds(j) {
		names := strings.Join(k.Names, ", ")
		if more := k.Count - len(k.Names); more > 0 && names != "" {
			names += fmt.Sprintf(" and %d more", more)
		}
		row.Kinds = append(row.Kinds, kindRow{k.Word, strings.Replace(k.Word, "closed though not CLOSE", "EARLY", 1), k.Class, names, k.Count})
	}
	for i := range j.Sections {
		row.Sections = append(row.Sections, newSectionRow(u, &j.Sections[i]))
	}
	for i := range j.Open {
		row.Open = append(row.Open, newOpenRow(u, j, &j.Open[i]))
	}
	row.OpenMore = int(n.Open()) - len(j.Open)
	for _, l := range j.Missing {
		row.Lacks = append(row.Lacks, say.Lacking(l))
	}
	row.Heard = heardLines(j)
	for i := range j.Opened {
		row.Opened = append(row.Opened, u.OpenedBay(&j.Opened[i]))
	}
	if n.UnaccountedJobs > 0 {
		row.Unaccounted = fmt.Sprintf("%+.2f", n.Unaccounted)
	}
	return row
}

func baysOf(n *audit.Tally) string {
	if n.Expected != n.Bays {
		return fmt.Sprintf("%d of %d", n.Bays, n.Expected)
	}
	return fmt.Sprint(n.Bays)
}

func newSectionRow(u say.Units, s *audit.Section) sectionRow {
	n := &s.Tally
	return sectionRow{
		Name: nameOr(s.Name, "all bays"), Kind: s.Kind, Rate: say.Rate(s.Pass()), Share: say.Share(n.Mass, n.MassRequired),
		Density: u.Density(n.Density(), math.NaN(), math.NaN()), Lower: lower(u, n), Bays: baysOf(n), Bar: newBar(n),
	}
}

func newOpenRow(u say.Units, j *audit.Job, b *audit.OpenBay) openRow {
	row := openRow{Section: j.SectionOf(b), Bay: b.Bay, State: u.OpenState(b), Class: strings.ToLower(say.Verdict(b.Verdict)), Why: say.ReasonTitle(b.Code)}
	if b.State == verify.NotFilled {
		row.Class, row.Why = "open", ""
		return row
	}
	row.Density, row.Prob = u.Density(b.Density, math.NaN(), math.NaN()), say.Percent(b.Prob, math.NaN())
	return row
}

// bar is the verdicts of some bays as one bar, drawn as parts of 100.
type bar struct {
	Parts []barPart
	Label string
}

type barPart struct {
	Class    string
	At, Wide float64
}

func newBar(n *audit.Tally) bar {
	total := float64(n.Filled + n.NotFilled + n.NotInLog)
	var b bar
	at := 0.0
	var words []string
	for _, x := range []struct {
		n           int32
		class, word string
	}{{n.Add, "add", "ADD"}, {n.Probe, "probe", "PROBE"}, {n.Measure, "measure", "MEASURE"}, {n.NotFilled + n.NotInLog, "open", "not filled or logged"}, {n.Close, "close", "CLOSE"}} {
		if x.n == 0 {
			continue
		}
		wide := 100 * float64(x.n) / total
		b.Parts = append(b.Parts, barPart{x.class, round2(at), round2(wide)})
		words = append(words, fmt.Sprintf("%d %s", x.n, x.word))
		at += wide
	}
	b.Label = strings.Join(words, ", ")
	return b
}

func round2(x float64) float64 { return math.Round(x*100) / 100 }
