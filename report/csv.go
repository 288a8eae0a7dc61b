package report

import (
	"math"
	"math/bits"
	"strconv"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

// csvColumns are the flat keys of a bay in the order of the JSON document, the job's name before them.
const csvColumns = "job,section,bay,state,volume,mass,bags,density,u_density,dof,density_lo,density_hi,level," +
	"prob_measured,prob_at_target,basis,verdict,verdict_when_closed,add_mass,add_bags,add_density," +
	"empty_length,empty_length_lo,empty_length_hi,blind_length\n"

// AppendCSVHeader appends the header row.
func AppendCSVHeader(dst []byte) []byte { return append(dst, csvColumns...) }

// CSV writes findings as rows. The zero value is ready; one that is used again is faster. It is not for use by several
// goroutines at once.
type CSV struct {
	columns [csvNumbers]digits
	section *model.Section // of the row before
	named   []byte         // and its cell
}

const (
	beforeAdd  = 11            // columns of figures before add_mass
	csvNumbers = beforeAdd + 7 // and all of them
)

// Append appends a row for every bay of the job, in the job's units. What does not exist is an empty cell.
func (c *CSV) Append(dst []byte, f *verify.Findings) []byte {
	units := unitScale(say.UnitsOf(f.Job))
	job := screen.AppendCell(nil, f.Job.Name)
	c.section = nil // of another job
	for i := range f.Bays {
		dst = append(dst, job...)
		dst = c.appendBay(dst, &f.Bays[i], units)
	}
	return dst
}

// AppendCSV appends the rows of one job.
func AppendCSV(dst []byte, f *verify.Findings) []byte { return new(CSV).Append(dst, f) }

// scale holds the SI value of each unit, looked up once a job.
type scale struct{ length, volume, mass, density float64 }

func unitScale(u say.Units) scale {
	return scale{u.Of(verify.Length).SI, u.Of(verify.Volume).SI, u.Of(verify.Mass).SI, u.Of(verify.Density).SI}
}

func (c *CSV) appendBay(dst []byte, b *verify.Bay, s scale) []byte {
	dst = append(dst, ',')
	if s := b.Bay.Section; s != c.section {
		c.section, c.named = s, screen.AppendCell(c.named[:0], s.Name)
	}
	dst = append(dst, c.named...)
	dst = append(dst, ',')
	dst = screen.AppendCell(dst, b.Bay.Name)
	dst = appendWord(dst, stateWord(b.State))
	for i, x := range [...]float64{
		b.Volume / s.volume, b.Mass / s.mass, b.Bags, b.Density / s.density, b.U / s.density, b.DOF,
		b.Lo / s.density, b.Hi / s.density, levelOf(b), b.ProbMeasured, b.ProbAtTarget,
	} {
		dst = c.columns[i].append(dst, x)
	}
	dst = appendWord(dst, basisWord(b))
	dst = appendWord(dst, verdictWord(b))
	dst = appendWord(dst, closedWord(b))
	for i, x := range [...]float64{
		b.AddMass / s.mass, b.AddBags, b.AddDensity / s.density,
		b.EmptyLength / s.length, b.EmptyLengthLo / s.length, b.EmptyLengthHi / s.length, b.BlindLength / s.length,
	} {
		dst = c.columns[beforeAdd+i].append(dst, x)
	}
	return append(dst, '\n')
}

func appendWord(dst []byte, word string) []byte {
	dst = append(dst, ',')
	return append(dst, word...)
}

const (
	slotBits = 5
	slots    = 1 << slotBits // figures kept a column
)

// digits keeps figures of one column as they were written lately. Like bays share most of theirs, and the shortest
// digits that read back as the same number are dear to find.
type digits [slots]struct {
	bits uint64
	n    uint8 // bytes of text; 0 where nothing is kept
	text [27]byte
}

// append writes a comma and x with the shortest digits that read back as x; nothing where x does not exist.
func (d *digits) append(dst []byte, x float64) []byte {
	dst = append(dst, ',')
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return dst
	}
	key := math.Float64bits(x)
	// Fibonacci hashing: the high bits of the product depend on all bits of the key.
	high, _ := bits.Mul64(key*0x9E3779B97F4A7C15, slots)
	slot := &d[high]
	if slot.bits == key && slot.n > 0 {
		return append(dst, slot.text[:slot.n]...)
	}
	from := len(dst)
	dst = strconv.AppendFloat(dst, x, 'g', -1, 64)
	slot.bits, slot.n = key, uint8(copy(slot.text[:], dst[from:]))
	return dst
}
