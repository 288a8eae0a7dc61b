package review

import "testing"

func TestCrewNamed(t *testing.T) {
	for name, want := range map[string]string{"north": "crew north", "crew 2": "crew 2", "Crew B": "Crew B"} {
		if got := crewNamed(name); got != want {
			t.Errorf("%q is called %q, want %q", name, got, want)
		}
	}
}
