package verify_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"bayproof/verify"
)

// manyClosed is a log of n bays in sections of 25, rows of the sections mixed where mix is set:
// each bay is closed right after its fill, some were topped up, amended or probed before.
func manyClosed(n int, mix bool) map[string]string {
	var b strings.Builder
	b.WriteString("section,bay,entry,width,depth,length,bags,probe,at\n")
	for i := range n {
		section := i / 25
		if mix {
			section = i % (n / 25)
		}
		name := fmt.Sprintf("s%d,b%d", section, i)
		bags := 1.5 + 0.25*float64(i*7%3)
		if i%11 == 5 {
			bags = 1 // short
		}
		fmt.Fprintf(&b, "%s,fill,22.5,5.5,12,%g,,\n", name, bags)
		switch i % 9 {
		case 3:
			fmt.Fprintf(&b, "%s,topup,,,,0.25,,\n", name)
		case 5:
			fmt.Fprintf(&b, "%s,seen,,,,,rod soft,3\n", name)
		case 7:
			fmt.Fprintf(&b, "%s,amend,22.5,5.5,12,1.75,,\n", name)
		}
		fmt.Fprintf(&b, "%s,closed,,,,,,\n", name)
	}
	return map[string]string{"job.csv": "name,value\nbag_weight,25 lb\nto_stall,yes\n", "bays.csv": b.String()}
}

// TestHistoryIsThatOfTheWholeJob: what is kept of the past is what a check of the log's first rows
// says, all sections judged.
func TestHistoryIsThatOfTheWholeJob(t *testing.T) {
	for _, mix := range []bool{false, true} {
		job := readJob(t, manyClosed(75, mix))
		f := verify.Check(job, verify.Options{Closings: true, Logged: true})
		compared := 0
		same := func(what string, n, i int, c verify.Closing) {
			before, _ := job.Upto(n)
			b := &verify.Check(before, verify.Options{}).Bays[i]
			var codes []verify.Code
			for k := range b.Reasons {
				if !b.Reasons[k].IsAnswered() {
					codes = append(codes, b.Reasons[k].Code)
				}
			}
			if c.Verdict != b.Verdict || c.Density != b.Density || c.ProbAtTarget != b.ProbAtTarget || !slices.Equal(c.Codes, codes) {
				t.Errorf("%s %s: kept %v %v %v %v, the log said %v %v %v %v", b.Bay.Name, what, c.Verdict, c.Density, c.ProbAtTarget, c.Codes,
					b.Verdict, b.Density, b.ProbAtTarget, codes)
			}
			compared++
		}
		for i := range f.Bays {
			b := &f.Bays[i]
			for _, c := range b.Closings {
				same("closed", c.Row.Index+1, i, c)
			}
			same("logged", b.Bay.Fill.Index+1, i, *b.Logged)
			for _, a := range b.Amended {
				before, _ := job.Upto(a.Row.Index)
				if old := verify.Check(before, verify.Options{}).Bays[i]; old.Verdict != a.OldVerdict || old.Density != a.OldDensity {
					t.Errorf("%s amended: %v %v, the log said %v %v", b.Bay.Name, a.OldVerdict, a.OldDensity, old.Verdict, old.Density)
				}
				compared++
			}
		}
		if compared < 150 {
			t.Errorf("only %d compared", compared)
		}
	}
}

// BenchmarkHistory measures what the past of a long job costs: 500 bays in 20 sections, each closed
// after its fill.
func BenchmarkHistory(b *testing.B) {
	for name, mix := range map[string]bool{"section by section": false, "mixed": true} {
		b.Run(name, func(b *testing.B) {
			job := readJob(b, manyClosed(500, mix))
			for b.Loop() {
				if f := verify.Check(job, verify.Options{Closings: true, Logged: true}); len(f.Bays) != 500 {
					b.Fatal(len(f.Bays))
				}
			}
		})
	}
}

// TestEmptiesOfThen: what settings say of the truck nobody knew while the work went on; a row of
// empties that stands before a bay was closed was known then.
func TestEmptiesOfThen(t *testing.T) {
	fills := "bay,entry,bags,width,depth,length,stall\n"
	for i := range 6 {
		fills += fmt.Sprintf("b%d,fill,1 1/2,22.5; 22.5,5.5; 5.5,10; 10,yes\n", i+1)
	}
	const empties, closed = ",empties,6,,,,\n", "b1,closed,,,,,\n"
	for _, c := range []struct {
		name, settings, rows string
		then, now            verify.Verdict
	}{
		{"counted before", "", empties + closed, verify.Measure, verify.Measure},
		{"counted after", "", closed + empties, verify.Close, verify.Measure},
		{"told by the settings", "bags_loaded,20\nbags_left,14\n", closed, verify.Close, verify.Measure},
		{"a recount", "", empties + closed + ",empties,9,,,,recount\n", verify.Measure, verify.Close},
	} {
		rows := fills
		if c.name == "a recount" {
			rows = "bay,entry,bags,width,depth,length,note\n" + strings.ReplaceAll(strings.SplitN(fills, "\n", 2)[1], ",yes\n", ",\n")
		}
		f := verify.Check(readJob(t, map[string]string{"job.csv": "name,value\nbag_weight,25 lb\nto_stall,yes\n" + c.settings, "bays.csv": rows + c.rows}), verify.All())
		if b := &f.Bays[0]; len(b.Closings) != 1 || b.Closings[0].Verdict != c.then || b.Verdict != c.now {
			t.Errorf("%s: closed on %v, now %v; want %v, %v", c.name, b.Closings, b.Verdict, c.then, c.now)
		}
	}
}
