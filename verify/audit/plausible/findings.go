// The table of jobs, and what is found in it: the list of all that was looked at, with false
// discoveries held down.

package plausible

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"bayproof/verify"
	"bayproof/verify/stat"
)

// FalseRate is the expected share of false discoveries that is accepted among the findings,
// whatever hangs together (Benjamini and Yekutieli; this tool's own choice).
const FalseRate = 0.05

// Finding is one discovery: a code, whom it speaks about, and the figures that the sentence about
// it is made of.
type Finding struct {
	Code verify.Code
	Jobs []int  // places of the jobs, in the order in which they were added
	Crew string // where it speaks about a crew
	Data []verify.Datum
	P    float64 // how often honest data look so or worse; NaN for what stands in the files and is no matter of chance
	Q    float64 // the smallest rate of false discoveries at which it counts as one; NaN likewise
}

// Speaks tells whether the finding speaks against its first job by itself. One picture of two bays
// of a job does not.
func (f *Finding) Speaks() bool { return f.Crew == "" && f.Code != PhotoBays }

// Job is what is kept of one job to tell whether it is plausible. Nothing in it points into the job
// or its findings.
type Job struct {
	Name, Crew string // the name may be made longer, to tell it from another, before Find
	checks     *checks
	rows       []rowKey // measured rows, for copies, until they are handed to the table
	first      int32    // line of the log at which the job begins
	weighed    []weighed
	spread     float64 // of the weighed rows
	photos     []photo
	days       []day
	own        *Own
	bag        float64 // kg, as stated; NaN where no bag is counted or bags were weighed
	product    string  // maker and product, in small letters
}

// Of keeps what is needed of a job; own is what it has of its own and is not judged by. It may run
// for many jobs at the same time.
func Of(f *verify.Findings, own *Own) *Job {
	st := &f.Job.Settings
	j := &Job{Name: strings.Clone(f.Job.Name), Crew: strings.Clone(st.Crew), checks: checksOf(f), rows: measuredRows(f), first: int32(firstLine(f.Job)),
		photos: photosOf(f), days: daysOf(f), own: own, bag: math.NaN(),
		product: strings.ToLower(strings.TrimSpace(st.Manufacturer + " " + st.Product))}
	j.weighed, j.spread = weighedRows(f)
	if len(st.BagChecks) == 0 {
		j.bag = st.BagWeight
	}
	return j
}

// Table takes in jobs one after the other. What of a job is only needed to be set beside other jobs
// it takes over and does not leave in the job.
type Table struct {
	jobs  []*Job
	rows  *rowTable
	near  nearTable
	crews map[string]*crewCounts
	order []string // crews as they came
}

// NewTable returns a table without jobs.
func NewTable() *Table { return &Table{rows: newRowTable(), crews: map[string]*crewCounts{}} }

// Add takes in a job.
func (t *Table) Add(j *Job) {
	if a := &j.checks.counts; j.Crew != "" && !math.IsNaN(a.p) {
		c := t.crews[j.Crew]
		if c == nil {
			c = new(crewCounts)
			t.crews[j.Crew], t.order = c, append(t.order, j.Crew)
		}
		c.add(len(t.jobs), a)
		a.says = nil
	}
	t.rows.add(j)
	t.near.add(j.weighed, j.spread)
	j.weighed = nil
	t.jobs = append(t.jobs, j)
}

// tests is everything that was looked at: the probabilities, and what those few would find that
// could be discoveries.
type tests struct {
	p     []float64       // p-values of all that was looked at
	found map[int]Finding // by place in p
}

// add takes in a p-value that was looked at; NaN was not, and is left out. What it would find is
// only put together where it could be a discovery: no rate of false discoveries is below its
// p-value.
func (t *tests) add(p float64, find func() Finding) {
	if math.IsNaN(p) {
		return
	}
	if p <= FalseRate {
		f := find()
		f.P = p
		t.found[len(t.p)] = f
	}
	t.p = append(t.p, p)
}

// Beside starts work on another core. What it returns waits for the result; where work crashes, so
// does whoever waits, who can tell of it.
func Beside[T any](work func() T) (wait func() T) {
	var result T
	var crash any
	done := make(chan struct{})
	go func() {
		defer close(done)
		defer func() { crash = recover() }()
		result = work()
	}()
	return func() T {
		if <-done; crash != nil {
			panic(crash)
		}
		return result
	}
}

// Find sets all jobs side by side and returns the discoveries, what stands in the files first and
// then the least likely, and how many p-values were looked at. A Table is asked once.
//
// One list holds everything that was looked at, as what hangs together may not be counted apart: a
// program that is looked at in a thousand ways has one thing in twenty at p ≤ 0.05 by chance. The
// method of Benjamini and Yekutieli holds whatever the dependence, at the price of a factor of
// about ln(number looked at).
func (t *Table) Find() (findings []Finding, looked int) {
	jobs := t.jobs
	copies := Beside(t.rows.findCopies) // they take longest
	all := &tests{found: map[int]Finding{}}
	for i, j := range jobs {
		all.job(i, j.checks)
	}
	all.digits(jobs)
	for _, crew := range t.order {
		c := t.crews[crew]
		all.add(c.p(), func() Finding {
			return Finding{Code: NearestOften, Jobs: c.jobs, Crew: crew, Data: []verify.Datum{
				number("agree", float64(c.agree)), number("counts", float64(c.counts)), number("of", float64(c.looked))}}
		})
	}
	all.totals(jobs)
	exact := map[[2]int]bool{} // pairs of jobs that share a run cell for cell
	for _, c := range copies() {
		all.add(c.p, func() Finding { // names the run by the lines of both places, and speaks about both jobs
			f := Finding{Code: CopiedRows, Jobs: []int{c.job}, Data: []verify.Datum{
				number("rows", float64(c.rows)), number("line", float64(c.from)), name("other", jobs[c.other].Name),
				number("other_line", float64(c.otherFrom)), number("bits", c.bits)}}
			if c.other != c.job {
				f.Jobs = append(f.Jobs, c.other)
			}
			exact[[2]int{c.job, c.other}] = true
			return f
		})
	}
	all.near(jobs, CopiedNear, t.near.changed(), exact)
	all.near(jobs, CopiedShuffled, t.near.shuffled(), exact)
	all.habits(jobs)
	for i, q := range stat.FalseDiscoveries(all.p) {
		if f, ok := all.found[i]; ok && q <= FalseRate {
			f.Q = q
			findings = append(findings, f)
		}
	}
	slices.SortStableFunc(findings, func(a, b Finding) int { return cmp.Compare(a.P, b.P) })
	again, bays := photoFindings(jobs)
	return slices.Concat(ownTerms(jobs), bagWeights(jobs), clocks(jobs), again, alikePhotos(jobs), findings, bays), len(all.p)
}

// near adds copies that were changed or put into another order, but for pairs of jobs that share a
// run cell for cell (exact): these count as looked at.
func (t *tests) near(jobs []*Job, code verify.Code, list []copiedNear, exact map[[2]int]bool) {
	for _, c := range list {
		if exact[[2]int{c.job, c.other}] {
			c.p = 1
		}
		t.add(c.p, func() Finding {
			f := Finding{Code: code, Jobs: []int{c.job}, Data: []verify.Datum{number("rows", float64(c.rows)), number("line", float64(c.from)),
				name("other", jobs[c.other].Name), number("other_line", float64(c.otherFrom))}}
			if c.other != c.job {
				f.Jobs = append(f.Jobs, c.other)
			}
			return f
		})
	}
}

// totals pools, crew by crew, by how much logs exceed the totals that were counted, z = Σ excess/√Σ
// variance, two-sided: what is within the readings in every job may not be within them in all. A
// crew with one job is left to the job's own test; logs that hold less than their totals count as
// looked at, with p = 1.
func (t *tests) totals(jobs []*Job) {
	type pool struct {
		excess, uu, bays float64
		jobs             []int
	}
	pools := map[string]*pool{}
	var order []string
	for i, j := range jobs {
		d := &j.checks.over
		if !d.known || j.Crew == "" || d.bays == 0 {
			continue
		}
		if pools[j.Crew] == nil {
			pools[j.Crew], order = new(pool), append(order, j.Crew)
		}
		p := pools[j.Crew]
		p.excess, p.uu, p.bays, p.jobs = p.excess+d.excess, p.uu+d.uu, p.bays+d.bays, append(p.jobs, i)
	}
	for _, crew := range order {
		p := pools[crew]
		if len(p.jobs) < 2 {
			continue // the job's own test says all there is
		}
		chance := 1.0
		if p.excess > 0 {
			chance = twoSided(p.excess / math.Sqrt(p.uu))
		}
		t.add(chance, func() Finding {
			return Finding{Code: CrewTotals, Crew: crew, Jobs: p.jobs, Data: []verify.Datum{bags("excess", p.excess), number("bays", p.bays), bags("per_bay", p.excess/p.bays)}}
		})
	}
}

// What a finding says in figures and names, each with the key that it has in JSON.
func number(key string, x float64) verify.Datum { return verify.Datum{Key: key, Value: x} }
func bags(key string, x float64) verify.Datum {
	return verify.Datum{Key: key, Value: x, Dim: verify.Bags}
}
func name(key, text string) verify.Datum {
	return verify.Datum{Key: key, Text: text, Dim: verify.Name}
}

// job adds what was looked at in job i alone.
func (t *tests) job(i int, c *checks) {
	find := func(code verify.Code, data ...verify.Datum) Finding {
		return Finding{Code: code, Jobs: []int{i}, Data: data}
	}
	t.add(c.counts.p, func() Finding {
		n := &c.counts
		return find(NearestStep, number("agree", float64(n.agree)), number("counts", float64(n.counts)),
			number("usual", n.usual))
	})
	t.add(c.weights.p, func() Finding {
		w := &c.weights
		return find(MadeWeights, number("within", float64(w.within)), number("bays", float64(w.bays)),
			number("width", 100*w.width), verify.Datum{Key: "density", Value: w.density, Dim: verify.Density})
	})
	t.add(c.step.p, func() Finding {
		s := &c.step
		return find(CoarseStep, bags("stated", s.stated), bags("shown", s.shown), number("odd", s.odd),
			number("counts", s.counts), name("section", s.section))
	})
	t.add(c.bags, func() Finding { return find(BagsBought, bags("bought", c.bought), bags("logged", c.logged)) })
	for _, e := range c.empties {
		t.add(e.p, func() Finding {
			return find(Empties, bags("counted", e.counted), bags("logged", e.logged), name("section", e.section))
		})
	}
}

// leastDigits is the number of last digits of a crew and step below which they are not looked at.
const leastDigits = 60

// digits pools last digits by crew and recording step: the habit is the crew's. A scale's digits
// differ by its step: pounds in tenths and in fifths are two kinds of digits and are not added up.
func (t *tests) digits(jobs []*Job) {
	type key struct {
		crew string
		step float64
	}
	type pool struct {
		digits
		jobs []int
	}
	pools := map[key]*pool{}
	var order []key
	for i, j := range jobs {
		d := j.checks.digits
		if d == nil {
			continue
		}
		k := key{j.Crew, d.step}
		if pools[k] == nil {
			pools[k] = &pool{digits: digits{step: d.step}}
			order = append(order, k)
		}
		p := pools[k]
		p.jobs, p.values = append(p.jobs, i), p.values+d.values
		for x, n := range d.of {
			p.of[x] += n
		}
	}
	for _, k := range order {
		if p := pools[k]; p.values >= leastDigits {
			f := digitFinding(&p.digits, k.crew, p.jobs)
			t.add(f.P, func() Finding { return f })
		}
	}
}

// digitFinding holds last digits against even ones by Pearson's χ² = Σ (k − n/10)²/(n/10) over the
// ten digits, with nine degrees of freedom (TestDigitsOfPi).
func digitFinding(d *digits, crew string, jobs []int) Finding {
	x2, p := stat.ChiSquare(d.of[:], slices.Repeat([]float64{0.1}, 10))
	most := slices.Index(d.of[:], slices.Max(d.of[:]))
	return Finding{Code: LastDigits, Jobs: jobs, Crew: crew, P: p, Data: []verify.Datum{
		number("values", float64(d.values)), number("step", d.step), number("digit", float64(most)),
		number("times", float64(d.of[most])), number("chi_square", x2)}}
}

// Codes of what does not look as honest readings do.
const (
	NearestStep    verify.Code = "nearest-step"    // counts that are the nearest step to one density times the volume
	NearestOften   verify.Code = "nearest-often"   // a crew whose jobs do so together
	MadeWeights    verify.Code = "made-weights"    // weights closer to one density than a crew packs and a tape is read
	LastDigits     verify.Code = "last-digits"     // last digits of weighed masses that are not even
	CopiedRows     verify.Code = "copied-rows"     // a run of measured rows that stands twice
	CopiedNear     verify.Code = "copied-near"     // the same with each weight changed a little
	CopiedShuffled verify.Code = "copied-shuffled" // rows that two jobs share in another order
	PhotoTwice     verify.Code = "photo-twice"     // one picture in two jobs, or under two names
	PhotoAlike     verify.Code = "photo-alike"     // one picture in two jobs, saved anew
	PhotoBays      verify.Code = "photo-bays"      // one picture at two bays of a job
	BagsBought     verify.Code = "bags-bought"     // bags logged against bags that left the truck
	Empties        verify.Code = "empties"         // bags logged against empties counted
	CrewTotals     verify.Code = "crew-totals"     // the same over all jobs of a crew
	NeverCounted   verify.Code = "never-counted"   // a crew whose empties are never counted
	OddBag         verify.Code = "odd-bag"         // a bag weight that the product's other jobs do not have
	CoarseStep     verify.Code = "coarse-step"     // a stated step finer than the log shows
	AllStalled     verify.Code = "all-stalled"     // not one bay that did not stall
	TooFast        verify.Code = "too-fast"        // bays filled faster than a machine feeds
	TwoPlaces      verify.Code = "two-places"      // a crew in two houses at once
	LateTimes      verify.Code = "late-times"      // times after the day
	RaisedAfter    verify.Code = "raised-after"    // amendments that raise the density after a verdict
	OwnTerms       verify.Code = "own-terms"       // settings of the job's own where the program's hold
)

// KindFinding is the kind of the codes above: they speak about jobs and crews set side by side and
// hold no verdict.
const KindFinding verify.Kind = "finding"

// Codes is the table of what a review can find, in the order in which it is looked for. Answers
// says what settles it.
func Codes() []verify.CodeInfo {
	find := func(c verify.Code, means, settles, data, source string) verify.CodeInfo {
		return verify.CodeInfo{Code: c, Kind: KindFinding, Means: means, Answers: settles, Data: data, Source: source}
	}
	const (
		own    = "this tool's own"
		ratio  = "this tool's own; a likelihood ratio with the supremum below it (Wasserman, Ramdas and Balakrishnan 2020)"
		stands = "what stands in the files"
		peers  = "this tool's own; beta-binomial, the other crews' rates"
		files  = "SHA-256 of the files"
	)
	return []verify.CodeInfo{
		find(NearestStep, "bag counts that are the nearest step to one density times the volume, more of them than honest readings of these bays give",
			"part bags weighed on the next job; the crew's own tally sheet; a core", "agree, counts, usual", ratio),
		find(NearestOften, "a crew whose counts, all its jobs together, are the nearest step to one density times the volume more often than honest readings are",
			"part bags weighed on its next jobs; its tally sheets; cores", "agree, counts, of", ratio),
		find(MadeWeights, "weighed masses that follow one density times the volume closer than a crew packs and than a tape is read",
			"the scale and its sheet; part bags weighed in front of someone; a core", "within, bays, width, density", "this tool's own; a scan statistic over the prior of rule process"),
		find(LastDigits, "last digits of weighed masses that are not even",
			"the scale looked at; the sheets it was read onto", "values, step, digit, times, chi_square", "this tool's own; Pearson's chi-square"),
		find(CopiedRows, "a run of measured rows that stands in two places, cell for cell",
			"the paper sheets of both; an amended entry where a block was pasted", "rows, line, other, other_line, bits", "this tool's own"),
		find(CopiedNear, "a run of weighed rows whose sizes are those of another place and whose weights differ by a quarter of a pound at most",
			"the paper sheets of both; the scale's sheet", "rows, line, other, other_line", own),
		find(CopiedShuffled, "weighed rows that two jobs have in common, in another order, more of them than such sizes let expect",
			"the paper sheets of both", "rows, line, other, other_line", "this tool's own; Poisson"),
		find(PhotoTwice, "one picture in two jobs, or under two names in one",
			"the camera's own files; the photo of the right bay", "photos, places, jobs, photo, bay, other, other_photo, other_bay", files),
		find(PhotoAlike, "one picture in two jobs, saved anew: smaller, cut or in another quality",
			"the camera's own files; the photo of the right bay", "photos, photo, bay, other, other_photo, other_bay, differ", "perceptual hash of the picture (goimagehash)"),
		find(PhotoBays, "pictures named at two or more bays of a job",
			"nothing where it shows them all; else a photo of each", "photos, bays, photo, bay, other_bay, job", files),
		find(BagsBought, "bags that left the truck and bags logged that differ by more than counting error",
			"the delivery note and what came back; an amended count; a lost entry", "bought, logged", "JCGM 100"),
		find(Empties, "a section's empties and the bags logged for it that differ by more than counting error",
			"the empties counted again; an amended entry; a lost entry", "counted, logged, section", "JCGM 100"),
		find(CrewTotals, "a crew whose logs, all its jobs together, hold more than the totals that were counted explain",
			"empties counted by somebody else; part bags weighed", "excess, bays, per_bay", "JCGM 100"),
		find(NeverCounted, "a crew of whose jobs not one has its empties counted, while others have some",
			"empties counted on its next job by somebody else", "times, of, others", peers),
		find(OddBag, "a stated bag weight that is not that of the same product in the other jobs",
			"a bag put on a scale; the label", "bag, usual, others, product", stands),
		find(CoarseStep, "counts that show a coarser step than the one stated",
			"the step that is really read, as bag_step; finer marks in the hopper", "stated, shown, odd, counts, section", "this tool's own"),
		find(AllStalled, "a crew of whose bays not one is said not to have stalled, while others have some",
			"a visit while bays are filled; how the crew decides that a bay has stalled", "times, of, others", peers),
		find(TooFast, "a day whose material no machine feeds in the time between its first and its last bay",
			"the paper sheets; how the rows were typed in", "bays, minutes, needs, mass", "3,000 lb an hour: from memory, above what makers state"),
		find(TwoPlaces, "a crew whose bays in two houses were filled in the same hours, at one machine",
			"who was where; the machine's name in the column machine", "minutes, other", stands),
		find(LateTimes, "a crew with more jobs than others in which every time lies after the day of the job",
			"the paper sheets; log at the truck; a clock set right", "times, of, others", peers),
		find(RaisedAfter, "bays amended to a higher density after a verdict other than CLOSE, more of them than others have",
			"what each amendment says why; the first rows, which stay in the record", "times, of, others", peers),
		find(OwnTerms, "a job that sets what the program's terms govern: it is judged by the program's",
			"the program's terms in its job.csv, or none", "own, used, close_own, close, bays", stands),
	}
}
