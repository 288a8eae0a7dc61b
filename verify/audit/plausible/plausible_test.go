package plausible

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"bayproof/verify/stat"
)

// TestRecordedStep reads the step off the values; zeros that a file drops are no digits.
func TestRecordedStep(t *testing.T) {
	for _, test := range []struct {
		values []float64
		want   float64
	}{
		{[]float64{40, 42.5, 38.1}, 0.1}, {[]float64{40, 42, 38}, 2}, {[]float64{40, 41}, 1}, {[]float64{40, 45, 35}, 5},
		{[]float64{40.2, 41.4}, 0.2}, {[]float64{40.005}, 0},
	} {
		if got := recordedStep(test.values); got != test.want {
			t.Errorf("%v: step %v, want %v", test.values, got, test.want)
		}
	}
}

// TestDigitsOfPi is worked example 27: the first 10,000 decimals of π, χ² 9.318, p 0.408.
func TestDigitsOfPi(t *testing.T) {
	d := &digits{step: 0.1, values: 10000, of: [10]int{968, 1026, 1021, 974, 1012, 1046, 1021, 970, 948, 1014}}
	f := digitFinding(d, "", nil)
	if math.Abs(f.P-0.408) > 0.0005 || math.Abs(value(f.Data, "chi_square")-9.318) > 0.0005 { // as printed, half a last digit
		t.Errorf("p %v, χ² %v", f.P, value(f.Data, "chi_square"))
	}
}

// TestBetaBinomial adds up to one, and a flat prior makes every count equally likely.
func TestBetaBinomial(t *testing.T) {
	sum := 0.0
	for k := range 21 {
		sum += betaBinomial(stat.BetaPrior{Alpha: 1.356, Beta: 8.615}, k, 20)
		if p := betaBinomial(stat.BetaPrior{Alpha: 1, Beta: 1}, k, 20); math.Abs(p-1.0/21) > 1e-12 {
			t.Errorf("flat prior, %d of 20: %v, want 1/21", k, p)
		}
	}
	if math.Abs(sum-1) > 1e-12 { // rounding of some 60 terms
		t.Errorf("sum %v", sum)
	}
}

// copiedJobs are jobs of weighed rows, each row telling so many bits.
func copiedJobs(n, rows int, bits float32) []*Job {
	r := rand.New(rand.NewPCG(2, 3))
	jobs := make([]*Job, n)
	for i := range jobs {
		jobs[i] = &Job{Name: fmt.Sprint("job ", i)}
		for k := range rows {
			jobs[i].rows = append(jobs[i].rows, rowKey{hash: r.Uint64(), sizes: uint32(r.IntN(5)), bits: bits, cut: sixteenths(float64(bits)), line: uint16(k + 2)})
		}
	}
	return jobs
}

// TestCopies finds a run across jobs and one within a job, with their lines, and nothing else.
func TestCopies(t *testing.T) {
	jobs := copiedJobs(30, 20, 6)
	copy(jobs[20].rows[4:10], jobs[5].rows[2:8])
	for k := range 6 { // the hashes come with their lines: those of the copy are its own
		jobs[20].rows[4+k].line = uint16(6 + k)
	}
	copy(jobs[9].rows[12:18], jobs[9].rows[1:7])
	for k := range 6 {
		jobs[9].rows[12+k].line = uint16(14 + k)
	}
	for i, c := range rowsOf(jobs).findCopies() {
		switch {
		case i == 20 && (c.other != 5 || c.rows != 6 || c.from != 6 || c.otherFrom != 4 || !(c.p < 1e-6)):
			t.Errorf("across: %+v", c)
		case i == 9 && (c.other != 9 || c.rows != 6 || c.from != 14 || c.otherFrom != 3 || !(c.p < 1e-6)):
			t.Errorf("within: %+v", c)
		case i != 20 && i != 9 && c.p != 1:
			t.Errorf("job %d: %+v", i, c)
		}
	}
}

// TestCopiesOfLittle: rows that tell nothing may stand twice.
func TestCopiesOfLittle(t *testing.T) {
	jobs := copiedJobs(30, 20, 0.3)
	copy(jobs[20].rows[4:16], jobs[5].rows[2:14])
	for i, c := range rowsOf(jobs).findCopies() {
		if c.p < 0.05 {
			t.Errorf("job %d: %+v", i, c)
		}
	}
}

// TestFalseDiscoveriesCountAll: what showed nothing counts too, and holds back what would else be a
// finding.
func TestFalseDiscoveriesCountAll(t *testing.T) {
	few, many := NewTable(), NewTable()
	few.Add(unlikely(0.004))
	many.Add(unlikely(0.004))
	for range 200 {
		many.Add(unlikely(1))
	}
	a, _ := few.Find()
	b, looked := many.Find()
	if len(a) != 1 || len(b) != 0 || looked != 201 {
		t.Errorf("%d and %d findings of %d looked at", len(a), len(b), looked)
	}
}

func unlikely(p float64) *Job {
	n := math.NaN()
	return &Job{bag: n, checks: &checks{counts: agreement{p: p}, weights: closeness{p: n}, step: stepCheck{p: n}, bags: n}}
}

// rowsOf puts the jobs' rows side by side.
func rowsOf(jobs []*Job) *rowTable {
	t := newRowTable()
	for _, j := range jobs {
		t.add(j)
	}
	return t
}

// A crash on another core is that of whoever waits for the result.
func TestBeside(t *testing.T) {
	if got := Beside(func() int { return 7 })(); got != 7 {
		t.Errorf("7 beside is %d", got)
	}
	defer func() {
		if got := recover(); got != "broken" {
			t.Errorf("the crash is told as %v", got)
		}
	}()
	Beside(func() int { panic("broken") })()
	t.Error("a crash is passed over")
}
