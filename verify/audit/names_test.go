package audit

import "testing"

// Two jobs of one name are told apart by where they were found; a name of its own stays.
func TestTellApart(t *testing.T) {
	jobs := []*Job{
		{Name: "Old barn", At: Place{Input: "may/7"}},
		{Name: "Mill", At: Place{Input: "may/8"}},
		{Name: "Old barn", At: Place{Input: "june/3"}},
	}
	tellApart(jobs)
	for i, want := range []string{"Old barn (may/7)", "Mill", "Old barn (june/3)"} {
		if jobs[i].Name != want {
			t.Errorf("job %d is called %q, want %q", i, jobs[i].Name, want)
		}
	}
}
