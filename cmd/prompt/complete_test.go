package prompt

import (
	"slices"
	"testing"
)

// Tab at the prompt goes on with commands, bays of this section, and sections.
func TestComplete(t *testing.T) {
	s, faults := New(newPaperBook(), Options{})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	for _, line := range []string{"22.5 5.5 12 1 3/4", "1 3/4"} {
		s.Feed(line)
	}
	for begun, want := range map[string][]string{
		"stri":       {"strike"},
		"s":          {"strike", "size", "set", "show", "section"},
		"b":          {"bay", "box", "by", "b1", "b2"},
		"B1":         {"b1"},
		"top b":      {"top b1", "top b2"},
		"probe ":     {"probe b1", "probe b2"},
		"section n":  {"section north slope"},
		"section ":   {"section north slope", "section hip"},
		"show H":     {"show hip"},
		"top b1 8 l": nil,
		"xyz":        nil,
	} {
		if got := s.Complete(begun); !slices.Equal(got, want) {
			t.Errorf("%q: %q, want %q", begun, got, want)
		}
	}
	s.question("how deep? ", func(string) {})
	if got := s.Complete("b"); got != nil {
		t.Errorf("an answer is completed: %q", got)
	}
}
