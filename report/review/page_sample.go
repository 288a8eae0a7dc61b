package review

import (
	"fmt"
	"math"
	"strings"

	"bayproof/report/say"
	"bayproof/verify/audit"
)

type samplePart struct {
	Title  string
	Rows   []sampleRow
	Proves []string
}

type sampleRow struct {
	Job, Link, Section, Bay, Verdict, Class, Density, Why string
}

func newSamplePart(r *audit.Review, u say.Units) *samplePart {
	if r.Sample == nil {
		return nil
	}
	out := &samplePart{Title: fmt.Sprintf("%s to open, drawn with seed %d", say.Count(len(r.Sample.Bays), "bay", "bays"), r.Sample.Seed), Proves: Proves(r.Sample)}
	for i := range r.Sample.Bays {
		d := &r.Sample.Bays[i]
		out.Rows = append(out.Rows, sampleRow{
			Job: r.Jobs[d.Job].Name, Section: d.Section, Bay: d.Bay, Verdict: say.Mark(d.Verdict) + " " + say.Verdict(d.Verdict),
			Class: strings.ToLower(say.Verdict(d.Verdict)), Density: u.Density(d.Density, math.NaN(), math.NaN()), Why: say.WhyDrawn(d.Stratum),
		})
	}
	return out
}
