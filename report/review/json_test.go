package review

import (
	"bytes"
	"encoding/json"
	"testing"

	"bayproof/report"
	"bayproof/verify/audit"
)

// Written job by job or at once, the document is the same, with no job, one or two.
func TestJSONJobByJob(t *testing.T) {
	tool := report.Tool{Name: "bayproof", Version: "0"}
	for n := range 3 {
		r := hostileReview()
		r.Jobs = []*audit.Job{r.Jobs[0], r.Jobs[0]}[:n]
		if n == 0 {
			r.Plan, r.Findings = nil, nil // they name jobs
		}
		jobs := []report.Object{}
		for _, j := range r.Jobs {
			jobs = append(jobs, jobObject(unitsOf(r), j))
		}
		want, err := indented(document(r, nil, tool, jobs), "")
		if err != nil {
			t.Fatal(err)
		}
		var got bytes.Buffer
		if err := WriteJSON(&got, r, nil, tool); err != nil || !json.Valid(got.Bytes()) {
			t.Fatalf("%d jobs: %v, or no JSON: %s", n, err, got.Bytes())
		}
		if !bytes.Equal(got.Bytes(), want) {
			t.Errorf("%d jobs:\n%s\nwant\n%s", n, got.Bytes(), want)
		}
	}
}
