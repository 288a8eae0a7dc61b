package audit

import (
	"math"
	"slices"

	"bayproof/model"
	"bayproof/verify"
)

// Sizes on the nominal grid are the builder's, not the tape's: only what is read off it can differ between twin houses.
const (
	localSize = 0.5 * model.Inch  // readings nearer than that are taken for one nominal size
	tapeGrid  = 0.25 * model.Inch // a length on this grid tells nothing
)

// mostCompared bounds the bays that a reading is compared with.
const mostCompared = 64

// readSizes are the readings of a job's first bays, alike ones together: by dimension and section.
type readSizes [7][]readSize

// readSize is one reading as some bays of a section have it.
type readSize struct {
	section *model.Section
	values  []float64
	mean    float64
	bays    int
	bits    float64 // as of rarity; NaN until it is asked for
}

// read gathers the readings that others are compared with.
func (s *readSizes) read(all []*verify.Bay) {
	for d := range s {
		s[d] = s[d][:0]
	}
	for _, b := range all[:min(len(all), mostCompared)] {
		for d, r := range b.Bay.Pieces[0].Readings() {
			if len(r.Values) == 0 || along(d) {
				continue
			}
			if known := s.find(d, r, b.Bay.Section); known != nil {
				known.bays++
			} else {
				s[d] = append(s[d], readSize{b.Bay.Section, r.Values, r.Mean(), 1, math.NaN()})
			}
		}
	}
}

// along tells whether a dimension of a piece is length or length2.
func along(d int) bool { return d == 4 || d == 5 }

func (s *readSizes) find(d int, r *model.Reading, in *model.Section) *readSize {
	for i := range s[d] {
		if k := &s[d][i]; k.section == in && slices.Equal(k.values, r.Values) {
			return k
		}
	}
	return nil
}

// bits is what a bay's tape readings tell: a length one bit where it was read finer than quarter inches, width and depth as
// much as they are rare among the section's bays of the same nominal size.
func (s *readSizes) bits(b *verify.Bay) float64 {
	bits := 0.0
	for d, r := range b.Bay.Pieces[0].Readings() {
		switch {
		case r.State != model.Measured:
		case !along(d):
			bits += s.rarity(d, r, b.Bay.Section)
		default:
			if n := r.Values[0] / tapeGrid; math.Abs(n-math.Round(n)) > 1e-6 {
				bits++
			}
		}
	}
	return bits
}

// rarity is −log₂ of the share of the section's bays of one nominal size with the same readings of a dimension.
func (s *readSizes) rarity(d int, r *model.Reading, in *model.Section) float64 {
	same := s.find(d, r, in)
	if same != nil && !math.IsNaN(same.bits) {
		return same.bits
	}
	of, n, mean := 1, 0, r.Mean()
	for i := range s[d] {
		if k := &s[d][i]; k.section == in && !(math.Abs(k.mean-mean) > localSize+1e-9) {
			n += k.bays
		}
	}
	if same != nil {
		of = same.bays
	}
	bits := bitsOf(float64(of) / float64(max(n, 1)))
	if same != nil {
		same.bits = bits
	}
	return bits
}
