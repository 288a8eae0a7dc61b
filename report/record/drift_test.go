package record

import (
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

// What the caption of the drift says follows from the findings, and no more than that.
func TestDriftCaption(t *testing.T) {
	one, other, later := verify.DriftPoint{Bay: &model.Bay{Name: "a1"}}, verify.DriftPoint{Bay: &model.Bay{Name: "a2"}}, verify.DriftPoint{Bay: &model.Bay{Name: "a3", Run: 1}}
	if got := afresh([]verify.DriftPoint{one, other}); got != "" {
		t.Errorf("one stretch: %q", got)
	}
	if got := afresh([]verify.DriftPoint{one, other, later}); !strings.Contains(got, "between set rows") {
		t.Errorf("a set row: %q", got)
	}
}
