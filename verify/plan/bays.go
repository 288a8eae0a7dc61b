// The bays that a plan is for: those of the log that have a size, then typical ones as the sections
// table counts them, with volumes, their uncertainties, and names that count on.

package plan

import (
	"math"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/verify/measure"
)

// sectionBays lists the bays of a section: those of the log that have a size, then as many typical
// ones as the table counts beyond the log; nil where there are neither.
func sectionBays(job *model.Job, s *model.Section) []Bay {
	// A bay of the log without a size cannot be planned, and one that is left on purpose need not
	// be; their names are taken all the same, so that none is given twice and the table's bays are
	// not counted twice.
	var bays []Bay
	var names []string
	for _, b := range job.Left {
		if b.Section == s {
			names = append(names, b.Name)
		}
	}
	for _, b := range job.Bays {
		if b.Section != s || b.Struck {
			continue
		}
		names = append(names, b.Name)
		if v := b.Volume(); v > 0 {
			u := uVolume(b.Pieces, &s.Settings)
			bays = append(bays, Bay{Section: s, Bay: b, Name: b.Name, Filled: b.Fill != nil, Volume: v, UVolume: u, uTape: u, Length: length(b.Pieces[0])})
		}
	}
	typical := s.Typical
	v := typical.Volume()
	if !(v > 0) {
		return bays
	}
	u, uTape := uVolume([]*model.Piece{asDitto(typical)}, &s.Settings), uVolume([]*model.Piece{&typical}, &s.Settings)
	for n := len(names); n < s.Expected; n++ {
		name := NextName(names)
		names = append(names, name)
		bays = append(bays, Bay{Section: s, Name: name, Typical: true, Volume: v, UVolume: u, uTape: uTape, Length: length(&typical)})
	}
	return bays
}

// length returns the mean of a piece's two long sides in meters, by which an empty share is turned
// into a length.
func length(p *model.Piece) float64 {
	d := p.Dims()
	return (d.Length + d.Length2) / 2
}

// asDitto returns the piece with every size marked as not measured in the bay at hand: a typical
// bay's sizes are known as if taken over from a bay above.
func asDitto(p model.Piece) *model.Piece {
	for _, r := range p.Readings() {
		if r.State == model.Measured {
			r.State = model.Ditto
		}
	}
	return &p
}

// uVolume returns the standard uncertainty of the volume in m³ from the half-widths aᵢ of the sizes
// alone, each rectangular, u = a/√3 (JCGM 100 4.3.7), the same dimension of all pieces fully
// correlated:
//
//	u² = Σ over width, depth, length of (Σ over pieces of ∂V/∂xᵢ·aᵢ)² / 3
//
// Repeatability is not in it.
func uVolume(pieces []*model.Piece, set *model.Settings) float64 {
	var width, depth, long float64
	for _, p := range pieces {
		_, g := p.Dims().Gradient()
		if p.Less {
			for k := range g {
				g[k] = -g[k]
			}
		}
		w, d, l := set.WidthWithin, set.DepthWithin, set.LengthWithin
		width += g[model.SizeWidth]*within(p.Width, w, measure.DittoWidth) + g[model.SizeWidth2]*within(p.Width2, w, measure.DittoWidth)
		depth += g[model.SizeDepth]*within(p.Depth, d, measure.DittoWidth) + g[model.SizeDepth2]*within(p.Depth2, d, measure.DittoWidth)
		long += g[model.SizeLength]*within(p.Length, l, measure.DittoLength) + g[model.SizeLength2]*within(p.Length2, l, measure.DittoLength)
	}
	return math.Sqrt((width*width + depth*depth + long*long) / 3)
}

// within returns the half-width in meters of one size: the cell's own, else the setting's; at least
// ditto where the size was taken over.
func within(r model.Reading, setting, ditto float64) float64 {
	a := setting
	if !math.IsNaN(r.Within) && r.Within > 0 {
		a = r.Within
	}
	if r.State == model.Ditto {
		a = math.Max(a, ditto)
	}
	return a
}

// NextName counts on from the last name: b7 → b8, 9 → 10, N-03 → N-04, "hip a" → "hip b", b7a → b8.
// A name that is taken is passed over. With no name yet it is b1; a name that cannot be counted on
// gets a 2 behind it.
func NextName(names []string) string {
	if len(names) == 0 {
		return "b1"
	}
	taken := make(map[string]bool, len(names))
	for _, n := range names {
		taken[strings.ToLower(n)] = true
	}
	next := names[len(names)-1]
	for {
		next = step(next)
		if !taken[strings.ToLower(next)] {
			return next
		}
	}
}

// step returns the name that follows: the number or the letter at its end counts on, zeros before
// it are kept, and a letter behind a number, as of a bay that was split, falls away.
func step(name string) string {
	if n := len(name); n > 1 && isLetter(name[n-1]) && name[n-2] >= '0' && name[n-2] <= '9' {
		name = name[:n-1]
	}
	head := strings.TrimRight(name, "0123456789")
	digits := name[len(head):]
	if digits == "" {
		if n := len(name); n > 0 && countsByLetter(name) {
			return name[:n-1] + string(name[n-1]+1)
		}
		return name + "2"
	}
	n, err := strconv.ParseUint(digits, 10, 63)
	if err != nil {
		return name + "-2"
	}
	next := strconv.FormatUint(n+1, 10)
	if pad := len(digits) - len(next); pad > 0 && digits[0] == '0' {
		next = strings.Repeat("0", pad) + next
	}
	return head + next
}

// countsByLetter tells whether the name ends in a single letter that has a successor: "a", "hip c".
func countsByLetter(name string) bool {
	last := name[len(name)-1]
	if !isLetter(last) || last == 'z' || last == 'Z' {
		return false
	}
	return len(name) == 1 || name[len(name)-2] == ' ' || name[len(name)-2] == '-'
}

// isLetter tells whether a byte is a letter of the Latin alphabet; names in other scripts get a
// number behind them.
func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }
