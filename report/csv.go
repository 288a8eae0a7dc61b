package report

import (
	"math"
	"math/bits"
	"slices"
	"strconv"
	"sync"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

// csvColumns are the flat keys of a bay in the order of the JSON document, the job's name before
// them.
const csvColumns = "job,section,bay,state,volume,mass,bags,density,u_density,dof,density_lo,density_hi,level," +
	"prob_measured,prob_at_target,basis,verdict,verdict_when_closed,verdict_today,prob_today,add_mass,add_bags,add_density," +
	"empty_length,empty_length_lo,empty_length_hi,could_hide\n"

// AppendCSVHeader appends the header row.
func AppendCSVHeader(dst []byte) []byte { return append(dst, csvColumns...) }

// Figures stand on either side of the three words basis, verdict and verdict_when_closed.
const (
	beforeAdd  = 11            // columns of figures before add_mass
	csvNumbers = beforeAdd + 8 // and all of them
)

// bytesOfRow is what a row takes without its job's name, of a bay to which something is to be added
// nearly.
const bytesOfRow = 256

// reviewColumns are the columns of AppendReviewCSV.
const reviewColumns = ",crew,date,input,codes,units\n"

// AppendReviewHeader appends the header row of AppendReviewCSV.
func AppendReviewHeader(dst []byte) []byte {
	return append(append(dst, csvColumns[:len(csvColumns)-1]...), reviewColumns...)
}

// AppendReviewCSV appends the rows of AppendCSV with what tells the jobs of a review apart behind
// them, and the codes of all reasons that nothing answered, with spaces between: "few-cores wide";
// then the units that the figures are in, us or si: jobs of both may stand in one table.
func AppendReviewCSV(dst []byte, f *verify.Findings, crew, date, input string) []byte {
	tail := screen.AppendCell(append(screen.AppendCell(append(screen.AppendCell([]byte{','}, crew), ','), date), ','), input)
	units := f.Job.Settings.Units.String()
	return appendCSV(dst, f, func(dst []byte, b *verify.Bay) []byte {
		dst = append(append(dst, tail...), ',')
		from := len(dst)
		for i := range b.Reasons {
			r := &b.Reasons[i]
			if r.IsAnswered() {
				continue
			}
			if len(dst) > from {
				dst = append(dst, ' ')
			}
			dst = append(dst, r.Code...)
		}
		return append(append(dst, ','), units...)
	})
}

// AppendCSV appends a row for every bay of one job, in the job's units. What does not exist is an
// empty cell.
func AppendCSV(dst []byte, f *verify.Findings) []byte { return appendCSV(dst, f, nil) }

// appendCSV appends the rows with what more adds to each.
func appendCSV(dst []byte, f *verify.Findings, more func([]byte, *verify.Bay) []byte) []byte {
	columns := written.Get().(*[csvNumbers]digits)
	defer written.Put(columns)
	u := say.UnitsOf(f.Job).InEnglish()
	// The SI value of each unit, looked up once a job.
	length, volume, mass, density := u.Of(verify.Length).SI, u.Of(verify.Volume).SI, u.Of(verify.Mass).SI, u.Of(verify.Density).SI
	job := screen.AppendCell(nil, f.Job.Name)
	var section []byte // the cell, of the bay before
	dst = slices.Grow(dst, len(f.Bays)*(bytesOfRow+len(job)))
	bays := f.Bays
	if len(f.Left) > 0 { // seldom
		bays = slices.Concat(bays, f.Left)
	}
	for i := range bays {
		b := &bays[i]
		// Names come from the files and are guarded; words and figures are the tool's own.
		dst = append(append(dst, job...), ',')
		if i == 0 || b.Bay.Section != bays[i-1].Bay.Section {
			section = screen.AppendCell(section[:0], b.Bay.Section.Name)
		}
		dst = append(append(dst, section...), ',')
		dst = screen.AppendCell(dst, b.Bay.Name)
		dst = append(append(dst, ','), stateWords[b.State]...)
		for i, x := range [...]float64{
			b.Volume / volume, b.Mass / mass, b.Bags, b.Density / density, b.U / density, b.DOF,
			b.Lo / density, b.Hi / density, levelOf(b), b.ProbMeasured, b.ProbAtTarget,
		} {
			dst = columns[i].append(dst, x)
		}
		basis, verdict, today := verdictWords(b)
		for _, word := range [...]string{basis, verdict, closedWord(b), today} {
			dst = append(append(dst, ','), word...)
		}
		dst = columns[beforeAdd+7].append(dst, b.ProbToday)
		for i, x := range [...]float64{
			b.AddMass / mass, b.AddBags, b.AddDensity / density,
			b.EmptyLength / length, b.EmptyLengthLo / length, b.EmptyLengthHi / length, b.CouldHide / length,
		} {
			dst = columns[beforeAdd+i].append(dst, x)
		}
		if more != nil {
			dst = more(dst, b)
		}
		dst = append(dst, '\n')
	}
	return dst
}

// written is taken again from job to job: the digits that a column wrote last are mostly those that
// it writes next.
var written = sync.Pool{New: func() any { return new([csvNumbers]digits) }}

// The words below are keys of the machine formats and no sentences: programs compare them, so they
// never change. Empty is where a bay has no such thing.

// stateWords say how far a bay has come. A struck bay was withdrawn by its crew and keeps its rows.
var stateWords = [...]string{verify.NotFilled: "not-filled", verify.Filled: "filled", verify.Struck: "struck", verify.Closed: "closed", verify.Left: "left"}

// verdictWords are of a bay with a verdict: whose evidence that rests on (the bay's own measurement,
// that and the section's other bays, the job's other sections too), the verdict, and what it would be
// today, which is another one for a bay that was closed on CLOSE alone.
func verdictWords(b *verify.Bay) (basis, verdict, today string) {
	if !b.Judged() {
		return "", "", ""
	}
	basis = [...]string{verify.Own: "own", verify.Crew: "crew", verify.OfJob: "job"}[b.Basis]
	return basis, say.Verdict(b.Verdict), say.Verdict(b.VerdictToday)
}

// closedWord is the verdict as it stood when the bay was last closed; none for a bay that was
// withdrawn.
func closedWord(b *verify.Bay) string {
	if b.State == verify.Struck || len(b.Closings) == 0 {
		return ""
	}
	return say.Verdict(b.Closings[len(b.Closings)-1].Verdict)
}

// levelOf is the level of a bay's interval, where it has one.
func levelOf(b *verify.Bay) float64 {
	if math.IsNaN(b.Density) {
		return math.NaN()
	}
	return b.Level
}

// slots is how many figures are kept of a column.
const slots = 128

// digits keeps figures of one column as they were written lately: like bays share most of theirs,
// and finding the shortest digits that read back as the same number (strconv's 'g', -1) is what a
// row costs most for. What append returns is a copy: no caller holds what is kept.
type digits [slots]struct {
	bits uint64
	n    uint8 // bytes of text; 0 where nothing is kept
	text [27]byte
}

// append writes a comma and x with the shortest digits that read back as x; nothing where x does
// not exist.
func (d *digits) append(dst []byte, x float64) []byte {
	dst = append(dst, ',')
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return dst
	}
	key := math.Float64bits(x)
	// A figure has one slot that it may stand in: another one with the same slot takes its place.
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
