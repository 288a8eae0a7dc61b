package audit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"bayproof/model"
	"bayproof/verify/stat"
)

// TestAgreeing counts by hand: densities of 4, 4 and 5 bags in equal bays, quarter bags.
func TestAgreeing(t *testing.T) {
	c := sectionCounts{step: 0.25, volume: []float64{1, 1, 1, 2}}
	for _, test := range []struct {
		count []float64
		want  int
	}{
		{[]float64{4, 4, 5, 8}, 3},      // 8 bags in twice the volume agree with 4
		{[]float64{4, 4.25, 5, 8}, 2},   // 4 and 4.25 touch at 4.125; 8 ± 1/8 ends at 4.0625 and agrees with 4 only
		{[]float64{1, 2, 3, 20}, 1},     // nothing agrees
		{[]float64{4, 4, 4, 8.25}, 4},   // 8.125/2 lies within 4 ± 1/8
		{[]float64{4, 4.5, 4.75, 7}, 2}, // only neighbours
	} {
		if got := agreeing(&c, test.count); got != test.want {
			t.Errorf("%v: %d agree, want %d", test.count, got, test.want)
		}
	}
}

// TestAgreeingAgainstBruteForce tries every interval's beginning as the one density.
func TestAgreeingAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 200 {
		c := sectionCounts{step: 0.25}
		var count []float64
		for range 3 + r.IntN(20) {
			v := 1 + r.Float64()
			c.volume = append(c.volume, v)
			count = append(count, math.Round(v*(3+0.3*r.NormFloat64())*4)/4)
		}
		if got, want := agreeing(&c, count), agreeingOneByOne(&c, count); got != want {
			t.Fatalf("%d agree, want %d", got, want)
		}
	}
}

// agreeing is the largest number of counts that are consistent with one density.
func agreeing(c *sectionCounts, count []float64) int {
	return len(count) - c.missing(count, len(count))
}

// agreeingOneByOne tries every interval's beginning.
func agreeingOneByOne(c *sectionCounts, count []float64) int {
	most := 0
	for i := range count {
		rho, n := (count[i]-0.125-1e-9)/c.volume[i], 0
		for k := range count {
			if (count[k]-0.125-1e-9)/c.volume[k] <= rho && rho <= (count[k]+0.125+1e-9)/c.volume[k] {
				n++
			}
		}
		most = max(most, n)
	}
	return most
}

// TestMissingAgainstAgreeing: what does not agree is the rest, counted as far as it is asked for, ties of like bays included.
func TestMissingAgainstAgreeing(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	within, beyond := 0, 0
	for range 2000 {
		c := sectionCounts{step: 0.25}
		var count []float64
		for range 6 + r.IntN(60) {
			v := 1 + float64(r.IntN(8))/8
			c.volume = append(c.volume, v)
			count = append(count, math.Round(v*(3+0.1*r.NormFloat64())*4)/4)
		}
		for _, most := range []int{-1, 0, 1, 5, len(count) / 4, len(count), math.MaxInt32} {
			want := len(count) - agreeingOneByOne(&c, count)
			got := c.missing(count, most)
			if want <= most {
				within++
			} else {
				beyond++
			}
			if want <= most && got != want || want > most && got <= most {
				t.Fatalf("%d missing where at most %d are asked for, want %d", got, most, want)
			}
		}
	}
	if within < 1000 || beyond < 1000 {
		t.Errorf("%d within and %d beyond what was asked for: one side is hardly tried", within, beyond)
	}
}

// TestLikeBaysProveNothing: bays that all need the same count are not looked at.
func TestLikeBaysProveNothing(t *testing.T) {
	var lots []lot
	for i := range 30 {
		lots = append(lots, lot{volume: 0.3 + 0.0001*float64(i), bags: 2, mass: math.NaN(), step: 0.25, counting: model.CountingFresh})
	}
	if n := agreementOf("like", lots); !math.IsNaN(n.p) {
		t.Errorf("p = %v, want none", n.p)
	}
}

// TestReplaysAreReproducible: the same job gives the same probability every time.
func TestReplaysAreReproducible(t *testing.T) {
	var lots []lot
	for i := range 24 {
		v := 0.25 + 0.011*float64(i*7%24)
		lots = append(lots, lot{volume: v, bags: math.Round(v*8*4) / 4, mass: math.NaN(), step: 0.25, counting: model.CountingEnds})
	}
	first := agreementOf("a", lots)
	if again := agreementOf("a", lots); first != again {
		t.Errorf("%v and %v", first, again)
	}
	if first.agree != 24 || !(first.p < 0.05) {
		t.Errorf("%+v: counts worked backwards should be unlikely", first)
	}
}

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
			jobs[i].rows = append(jobs[i].rows, rowKey{hash: r.Uint64(), sizes: uint32(r.IntN(5)), bits: bits, line: int32(k + 2)})
		}
	}
	return jobs
}

// TestCopies finds a run across jobs and one within a job, with their lines, and nothing else.
func TestCopies(t *testing.T) {
	jobs := copiedJobs(30, 20, 6)
	copy(jobs[20].rows[4:10], jobs[5].rows[2:8])
	for k := range 6 { // the hashes come with their lines: those of the copy are its own
		jobs[20].rows[4+k].line = int32(6 + k)
	}
	copy(jobs[9].rows[12:18], jobs[9].rows[1:7])
	for k := range 6 {
		jobs[9].rows[12+k].line = int32(14 + k)
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

// TestDrawIsRandomAndFair: over many seeds every bay of a class is drawn equally often.
func TestDrawIsRandomAndFair(t *testing.T) {
	const bays, seeds = 20, 4000
	var list []drawn
	hits := make([]int, bays)
	for seed := range uint64(seeds) {
		list = list[:0]
		for i := range bays {
			list = keepLeast(list, drawn{ticket: ticket(seed, "job", "slope", fmt.Sprint("b", i)), Drawn: Drawn{Job: i}}, 5, byTicket)
		}
		for _, d := range list {
			hits[d.Job]++
		}
	}
	even := make([]float64, bays)
	for i := range even {
		even[i] = 1.0 / bays
	}
	// Fixed seeds. Drawing without replacement makes χ² smaller than independent draws would, so 0.001 is safe.
	if x2, p := stat.ChiSquare(hits, even); p < 0.001 {
		t.Errorf("χ² %v, p %v: %v", x2, p, hits)
	}
}

// TestAllocate: bays on hold that are open come first but leave half for the rest; what is closed early weighs most.
func TestAllocate(t *testing.T) {
	var pool [strata][]drawn
	sizes := [strata]int{30, 10, 10, 100, 100}
	for s, n := range sizes {
		pool[s] = make([]drawn, n)
	}
	got := allocate(sizes, pool, 20)
	if got[OpenHold] != 10 || got[ClosedHold]+got[Doubted]+got[ByCrew]+got[ByOwn] != 10 {
		t.Errorf("%v", got)
	}
	if all := allocate(sizes, pool, 1000); all != sizes {
		t.Errorf("a draw of more than there are gives %v, want all", all)
	}
	pool[ClosedHold], sizes[ClosedHold] = nil, 0
	if got := allocate(sizes, pool, 20); got[ClosedHold] != 0 || got[ByCrew] <= got[ByOwn] {
		t.Errorf("%v: the crew's help weighs more", got)
	}
}

// TestGroups: equal groups lie within the funnel, a bad one below; shrinking keeps the order and moves small groups most.
func TestGroups(t *testing.T) {
	by := map[string]*Tally{}
	for name, n := range map[string][2]int32{"a": {90, 100}, "b": {88, 100}, "c": {40, 100}, "d": {1, 2}} {
		by[name] = &Tally{Close: n[0], Filled: n[1]}
	}
	g := groups(by)
	if !slices.IsSortedFunc(g, func(a, b Group) int { return int(a.Name[0]) - int(b.Name[0]) }) {
		t.Error("groups are not sorted by name")
	}
	if g[2].Outside != -2 || g[3].Outside != 0 {
		t.Errorf("c is %d and d %d outside, want -2 and 0", g[2].Outside, g[3].Outside)
	}
	small, large := math.Abs(g[3].Shrunk-g[3].Pass.Share()), math.Abs(g[2].Shrunk-g[2].Pass.Share())
	if !(small > large) {
		t.Errorf("two bays moved by %v, a hundred by %v", small, large)
	}
}

// TestFalseDiscoveriesCountAll: what showed nothing counts too, and holds back what would else be a finding.
func TestFalseDiscoveriesCountAll(t *testing.T) {
	few, many := &Review{Jobs: []*Job{unlikely(0.004)}}, &Review{Jobs: []*Job{unlikely(0.004)}}
	for range 200 {
		many.Jobs = append(many.Jobs, unlikely(1))
	}
	few.plausibility(rowsOf(few.Jobs))
	many.plausibility(rowsOf(many.Jobs))
	if len(few.Findings) != 1 || len(many.Findings) != 0 || many.Looked != 201 {
		t.Errorf("%d and %d findings of %d looked at", len(few.Findings), len(many.Findings), many.Looked)
	}
}

func unlikely(p float64) *Job {
	n := math.NaN()
	return &Job{checks: &checks{counts: agreement{p: p}, step: stepCheck{p: n}, bags: n}}
}

// rowsOf puts the jobs' rows side by side.
func rowsOf(jobs []*Job) *rowTable {
	t := newRowTable()
	for _, j := range jobs {
		t.add(j)
	}
	t.join()
	return t
}
