package record

import (
	"slices"
	"strconv"

	"bayproof/model"
	"bayproof/verify"
)

func bayID(i int) string     { return "bay-" + strconv.Itoa(i+1) }
func sectionID(i int) string { return "section-" + strconv.Itoa(i+1) }

// sectionName names a section; the job's only one may have no name.
func sectionName(s *model.Section) string {
	if s.Name == "" {
		return "all bays"
	}
	return s.Name
}

// placed is a bay with its place in the findings.
type placed struct {
	*verify.Bay
	At int
}

// baysOf returns the bays of a section in the log's order.
func baysOf(f *verify.Findings, s *model.Section) []placed {
	var out []placed
	for i := range f.Bays {
		if f.Bays[i].Bay.Section == s {
			out = append(out, placed{&f.Bays[i], i})
		}
	}
	return out
}

// filledOrder returns the bays of a section in fill order, those not filled at the end as the log names them.
func filledOrder(f *verify.Findings, s *model.Section) []placed {
	out := baysOf(f, s)
	slices.SortStableFunc(out, func(a, b placed) int { return place(a) - place(b) })
	return out
}

func place(b placed) int {
	if b.Bay.Bay.Order == 0 {
		return int(^uint(0) >> 2)
	}
	return b.Bay.Bay.Order
}
