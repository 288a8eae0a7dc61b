package review

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io/fs"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
)

//go:embed review.html
var pageTemplate string

//go:embed review.css
var pageStyle string

// pageScript sorts, filters and searches the table of jobs, and opens what a link leads to. The
// page says everything without it.
//
//go:embed review.js
var pageScript string

// How much the page shows at once. Whatever it leaves out it counts, and says where it stands.
const (
	mostOnPage   = 1000   // jobs one by one: those that need someone first
	mostBays     = 10_000 // bays by name in the cards of all jobs, shared evenly among them
	leastBays    = 5      // of a job, however many jobs there are
	firstJobs    = 5      // in "These first"
	firstNamed   = 6      // bays of one kind of a job there
	firstSaid    = 10     // kinds of findings that stand unfolded
	firstShort   = 2      // bays there that are short and closed: each with how short, how large, who and when
	unfoldedRows = 6      // rows of a table that stands unfolded: of more the drawing says enough until somebody asks
	unfoldedJobs = 60     // jobs whose table and cards stand unfolded
)

// page is what the template reads: everything in words and in units.
type page struct {
	Policy                   template.HTMLAttr
	Style                    template.CSS
	Script                   template.JS
	Title, Headline, Summary string
	Facts                    []fact
	Standing                 string
	First                    []jobRow
	More                     int
	Findings, MoreFindings   []findingRow
	Plausible                string
	Chart                    *crewChart
	Terms                    string
	Queues                   []queueCard
	Drifts                   []string
	Groups                   []groupTable
	Crews                    []crewJobs
	Jobs                     []jobRow
	Shown                    string
	Many                     bool // jobs: their table and cards are folded
	Asked                    []string
	Lacks                    []lackRow
	LacksMore                int
	AsksAny                  bool
	Inspected                []string
	OpenedShort              []string
	Sample                   *samplePart
	Bad                      []audit.Bad
	Method                   []string
	Density, Mass            string
	Since                    *sincePart     // nil where nothing was compared
	links                    map[int]string // to the cards, by the job's place in the review
}

// sincePart is what changed since an earlier review.
type sincePart struct {
	File  string
	Lines []string
	Lists []sinceList
}

// fact is one of the figures at the head of the page.
type fact struct{ Name, Value string }

// AppendHTML appends the overview as one page that loads nothing. The assets hold the record's
// style sheet, so that both look alike.
func AppendHTML(dst []byte, r *audit.Review, since *Since, assets fs.FS) ([]byte, error) {
	base, err := fs.ReadFile(assets, "style.css")
	if err != nil {
		return dst, err
	}
	style := string(base) + pageStyle
	p := newPage(r)
	if since != nil {
		p.Since = &sincePart{since.File, since.Lines, since.lists()}
	}
	p.Style = template.CSS(style)
	sum := sha256.Sum256([]byte(style))
	run := sha256.Sum256([]byte(pageScript))
	p.Script = template.JS(pageScript)
	p.Policy = template.HTMLAttr(fmt.Sprintf(`content="default-src 'none'; style-src 'sha256-%s'; script-src 'sha256-%s'; base-uri 'none'; form-action 'none'"`,
		base64.StdEncoding.EncodeToString(sum[:]), base64.StdEncoding.EncodeToString(run[:])))
	t, err := template.New("review").Parse(pageTemplate)
	if err != nil {
		return dst, err
	}
	var b bytes.Buffer
	if err := t.Execute(&b, p); err != nil {
		return dst, err
	}
	return append(dst, screen.HTML(b.Bytes())...), nil
}

// newPage puts the review into words and units, the table of jobs before what links to its cards.
func newPage(r *audit.Review) *page {
	u := unitsOf(r)
	p := &page{Density: u.Of(verify.Density).Name, Mass: u.Of(verify.Mass).Name, Bad: r.Bad, AsksAny: r.Asks.Any()}
	urgent := r.Ranked()
	p.Terms, p.Drifts = u.TermsLine(&r.Terms, termsOfJobs(r)), driftLines(u, r)
	p.Title = fmt.Sprintf("%s, %s", say.Count(len(r.Jobs), "job", "jobs"), say.Count(int(r.Tally.Bays), "bay", "bays"))
	p.Headline = needsYou(len(urgent), len(r.Jobs))
	if len(urgent) == 0 {
		p.Headline = "No job needs you"
	}
	p.Summary = pounds(u, &r.Tally)
	p.Facts, p.Standing = facts(r), standing(&r.Tally)
	p.jobs(r, u, urgent)
	p.findings(r, u)
	p.queues(r, u, urgent)
	p.crews(r)
	p.Chart = newCrewChart(r, u)
	p.Groups = groupTables(r, u)
	p.lacks(r)
	if r.Judged.Rows > 0 {
		p.Inspected = judgedLines(u, &r.Judged)
	}
	for _, j := range r.Jobs { // called CLOSE, and found short
		for i := range j.Inspected {
			if x := &j.Inspected[i]; x.Counts() && x.Short && x.Verdict == verify.Close {
				p.OpenedShort = append(p.OpenedShort, j.Name+", "+u.Inspected(x))
			}
		}
	}
	p.Sample = p.sample(r, u)
	p.Method = method(r)
	return p
}

// facts are what the headline does not say: crews, days, and what could not be read.
func facts(r *audit.Review) []fact {
	var out []fact
	add := func(name, value string) { out = append(out, fact{name, value}) }
	if len(r.Crews) > 1 {
		add("Crews", fmt.Sprint(len(r.Crews)))
	}
	var days []string
	for _, j := range r.Jobs {
		if j.Date != "" {
			days = append(days, j.Date)
		}
	}
	if len(days) > 0 {
		if first, last := slices.Min(days), slices.Max(days); first == last {
			add("Day", first)
		} else {
			add("Days", first+" to "+last)
		}
	}
	if n := len(r.Bad); n > 0 {
		add("Not readable", fmt.Sprint(n))
	}
	return out
}

// linkTo is the card of a job; empty where it is not among those shown.
func (p *page) linkTo(job int) string { return p.links[job] }

// groupTable compares crews, kinds of section or months.
type groupTable struct {
	Title, What, Note string
	Open              bool // stands unfolded
	Rows              []groupRow
}

// groupRow is a crew, a kind of section or a month.
type groupRow struct {
	results
	Name, Link, Mean, Short, Reached, Flag string
	Jobs, Bays, Early                      int32
}

// groupTables are the tables that compare anything: those of two groups or more.
func groupTables(r *audit.Review, u say.Units) []groupTable {
	var out []groupTable
	for _, x := range []struct {
		title, what string
		groups      []audit.Group
	}{{"Crews", "crew", r.Crews}, {"Kinds of section", "kind", r.Kinds}, {"Months, crews taken off", "month", r.Months}, {"Ways of counting", "counting", r.Ways}} {
		if len(x.groups) < 2 {
			continue
		}
		t := groupTable{Title: x.title, What: x.what}
		for i := range x.groups {
			g := &x.groups[i]
			row := groupRow{newResults(u, &g.Tally, g.Pass), cmp.Or(g.Name, "not said"), "", meanOf(u, g), shareOf(&g.Short), wholeShare(g.Reached.Share), "", g.Tally.Jobs, g.Tally.Filled, g.Tally.ClosedHold}
			if x.what == "crew" {
				row.Link = crewLink(i)
			}
			if g.Outside() < 0 {
				row.Flag = "▼ below"
			} else if g.Outside() > 0 {
				row.Flag = "above"
			}
			t.Rows = append(t.Rows, row)
		}
		t.Open = x.what == "crew" && len(t.Rows) <= unfoldedRows
		out = append(out, t)
	}
	return out
}

// lacks is the table of missing evidence: a row a job, a column an ask that some job falls short
// of.
func (p *page) lacks(r *audit.Review) {
	asked := map[string]bool{}
	for _, j := range r.Jobs {
		for _, l := range j.Missing {
			asked[l.Ask] = true
		}
	}
	column := map[string]int{}
	for _, d := range model.AskDefs() {
		if asked[d.Name] {
			column[d.Name] = len(p.Asked)
			p.Asked = append(p.Asked, say.LackName(d.Name))
		}
	}
	for i, j := range r.Jobs {
		switch {
		case len(j.Missing) == 0:
			continue
		case len(p.Lacks) == mostOnPage:
			p.LacksMore++
			continue
		}
		row := lackRow{Name: j.Name, Link: p.linkTo(i), Cells: make([]string, len(p.Asked))}
		for _, l := range j.Missing {
			row.Cells[column[l.Ask]] = say.LackCell(l)
		}
		p.Lacks = append(p.Lacks, row)
	}
}

// lackRow is what one job lacks, by the asks that head the columns; empty where it has what is
// asked.
type lackRow struct {
	Name, Link string
	Cells      []string
}

// samplePart lists the bays to open, and says what finding none bad among them would prove.
type samplePart struct {
	Title  string
	Rows   []sampleRow
	Proves []string
}

// sampleRow is one bay that is to be opened, with its job, a link to that, and why it was drawn.
type sampleRow struct {
	Job, Link, Section, Bay, Verdict, Class, Density, Why string
}

// sample is the part that names the bays to be opened; nil where no inspection was asked for.
func (p *page) sample(r *audit.Review, u say.Units) *samplePart {
	if r.Plan == nil {
		return nil
	}
	out := &samplePart{Title: planTitle(r.Plan), Proves: planLines(r.Plan)}
	for i := range r.Plan.Bays {
		d := &r.Plan.Bays[i]
		out.Rows = append(out.Rows, sampleRow{
			Job: r.Jobs[d.Job].Name, Link: p.linkTo(d.Job), Section: d.Section, Bay: d.Bay, Verdict: say.Mark(d.Verdict) + " " + say.Verdict(d.Verdict),
			Class: strings.ToLower(say.Verdict(d.Verdict)), Density: density(u, d.Density), Why: say.WhyDrawn(d.Class),
		})
	}
	return out
}
