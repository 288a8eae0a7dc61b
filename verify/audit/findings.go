package audit

import (
	"cmp"
	"math"
	"slices"

	"bayproof/verify"
	"bayproof/verify/stat"
)

// FalseRate is the share of false discoveries that is accepted among the findings, whatever hangs together (Benjamini
// and Yekutieli).
const FalseRate = 0.05

// Finding is one discovery: a code, whom it speaks about, and the figures that the sentence about it is made of.
type Finding struct {
	Code verify.Code
	Jobs []int  // indices into Review.Jobs
	Crew string // where it speaks about a crew
	Data []verify.Datum
	P    float64 // how often honest data look so or worse; NaN for what stands in the files and is no matter of chance
	Q    float64 // the smallest rate of false discoveries at which it counts as one; NaN likewise
}

// Speaks tells whether the finding speaks against its first job by itself. One picture of two bays of a job does not.
func (f *Finding) Speaks() bool { return f.Crew == "" && f.Code != PhotoBays }

// tests is everything that was looked at: the probabilities, and what those few would find that could be discoveries.
type tests struct {
	p     []float64
	found map[int]Finding // by place in p
}

// add takes in a probability that was looked at. What it would find is only put together where it could be a discovery:
// no rate of false discoveries is below its probability.
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

// plausibility gathers all that was looked at and keeps the discoveries: pictures that stand twice, then the least likely
// first. Copies are looked for meanwhile: they take longest.
//
// One list holds everything that was looked at, as what hangs together may not be counted apart: a programme that is looked at
// in a thousand ways has one thing in twenty at p ≤ 0.05 by chance. The method of Benjamini and Yekutieli holds whatever
// the dependence, at the price of a factor of about ln(number looked at).
func (r *Review) plausibility(rows *rowTable) {
	copies := make(chan []copied)
	rows.join()
	go func() { copies <- rows.findCopies() }()
	t := &tests{found: map[int]Finding{}}
	for i, j := range r.Jobs {
		t.job(i, j.checks)
	}
	t.digits(r.Jobs)
	for _, c := range <-copies {
		t.add(c.p, func() Finding { // names the run by the lines of both places, and speaks about both jobs
			f := Finding{Code: CopiedRows, Jobs: []int{c.job}, Data: []verify.Datum{
				number("rows", float64(c.rows)), number("line", float64(c.from)), name("other", r.Jobs[c.other].Name),
				number("other_line", float64(c.otherFrom)), number("bits", c.bits)}}
			if c.other != c.job {
				f.Jobs = append(f.Jobs, c.other)
			}
			return f
		})
	}
	t.habits(r.Jobs)
	r.Looked = len(t.p)
	for i, q := range stat.FalseDiscoveries(t.p) {
		if f, ok := t.found[i]; ok && q <= FalseRate {
			f.Q = q
			r.Findings = append(r.Findings, f)
		}
	}
	slices.SortStableFunc(r.Findings, func(a, b Finding) int { return cmp.Compare(a.P, b.P) })
	again, bays := photoFindings(r.Jobs)
	r.Findings = slices.Concat(again, r.Findings, bays)
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
			number("usual", n.usual), number("replays", float64(n.replays)))
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

// leastDigits is the number of last digits below which they are not looked at.
//
// A scale's digits differ by its step: pounds in tenths and in fifths are two kinds of digits and are not added up.
const leastDigits = 60

// digits pools last digits by crew and recording step: the habit is the crew's.
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

// digitFinding holds last digits against even ones by Pearson's χ² = Σ (k − n/10)²/(n/10) over the ten digits, with nine
// degrees of freedom.
func digitFinding(d *digits, crew string, jobs []int) Finding {
	x2, p := stat.ChiSquare(d.of[:], slices.Repeat([]float64{0.1}, 10))
	most := slices.Index(d.of[:], slices.Max(d.of[:]))
	return Finding{Code: LastDigits, Jobs: jobs, Crew: crew, P: p, Data: []verify.Datum{
		number("values", float64(d.values)), number("step", d.step), number("digit", float64(most)),
		number("times", float64(d.of[most])), number("chi_square", x2)}}
}

// Codes of what does not look as honest readings do.
const (
	NearestStep  verify.Code = "nearest-step"  // counts that are the nearest step to one density times the volume
	NearestOften verify.Code = "nearest-often" // a crew with more such jobs than others
	LastDigits   verify.Code = "last-digits"   // last digits of weighed masses that are not even
	CopiedRows   verify.Code = "copied-rows"   // a run of measured rows that stands twice
	PhotoTwice   verify.Code = "photo-twice"   // one picture in two jobs, or under two names
	PhotoBays    verify.Code = "photo-bays"    // one picture at two bays of a job
	BagsBought   verify.Code = "bags-bought"   // bags logged against bags that left the truck
	Empties      verify.Code = "empties"       // bags logged against empties counted
	CoarseStep   verify.Code = "coarse-step"   // a stated step finer than the log shows
	AllStalled   verify.Code = "all-stalled"   // not one bay that did not stall
	LateTimes    verify.Code = "late-times"    // times after the day
	RaisedAfter  verify.Code = "raised-after"  // amendments that raise the density after a verdict
)

// KindFinding is the kind of the codes above: they speak about jobs and crews set side by side and hold no verdict.
const KindFinding verify.Kind = "finding"

// Codes is the table of what a review can find, in the order in which it is looked for. Answers says what settles it.
func Codes() []verify.CodeInfo {
	find := func(c verify.Code, means, settles, data, source string) verify.CodeInfo {
		return verify.CodeInfo{Code: c, Kind: KindFinding, Means: means, Answers: settles, Data: data, Source: source}
	}
	const (
		replays = "this tool's own; sequential Monte Carlo (Besag and Clifford 1991)"
		peers   = "this tool's own; beta-binomial, the other crews' rates"
		files   = "SHA-256 of the files"
	)
	return []verify.CodeInfo{
		find(NearestStep, "bag counts that are the nearest step to one density times the volume, more of them than honest readings of these bays give",
			"part bags weighed on the next job; the crew's own tally sheet; a core", "agree, counts, usual, replays", replays),
		find(NearestOften, "a crew with more jobs than others whose counts lie close to one density times the volume",
			"part bags weighed on its next jobs; its tally sheets; cores", "times, of, others", peers),
		find(LastDigits, "last digits of weighed masses that are not even",
			"the scale looked at; the sheets it was read onto", "values, step, digit, times, chi_square", "this tool's own; Pearson's chi-square"),
		find(CopiedRows, "a run of measured rows that stands in two places, cell for cell",
			"the paper sheets of both; an amended entry where a block was pasted", "rows, line, other, other_line, bits", "this tool's own"),
		find(PhotoTwice, "one picture in two jobs, or under two names in one",
			"the camera's own files; the photo of the right bay", "photos, places, jobs, photo, bay, other, other_photo, other_bay", files),
		find(PhotoBays, "pictures named at two or more bays of a job",
			"nothing where it shows them all; else a photo of each", "photos, bays, photo, bay, other_bay, job", files),
		find(BagsBought, "bags that left the truck and bags logged that differ by more than the readings explain",
			"the delivery note and what came back; an amended count; a lost entry", "bought, logged", "JCGM 100"),
		find(Empties, "a section's empties and the bags logged for it that differ by more than the readings explain",
			"the empties counted again; an amended entry; a lost entry", "counted, logged, section", "JCGM 100"),
		find(CoarseStep, "counts that show a coarser step than the one stated",
			"the step that is really read, as bag_step; finer marks in the hopper", "stated, shown, odd, counts, section", "this tool's own"),
		find(AllStalled, "a crew of whose bays not one is said not to have stalled, while others have some",
			"a visit while bays are filled; how the crew decides that a bay has stalled", "times, of, others", peers),
		find(LateTimes, "a crew with more jobs than others in which every time lies after the day of the job",
			"the paper sheets; log at the truck; a clock set right", "times, of, others", peers),
		find(RaisedAfter, "bays amended to a higher density after a verdict other than CLOSE, more of them than others have",
			"what each amendment says why; the first rows, which stay in the record", "times, of, others", peers),
	}
}
