package review

import (
	"fmt"

	"bayproof/report/say"
	"bayproof/report/screen"
)

// bad lists the jobs that could not be read.
func (t *text) bad() {
	if len(t.r.Bad) == 0 {
		return
	}
	t.heading(fmt.Sprintf("Not readable: %s", say.Count(len(t.r.Bad), "job", "jobs")))
	for i := range t.r.Bad[:min(len(t.r.Bad), textBad)] {
		b := &t.r.Bad[i]
		t.item("", 0, t.paint(bold, screen.Clean(b.Place)))
		for _, f := range b.Faults {
			t.item("", 2, screen.Clean(f))
		}
		if b.More > 0 {
			t.line(fmt.Sprintf("  and %s", say.Count(b.More, "more fault", "more faults")))
		}
	}
	if more := len(t.r.Bad) - textBad; more > 0 {
		t.line(fmt.Sprintf("and %d more", more))
	}
}
