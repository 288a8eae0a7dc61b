package sheets

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"

	"bayproof/report"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify/plan"
)

// csvColumns are the flat keys of a planned bay, the job's name before them.
const csvColumns = "job,section,bay,state,volume,u_volume,length,mass,bags,short_below_bags,fine_from_bags,look_from_bags," +
	"short_below_mass,fine_from_mass,look_from_mass,blind_length"

// AppendCSV appends a header and a row for every bay, in the job's units. What does not exist is an empty cell.
func AppendCSV(dst []byte, p *plan.Plan) []byte {
	u := say.UnitsOf(p.Job)
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.Write(strings.Split(csvColumns, ",")) // a buffer takes everything
	for i := range p.Bays {
		d := newBayDocument(u, &p.Bays[i])
		row := []string{screen.Cell(p.Job.Name), screen.Cell(d.Section), screen.Cell(d.Bay), d.State}
		for _, x := range []report.Number{d.Volume, d.UVolume, d.Length, d.Mass, d.Bags, d.InBags.Short, d.InBags.Fine, d.InBags.Look,
			d.InMass.Short, d.InMass.Fine, d.InMass.Look, d.BlindLen} {
			row = append(row, cell(float64(x)))
		}
		_ = w.Write(row)
	}
	w.Flush()
	return append(dst, b.Bytes()...)
}

func cell(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}
