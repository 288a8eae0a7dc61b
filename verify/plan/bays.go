package plan

import (
	"math"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/verify/measure"
)

// sectionBays lists the bays of a section: those of the log that have a size, then as many typical ones as the table
// counts beyond the log.
func sectionBays(job *model.Job, s *model.Section) []Bay {
	var bays []Bay
	var names []string
	for _, b := range job.Bays {
		if b.Section != s || b.Struck {
			continue
		}
		names = append(names, b.Name)
		if v := b.Volume(); v > 0 {
			u := uVolume(b.Pieces, &s.Settings)
			bays = append(bays, Bay{Section: s, Bay: b, Name: b.Name, Filled: b.Fill != nil, Volume: v, UVolume: u, Length: length(&b.Pieces[0])})
		}
	}
	typical := s.Typical
	v := typical.Volume()
	if !(v > 0) {
		return bays
	}
	u := uVolume([]model.Piece{asDitto(typical)}, &s.Settings)
	for n := len(names); n < s.Expected; n++ {
		name := NextName(names)
		names = append(names, name)
		bays = append(bays, Bay{Section: s, Name: name, Typical: true, Volume: v, UVolume: u, Length: length(&typical)})
	}
	return bays
}

// length returns the mean of a piece's two long sides, in metres.
func length(p *model.Piece) float64 {
	d := p.Dims()
	return (d.Length + d.Length2) / 2
}

// asDitto returns the piece with every size marked as not measured in the bay at hand.
func asDitto(p model.Piece) model.Piece {
	for _, r := range p.Readings() {
		if r.State == model.Measured {
			r.State = model.Ditto
		}
	}
	return p
}

// uVolume returns the standard uncertainty of the volume in m³ from the half-widths of the sizes alone, each
// rectangular, u = a/√3 (JCGM 100 4.3.7), the same dimension of all pieces fully correlated. Repeatability is not in it.
func uVolume(pieces []model.Piece, set *model.Settings) float64 {
	var width, depth, long float64
	for i := range pieces {
		sign := 1.0
		if pieces[i].Less {
			sign = -1
		}
		w, d, l := volumeParts(&pieces[i], set)
		width, depth, long = width+sign*w, depth+sign*d, long+sign*l
	}
	return math.Sqrt((width*width + depth*depth + long*long) / 3)
}

// volumeParts returns how much the volume moves in m³ when the tape is off by its half-width in width, in depth and in
// length, by central differences.
func volumeParts(p *model.Piece, set *model.Settings) (width, depth, long float64) {
	move := func(shift func(d *model.Dims, by float64)) float64 {
		up, down := p.Dims(), p.Dims()
		shift(&up, 1)
		shift(&down, -1)
		return (up.Volume() - down.Volume()) / 2
	}
	width = move(func(d *model.Dims, by float64) {
		d.Width += by * within(p.Width, set.WidthWithin, measure.DittoWidth)
		d.Width2 += by * within(follow(p.Width2, p.Width), set.WidthWithin, measure.DittoWidth)
	})
	depth = move(func(d *model.Dims, by float64) {
		d.Depth += by * within(p.Depth, set.DepthWithin, measure.DittoWidth)
		d.Depth2 += by * within(follow(p.Depth2, p.Depth), set.DepthWithin, measure.DittoWidth)
	})
	long = move(func(d *model.Dims, by float64) {
		d.Length += by * within(p.Length, set.LengthWithin, measure.DittoLength)
		d.Length2 += by * within(follow(p.Length2, p.Length), set.LengthWithin, measure.DittoLength)
	})
	return width, depth, long
}

func follow(r, first model.Reading) model.Reading {
	if r.State == model.Absent {
		return first
	}
	return r
}

// within returns the half-width of one size: the cell's own, else the setting's; never less than ditto's where the size
// was taken over.
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

// NextName counts on from the last name: b7 → b8, 9 → 10, N-03 → N-04, "hip a" → "hip b", b7a → b8. A name that is taken is
// passed over. With no name yet it is b1; a name that cannot be counted on gets a 2 behind it.
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

// step returns the name that follows.
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

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }
