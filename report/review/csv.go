package review

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"

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
func AppendCSV(dst []byte, r *audit.Review) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	u := unitsOf(r)
	put := func(row []string) { _ = w.Write(row) } // a buffer takes everything; Error tells below
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
	w.Flush()
	return append(dst, b.Bytes()...), w.Error()
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
		cell := ""
		if !math.IsNaN(x) && !math.IsInf(x, 0) {
			cell = strconv.FormatFloat(x, 'g', -1, 64)
		}
		row = append(row, cell)
	}
	return append(row, screen.Cell(record))
}
