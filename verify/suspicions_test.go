package verify

import "testing"

// A code that the table calls a suspicion asks for PROBE and has something to be done about it; one that rests on the
// figure does not. A code without either would let a bay be closed over it.
func TestSuspicionsAreActedOn(t *testing.T) {
	seen := 0
	for _, c := range Codes() {
		reasons := []Reason{{Code: c.Code}}
		switch c.Kind {
		case KindSuspicion:
			seen++
			if !suspicious(reasons) {
				t.Errorf("%s is a suspicion in the table and asks for no PROBE", c.Code)
			}
			if leading(reasons) == nil {
				t.Errorf("%s: nothing says what to do about it first", c.Code)
			}
		case KindReason:
			if suspicious(reasons) {
				t.Errorf("%s rests on the figure and asks for PROBE", c.Code)
			}
		}
	}
	if seen == 0 {
		t.Error("no suspicion in the table")
	}
}
