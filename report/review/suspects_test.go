package review

import (
	"fmt"
	"slices"
	"testing"

	"bayproof/verify"
	"bayproof/verify/audit"
	"bayproof/verify/audit/plausible"
)

func TestCrewNamed(t *testing.T) {
	for name, want := range map[string]string{"north": "crew north", "crew 2": "crew 2", "Crew B": "Crew B"} {
		if got := where(nil, &plausible.Finding{Crew: name, Jobs: []int{0}}); got != want+" (1 job)" {
			t.Errorf("%q is called %q, want %q", name, got, want)
		}
	}
}

// TestSuspectsOfACrew: findings of one kind about one crew's jobs stand together, under what is
// said of the crew where anything is; jobs without a crew stand by themselves.
func TestSuspectsOfACrew(t *testing.T) {
	r := &audit.Review{Jobs: []*audit.Job{{Name: "a", Crew: "oak"}, {Name: "b", Crew: "oak"}, {Name: "c", Crew: "ash"}, {Name: "d"}, {Name: "e"}}}
	of := func(code verify.Code, crew string, jobs ...int) plausible.Finding {
		return plausible.Finding{Code: code, Crew: crew, Jobs: jobs}
	}
	r.Findings = []plausible.Finding{of(plausible.OwnTerms, "", 0), of(plausible.OwnTerms, "", 2), of(plausible.OwnTerms, "", 1), of(plausible.OwnTerms, "", 3), of(plausible.OwnTerms, "", 4),
		of(plausible.BagsBought, "", 1), of(plausible.CrewTotals, "oak", 0, 1), of(plausible.BagsBought, "", 0), of(plausible.BagsBought, "", 2)}
	var got []string
	for _, s := range suspectsOf(r) {
		got = append(got, fmt.Sprintf("%s %s %v", s.lead.Code, s.who(r), s.jobs))
	}
	want := []string{"own-terms crew oak (2 jobs) [1]", "own-terms c []", "own-terms d []", "own-terms e []", "crew-totals crew oak (2 jobs) [0 1]", "bags-bought c []"}
	if !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
}

func TestNeedsYou(t *testing.T) {
	for want, c := range map[string][2]int{"The job needs you": {1, 1}, "1 of 3 jobs needs you": {1, 3}, "2 of 3 jobs need you": {2, 3}} {
		if got := needsYou(c[0], c[1]); got != want {
			t.Errorf("%v: %q, want %q", c, got, want)
		}
	}
}
