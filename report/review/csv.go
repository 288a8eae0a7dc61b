package review

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"bayproof/model"
	"bayproof/report"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
	"bayproof/verify/audit/compare"
	"bayproof/verify/audit/plausible"
)

// cells writes values as the cells of a row: text so that neither a spreadsheet nor a terminal
// obeys it, numbers at full precision, what does not exist empty, yes and no as such.
func cells(values ...any) []string {
	out := make([]string, len(values))
	for i, v := range values {
		switch v := v.(type) {
		case string:
			out[i] = screen.Cell(v)
		case report.Number:
			out[i] = screen.Figure(float64(v))
		case float64:
			out[i] = screen.Figure(v)
		case bool:
			out[i] = map[bool]string{true: "yes", false: "no"}[v]
		default:
			out[i] = fmt.Sprint(v) // whole numbers and codes
		}
	}
	return out
}

// jsonOnly are the figures that stand in JSON alone. The columns of the CSV are kept as
// spreadsheets that look them up know them; new figures go to JSON.
var jsonOnly = map[any]bool{"closed_now_or_then_not_close": true, "bays_measured": true, "limit_outer_lo": true, "limit_outer_hi": true, "expected_short": true, "expected_short_of": true, "reachable": true, "mean_density_shrunk": true, "short_outside": true, "close_of_reachable_lo": true, "close_of_reachable_hi": true,
	"sections_lower_short": true, "sections_lower_known": true}

// allFigures gives a row for all jobs together, for every crew, section kind and month, and for
// every job and section. The column level says which. A row says what it speaks about first; the
// other columns are the flat keys of figures.
func allFigures(r *audit.Review, give func(cells ...string)) {
	u := unitsOf(r)
	nan := math.NaN()
	none := &audit.Group{Density: compare.Group{Mean: nan, Lo: nan, Hi: nan, Low: nan, High: nan}, // what is no group has no such figures
		Short: compare.Share{Share: nan, Lo: nan, Hi: nan}, Reached: compare.Share{Share: nan}}
	head := []string{"level", "job", "section", "name", "crew", "date"}
	for _, x := range figures(u, &r.Tally, r.Pass, none) {
		if !jsonOnly[x[0]] {
			head = append(head, x[0].(string))
		}
	}
	give(append(head, "record", "target", "confidence", "rule", "log_sha256", "programme_sha256", "units")...)
	put := func(names []string, t *audit.Tally, pass audit.Rate, g *audit.Group, j *audit.Job) {
		row := names
		for _, x := range figures(u, t, pass, g) {
			if !jsonOnly[x[0]] {
				row = append(row, cells(x[1])...)
			}
		}
		if j != nil {
			row = append(row, cells(j.At.Record, u.In(verify.Density, j.Target), j.Confidence, j.Rule, j.Log, j.Programme)...)
		} else {
			row = append(row, "", "", "", "", "", "")
		}
		give(append(row, u.System.String())...)
	}
	put(cells("all", "", "", "", "", ""), &r.Tally, r.Pass, none, nil)
	for _, g := range []struct {
		level  string
		groups []audit.Group
	}{{"crew", r.Crews}, {"section_kind", r.Kinds}, {"month", r.Months}, {"counting", r.Ways}} {
		for i := range g.groups {
			x := &g.groups[i]
			put(cells(g.level, "", "", x.Name, "", ""), &x.Tally, x.Pass, x, nil)
		}
	}
	for _, j := range r.Jobs {
		put(cells("job", j.Name, "", "", j.Crew, j.Date), &j.Tally, j.Tally.Pass(), none, j)
		for i := range j.Sections {
			s := &j.Sections[i]
			put(cells("section", j.Name, s.Name, s.Kind, j.Crew, j.Date), &s.Tally, s.Tally.Pass(), none, nil)
		}
	}
}

// Table is one kind of row that a review gives as CSV.
type Table struct {
	Name  string
	Means string
	Needs string // the flag without which there is nothing to list; empty where it needs none
	head  []string
	rows  func(say.Units, *audit.Review) [][]string
}

// Bays names the table of every bay. Its rows are written as the jobs are read: a review keeps no
// bay that needs nobody.
const Bays = "bays"

// Tables are the tables in the order of the help; the first is the one that stands where none is
// named. Each begins with the job, so that a spreadsheet can look one up in the other.
func Tables() []Table {
	return []Table{
		{Name: "results", Means: "figures of all, crews, kinds, months, jobs, sections"},
		{Name: Bays, Means: "every bay of every job, with all its codes"},
		{"open", "bays that need someone, closed ones first: some of each job", "",
			[]string{"job", "crew", "date", "section", "bay", "state", "verdict", "density", "prob_at_target", "code", "why", "queue", "short", "area", "by", "day", "units"}, openRows},
		{"findings", "plausibility: a row a finding and job", "plausibility",
			[]string{"job", "crew", "date", "finding", "code", "title", "text", "innocent", "settled_by", "prob_honest", "q", "jobs"}, findingRows},
		{"evidence", "evidence asked for and missing", "settings",
			[]string{"job", "crew", "date", "ask", "evidence", "have", "want", "text"}, evidenceRows},
		{"sample", "the bays to open, house by house", "inspect",
			[]string{"job", "crew", "date", "order", "section", "bay", "verdict", "density", "prob_at_target", "why", "seed", "record", "units"}, sampleRows},
		{"opened", "bays that inspectors opened", "",
			[]string{"job", "crew", "date", "section", "bay", "verdict", "prob_at_target", "found", "density", "short", "counts", "inspector", "day", "units"}, openedRows},
		{"warnings", "warnings of the reader: a row a kind and job", "",
			[]string{"job", "crew", "date", "code", "text", "cure", "file", "line", "count"}, warningRows},
		{"unreadable", "jobs that could not be read: a row a fault", "",
			[]string{"place", "fault", "more_faults"}, unreadableRows},
	}
}

// WriteTable writes one of the tables as CSV, row by row: its header, and a row for everything that
// there is.
func WriteTable(w io.Writer, r *audit.Review, t Table) error {
	out, row := bufio.NewWriter(w), []byte(nil)
	give := func(cells ...string) {
		row = screen.AppendRow(row[:0], cells...)
		out.Write(row)
	}
	if t.rows == nil {
		allFigures(r, give)
		return out.Flush() // a bufio.Writer keeps its first error
	}
	give(t.head...)
	for _, row := range t.rows(unitsOf(r), r) {
		give(row...)
	}
	return out.Flush()
}

// ofJob begins a row.
func ofJob(j *audit.Job, values ...any) []string {
	return append(cells(j.Name, j.Crew, j.Date), cells(values...)...)
}

// openRows are the bays that need someone, with the title of the first reason that nothing has
// answered.
func openRows(u say.Units, r *audit.Review) (rows [][]string) {
	for _, j := range r.Jobs {
		for i := range j.Open {
			b := &j.Open[i]
			rows = append(rows, ofJob(j, j.SectionOf(b), b.Bay, u.OpenState(b), verdictOf(b), u.In(verify.Density, b.Density), b.Prob, b.Code, newOpenRow(u, j, b).Why,
				strings.ToLower(say.QueueWord(b.Plight.Queue())), u.In(verify.Density, j.ShortBy(b)), b.Area/u.Area().SI, b.By, b.Day(), u.System))
		}
	}
	return rows
}

// findingRows tell every job that a finding speaks about of it, so that a filter by job finds it.
func findingRows(u say.Units, r *audit.Review) (rows [][]string) {
	settled := map[verify.Code]string{}
	for _, c := range plausible.Codes() {
		settled[c.Code] = c.Answers
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		for _, at := range f.Jobs {
			rows = append(rows, ofJob(r.Jobs[at], i+1, f.Code, say.SuspectTitle(f.Code), where(r, f)+": "+u.Suspect(f),
				say.Innocent(f.Code), settled[f.Code], f.P, f.Q, len(f.Jobs)))
		}
	}
	return rows
}

// evidenceRows are what each job lacks of what the programme asks for.
func evidenceRows(_ say.Units, r *audit.Review) (rows [][]string) {
	for _, j := range r.Jobs {
		for _, l := range j.Missing {
			rows = append(rows, ofJob(j, l.Ask, say.LackName(l.Ask), l.Have, l.Want, say.Lacking(l)))
		}
	}
	return rows
}

// sampleRows are the bays to open in the order of the draw, with the seed that draws them again.
func sampleRows(u say.Units, r *audit.Review) (rows [][]string) {
	if r.Plan == nil {
		return nil
	}
	for i, d := range r.Plan.Bays {
		j := r.Jobs[d.Job]
		rows = append(rows, ofJob(j, i+1, d.Section, d.Bay, say.Verdict(d.Verdict), u.In(verify.Density, d.Density), d.Prob,
			say.WhyDrawn(d.Class), r.Plan.Seed, j.At.Record, u.System))
	}
	return rows
}

// openedRows are what inspectors found, and what the bay was called before them.
func openedRows(u say.Units, r *audit.Review) (rows [][]string) {
	for _, j := range r.Jobs {
		for _, x := range j.Inspected {
			rows = append(rows, ofJob(j, x.Section, x.Bay, say.Verdict(x.Verdict), x.Prob, x.Found.String(), u.In(verify.Density, x.Density), x.Short, x.Counts(), x.Inspector, x.Date, u.System))
		}
	}
	return rows
}

// warningRows are the reader's warnings, each with what cures it. A warning of a whole file has no
// line.
func warningRows(_ say.Units, r *audit.Review) (rows [][]string) {
	cures := map[string]string{}
	for _, d := range model.WarningDefs() {
		cures[d.Code] = d.Cure
	}
	for _, j := range r.Jobs {
		for _, h := range j.Warnings {
			line := any("")
			if h.Line > 0 {
				line = h.Line
			}
			rows = append(rows, ofJob(j, h.Code, h.Text, cures[h.Code], h.File, line, h.Count))
		}
	}
	return rows
}

// unreadableRows are the faults of the jobs that are in no figure, a row a fault.
func unreadableRows(_ say.Units, r *audit.Review) (rows [][]string) {
	for _, b := range r.Bad {
		for _, fault := range b.Faults {
			rows = append(rows, cells(b.Place, fault.Told(), b.More))
		}
	}
	return rows
}
