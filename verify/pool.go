// Sums over sections and the job, and the bags that were emptied against those in the log.
//
// A total, the empties counted, is the only check of the counts themselves: no comparison of bays
// shows that all of them were read high. Observed are the bags that the log says were used, with
// the variance of their readings, and the total, known to ± TotalWithin by its part bags. Their
// difference in standard deviations is set against the limit that honest logs exceed once in a
// hundred (crew.TotalsLimit). Where the log holds more, no count of that section, or of the job,
// can be relied on; where it agrees, the counts are confirmed. Where the total holds more, bags are
// missing from the log: they went into a bay that nobody logged, or elsewhere, and say nothing for
// the bays that are in it.

package verify

import (
	"math"

	"bayproof/model"
	"bayproof/verify/crew"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
)

// pool fills in the sections: what they count, what is missing, and over filled bays the sums and
// the pooled density with its covariances.
func (c *check) pool() {
	notFilled := c.count()
	for s := range c.found.Sections {
		out, sec := &c.found.Sections[s], c.job.Sections[s]
		out.Section, out.Expected, out.Covers = sec, sec.Expected, sec.Covers
		if out.Missing = max(out.Expected-out.Bays-notFilled[s]-leftIn(c.job, sec), 0); out.Missing > 0 {
			out.raise(NotInLog, num("bays", float64(out.Missing), Number))
		}
		if notFilled[s] > 0 {
			out.raise(NotFilledBays, num("bays", float64(notFilled[s]), Number))
		}
		if out.Bays == 0 {
			n := math.NaN()
			out.Density, out.U, out.ProbAtTarget, out.Lo, out.Hi, out.Mean, out.SD, out.LowerTolerance = n, n, n, n, n, n, n, n
			continue
		}
		c.poolMass(out, &c.sections[s].counted.all)
	}
}

// raise opens a reason of the section.
func (s *Section) raise(code Code, data ...Datum) {
	s.Reasons = append(s.Reasons, Reason{Code: code, Data: data})
}

// count goes through the bays once for what the sections count: filled bays, those with all sizes
// measured, the face in m². It returns by section how many are in the log and not filled; a bay
// that was withdrawn counts nowhere.
func (c *check) count() (notFilled []int) {
	notFilled = make([]int, len(c.found.Sections))
	for i := range c.found.Bays {
		b, s := &c.found.Bays[i], c.measured.SectionOf(i)
		if b.State == Struck {
			continue
		}
		out := &c.found.Sections[s]
		if b.Sized {
			out.Measured++
		}
		if area := c.measured.Sizes[i].Area; !math.IsNaN(area) {
			out.Area += area
		}
		if b.State == NotFilled {
			notFilled[s]++
		} else {
			out.Bays++
		}
	}
	return notFilled
}

// poolMass fills in the sums and the pooled density Σm/ΣV of a section: a ratio of sums, in which
// the error of the bag weight stays whole and a reading between two bays drops out (measure.Pool).
// The mass required brings all of the volume to the target. A section without a bag counted (all
// weighed) is told in bags all the same, by the bag weight. A pooled figure never upgrades a bay.
func (c *check) poolMass(out *Section, all *measure.Lot) {
	// MassRequired brings all of the section's volume to the target. A section without a bag
	// counted (all weighed) is told in bags all the same, by the bag weight.
	target, bag := out.Section.Settings.Target, c.measured.Bag.Mass
	out.Volume, out.Mass = all.Volume, all.Mass
	out.MassRequired = target * all.Volume
	out.Bags, out.BagsRequired = all.Bags, out.MassRequired/bag
	if math.IsNaN(out.Bags) {
		out.Bags = all.Mass / bag
	}
	out.Density, out.U = all.Density, all.U
	half := c.factor.at(all.DOF) * all.U
	out.Lo, out.Hi = all.Density-half, all.Density+half
	out.ProbAtTarget = stat.ProbAtLeast(all.Density, all.U, all.DOF, target)
}

// leftIn counts the bays of a section that are not filled on purpose.
func leftIn(job *model.Job, s *model.Section) (n int) {
	for _, b := range job.Left {
		if b.Section == s {
			n++
		}
	}
	return n
}

// total counts the job's bays by verdict and sums its sections. A bay that is not filled has no
// verdict that counts; one that was closed against its verdict counts whatever its state is now.
func (c *check) total() {
	t := &c.found.Totals
	t.Left = len(c.job.Left)
	for i := range c.found.Bays {
		b := &c.found.Bays[i]
		switch b.State {
		case Struck:
			continue
		case NotFilled:
			t.NotFilled++
		default:
			t.verdict(b)
		}
		if b.ClosedAgainst() {
			t.ClosedNotClose++
		}
		if b.IsDecided() {
			t.Decided++
		}
		t.Bays++
	}
	for s := range c.found.Sections {
		sec := &c.found.Sections[s]
		t.NotInLog += sec.Missing
		if sec.Bays > 0 {
			t.Volume, t.Mass, t.MassRequired = t.Volume+sec.Volume, t.Mass+sec.Mass, t.MassRequired+sec.MassRequired
			t.Bags += sec.Bags
		}
	}
}

// verdict counts a filled bay.
func (t *Totals) verdict(b *Bay) {
	switch b.Verdict {
	case Close:
		t.Close++
		if b.Basis == Own {
			t.CloseOwn++
		} else {
			t.CloseCrew++
		}
	case Add:
		t.Add++
	case Measure:
		t.Measure++
	case Probe:
		t.Probe++
	}
}

// ClosedAgainst tells whether the bay was closed though not CLOSE: on the log as it stood at its
// last closing, or as it stands now where that was not worked out. It stays so whatever happens to
// the bay, unless it is withdrawn.
func (b *Bay) ClosedAgainst() bool {
	if b.State == Struck || len(b.Bay.Closed) == 0 {
		return false
	}
	if d := b.Bay.Decided; d != nil && d.Index < b.Bay.Closed[len(b.Bay.Closed)-1].Index {
		return false // a person did, by name and reason
	}
	if n := len(b.Closings); n > 0 {
		return b.Closings[n-1].Verdict != Close
	}
	return b.Verdict != Close
}

// counted is what the empties of a section say, and its lots pooled. The zero value is not found
// yet.
type counted struct {
	found    bool
	emptied  float64     // bags that went in by the empties; NaN where nobody counted
	all      measure.Lot // pooled; of a section without lots nothing
	compared comparison
}

// empties compares the empties counted, of every section and of the job, with the bags that the log
// says were used. It sets each section's pooled lot, and what contradicts its counts. Of a
// beginning of the log in which nothing was emptied yet there is nothing to compare.
func (c *check) empties() {
	t := &c.found.Totals
	t.DensityMost, t.UnaccountedBags, t.Elsewhere = math.NaN(), math.NaN(), c.elsewhere()
	if c.uncounted && len(c.truck) == 0 {
		for i := range c.sections {
			c.sections[i].out.Emptied = math.NaN()
		}
		t.Emptied = math.NaN()
		return
	}
	var used, usedVar, volume float64
	over, every := false, true // a total is more than the log holds; every section with a filled bay has one
	for i := range c.sections {
		s := &c.sections[i]
		if !s.counted.found {
			s.counted = c.countedOf(i)
		}
		x, all := &s.counted.compared, &s.counted.all
		if s.out.Emptied = s.counted.emptied; len(s.lots) == 0 {
			continue
		}
		used, usedVar, volume = used+all.Used, usedVar+all.UUsed*all.UUsed, volume+all.Volume
		t.counted(x)
		switch {
		case x.short:
			s.contradicted = x.data
			s.out.raise(TotalsShort, x.data...)
		case x.data != nil:
			over = true
			c.warning(TotalsOver, x.data...).Section = s.of.Name
		}
		every = every && !math.IsNaN(s.out.Emptied)
	}
	over = c.emptiesOfJob(used, usedVar, volume) || over
	// What agrees in one section says nothing for the others, and nothing where bags are missing
	// from the log.
	if t.Counts == Confirmed && (over || !every && math.IsNaN(t.Emptied)) {
		t.Counts = Unchecked
	}
}

// countedOf finds what the empties of section i say.
func (c *check) countedOf(i int) counted {
	s := &c.sections[i]
	out := counted{found: true, emptied: c.emptiedOf(i)}
	if len(s.lots) > 0 {
		out.all = c.measured.Pool(c.job, i)
		out.compared = c.compared(out.emptied, out.all.Used, out.all.UUsed*out.all.UUsed, out.all.Volume)
	}
	return out
}

// emptiesOfJob compares the empties of the job with the bags that its sections used, their variance
// in bags² and their volume in m³. It tells whether the total is more than the log holds.
func (c *check) emptiesOfJob(used, usedVar, volume float64) (over bool) {
	st, t := &c.job.Settings, &c.found.Totals
	if !c.uncounted {
		t.UnaccountedBags = st.BagsLoaded - st.BagsLeft - t.Elsewhere - used
	}
	t.Emptied = c.emptiedJob()
	x := c.compared(t.Emptied, used, usedVar, volume)
	c.jobTotal = x.total(t.Emptied)
	t.counted(&x)
	switch {
	case x.short:
		t.Reasons = append(t.Reasons, Reason{Code: TotalsShort, Data: x.data})
		for i := range c.sections {
			if c.sections[i].contradicted == nil {
				c.sections[i].contradicted = x.data
			}
		}
	case x.data != nil:
		c.warning(TotalsOver, x.data...)
		return true
	}
	return false
}

// comparison is a total of bags set against the bags that the log holds. The zero value is none:
// nobody counted.
type comparison struct {
	data   []Datum // the evidence that they do not agree; nil otherwise
	short  bool    // the log holds more than the total
	agrees bool
	most   float64 // kg/m³: where it is short, the mean density that the total allows at most
}

// counted notes what a comparison says about the job's counts.
func (t *Totals) counted(x *comparison) {
	switch {
	case x.short:
		if t.Counts = Contradicted; !(t.DensityMost < x.most) {
			t.DensityMost = x.most
		}
	case x.agrees && t.Counts == Unchecked:
		t.Counts = Confirmed
	}
}

// compared sets a total of bags against the bags that the log holds, whose readings have the
// variance usedVar in bags²:
//
//	z = (used − counted)/√(usedVar + TotalWithin²/3)
//
// Beyond the limit to either side they do not agree: short where the log holds more than the total,
// with the mean density in kg/m³ that the total then allows at most over volume m³, (counted +
// TotalWithin)·bag·(1 − spill)/volume. None where z is NaN: nobody counted.
func (c *check) compared(counted, used, usedVar, volume float64) comparison {
	z := (used - counted) / math.Sqrt(usedVar+TotalWithin*TotalWithin/3)
	if math.IsNaN(z) {
		return comparison{}
	}
	switch limit := crew.TotalsLimit(usedVar, TotalWithin); {
	case z > limit:
		most := (counted + TotalWithin) * c.measured.Bag.Mass * (1 - c.job.Settings.Spill) / volume
		return comparison{short: true, most: most,
			data: []Datum{num("counted", counted, Bags), num("logged", used, Bags), num("density_most", most, Density), num("z", z, Number)}}
	case z < -limit:
		return comparison{data: []Datum{num("counted", counted, Bags), num("logged", used, Bags), num("z", z, Number)}}
	}
	return comparison{agrees: true}
}

// emptiedOf returns how many bags went into a section by its empties: what its row in sections.csv
// says, else what its empties rows add up to; NaN where nobody counted.
func (c *check) emptiedOf(section int) float64 {
	s := c.job.Sections[section]
	if !c.uncounted && !math.IsNaN(s.BagsUsed) {
		return s.BagsUsed
	}
	if len(c.truck) == 0 { // nearly always
		return math.NaN()
	}
	var bays []*model.Bay
	for _, i := range c.measured.Sections[section].Bays {
		bays = append(bays, c.job.Bays[i])
	}
	return c.emptiesRows(s, bays)
}

// emptiedJob returns how many bags went into the job's bays: loaded less left, else what the
// empties rows without a section add up to where none has one, less what went elsewhere; NaN where
// nobody counted.
func (c *check) emptiedJob() float64 {
	st := &c.job.Settings
	if out := st.BagsLoaded - st.BagsLeft; !c.uncounted && !math.IsNaN(out) {
		return out - c.found.Totals.Elsewhere
	}
	for _, e := range c.truck {
		if e.Kind == model.EntryEmpties && e.Section != "" {
			return math.NaN()
		}
	}
	return c.emptiesRows(nil, c.job.Bays) - c.found.Totals.Elsewhere
}

// tally is what the empties rows of one machine add up to, and the last of them.
type tally struct {
	bags float64 // counted empty
	last int     // row of the log
}

// emptiesRows adds up the empties rows of a section, or those without one for nil, and the bags
// that the log says were blown into its bays, or all, after the last of them, which nobody counted
// yet: that part of the log is taken at its word. A recount replaces what its machine's rows before it said. NaN where
// there are none, or where nothing was blown before the last.
func (c *check) emptiesRows(s *model.Section, bays []*model.Bay) float64 {
	by := map[string]tally{}
	for _, e := range c.truck {
		if e.Kind != model.EntryEmpties || (s == nil) != (e.Section == "") || s != nil && model.Fold(e.Section) != model.Fold(s.Name) {
			continue
		}
		machine := model.Fold(e.Machine)
		t := by[machine]
		if model.Fold(e.Note) == "recount" {
			t.bags = 0
		}
		by[machine] = tally{t.bags + e.Material.Bags, e.Index}
	}
	if len(by) == 0 {
		return math.NaN()
	}
	sum, counted := 0.0, false
	for _, t := range by {
		sum += t.bags
	}
	for _, b := range bays {
		if b.Struck || b.Fill == nil {
			continue
		}
		for _, e := range b.Moves {
			if e.Kind == model.EntryLost { // what came out again left the truck all the same
				continue
			}
			if c.job.OrderDoubtful || countedAfter(by, b, e) {
				counted = true
			} else {
				sum += c.bagsIn(&e.Material)
			}
		}
	}
	if !counted {
		return math.NaN()
	}
	return sum
}

// countedAfter tells whether empties of the machine that blew a row's material were counted after
// it, or of all machines. An amend corrects what was blown when the bay was first filled.
func countedAfter(by map[string]tally, b *model.Bay, e *model.Entry) bool {
	at, machine := e.Index, e.Machine
	for _, r := range b.Rows {
		if e.Kind == model.EntryAmend && r.Kind == model.EntryFill {
			at = min(at, r.Index)
		}
		if machine == "" {
			machine = r.Machine
		}
	}
	all, known := by[""]
	own, ownKnown := by[model.Fold(machine)]
	return known && at < all.last || ownKnown && at < own.last
}

// elsewhere returns how many bags left the truck and went into no bay by the log's rows; a weight
// as its share of a bag, NaN where the bag weight is unknown.
func (c *check) elsewhere() (bags float64) {
	for _, e := range c.truck {
		if e.Kind == model.EntryElsewhere {
			bags += c.bagsIn(&e.Material)
		}
	}
	return bags
}

// bagsIn returns a row's material in bags; 0 of what shares the next bay's figure.
func (c *check) bagsIn(m *model.Material) float64 {
	bag := c.measured.Bag.Mass
	switch {
	case m.Shared:
		return 0
	case m.Kind == model.MaterialBags && m.Part != 0:
		return m.Bags + m.Part/bag
	case m.Kind == model.MaterialBags:
		return m.Bags
	case m.Kind == model.MaterialCounter:
		return m.Bags - m.Prev
	case m.Kind == model.MaterialWeight:
		return m.Mass / bag
	}
	return 0
}

// total returns what a total of bags by the empties says about the counts: its part bags leave it
// uncertain by TotalWithin to either side (rectangular, JCGM 100, 4.3.7). The zero value where nobody
// counted (NaN), and where it is more than the log can explain.
func (x *comparison) total(bags float64) crew.Total {
	if !x.agrees && !x.short {
		return crew.Total{}
	}
	return crew.Total{Bags: bags, U: TotalWithin / math.Sqrt(3)}
}
