// Weighed rows that were copied and changed a little, or put into another order.
//
// Neither leaves a run that stands twice cell for cell. Both are looked for among weighed bays
// alone: what a count in steps tells is too little to be changed and known again.
//
// Changed a little: a run of bays whose sizes are those of another place, row by row, and whose
// weights differ by no more than mostChanged. Two honest weights w of one size differ by N(0,
// 2(s·w)²), so that a run has the chance
//
//	p ≤ pairs of places with such sizes · Π P(|difference| ≤ mostChanged),  P = erf(mostChanged/(2·s·w))
//
// It is found by a window of three rows or more whose weights fall into the same buckets, and
// followed as far as it goes.
//
// In another order: two jobs whose rows agree cell for cell more often than jobs with such sizes
// do. Rows are sorted by their cells first, so that a copy stands side by side again, and found by
// windows of two rows or more. Of a bays of one size in one job and b in the other, a·b·P(same
// weight) pairs agree by chance; summed over all sizes that is Λ, and
//
//	p ≤ pairs of jobs · P(Poisson(Λ) ≥ rows that agree)
//
// The spread s is that of the two jobs' own bays, by the median, and never more than the prior's
// median. Derived here.

package plausible

import (
	"cmp"
	"math"
	"slices"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/crew"
	"bayproof/verify/stat"
)

const (
	mostChanged  = 0.25 * model.Pound // by how much a copied weight is changed: 0.2 lb and a scale's tenth
	bucket       = 0.5 * model.Pound  // of weights: changed ones stay in theirs four times in five
	mostSame     = 24                 // places of one window that are set against each other
	mostPairs    = 4000               // pairs of jobs that are set against each other in full
	leastCopied  = 4                  // rows from which on a run is worth a word
	leastSpread  = 0.004              // relative, below which a job's own spread is not believed
	weighedLimit = 512                // weighed rows that are kept of a job
)

// weighed is a weighed bay whose sizes were measured.
type weighed struct {
	sizes  uint32  // hash
	line   int32   // in the log
	mass   float32 // kg
	volume float32 // m³
}

// weighedRows returns the weighed bays of a job in the log's order, weighedLimit at most, and the
// relative spread of their densities: 1.4826 times the median of |ln(ρ/median ρ)|, from leastSpread
// to the prior's median. None where there are fewer than leastCopied.
func weighedRows(f *verify.Findings) (rows []weighed, spread float64) {
	var log []float64
	var cells [mostCells]byte
	for i := range f.Bays {
		b := &f.Bays[i]
		if b.Bay.Fill == nil || !b.Sized || len(b.Bay.Pieces) == 0 || len(rows) == weighedLimit {
			continue
		}
		if m := &b.Bay.Fill.Material; m.Kind != model.MaterialWeight || m.Shared || !(m.Mass > 0) || !(b.Volume > 0) {
			continue
		}
		sizes, _ := sizesOf(b, cells[:0])
		m := b.Bay.Fill.Material.Mass
		rows = append(rows, weighed{sizes, int32(b.Bay.Fill.Src.Line), float32(m), float32(b.Volume)})
		log = append(log, math.Log(m/b.Volume))
	}
	if len(rows) < leastCopied {
		return nil, 0
	}
	slices.Sort(log)
	middle := log[len(log)/2]
	for i := range log {
		log[i] = math.Abs(log[i] - middle)
	}
	slices.Sort(log)
	return rows, math.Max(leastSpread, math.Min(crew.SpreadMedian, 1.4826*log[len(log)/2]))
}

// copiedNear is a run or a set of weighed rows that another job has too, or the job itself in
// another place.
type copiedNear struct {
	job, other      int     // places of the jobs, the later one first
	from, otherFrom int32   // lines
	rows            int     // that are alike
	p               float64 // bound on the chance of that among all jobs
}

// nearTable holds the weighed rows of all jobs.
type nearTable struct {
	rows    [][]weighed
	spreads []float64 // by job, relative
	total   int       // rows of all jobs
	counted int       // runs whose places were counted
}

// add takes over a job's rows.
func (t *nearTable) add(rows []weighed, spread float64) {
	t.rows, t.spreads, t.total = append(t.rows, rows), append(t.spreads, spread), t.total+len(rows)
}

// length returns how many rows a window takes to be rare among all rows: least of them, one more
// beyond a thousand rows, and another for every thirtyfold.
func (t *nearTable) length(least int) int {
	n := least
	for rows := 1000; rows < t.total; rows *= 30 {
		n++
	}
	return n
}

// windows cuts windows of n rows from every job, hash being that of one row, and hands places of
// one hash to meet, the earlier first; of one hash mostSame places at most.
func (t *nearTable) windows(rows [][]weighed, n int, hash func(w *weighed) uint64, meet func(a, b place)) {
	list := make([]window, 0, t.total)
	for j, job := range rows {
		for i := 0; i+n <= len(job); i++ {
			sum := uint64(0)
			for k := range job[i : i+n] {
				sum = sum*markFactor + hash(&job[i+k])
			}
			list = append(list, window{sum, place{int32(j), int32(i)}})
		}
	}
	eachAlike(list, func(alike []window) {
		alike = alike[:min(len(alike), mostSame)]
		for a := range alike {
			for b := a + 1; b < len(alike); b++ {
				meet(alike[a].at, alike[b].at)
			}
		}
	})
}

// changed returns, by job, the least likely run that an earlier place has too with other weights; p
// is NaN for a job without weighed rows and 1 where there is none. A run whose weights are all the
// same is another finding (copies.go).
func (t *nearTable) changed() []copiedNear {
	best := t.nothing()
	t.windows(t.rows, t.length(3), func(w *weighed) uint64 {
		return uint64(w.sizes)<<32 ^ uint64(math.Floor(float64(w.mass)/bucket))*markFactor
	}, func(a, b place) {
		ra, rb := t.rows[a.job], t.rows[b.job]
		like := func(i, k int32) bool {
			return i >= 0 && k >= 0 && int(i) < len(ra) && int(k) < len(rb) && ra[i].sizes == rb[k].sizes &&
				math.Abs(float64(ra[i].mass-rb[k].mass)) <= mostChanged
		}
		i, k := a.row, b.row
		for like(i-1, k-1) {
			i, k = i-1, k-1
		}
		from, otherFrom, n, same, log := k, i, 0, 0, 0.0
		s := math.Min(t.spreads[a.job], t.spreads[b.job])
		for like(i, k) && !(a.job == b.job && i == from) {
			if ra[i].mass == rb[k].mass {
				same++
			}
			log += math.Log(math.Erf(mostChanged / (2 * s * float64(rb[k].mass)))) // P(|d| ≤ c), d ~ N(0, 2(sw)²)
			i, k, n = i+1, k+1, n+1
		}
		if n < leastCopied || same == n || math.Exp(log) >= best[b.job].p { // cell for cell is another finding
			return
		}
		p := math.Min(1, t.alike(rb[from:from+int32(n)])*math.Exp(log))
		if p >= best[b.job].p {
			return
		}
		best[b.job] = copiedNear{int(b.job), int(a.job), rb[from].line, ra[otherFrom].line, n, p}
	})
	return best
}

// alike returns how many pairs of places there are whose sizes are those of a run, row by row,
// times the rows at which it may begin. Where very many runs are looked at (mostCounted), all
// places count.
func (t *nearTable) alike(run []weighed) float64 {
	if t.counted++; t.counted > mostCounted {
		return float64(t.total) * float64(t.total) / 2
	}
	places := 0.0
	for _, job := range t.rows {
		places += float64(alikeRuns(job, run, func(a, b *weighed) bool { return a.sizes == b.sizes }))
	}
	return math.Max(1, places*(places-1)/2) * float64(len(run))
}

// shuffled returns, by job, the earlier job that shares more of its weighed rows than such sizes
// let expect, p multiplied by the number of pairs of jobs.
func (t *nearTable) shuffled() []copiedNear {
	best := t.nothing()
	sorted := make([][]weighed, len(t.rows))
	for j, rows := range t.rows {
		sorted[j] = slices.Clone(rows)
		slices.SortFunc(sorted[j], func(a, b weighed) int { return cmp.Or(cmp.Compare(a.sizes, b.sizes), cmp.Compare(a.mass, b.mass)) })
	}
	jobs := 0.0
	for _, rows := range t.rows {
		if len(rows) > 0 {
			jobs++
		}
	}
	met := map[place]bool{}
	t.windows(sorted, t.length(2), func(w *weighed) uint64 {
		return uint64(w.sizes)<<32 ^ uint64(math.Float32bits(w.mass))*markFactor
	}, func(a, b place) {
		pair := place{a.job, b.job}
		if a.job == b.job || met[pair] || len(met) >= mostPairs {
			return
		}
		met[pair] = true
		c := shared(sorted[a.job], sorted[b.job], math.Min(t.spreads[a.job], t.spreads[b.job]))
		if c.p *= jobs * (jobs - 1) / 2; c.rows >= leastCopied && c.p < best[b.job].p {
			c.job, c.other = int(b.job), int(a.job)
			best[b.job] = c
		}
	})
	return best
}

// shared returns the rows that two jobs, sorted by their cells, have in common, each once, and p =
// P(Poisson(Λ) ≥ so many) for one pair of jobs. spread is the relative spread of their densities.
func shared(a, b []weighed, spread float64) copiedNear {
	var out copiedNear
	expected := 0.0
	for i, k := 0, 0; i < len(a) && k < len(b); {
		if c := cmp.Compare(a[i].sizes, b[k].sizes); c != 0 {
			if c < 0 {
				i++
			} else {
				k++
			}
			continue
		}
		iTo, kTo := i, k
		for iTo < len(a) && a[iTo].sizes == a[i].sizes {
			iTo++
		}
		for kTo < len(b) && b[kTo].sizes == b[k].sizes {
			kTo++
		}
		m := float64(a[i].mass)
		expected += float64(iTo-i) * float64(kTo-k) * sameStep(scaleStep(m, 1e-4), spread*m)
		for i < iTo && k < kTo {
			switch c := cmp.Compare(a[i].mass, b[k].mass); {
			case c < 0:
				i++
			case c > 0:
				k++
			default:
				if out.rows == 0 {
					out.from, out.otherFrom = b[k].line, a[i].line
				}
				out.rows, i, k = out.rows+1, i+1, k+1
			}
		}
		i, k = iTo, kTo
	}
	out.p = 1
	if expected > 0 {
		out.p = stat.PoissonTail(out.rows, expected)
	}
	return out
}

// nothing is the answer, by job, where nothing is found.
func (t *nearTable) nothing() []copiedNear {
	out := make([]copiedNear, len(t.rows))
	for j := range out {
		out[j] = copiedNear{job: j, other: -1, p: 1}
		if len(t.rows[j]) == 0 {
			out[j].p = math.NaN()
		}
	}
	return out
}
