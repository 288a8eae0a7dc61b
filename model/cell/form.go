package cell

import "bayproof/model"

// Form says how the cells of one column, or the text of one setting, are to be read. Column makes one; it is
// used by pointer for every row.
type Form struct {
	Name    string     // as messages name it: "width"
	Unit    model.Unit // of a bare number
	Said    bool       // Unit stands in the header, so a bare number is not in doubt
	Comma   bool       // the file's decimal mark is a comma
	Zero    bool       // 0 is accepted
	Min     float64    // SI; below it is refused
	Max     float64    // SI; above it is refused; 0 is no limit
	BareMax float64    // SI; above it a number with no unit anywhere is refused; 0 is no limit
}

// Refusal is what is wrong with a cell. The reader of the file puts the place before it.
type Refusal struct {
	What string // what was read and why it is no good: "width 2-Mar: a date, not a number"
	Hint string // what would be accepted
	At   int    // byte in the cell where reading stopped, from 0
}

// Fault gives the refusal its place.
func (r *Refusal) Fault(src model.Source) model.Fault {
	return model.Fault{Src: src, What: r.What, Hint: r.Hint}
}
