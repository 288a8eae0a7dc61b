package report

import (
	"math"
	"strconv"

	"bayproof/report/say"
	"bayproof/verify"
)

// csvColumns are the flat keys of a bay in the order of the JSON document, the job's name before them.
const csvColumns = "job,section,bay,state,volume,mass,bags,density,u_density,dof,density_lo,density_hi,level," +
	"prob_measured,prob_at_target,basis,verdict,verdict_when_closed,add_mass,add_bags,add_density," +
	"empty_length,empty_length_lo,empty_length_hi,blind_length\n"

// AppendCSVHeader appends the header row.
func AppendCSVHeader(dst []byte) []byte { return append(dst, csvColumns...) }

// AppendCSV appends a row for every bay of the job, in the job's units. What does not exist is an empty cell.
func AppendCSV(dst []byte, f *verify.Findings) []byte {
	units := unitScale(say.UnitsOf(f.Job))
	job := appendCell(nil, f.Job.Name)
	for i := range f.Bays {
		dst = append(dst, job...)
		dst = appendCSVBay(dst, &f.Bays[i], units)
	}
	return dst
}

// scale holds the SI value of each unit, looked up once a job.
type scale struct{ length, volume, mass, density float64 }

func unitScale(u say.Units) scale {
	return scale{u.Of(verify.Length).SI, u.Of(verify.Volume).SI, u.Of(verify.Mass).SI, u.Of(verify.Density).SI}
}

func appendCSVBay(dst []byte, b *verify.Bay, s scale) []byte {
	dst = append(dst, ',')
	dst = appendCell(dst, b.Bay.Section.Name)
	dst = append(dst, ',')
	dst = appendCell(dst, b.Bay.Name)
	dst = appendWord(dst, stateWord(b.State))
	dst = appendNumber(dst, b.Volume/s.volume)
	dst = appendNumber(dst, b.Mass/s.mass)
	dst = appendNumber(dst, b.Bags)
	dst = appendNumber(dst, b.Density/s.density)
	dst = appendNumber(dst, b.U/s.density)
	dst = appendNumber(dst, b.DOF)
	dst = appendNumber(dst, b.Lo/s.density)
	dst = appendNumber(dst, b.Hi/s.density)
	dst = appendNumber(dst, levelOf(b))
	dst = appendNumber(dst, b.ProbMeasured)
	dst = appendNumber(dst, b.ProbAtTarget)
	dst = appendWord(dst, basisWord(b))
	dst = appendWord(dst, verdictWord(b))
	dst = appendWord(dst, closedWord(b))
	dst = appendNumber(dst, b.AddMass/s.mass)
	dst = appendNumber(dst, b.AddBags)
	dst = appendNumber(dst, b.AddDensity/s.density)
	dst = appendNumber(dst, b.EmptyLength/s.length)
	dst = appendNumber(dst, b.EmptyLengthLo/s.length)
	dst = appendNumber(dst, b.EmptyLengthHi/s.length)
	dst = appendNumber(dst, b.BlindLength/s.length)
	return append(dst, '\n')
}

func appendWord(dst []byte, word string) []byte {
	dst = append(dst, ',')
	return append(dst, word...)
}

func appendNumber(dst []byte, x float64) []byte {
	dst = append(dst, ',')
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return dst
	}
	return strconv.AppendFloat(dst, x, 'g', -1, 64)
}

// appendCell appends text, quoted where it must be. Text that a spreadsheet would take for a formula gets a leading
// apostrophe, as everything that bayproof writes.
func appendCell(dst []byte, text string) []byte {
	if text == "" {
		return dst
	}
	quote := false
	for i := range len(text) {
		switch text[i] {
		case ',', '"', '\n', '\r':
			quote = true
		}
	}
	if !quote && text[0] != ' ' {
		if startsFormula(text[0]) {
			dst = append(dst, '\'')
		}
		return append(dst, text...)
	}
	dst = append(dst, '"')
	if startsFormula(text[0]) {
		dst = append(dst, '\'')
	}
	for i := range len(text) {
		if text[i] == '"' {
			dst = append(dst, '"')
		}
		dst = append(dst, text[i])
	}
	return append(dst, '"')
}

func startsFormula(c byte) bool {
	switch c {
	case '=', '+', '-', '@', '\t', '\r', '\'':
		return true
	}
	return false
}
