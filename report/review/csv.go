package review

import (
	"math"
	"strconv"
	"strings"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// csvHead are the columns: what a row speaks about first, then the flat keys of the JSON document's results.
func csvHead() []string {
	return []string{
		"level", "job", "section", "name", "crew", "date", "jobs", "sections", "bays", "bays_expected", "filled", "close", "close_own", "close_crew",
		"add", "measure", "probe", "not_filled", "not_in_log", "closed", "closed_not_close", "pass_rate", "pass_rate_lo", "pass_rate_hi",
		"pass_rate_shrunk", "funnel_lo", "funnel_hi", "volume", "mass", "mass_required", "bags", "density", "lower_tolerance", "unaccounted_bags", "record",
	}
}

// AppendCSV appends a row for all jobs together, for every crew, section kind and month, and for every job and section.
// The column level says which.
func AppendCSV(dst []byte, r *audit.Review) []byte {
	u := unitsOf(r)
	put := func(row []string) { dst = screen.AppendRow(dst, row...) }
	put(csvHead())
	put(csvRow(u, []string{"all", "", "", "", "", ""}, &r.Tally, r.Pass, nil, ""))
	for _, g := range []struct {
		level  string
		groups []audit.Group
	}{{"crew", r.Crews}, {"section_kind", r.Kinds}, {"month", r.Months}} {
		for i := range g.groups {
			x := &g.groups[i]
			put(csvRow(u, []string{g.level, "", "", screen.Cell(x.Name), "", ""}, &x.Tally, x.Pass, x, ""))
		}
	}
	for _, j := range r.Jobs {
		put(csvRow(u, []string{"job", screen.Cell(j.Name), "", "", screen.Cell(j.Crew), screen.Cell(j.Date)}, &j.Tally, j.Pass(), nil, j.At.Record))
		for i := range j.Sections {
			s := &j.Sections[i]
			put(csvRow(u, []string{"section", screen.Cell(j.Name), screen.Cell(s.Name), screen.Cell(s.Kind), screen.Cell(j.Crew), screen.Cell(j.Date)}, &s.Tally, s.Pass(), nil, ""))
		}
	}
	return dst
}

func csvRow(u say.Units, names []string, t *audit.Tally, pass audit.Rate, g *audit.Group, record string) []string {
	row := names
	for _, n := range []int32{t.Jobs, t.Sections, t.Bays, t.Expected, t.Filled, t.Close, t.CloseOwn, t.CloseCrew, t.Add, t.Measure, t.Probe, t.NotFilled, t.NotInLog, t.Closed, t.ClosedNotClose} {
		row = append(row, strconv.Itoa(int(n)))
	}
	shrunk, lo, hi := math.NaN(), math.NaN(), math.NaN()
	if g != nil {
		shrunk, lo, hi = g.Shrunk, g.Lo, g.Hi
	}
	unaccounted := math.NaN()
	if t.UnaccountedJobs > 0 {
		unaccounted = t.Unaccounted
	}
	for _, x := range []float64{pass.Share(), pass.Lo, pass.Hi, shrunk, lo, hi, u.In(verify.Volume, t.Volume), u.In(verify.Mass, t.Mass), u.In(verify.Mass, t.MassRequired), t.Bags, u.In(verify.Density, t.Density()), u.In(verify.Density, t.Lower), unaccounted} {
		row = append(row, screen.Figure(x))
	}
	return append(row, screen.Cell(record))
}

// Table is one kind of row that a review gives as CSV.
type Table struct {
	Name  string
	Means string
	Needs string // the flag without which there is nothing to list; empty where it needs none
	head  []string
	rows  func(say.Units, *audit.Review) [][]string
}

// Tables are the tables in the order of the help; the first is the one that stands where none is named. Each begins with
// the job, so that a spreadsheet can look one up in the other.
func Tables() []Table {
	return []Table{
		{Name: "results", Means: "figures of all, crews, kinds, months, jobs, sections"},
		{"open", "bays that need someone, up to ten a job", "",
			[]string{"job", "crew", "date", "section", "bay", "state", "verdict", "density", "prob_at_target", "code", "why"}, openRows},
		{"findings", "plausibility: a row a finding and job", "plausibility",
			[]string{"job", "crew", "date", "finding", "code", "title", "text", "innocent", "settled_by", "prob_honest", "q", "jobs"}, findingRows},
		{"evidence", "evidence asked for and missing", "settings",
			[]string{"job", "crew", "date", "ask", "evidence", "have", "want", "text"}, evidenceRows},
		{"sample", "the bays to open", "inspect",
			[]string{"job", "crew", "date", "order", "section", "bay", "verdict", "density", "prob_at_target", "why", "seed", "record"}, sampleRows},
		{"opened", "bays that inspectors opened", "",
			[]string{"job", "crew", "date", "section", "bay", "verdict_before", "core", "probe_bad", "short"}, openedRows},
		{"warnings", "warnings of the reader: a row a kind and job", "",
			[]string{"job", "crew", "date", "code", "text", "cure", "file", "line", "count"}, heardRows},
		{"unreadable", "jobs that could not be read: a row a fault", "",
			[]string{"place", "fault", "more_faults"}, badRows},
	}
}

// AppendTable appends one of the tables as CSV: its header, and a row for everything that there is.
func AppendTable(dst []byte, r *audit.Review, t Table) []byte {
	if t.rows == nil {
		return AppendCSV(dst, r)
	}
	dst = screen.AppendRow(dst, t.head...)
	for _, row := range t.rows(unitsOf(r), r) {
		for i := range row {
			row[i] = screen.Cell(row[i])
		}
		dst = screen.AppendRow(dst, row...)
	}
	return dst
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// ofJob begins a row.
func ofJob(j *audit.Job, cells ...string) []string {
	return append([]string{j.Name, j.Crew, j.Date}, cells...)
}

func openRows(u say.Units, r *audit.Review) (rows [][]string) {
	for _, j := range r.Jobs {
		for i := range j.Open {
			b := &j.Open[i]
			rows = append(rows, ofJob(j, j.SectionOf(b), b.Bay, u.OpenState(b), verdictOf(b), screen.Figure(u.In(verify.Density, b.Density)), screen.Figure(b.Prob), string(b.Code), newOpenRow(u, j, b).Why))
		}
	}
	return rows
}

func findingRows(u say.Units, r *audit.Review) (rows [][]string) {
	settled := map[verify.Code]string{}
	for _, c := range audit.Codes() {
		settled[c.Code] = c.Answers
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		for _, at := range f.Jobs {
			rows = append(rows, ofJob(r.Jobs[at], strconv.Itoa(i+1), string(f.Code), say.SuspectTitle(f.Code), Where(r, f)+": "+u.Suspect(f),
				say.Innocent(f.Code), settled[f.Code], screen.Figure(f.P), screen.Figure(f.Q), strconv.Itoa(len(f.Jobs))))
		}
	}
	return rows
}

func evidenceRows(_ say.Units, r *audit.Review) (rows [][]string) {
	for _, j := range r.Jobs {
		for _, l := range j.Missing {
			rows = append(rows, ofJob(j, l.Ask, say.LackName(l.Ask), screen.Figure(l.Have), screen.Figure(l.Want), say.Lacking(l)))
		}
	}
	return rows
}

func sampleRows(u say.Units, r *audit.Review) (rows [][]string) {
	if r.Sample == nil {
		return nil
	}
	for i := range r.Sample.Bays {
		d := &r.Sample.Bays[i]
		j := r.Jobs[d.Job]
		rows = append(rows, ofJob(j, strconv.Itoa(i+1), d.Section, d.Bay, say.Verdict(d.Verdict), screen.Figure(u.In(verify.Density, d.Density)), screen.Figure(d.Prob),
			say.WhyDrawn(d.Stratum), strconv.FormatUint(r.Sample.Seed, 10), j.At.Record))
	}
	return rows
}

func openedRows(u say.Units, r *audit.Review) (rows [][]string) {
	for _, j := range r.Jobs {
		for i := range j.Opened {
			o := &j.Opened[i]
			rows = append(rows, ofJob(j, o.Section, o.Bay, say.Verdict(o.Before), screen.Figure(u.In(verify.Density, o.Core)), yesNo(o.Soft), yesNo(o.Short)))
		}
	}
	return rows
}

func badRows(_ say.Units, r *audit.Review) (rows [][]string) {
	for i := range r.Bad {
		b := &r.Bad[i]
		for _, fault := range b.Faults {
			rows = append(rows, []string{b.Place, fault, strconv.Itoa(b.More)})
		}
	}
	return rows
}

// TableNames lists the tables' names.
func TableNames() string {
	var names []string
	for _, t := range Tables() {
		names = append(names, t.Name)
	}
	return strings.Join(names, ", ")
}
