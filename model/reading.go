package model

// Reading is what one size cell says. Seven of them stand in every row of a log, which may have millions: they are kept small.
type Reading struct {
	Values []float64 // m, one a repeat; for a ditto the value taken over
	Within float64   // m, the cell's own half-width; NaN when the setting holds
	Unit   string    // as written, or the default that applied
	Raw    string    // as written
	Line   int32     // of the cell, in the file of its piece
	Col    int16     // its field from 1; 0 when the whole row is meant
	State  ReadingState
}

// ReadingState says whether a size was measured.
type ReadingState uint8

const (
	Absent ReadingState = iota
	Ditto               // as the bay above, not measured here
	Measured
)

// Mean returns the mean of the values in metres; NaN when there are none.
func (r Reading) Mean() float64 { return mean(r.Values) }

// mean is the arithmetic mean; NaN of none.
func mean(values []float64) float64 {
	if len(values) == 1 {
		return values[0]
	}
	var sum float64
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// Readings returns the seven readings of a piece in the order of the log's columns.
func (p *Piece) Readings() [7]*Reading {
	return [7]*Reading{&p.Width, &p.Width2, &p.Depth, &p.Depth2, &p.Length, &p.Length2, &p.Bulge}
}

// SizeNames are the names of a piece's readings, in the order of Readings.
func SizeNames() [7]string {
	return [7]string{"width", "width2", "depth", "depth2", "length", "length2", "bulge"}
}
