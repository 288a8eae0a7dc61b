package plausible

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"bayproof/model/joblog"
	"bayproof/verify"
	"bayproof/verify/crew"
)

var simulate = flag.Bool("simulate", false, "run the simulations of SIMULATION.md in full")

// habitOfCrew is how a crew of the simulation fills and counts, with known truth.
type habitOfCrew struct {
	counting string  // ends, fresh, running, shared, weight
	spread   float64 // of the density, relative
	backward bool    // bags worked backwards from 3.7 lb/ft³
	looks    float64 // share of the bays of such a crew that are honest all the same
	jitter   float64 // share of its counts that are moved by a step
	depth    float64 // in
	like     bool    // all bays 12 ft long
	tube     bool    // the tube's marks are logged
	sound    bool    // no voids and no weak bays
}

// programme is a review's worth of jobs: crews of six jobs each.
type programme struct {
	crews []habitOfCrew
	jobs  int  // a crew
	bays  int  // a job
	copy  int  // rows of the first crew's first job that stand in its second too
	twins bool // every second house has the sizes of the one before it
}

// honest is five crews of one way of counting.
func honest(counting string) programme {
	p := programme{jobs: 6, bays: 24}
	for range 5 {
		p.crews = append(p.crews, habitOfCrew{counting: counting, spread: 0.031, depth: 5.5})
	}
	return p
}

// write is the programme as one log of many jobs.
func (p *programme) write(r *rand.Rand) string {
	var b strings.Builder
	b.WriteString("job,crew,counting,section,bay,width,depth,length,bags,counter,weight,reach,stall\n")
	var first []string
	var lengths []float64
	for c, crew := range p.crews {
		for j := range p.jobs {
			if !p.twins || j%2 == 0 {
				lengths = crew.lengths(r, p.bays)
			}
			rows := crew.rows(r, lengths)
			switch {
			case p.copy > 0 && c == 0 && j == 0:
				first = rows
			case p.copy > 0 && c == 0 && j == 1:
				copy(rows[min(3, p.bays-p.copy):], first[p.bays-max(p.copy, p.bays-5):][:p.copy])
			}
			for i, row := range rows {
				fields := "crew " + fmt.Sprint(c) + "," + crew.setting()
				if i > 0 {
					fields = ","
				}
				fmt.Fprintf(&b, "job %d-%d,%s,slope,b%d,%s,yes\n", c, j, fields, i+1, row)
			}
		}
	}
	return b.String()
}

func (c *habitOfCrew) setting() string {
	switch c.counting {
	case "ends", "fresh":
		return c.counting
	}
	return ""
}

// lengths are those of a house's bays: 8 to 16 ft by half feet.
func (c *habitOfCrew) lengths(r *rand.Rand, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		if out[i] = 12; !c.like {
			out[i] = 8 + float64(r.IntN(17))/2
		}
	}
	return out
}

// rows are a job's sizes and material, one in ten bays with a void, one in twenty weak.
func (c *habitOfCrew) rows(r *rand.Rand, lengths []float64) []string {
	near := func(x float64) float64 { return math.Round(x*4) / 4 }
	counter, held, n := 0.0, 0.0, len(lengths)
	whole := *c
	out := make([]string, n)
	for i, length := range lengths {
		density := math.Max(0.5, 3.85*(1+c.spread*r.NormFloat64()))
		switch u := r.Float64(); {
		case c.sound:
		case u < 0.10:
			density *= 1 - 0.05 - 0.35*r.Float64()
		case u < 0.15:
			density = 2.6 + 0.7*r.Float64()
		}
		c := whole
		if c.backward && r.Float64() < c.looks {
			c.backward = false
		}
		volume := 22.5 * c.depth / 144 * length
		bags := density * volume / 25
		amount := ""
		switch {
		case c.counting == "running":
			if c.backward {
				counter += near(3.7 * volume / 25)
			} else {
				counter += bags
			}
			amount = fmt.Sprintf(",%v,", near(counter))
		case c.counting == "weight":
			amount = fmt.Sprintf(",,%.1f", bags*25+2*r.Float64()-1)
		case c.counting == "shared" && i%2 == 0 && i+1 < n:
			held, amount = bags, "shared,,"
			if c.backward {
				held = 3.7 * volume / 25
			}
		case c.backward:
			n := near(held + 3.7*volume/25)
			if r.Float64() < c.jitter {
				n += 0.25 * float64(2*r.IntN(2)-1)
			}
			amount, held = fmt.Sprintf("%v,,", n), 0
		case c.counting == "fresh":
			amount = fmt.Sprintf("%v,,", near(bags))
		default:
			start := 10 * r.Float64()
			amount = fmt.Sprintf("%v,,", near(start+held+bags)-near(start))
			held = 0
		}
		reach := ""
		if c.tube {
			reach = fmt.Sprint(length - float64(r.IntN(5))/4) // it stops at the end or up to a foot short of it
		}
		out[i] = fmt.Sprintf("22.5,%v,%v,%s,%s", c.depth, length, amount, reach)
	}
	return out
}

// reviewed reads, judges and sets a programme's jobs side by side.
func reviewed(t *testing.T, text string) ([]Finding, []*Job) {
	t.Helper()
	return reviewedT(t, text, NewTable())
}

func reviewedT(t *testing.T, text string, table *Table) ([]Finding, []*Job) {
	opt := joblog.Options{Flags: map[string]string{"bag_weight": "25 lb", "rule": "guarded"}}
	joblog.Scan(fstest.MapFS{"many.csv": &fstest.MapFile{Data: []byte(text)}}, "many.csv", opt, func(u *joblog.Unread) bool {
		job, faults := u.Read()
		if job == nil {
			t.Fatal(faults)
		}
		table.Add(Of(verify.Check(job, verify.Options{}), nil))
		u.Done()
		return true
	})
	found, _ := table.Find()
	return found, table.jobs
}

// outcome is what a number of programmes came to.
type outcome struct {
	programmes, any  int                 // with any finding
	found            map[verify.Code]int // programmes with a finding of the kind
	jobs, low, lower int                 // jobs looked at for nearest-step, and those with p at most 0.05 and 0.01
	wrong            int                 // findings that speak about no faked job
}

// runProgrammes reviews n programmes; faked tells which jobs are not honest.
func runProgrammes(t *testing.T, p programme, n int, seed uint64, faked func(job int) bool) outcome {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 77))
	out := outcome{programmes: n, found: map[verify.Code]int{}}
	for range n {
		found, jobs := reviewed(t, p.write(r))
		kinds := map[verify.Code]bool{}
		for i := range found {
			f := &found[i]
			kinds[f.Code] = true
			right := false
			for _, j := range f.Jobs {
				right = right || faked(j)
			}
			if !right {
				out.wrong++
			}
		}
		for k := range kinds {
			out.found[k]++
		}
		if len(kinds) > 0 {
			out.any++
		}
		for i, j := range jobs {
			if x := j.checks.counts.p; !math.IsNaN(x) && (!faked(i) || p.crews[0].backward) {
				out.jobs++
				if x <= 0.05 {
					out.low++
				}
				if x <= 0.01 {
					out.lower++
				}
			}
		}
	}
	return out
}

func nobody(int) bool        { return false }
func firstCrew(job int) bool { return job < 6 }

// TestSimulatedHonestCrews holds the promise: honest crews, whatever their way of counting, raise a
// finding in at most one programme in twenty, and a job's probability is at most 0.05 for at most
// one job in twenty.
func TestSimulatedHonestCrews(t *testing.T) {
	n := 15
	if *simulate {
		n = 300
	}
	for i, counting := range []string{"ends", "fresh", "running", "shared", "weight"} {
		o := runProgrammes(t, honest(counting), n, uint64(100+i), nobody)
		t.Logf("honest %-8s %d programmes of 30 jobs: %d with a finding %v; jobs with p ≤ 0.05: %d, ≤ 0.01: %d of %d", counting, n, o.any, o.found, o.low, o.lower, o.jobs)
		// Three standard deviations above the stated rate.
		if limit := 0.05*float64(n) + 3*math.Sqrt(0.05*0.95*float64(n)); float64(o.any) > limit {
			t.Errorf("%s: %d of %d honest programmes raise a finding, at most %.1f expected", counting, o.any, n, limit)
		}
		if limit := 0.05*float64(o.jobs) + 3*math.Sqrt(0.05*0.95*float64(o.jobs)); float64(o.low) > limit {
			t.Errorf("%s: %d of %d jobs have p ≤ 0.05, at most %.1f expected", counting, o.low, o.jobs, limit)
		}
	}
}

// TestSimulatedEvenCrews is the hard case: crews that pack twice as evenly as the median of the
// prior.
func TestSimulatedEvenCrews(t *testing.T) {
	n := 10
	if *simulate {
		n = 200
	}
	for i, counting := range []string{"ends", "fresh", "running"} {
		p := honest(counting)
		for c := range p.crews {
			p.crews[c].spread = 0.017
		}
		o := runProgrammes(t, p, n, uint64(200+i), nobody)
		t.Logf("even   %-8s %d programmes: %d with a finding %v; jobs with p ≤ 0.05: %d of %d", counting, n, o.any, o.found, o.low, o.jobs)
		if limit := 0.05*float64(n) + 3*math.Sqrt(0.05*0.95*float64(n)) + 1; float64(o.any) > limit {
			t.Errorf("%s: %d of %d honest programmes raise a finding", counting, o.any, n)
		}
	}
}

// TestSimulatedPriorCrews draws every crew's spread from the prior of rule process, once for all
// its jobs: one crew in fifteen packs more evenly than 1.2 %, and so in job after job.
func TestSimulatedPriorCrews(t *testing.T) {
	n := 20
	if *simulate {
		n = 300
	}
	for i, x := range []struct {
		counting string
		depth    float64
		sound    bool
	}{{"ends", 5.5, false}, {"fresh", 5.5, false}, {"running", 5.5, false}, {"ends", 16, true}, {"fresh", 9.25, true}, {"fresh", 16, true}, {"running", 16, true}} {
		r := rand.New(rand.NewPCG(uint64(700+i), 5))
		all := outcome{found: map[verify.Code]int{}}
		for k := range n {
			p := honest(x.counting)
			for c := range p.crews {
				p.crews[c].sound, p.crews[c].depth, p.crews[c].spread = x.sound, x.depth, crew.SpreadMedian*math.Exp(crew.SpreadLogSD*r.NormFloat64())
			}
			o := runProgrammes(t, p, 1, uint64(1000*i+k), nobody)
			all.any, all.jobs, all.low = all.any+o.any, all.jobs+o.jobs, all.low+o.low
			for c := range o.found {
				all.found[c]++
			}
		}
		t.Logf("prior  %-8s %v in deep, no voids %v: %d programmes, %d with a finding %v; jobs with p ≤ 0.05: %d of %d", x.counting, x.depth, x.sound, n, all.any, all.found, all.low, all.jobs)
		if limit := 0.05*float64(n) + 3*math.Sqrt(0.05*0.95*float64(n)); float64(all.any) > limit {
			t.Errorf("%s, %v in deep: %d of %d honest programmes raise a finding", x.counting, x.depth, all.any, n)
		}
	}
}

// TestSimulatedTwins is the hard case for copied rows: every second house has the very sizes of the
// one before it, and, harder still, all bays of all houses are alike.
func TestSimulatedTwins(t *testing.T) {
	n := 10
	if *simulate {
		n = 200
	}
	for i, counting := range []string{"ends", "fresh", "running", "weight"} {
		for _, like := range []bool{false, true} {
			p := honest(counting)
			p.twins = true
			for c := range p.crews {
				p.crews[c].like, p.crews[c].tube = like, true
			}
			o := runProgrammes(t, p, n, uint64(500+i), nobody)
			t.Logf("twins  %-8s like bays %-5v %d programmes: %d with a finding %v", counting, like, n, o.any, o.found)
			if limit := 0.05*float64(n) + 3*math.Sqrt(0.05*0.95*float64(n)); float64(o.any) > limit {
				t.Errorf("%s: %d of %d honest programmes of twin houses raise a finding", counting, o.any, n)
			}
		}
	}
}

// TestSimulatedBackwardFresh prints whether counts from full hoppers that were worked backwards can
// be told in deeper bays, which take more bags: the spread between honest bays then exceeds half a
// step.
func TestSimulatedBackwardFresh(t *testing.T) {
	n := 5
	if *simulate {
		n = 100
	}
	for i, depth := range []float64{5.5, 9.25, 16} {
		p := honest("fresh")
		for c := range p.crews {
			p.crews[c].depth = depth
		}
		p.crews[0].backward = true
		o := runProgrammes(t, p, n, uint64(600+i), firstCrew)
		t.Logf("backward fresh, %v in deep, %.1f bags a bay: %d programmes, found in %d %v; wrong findings %d", depth, 3.85*22.5*depth/144*12/25, n, o.any, o.found, o.wrong)
	}
}

// TestSimulatedBackward prints how often a crew is found that works six jobs' bags backwards from
// 3.7 lb/ft³.
func TestSimulatedBackward(t *testing.T) {
	n := 10
	if *simulate {
		n = 100
	}
	for i, counting := range []string{"ends", "fresh", "running", "shared"} {
		p := honest(counting)
		p.crews[0].backward = true
		o := runProgrammes(t, p, n, uint64(300+i), firstCrew)
		t.Logf("backward %-8s %d programmes, one crew of five: found in %d %v; wrong findings %d", counting, n, o.any, o.found, o.wrong)
		if counting == "ends" && 2*o.any < n {
			t.Errorf("%s: found in %d of %d", counting, o.any, n)
		}
	}
}

// TestSimulatedBackwardMixed holds how often a crew is found some of whose bays are honest all the
// same, or moved by a step.
func TestSimulatedBackwardMixed(t *testing.T) {
	n := 10
	if *simulate {
		n = 200
	}
	for i, x := range []struct{ looks, jitter, want float64 }{{0, 0, 0.9}, {0.05, 0, 0.8}, {0.10, 0, 0.6}, {0.20, 0, 0}, {0, 0.1, 0}, {0, 0.2, 0}} {
		p := honest("ends")
		p.crews[0].backward, p.crews[0].looks, p.crews[0].jitter = true, x.looks, x.jitter
		o := runProgrammes(t, p, n, uint64(800+i), firstCrew)
		t.Logf("backward, %.0f %% honest-looking, %.0f %% moved: %d programmes, found in %d %v; wrong findings %d", 100*x.looks, 100*x.jitter, n, o.any, o.found, o.wrong)
		if limit := x.want*float64(n) - 3*math.Sqrt(x.want*(1-x.want)*float64(n)); float64(o.any) < limit {
			t.Errorf("found in %d of %d, want %.0f %%", o.any, n, 100*x.want)
		}
	}
}

// TestSimulatedCopies prints how often a block of rows is found that was copied from one job to
// another.
func TestSimulatedCopies(t *testing.T) {
	n := 10
	if *simulate {
		n = 100
	}
	for i, x := range []struct {
		counting string
		tube     bool
		rows     []int
	}{{"weight", false, []int{4, 8, 16}}, {"ends", false, []int{8, 16, 19, 20}}, {"ends", true, []int{4, 6, 8, 10}}} {
		for _, rows := range x.rows {
			p := honest(x.counting)
			p.copy = rows
			for c := range p.crews {
				p.crews[c].tube = x.tube
			}
			o := runProgrammes(t, p, n, uint64(400+i), firstCrew)
			t.Logf("copied %2d rows, %-7s tube's marks %-5v %d programmes: found in %d; wrong findings %d", rows, x.counting, x.tube, n, o.found[CopiedRows], o.wrong)
			if x.counting == "weight" && rows >= 8 && o.found[CopiedRows] < n*9/10 {
				t.Errorf("%d weighed rows: found in %d of %d", rows, o.found[CopiedRows], n)
			}
		}
	}
}
