package joblog

import (
	"bayproof/model"
	"bayproof/model/cell"
)

// sizeReading is the reading that a size column fills.
func sizeReading(p *model.Piece, kind int) *model.Reading {
	switch kind {
	case colSize:
		return &p.Width
	case colWidth2:
		return &p.Width2
	case colDepth:
		return &p.Depth
	case colDepth2:
		return &p.Depth2
	case colLength:
		return &p.Length
	case colLength2:
		return &p.Length2
	}
	return &p.Bulge
}

// slab is how many values are made room for at a time.
const slab = 512

// start makes the reader ready for the rows of a job.
func (r *rowReader) start() {
	r.floats, r.written, r.section = r.floats[:0], "", ""
	clear(r.above[:])
}

// grown is the slab of values with room for a cell's, so that values already handed out never move.
func (r *rowReader) grown() []float64 {
	if cap(r.floats)-len(r.floats) < 8 {
		r.floats = make([]float64, 0, slab)
	}
	return r.floats
}

// jobName is the row's job, empty where the log holds one.
func (p *logPlan) jobName(row []string) string {
	if p.jobField < 0 || p.jobField >= len(row) {
		return ""
	}
	return cell.Name(row[p.jobField])
}
