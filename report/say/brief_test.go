package say

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"bayproof/model"
	"bayproof/verify"
)

// TestBrief: what a list says of a code uses its evidence and nothing else, and is never longer
// than what the record says.
func TestBrief(t *testing.T) {
	us := Units{System: model.US}
	shorter := 0
	for _, c := range verify.Codes() {
		brief := brief(c.Code)
		full, bare := us.phrase(brief, evidenceFor(c)), us.phrase(brief, evidenceNeeded(c, brief))
		for _, text := range []string{full, bare} {
			if strings.ContainsAny(text, "?{}[]") {
				t.Errorf("%s says %q", c.Code, text)
			}
		}
		long := us.phrase(long(c.Code), evidenceFor(c))
		if utf8.RuneCountInString(full) > utf8.RuneCountInString(long) {
			t.Errorf("%s: %q is longer than %q", c.Code, full, long)
		} else if full != long {
			shorter++
		}
	}
	if shorter < 8 {
		t.Errorf("only %d codes are said in brief", shorter)
	}
}

// Every reason and suspicion of a bay has a title of its own for a table.
func TestEveryReasonHasATitle(t *testing.T) {
	seen := map[string]verify.Code{}
	for _, c := range verify.Codes() {
		if c.Kind != verify.KindReason && c.Kind != verify.KindSuspicion {
			continue
		}
		title := ReasonTitle(c.Code)
		if title == string(c.Code) || seen[title] != "" {
			t.Errorf("%s: title %q, that of %q too", c.Code, title, seen[title])
		}
		seen[title] = c.Code
	}
	if len(seen) == 0 {
		t.Error("no reason in the table")
	}
}

// TestCantTellYet: between 10 and 90 % no figure is said; nearer to a verdict, and wherever one
// follows, it is.
func TestCantTellYet(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		prob, confidence float64
		figure           bool
	}{
		{0.04, 0.95, true}, {0.07, 0.95, true}, {0.11, 0.95, false}, {0.62, 0.95, false}, {0.89, 0.95, false}, {0.93, 0.95, true},
		{0.96, 0.95, true}, {0.85, 0.8, true}, {0.75, 0.8, false}, {0.12, 0.8, true}, {0.15, 0.85, true}, {nan, 0.95, false},
	} {
		s := &model.Section{Settings: model.Settings{Target: 3.5 * model.PoundPerCubicFoot, Confidence: c.confidence}}
		b := &verify.Bay{Bay: &model.Bay{Section: s}, ProbAtTarget: c.prob, Further: &verify.Further{NextBay: &verify.Advice{Input: "depth", Prob: c.prob}}}
		w := New(&verify.Findings{Job: &model.Job{Settings: s.Settings, Sections: []*model.Section{s}}})
		for name, text := range map[string]string{"Sure": w.Sure(b), "SureAndWhose": w.SureAndWhose(b), "briefSure": w.briefSure(b), "NextBay": w.NextBay(b)} {
			switch {
			case math.IsNaN(c.prob): // nothing can be reckoned: that is said as it was
			case strings.Contains(strings.Replace(text, "95 % is asked", "", 1), "%") != c.figure:
				t.Errorf("%s at %g of %g: %q", name, c.prob, c.confidence, text)
			case name != "NextBay" && strings.Contains(text, "can't tell yet") == c.figure:
				t.Errorf("%s at %g of %g: %q", name, c.prob, c.confidence, text)
			}
		}
		if c.prob < c.confidence && c.prob > 1-c.confidence {
			r := verify.Reason{Code: verify.NotShown, Data: []verify.Datum{{Key: "prob", Value: c.prob, Dim: verify.Probability}}}
			for _, text := range []string{w.Reason(r), w.BriefReason(r)} {
				if strings.Contains(text, "%") != c.figure || strings.Contains(text, "can't tell yet") == c.figure {
					t.Errorf("reason at %g of %g: %q", c.prob, c.confidence, text)
				}
			}
		}
	}
}
