// Lots: what one mass filled, and the figures of it that everything else is made of.

package measure

import (
	"cmp"
	"math"
	"slices"

	"bayproof/model"
	"bayproof/verify/stat"
)

// Lot is what one mass filled: one bay, or the bays that share one count. It has one density.
//
// The variance of the density is Own² + Count² + Common² + Shared² and, along a running counter, Σ
// (Coef·U)² over Terms. The parts are kept apart because they are shared differently: Own and Count
// belong to this lot alone, Common is one and the same error in every counted bag of the job,
// Shared one in every depth of it, and a reading of the counter is shared with the neighbor.
type Lot struct {
	Bays    []*model.Bay // in fill order
	Volume  float64      // m³, of all its bays
	Mass    float64      // kg
	Bags    float64      // bags in it; NaN where nothing was counted in bags
	Used    float64      // bags that left the pile for it, weighed masses as their share, what was lost included; NaN where no bag weight is known
	UUsed   float64      // bags: standard uncertainty of Used from its readings; in Pool only
	Density float64      // kg/m³

	Own    float64 // kg/m³: sizes but for Shared, weighings
	OwnDOF float64 // +Inf where nothing was estimated from few readings
	Count  float64 // kg/m³: a count by `ends` or `fresh` as noise of its own; 0 for a weighed mass and for a counter
	// Interval is the half-width in kg/m³ within which a `fresh` count leaves the density: like
	// bays round the same way. 0 where the count is not fresh. It describes the same error as Count
	// does.
	Interval  float64
	Terms     []Term  // readings of the running counter, with the density's sensitivity to each
	Common    float64 // kg/m³ per standard uncertainty of the bag weight
	CommonDOF float64 // degrees of freedom of the bag weight; +Inf where the label holds

	// What follows is zero where nothing of the kind is known.

	// PerBag is the density that one bag more or less in a count by steps makes, kg/m³; 0 for a
	// weighed mass and for whole bags with a weighed part. What every count of a section is off by
	// (see crew.Total) moves the density by so much a bag.
	PerBag float64
	// OneSided is the density of one counting step, kg/m³, where nobody said that the bay was blown
	// to the stall: the true value of the count may then fall short of the count by anything from
	// nothing to one step, besides all other errors. 0 for a weighed mass and where the stall was
	// said.
	OneSided float64
	// Shared is the standard uncertainty of the density, kg/m³, by the part of the tape's error
	// that all readings of the job share: a/√12 of the depth's half-width a, or what depth checks
	// leave of it. It is not in Own; Density has the mean of the checks put right.
	Shared    float64
	SharedDOF float64 // its degrees of freedom; 0 or +Inf where it was not estimated from checks
	// Feed is for how many seconds material ran into the lot; 0 where that was not timed for all of
	// it.
	Feed float64
	// Setting numbers the machine, and its stretches between set rows, that blew it: feed, and the
	// order of filling, are comparable within one.
	Setting int

	U   float64 // kg/m³: combined standard uncertainty
	DOF float64 // effective degrees of freedom (Welch–Satterthwaite), not rounded; +Inf where nothing was estimated

	sizes *Sizes // of its bays together: the one bay's own, or a sum
}

// Term is the sensitivity of a lot's density to one reading of the job's counter.
type Term struct {
	Reading int     // number of the reading in the job's counter
	Coef    float64 // kg/m³ per bag
	U       float64 // bags: standard uncertainty of that reading; 0 for one known to be exact
}

// Share is one input's share in a variance, from 0 to 1.
type Share struct {
	Input string  // a setting-like name: width, depth, length, bulge, bags, bag_weight, weight, ditto
	Share float64 // of the variance, 0 to 1
}

// formLots makes a lot of every filled bay of section s, one of the bays that share a count, in fill
// order, where a shared count stands at its first bay. It sets Lots and LotOf. A bay that was sized
// before it was filled may stand elsewhere in the log.
func (m *Measured) formLots(job *model.Job, s int) {
	sec := &m.Sections[s]
	filled := slices.Grow(m.filled[:0], len(sec.Bays))
	for _, i := range sec.Bays {
		m.LotOf[i] = -1
		if b := job.Bays[i]; b.Fill != nil && !b.Struck {
			filled = append(filled, i)
		}
	}
	slices.SortStableFunc(filled, func(i, k int32) int { return cmp.Compare(job.Bays[i].Order, job.Bays[k].Order) })
	sec.Lots, m.filled = slices.Grow(sec.Lots[:0], len(filled)), filled
	var shared map[*model.Bay]int32 // bays whose count a lot has already
	for _, i := range filled {
		b := job.Bays[i]
		k, joins := shared[b]
		if joins {
			l := &sec.Lots[k]
			var sum Sizes
			sum.join(l.sizes)
			sum.join(&m.Sizes[i])
			l.Bays, l.sizes = append(l.Bays, b), &sum
		} else {
			k = int32(len(sec.Lots))
			sec.Lots = append(sec.Lots, Lot{Bays: job.Bays[i : i+1 : i+1], sizes: &m.Sizes[i]})
			for _, other := range b.SharedWith {
				if shared == nil {
					shared = map[*model.Bay]int32{}
				}
				shared[other] = k
			}
		}
		m.LotOf[i] = k
	}
	sec.timeOwn()
}

// stretch is a run of lots of a section that one machine blew between two of its `set` rows.
type stretch struct {
	machine  string // folded
	run      int
	from, to int     // of the lots, to not included
	feed     float64 // s: for how long material ran into the first of them, if that is all its own; 0 where not all was timed
	shared   bool    // the last one shares its time with the next bay of the machine
}

// timeOwn finds the section's stretches, and for how many seconds material ran into each lot but
// the first of a stretch. A time that a bay shares with the next one belongs to both; where the two
// are not one lot, it is nobody's.
func (sec *Section) timeOwn() {
	sec.stretches = sec.stretches[:0]
	var before *model.Bay
	for k := range sec.Lots {
		l := &sec.Lots[k]
		first := l.Bays[0]
		sum, whole, shared := 0.0, true, false
		for i, b := range l.Bays {
			feed, said := feedOf(b)
			last := i == len(l.Bays)-1
			sum, whole, shared = sum+feed.Seconds, whole && said && !(feed.Shared && last), feed.Shared
		}
		if !whole {
			sum = 0
		}
		if before == nil || first.Machine != before.Machine || first.Run != before.Run {
			sec.stretches = append(sec.stretches, stretch{machine: model.Fold(first.Machine), run: first.Run, from: k, feed: sum})
		} else if !sec.stretches[len(sec.stretches)-1].shared {
			l.Feed = sum
		}
		last := &sec.stretches[len(sec.stretches)-1]
		last.to, last.shared, before = k+1, shared, first
	}
}

// Blew tells whether a machine, by its folded name, blew a lot of the section after so many of its
// `set` rows.
func (sec *Section) Blew(machine string, run int) bool {
	return slices.ContainsFunc(sec.stretches, func(st stretch) bool { return st.machine == machine && st.run == run })
}

// timeLots numbers the machine settings of the job, one for every machine and stretch between its
// `set` rows, and fills in for how long material ran into the first lot of each stretch: where the
// machine's bay before shares its time, it is nobody's. A section in which that changed is anew.
func (m *Measured) timeLots() {
	type setting struct {
		machine string
		run     int
	}
	numbers, open := map[setting]int{}, map[string]bool{} // open: the machine's bay before shares its time
	for s := range m.Sections {
		sec := &m.Sections[s]
		for i := range sec.stretches {
			st := &sec.stretches[i]
			at := setting{st.machine, st.run}
			n, known := numbers[at]
			if !known {
				n = len(numbers)
				numbers[at] = n
			}
			feed := st.feed
			if open[st.machine] {
				feed = 0
			}
			open[st.machine] = st.shared
			if first := &sec.Lots[st.from]; first.Setting != n || first.Feed != feed {
				first.Feed, sec.Anew = feed, true
				for k := st.from; k < st.to; k++ {
					sec.Lots[k].Setting = n
				}
			}
		}
	}
}

// feedOf returns for how long material ran into a bay: what the last row said of its fill, and the
// time of each top-up. said is false where some of it was not timed, or came out again.
func feedOf(b *model.Bay) (feed model.Feed, said bool) {
	tops, all := 0.0, true
	for _, e := range b.Rows {
		switch timed := e.Feed != (model.Feed{}); {
		case b.Dead[e] != "" || e.TopsUpNothing():
		case e.Kind == model.EntryTopup:
			tops, all = tops+e.Feed.Seconds, all && e.Feed.Seconds > 0
		case e.Kind == model.EntryLost:
			all = false
		case timed:
			feed = e.Feed
		}
	}
	said = all && feed != (model.Feed{})
	feed.Seconds += tops
	return feed, said
}

// stalled tells whether every bay of the lot was said to be blown until the flow stopped.
func (l *Lot) stalled() bool {
	return !slices.ContainsFunc(l.Bays, func(b *model.Bay) bool { return !b.Stalled() })
}

// ProbAtLeast returns P(density ≥ target) by the lot's measurement alone, target in kg/m³:
// Student's t for its degrees of freedom (stat.ProbAtLeast). A count that may fall short by up to a
// step is taken in the middle of that, the step as one more error (rectangular, JCGM 100, 4.3.7).
// NaN where the lot has no density.
func (l *Lot) ProbAtLeast(target float64) float64 {
	return stat.ProbAtLeast(l.Density-l.OneSided/2, math.Hypot(l.U, l.OneSided/sqrt12), l.DOF, target)
}

// Unlike names the dimensions that a bay of the lot took over from a bay of another kind than the
// rest of its section; nil for none.
func (l *Lot) Unlike() (dims []string) {
	if l.sizes.ditto == nil {
		return nil
	}
	for d, unlike := range l.sizes.ditto.unlike {
		if unlike {
			dims = append(dims, Dim(d).String())
		}
	}
	return dims
}

// Tape returns, with its sign, what the half-widths of a dimension's tape readings bring to the
// density, kg/m³: hook, angle and habit, one error for all readings of that dimension in the lot. A
// pooled figure adds these before it squares. All of it is in Own; of the depth's square a quarter
// is not, for which Shared stands.
func (l *Lot) Tape(d Dim) float64 { return -(l.Density / l.sizes.Volume) * l.sizes.tape[d] }

// Taken returns the part of Own, kg/m³, that sizes of a dimension taken over from the bay above
// bring.
func (l *Lot) Taken(d Dim) float64 {
	if l.sizes.ditto == nil {
		return 0
	}
	return l.sizes.ditto.u[d]
}

// join adds the sizes of another bay of the same lot: sums of volumes and of sensitivities. What
// the tape's readings share they share across the bays too.
func (z *Sizes) join(o *Sizes) {
	z.Volume += o.Volume
	z.depth += o.depth
	for d := range Dims {
		z.tape[d] += o.tape[d]
		z.rand[d] += o.rand[d]
	}
	if o.ditto == nil {
		return
	}
	t := z.dittos()
	for d := range Dims {
		t.sum[d] += o.ditto.sum[d]
		t.squares[d] += o.ditto.squares[d]
		t.unlike[d] = t.unlike[d] || o.ditto.unlike[d]
	}
}
