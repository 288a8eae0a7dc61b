package review

import (
	"testing"

	"bayproof/verify/audit/plausible"
)

func TestCrewNamed(t *testing.T) {
	for name, want := range map[string]string{"north": "crew north", "crew 2": "crew 2", "Crew B": "Crew B"} {
		if got := where(nil, &plausible.Finding{Crew: name, Jobs: []int{0}}); got != want+" (1 job)" {
			t.Errorf("%q is called %q, want %q", name, got, want)
		}
	}
}

func TestNeedsYou(t *testing.T) {
	for want, c := range map[string][2]int{"The job needs you": {1, 1}, "1 of 3 jobs needs you": {1, 3}, "2 of 3 jobs need you": {2, 3}} {
		if got := needsYou(c[0], c[1]); got != want {
			t.Errorf("%v: %q, want %q", c, got, want)
		}
	}
}
