package review

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"net/url"
	"slices"
	"strings"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
	"bayproof/verify/audit/plausible"
)

// results are the figures of some bays in words, with the verdicts as a bar. Job, section and group
// show the same ones.
type results struct {
	Rate, Share, Density, Lower string
	Bays                        string // in the log, and of how many where more were counted from outside
	Bar                         bar
}

// newResults sums a tally up; pass is its rate of bays that may stay closed.
func newResults(u say.Units, n *audit.Tally, pass audit.Rate) results {
	bays := fmt.Sprint(n.Bays)
	if n.Expected != n.Bays {
		bays = fmt.Sprintf("%d of %d", n.Bays, n.Expected)
	}
	return results{say.Rate(pass), say.Share(n.Mass, n.MassRequired), density(u, n.Density()), lower(u, n), bays, newBar(n)}
}

// wayTo is a file's way as the address of a link: a folder may be called Job #12, a?b or x:y. What
// looks like an address of another kind is made a file's again.
func wayTo(file string) template.URL {
	return template.URL(strings.ReplaceAll((&url.URL{Path: file}).String(), ":", "%3A"))
}

// jobRow is one job: a line of the table, and the card that opens under it.
type jobRow struct {
	results
	At                                int    // in Review.Jobs
	Link                              string // the card's id on the page
	Name, Crew, Date, Input           string
	Record                            template.URL // the way to its record, escaped
	CrewLink                          string
	Short                             string  // area that is expected to be short
	ShortArea                         float64 // the same as a number, to sort by
	Close, Filled                     int
	Kinds                             []kindRow // what is open, the most urgent kind first
	Sections                          []sectionRow
	Open                              []openRow // the bays that were kept by name
	OpenMore                          int       // and how many more there are
	Lacks, Warnings, Findings, Opened []string
	Unaccounted                       string // bags; empty where nobody counted them
	Calm                              bool   // nobody is needed: the row is folded away
}

// kindRow are the bays of one kind that are open in a job.
type kindRow struct {
	Word, Short, Class, Names string // Short as on the tiles; Class colors it
	Count                     int
}

// sectionRow is a section of a job with what came of its bays.
type sectionRow struct {
	results
	Name, Kind string
}

// openRow is a bay that needs someone. One that is not filled has no figures and no reason.
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
		p.Shown = fmt.Sprintf("Shown are the %d of %d jobs that need someone most; the other %d stand in --format csv and --table bays.", mostOnPage, len(order), len(order)-mostOnPage)
		order = order[:mostOnPage]
	}
	said := map[int][]string{}
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Code == plausible.PhotoBays {
			continue // told once, of all jobs together
		}
		for _, j := range f.Jobs {
			said[j] = append(said[j], say.SuspectTitle(f.Code)+": "+u.Suspect(f))
		}
	}
	crews := map[string]string{}
	for i := range r.Crews {
		if len(r.Jobs) > 1 { // one job is all of its crew
			crews[r.Crews[i].Name] = crewLink(i)
		}
	}
	p.Many, p.links = len(order) > unfoldedJobs, map[int]string{}
	for _, i := range order {
		row := newJobRow(u, r.Jobs[i], i, firstNamed, max(leastBays, mostBays/len(order)))
		row.Findings, row.Calm, row.CrewLink = said[i], !is[i], crews[row.Crew]
		p.Jobs, p.links[i] = append(p.Jobs, row), row.Link
	}
	first := min(len(urgent), firstJobs)
	p.First, p.More = p.Jobs[:first], len(urgent)-first
}

// newJobRow puts one job into words; at is its place in the review. Of each kind so many bays are
// named, and so many stand in its card.
func newJobRow(u say.Units, j *audit.Job, at, named, bays int) jobRow {
	n := &j.Tally
	row := jobRow{
		results: newResults(u, n, j.Tally.Pass()), At: at, Link: fmt.Sprintf("job-%d", at+1), Name: j.Name, Crew: j.Crew, Date: j.Date, Input: j.At.Input,
		Record: wayTo(j.At.Record), Close: int(n.Close), Filled: int(n.Filled), Short: u.Face(j.ShortArea), ShortArea: round2(j.ShortArea / u.Area().SI), OpenMore: needing(j) - min(len(j.Open), bays),
	}
	for _, k := range openKinds(u, j) {
		most := named
		if k.Long {
			most = min(named, firstShort)
		}
		names, sep, more := k.some(most)
		if more > 0 && names != "" {
			names += fmt.Sprintf("%sand %d more", sep, more)
		}
		row.Kinds = append(row.Kinds, kindRow{k.Word, strings.NewReplacer("closed though not CLOSE", "EARLY", ", still open", "", "closed, and the empties say less went in", "EMPTIES").Replace(k.Word), k.Class, names, k.Count})
	}
	for i := range j.Sections {
		if len(j.Sections) == 1 && j.Sections[0].Name == "" {
			break // the row of the job says it all
		}
		s := &j.Sections[i]
		row.Sections = append(row.Sections, sectionRow{newResults(u, &s.Tally, s.Tally.Pass()), cmp.Or(s.Name, "all bays"), s.Kind})
	}
	for i := range j.Open[:min(len(j.Open), bays)] {
		row.Open = append(row.Open, newOpenRow(u, j, &j.Open[i]))
	}
	for _, l := range j.Missing {
		row.Lacks = append(row.Lacks, say.Lacking(l))
	}
	for i := range j.Warnings {
		row.Warnings = append(row.Warnings, warningLine(&j.Warnings[i]))
	}
	for i := range j.Inspected {
		row.Opened = append(row.Opened, u.Inspected(&j.Inspected[i]))
	}
	if n.UnaccountedJobs > 0 {
		row.Unaccounted = fmt.Sprintf("%+.2f", n.Unaccounted)
	}
	return row
}

// needing is how many bays in the log need someone.
func needing(j *audit.Job) (n int) {
	for p, k := range j.Needs.Bays {
		if audit.Plight(p) != audit.NotLogged {
			n += int(k)
		}
	}
	return n
}

// newOpenRow is a bay of a job's list of open ones. One that is not filled has neither density
// nor reason.
func newOpenRow(u say.Units, j *audit.Job, b *audit.BayOf) openRow {
	row := openRow{Section: j.SectionOf(b), Bay: b.Bay, State: u.OpenState(b), Class: strings.ToLower(say.Verdict(b.Verdict)), Why: say.ReasonTitle(b.Code)}
	if b.Plight == audit.NotFilled {
		row.Class, row.Why = "open", ""
		return row
	}
	row.Density, row.Prob = density(u, b.Density), say.Percent(b.Prob, math.NaN())
	return row
}

// bar is the verdicts of some bays as one bar, drawn as parts of 100, with the same in words for
// who cannot see it.
type bar struct {
	Parts []barPart
	Label string
}

// barPart is one verdict's share of a bar: where it begins and its width, % of the bar.
type barPart struct {
	Class    string
	At, Wide float64
}

// newBar draws the tally's bays, filled or not, what needs work first. A verdict that no bay has
// takes no room and no word.
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

// round2 keeps two decimals: finer than a pixel, and the page stays small.
func round2(x float64) float64 { return math.Round(x*100) / 100 }

// crewChart draws the crews' mean densities, the lowest first, each with its interval and the
// limits within which it would lie were it like the others.
type crewChart struct {
	Width, Height, Left, Right float64
	Target, All                float64 // x of the target, and of the mean of all
	Rows                       []crewBar
	Ticks                      []tick
	Label, More                string
}

// crewBar is one crew, in the drawing's units.
type crewBar struct {
	Y, TextY                float64
	At, From, To            float64 // mean and interval
	LimitFrom, LimitWide    float64
	Name, Class, Title, Low string
}

// tick is a mark on an axis and its figure.
type tick struct {
	At   float64
	Text string
}

const mostDrawn = 20 // crews; of more only those that lie lowest

// newCrewChart draws the crews; nil with fewer than two that have an interval.
func newCrewChart(r *audit.Review, u say.Units) *crewChart {
	var crews []*audit.Group
	lo, hi := r.Terms.Target, r.Terms.Target
	for i := range r.Crews {
		if g := &r.Crews[i]; !math.IsNaN(g.Density.Lo) {
			crews = append(crews, g)
			lo, hi = math.Min(lo, math.Min(g.Density.Lo, g.Density.OuterLow)), math.Max(hi, math.Max(g.Density.Hi, g.Density.OuterHigh))
		}
	}
	if len(crews) < 2 {
		return nil
	}
	slices.SortStableFunc(crews, func(a, b *audit.Group) int { return cmp.Compare(a.Density.Mean, b.Density.Mean) })
	c := &crewChart{Width: 640, Left: 150, Right: 620}
	if more := len(crews) - mostDrawn; more > 0 {
		crews = crews[:mostDrawn]
		c.More = fmt.Sprintf("Drawn are the %d that lie lowest; the other %d stand in the table.", mostDrawn, more)
	}
	unit := u.Of(verify.Density)
	x := func(v float64) float64 {
		return round2(c.Left + (c.Right-c.Left)*math.Min(1, math.Max(0, (v-lo)/(hi-lo))))
	}
	c.Target, c.All = x(r.Terms.Target), x(r.Model.Overall)
	for i, g := range crews {
		y := 12 + 17*float64(i)
		b := crewBar{Y: y, TextY: y + 4, At: x(g.Density.Mean), From: x(g.Density.Lo), To: x(g.Density.Hi), Name: screen.Short(cmp.Or(g.Name, "not said"), 20), Class: "in",
			LimitFrom: x(g.Density.Low), Title: cmp.Or(g.Name, "not said") + ": " + meanOf(u, g) + " " + unit.Name}
		if b.LimitWide = round2(x(g.Density.High) - b.LimitFrom); g.Outside() < 0 {
			b.Class, b.Low = "below", "low"
		} else if g.Outside() > 0 {
			b.Class = "above"
		}
		c.Rows = append(c.Rows, b)
	}
	c.Height = 17*float64(len(crews)) + 34
	step := niceStep((hi - lo) / unit.SI / 6 * 100)
	for v := math.Ceil(lo/unit.SI*100/step) * step; v <= hi/unit.SI*100; v += step {
		c.Ticks = append(c.Ticks, tick{x(v / 100 * unit.SI), fmt.Sprintf("%.2f", v/100)})
	}
	c.Label = fmt.Sprintf("Mean densities of %d crews with their intervals, and the limits within which each would lie were all alike", len(crews))
	return c
}

// niceStep is 1, 2 or 5 times a power of ten, at least x.
func niceStep(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(math.Max(x, 1))))
	for _, m := range [...]float64{1, 2, 5} {
		if m*power >= x {
			return m * power
		}
	}
	return 10 * power
}
