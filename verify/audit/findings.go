package audit

import (
	"math"
	"sort"

	"bayproof/verify"
	"bayproof/verify/stat"
)

// FalseRate is the share of false discoveries that is accepted among the findings, whatever hangs together (Benjamini
// and Yekutieli).
const FalseRate = 0.05

// Finding is one discovery.
type Finding struct {
	Code verify.Code
	Jobs []int  // indices into Review.Jobs
	Crew string // where it speaks about a crew
	Data []verify.Datum
	P    float64 // how often honest data look so or worse; NaN for what stands in the files and is no chance
	Q    float64 // the smallest rate of false discoveries at which it counts as one; NaN likewise
}

// Speaks tells whether the finding speaks against its first job by itself. One picture of two bays of a job does not.
func (f *Finding) Speaks() bool { return f.Crew == "" && f.Code != PhotoBays }

// scale is everything that was looked at: discoveries to be, and the probabilities of what showed nothing.
type scale struct {
	p     []float64
	found []Finding // those that could be discoveries
	at    []int     // their places in p
}

// put takes in a probability that was looked at. What it would find is only put together where it could be a discovery:
// no rate of false discoveries is below its probability.
func (s *scale) put(p float64, find func() Finding) {
	if math.IsNaN(p) {
		return
	}
	s.p = append(s.p, p)
	if p > FalseRate {
		return
	}
	f := find()
	f.P = p
	s.found, s.at = append(s.found, f), append(s.at, len(s.p)-1)
}

// join puts in what another scale took in.
func (s *scale) join(o *scale) {
	for _, at := range o.at {
		s.at = append(s.at, len(s.p)+at)
	}
	s.p, s.found = append(s.p, o.p...), append(s.found, o.found...)
}

// weigh gathers all that was looked at and keeps the discoveries. Copies are looked for meanwhile: they take longest.
func (r *Review) weigh(d *desk) {
	copies := make(chan []copied)
	go func() { copies <- d.findCopies() }()
	s, crews := &scale{}, &scale{}
	for i, j := range r.Jobs {
		s.job(i, &j.looked)
	}
	s.digits(r.Jobs)
	crews.habits(r.Jobs)
	s.copies(r.Jobs, <-copies)
	s.join(crews)
	r.Looked = len(s.p)
	q := stat.FalseDiscoveries(s.p)
	for i, at := range s.at {
		if q[at] <= FalseRate {
			s.found[i].Q = q[at]
			r.Findings = append(r.Findings, s.found[i])
		}
	}
	sort.SliceStable(r.Findings, func(a, b int) bool { return r.Findings[a].P < r.Findings[b].P })
	again, bays := photoFindings(r.Jobs)
	r.Findings = append(append(again, r.Findings...), bays...)
}

func number(key string, x float64) verify.Datum { return verify.Datum{Key: key, Value: x} }
func bags(key string, x float64) verify.Datum {
	return verify.Datum{Key: key, Value: x, Dim: verify.Bags}
}
func share(key string, x float64) verify.Datum {
	return verify.Datum{Key: key, Value: x, Dim: verify.Probability}
}
func name(key, text string) verify.Datum {
	return verify.Datum{Key: key, Text: text, Dim: verify.Name}
}

// job puts in what was looked at in one job alone.
func (s *scale) job(i int, l *looked) {
	find := func(code verify.Code, data ...verify.Datum) Finding {
		return Finding{Code: code, Jobs: []int{i}, Data: data}
	}
	s.put(l.nearest.p, func() Finding {
		n := &l.nearest
		return find(NearestStep, number("agree", float64(n.agree)), number("counts", float64(n.counts)),
			number("usual", n.usual), number("replays", float64(n.replays)))
	})
	s.put(l.step.p, func() Finding {
		st := &l.step
		return find(CoarseStep, bags("stated", st.stated), bags("shown", st.shown), number("odd", st.odd),
			number("counts", st.counts), name("section", st.section))
	})
	s.put(l.bags, func() Finding { return find(BagsBought, bags("bought", l.bought), bags("logged", l.logged)) })
	for _, e := range l.empties {
		s.put(e.p, func() Finding {
			return find(Empties, bags("counted", e.counted), bags("logged", e.logged), name("section", e.section))
		})
	}
}

// leastDigits is the number of last digits below which they are not looked at.
const leastDigits = 60

// digits pools last digits by crew and recording step: the habit is the crew's.
func (s *scale) digits(jobs []*Job) {
	type key struct {
		crew string
		step float64
	}
	pools := map[key]*digits{}
	members := map[key][]int{}
	var order []key
	for i, j := range jobs {
		d := j.looked.digits
		if d == nil {
			continue
		}
		k := key{j.Crew, d.step}
		if pools[k] == nil {
			pools[k] = &digits{step: d.step}
			order = append(order, k)
		}
		for x, n := range d.of {
			pools[k].of[x] += n
		}
		pools[k].values += d.values
		members[k] = append(members[k], i)
	}
	for _, k := range order {
		if d := pools[k]; d.values >= leastDigits {
			f := digitFinding(d, k.crew, members[k])
			s.put(f.P, func() Finding { return f })
		}
	}
}

func digitFinding(d *digits, crew string, jobs []int) Finding {
	even := make([]float64, 10)
	most := 0
	for i := range even {
		even[i] = 0.1
		if d.of[i] > d.of[most] {
			most = i
		}
	}
	x2, p := stat.ChiSquare(d.of[:], even)
	return Finding{Code: LastDigits, Jobs: jobs, Crew: crew, P: p, Data: []verify.Datum{
		number("values", float64(d.values)), number("step", d.step), number("digit", float64(most)),
		number("times", float64(d.of[most])), number("chi_square", x2)}}
}

// copies puts in the least likely run that each job shares.
func (s *scale) copies(jobs []*Job, found []copied) {
	for _, c := range found {
		s.put(c.p, func() Finding { return c.finding(jobs) })
	}
}

func (c *copied) finding(jobs []*Job) Finding {
	f := Finding{Code: CopiedRows, Jobs: []int{c.job}, Data: []verify.Datum{
		number("rows", float64(c.rows)), number("line", float64(c.from)), name("other", jobs[c.other].Name),
		number("other_line", float64(c.otherFrom)), number("bits", c.bits)}}
	if c.other != c.job {
		f.Jobs = append(f.Jobs, c.other)
	}
	return f
}

// nearestUnlikely is the probability below which a job counts for its crew's habit, and leastStalls the number of bays
// from which on it says something that all stalled.
const (
	nearestUnlikely = 0.10
	leastStalls     = 20
)

// habits sets each crew's habits beside the others'.
func (s *scale) habits(jobs []*Job) {
	h := habitOf(jobs, func(l *looked) (int, int) {
		if math.IsNaN(l.nearest.p) || l.nearest.fresh {
			return 0, 0
		}
		return int(one(l.nearest.p <= nearestUnlikely)), 1
	})
	s.upper(&h, NearestOften, true)
	h = habitOf(jobs, func(l *looked) (int, int) { return l.no, l.stalls })
	for i := range h.k {
		if len(h.k) < fewCrews || h.n[i] < leastStalls {
			continue
		}
		p, rate := 1.0, 0.0
		if h.k[i] == 0 {
			_, p, rate = h.chances(i)
		}
		s.put(p, func() Finding { return h.finding(i, AllStalled, p, rate) })
	}
	h = habitOf(jobs, func(l *looked) (int, int) {
		if l.timed == 0 {
			return 0, 0
		}
		return int(one(l.late)), 1
	})
	s.upper(&h, LateTimes, true)
	h = habitOf(jobs, func(l *looked) (int, int) { return l.raised, l.judged })
	s.upper(&h, RaisedAfter, false)
}

// upper puts in how often a group would have so many or more.
func (s *scale) upper(h *habit, code verify.Code, crewsOnly bool) {
	if len(h.k) < fewCrews {
		return
	}
	for i := range h.k {
		if crewsOnly && h.names[i] == "" {
			continue
		}
		p, rate := 1.0, 0.0
		if h.k[i] > 0 {
			p, _, rate = h.chances(i)
		}
		s.put(p, func() Finding { return h.finding(i, code, p, rate) })
	}
}

func (h *habit) finding(i int, code verify.Code, p, rate float64) Finding {
	return Finding{Code: code, Jobs: h.jobs[i], Crew: h.names[i], P: p, Data: []verify.Datum{
		number("times", float64(h.k[i])), number("of", float64(h.n[i])), share("others", rate)}}
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
