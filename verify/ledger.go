package verify

// ledger is the room that the findings take their small slices from. What was handed out is never moved or shared, until it is reset.
type ledger struct {
	reasons []Reason
	data    []Datum
	open    []Reason // reasons of the bay at hand
}

// reset makes room for what the bays of an ordinary job need, where that of the job before does not do.
func (l *ledger) reset(lots int) {
	l.reasons, l.data, l.open = l.reasons[:0], l.data[:0], l.open[:0]
	if cap(l.data) < 2*lots+8 {
		l.reasons, l.data, l.open = make([]Reason, 0, lots/2+4), make([]Datum, 0, 2*lots+8), make([]Reason, 0, 4)
	}
}

// datums keeps the data of a reason.
func (l *ledger) datums(d ...Datum) []Datum {
	from := len(l.data)
	l.data = append(l.data, d...)
	return l.data[from:len(l.data):len(l.data)]
}

// add opens a reason for the bay at hand.
func (l *ledger) add(code Code, d ...Datum) *Reason {
	l.open = append(l.open, Reason{Code: code, Data: l.datums(d...)})
	return &l.open[len(l.open)-1]
}

// close keeps the open reasons and makes room for the next bay's.
func (l *ledger) close() []Reason {
	if len(l.open) == 0 {
		return nil
	}
	from := len(l.reasons)
	l.reasons = append(l.reasons, l.open...)
	l.open = l.open[:0]
	return l.reasons[from:len(l.reasons):len(l.reasons)]
}
