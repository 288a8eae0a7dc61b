package measure

import (
	"math"

	"bayproof/model"
	"bayproof/verify/stat"
)

// FewestDOF is the least number of degrees of freedom with which a section's own spread is used: with fewer the job's
// readings are pooled. It is also what a spread between bays needs before it replaces the stated limits of a ditto.
const FewestDOF = 5

// Limits of a size taken over from the bay above, until the spread between bays is known (rectangular, ±).
const (
	DittoWidth  = model.Inch / 4 // m; also depth and bulge
	DittoLength = model.Inch     // m
)

// Spread is what a section's repeated readings and its like bays say about one dimension.
type Spread struct {
	Reading    float64 // m: s of one reading, pooled; 0 where it is not known
	ReadingDOF float64 // Σ(n − 1) of the pool used; 0 where nothing was read twice: unknown, not zero
	FromJob    bool    // the pool is the whole job's, as the section's own is too small
	Ditto      float64 // m: standard uncertainty of taking the neighbour's value instead of measuring
	DittoDOF   float64
	Bays       int // bays that the spread between bays rests on
}

// spreads pools the repeated readings of every section and the spread between its bays.
func (m *Measured) spreads(job *model.Job) {
	m.memory.own = Zeroed(m.memory.own, len(job.Sections))
	own := m.memory.own
	var all [Dims]stat.Pool
	repeated := false
	for i, b := range job.Bays {
		if b.Struck {
			continue
		}
		for k := range b.Pieces {
			repeated = poolPiece(&b.Pieces[k], &own[m.sectionOf[i]]) || repeated
		}
	}
	m.Spreads = Zeroed(m.Spreads, len(job.Sections))
	if repeated {
		for s := range own {
			for d := range Dims {
				all[d].Join(own[s][d])
			}
		}
		for s := range own {
			for d := range Dims {
				m.Spreads[s][d] = pooled(own[s][d], all[d])
			}
		}
	}
}

// pooled chooses between the section's pool and the job's.
func pooled(section, job stat.Pool) Spread {
	p, fromJob := section, false
	if section.DOF < FewestDOF && job.DOF > section.DOF {
		p, fromJob = job, true
	}
	return Spread{Reading: math.Sqrt(p.Var()), ReadingDOF: p.DOF, FromJob: fromJob}
}

// poolPiece adds a piece's repeated readings to the pools of their dimensions and tells whether there were any.
func poolPiece(p *model.Piece, into *[Dims]stat.Pool) bool {
	found := false
	for i := range cells {
		r := cell(p, i)
		if len(r.Values) > 1 && r.State == model.Measured {
			into[dimOf[i]].Add(r.Values)
			found = true
		}
	}
	return found
}

// dittos fills in what taking over a neighbour's size costs in the sections where that was done.
//
// A bay that takes over its neighbour's size x is off by the difference of two bays, whose variance is 2σ² where σ is
// the spread between bays: copying one bay carries √2 of it (their mean would carry √(1 + 1/n)). The spread of
// the measured values holds the random part of a reading besides; the tape's half-width is common to all and is
// added apart. With fewer than 5 degrees of freedom the stated limits hold, or the spread seen where that is wider.
func dittos(job *model.Job, sectionOf []int32, need []bool, out [][Dims]Spread) {
	for s := range out {
		if !need[s] {
			continue
		}
		var values [Dims][]float64
		for i, b := range job.Bays {
			if int(sectionOf[i]) == s && !b.Struck && len(b.Pieces) > 0 {
				ownSizes(&b.Pieces[0], &values)
			}
		}
		for d := range Dims {
			ditto(values[d], dittoLimit(d), &out[s][d])
		}
	}
}

// ownSizes gathers the sizes that were measured in a bay itself.
func ownSizes(p *model.Piece, values *[Dims][]float64) {
	for _, i := range [...]int{cellWidth, cellDepth, cellLength, cellBulge} {
		if r := cell(p, i); r.State == model.Measured {
			values[dimOf[i]] = append(values[dimOf[i]], r.Mean())
		}
	}
}

// ditto turns the values of the measured bays into the standard uncertainty of a value taken over.
func ditto(values []float64, limit float64, out *Spread) {
	_, sd := stat.MeanSD(values)
	stated := math.Hypot(limit/sqrt3, out.Reading)
	seen, dof := math.Sqrt2*sd, float64(len(values)-1)
	out.Bays = len(values)
	if dof >= FewestDOF || seen > stated {
		out.Ditto, out.DittoDOF = seen, dof
		return
	}
	out.Ditto, out.DittoDOF = stated, math.Inf(1)
}

func dittoLimit(d Dim) float64 {
	if d == Length {
		return DittoLength
	}
	return DittoWidth
}
