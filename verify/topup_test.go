package verify_test

import (
	"fmt"
	"math"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

// toppedUp is a crew at 3.85 lb/ft³ that weighs or counts, all bays 22½ × 5½ in × 12 ft (10.31
// ft³), whose last bay was filled with so many lb and took more after its stall; rows after that
// stand below.
func toppedUp(t *testing.T, fill, more float64, rows string) *verify.Bay {
	t.Helper()
	log := "section,bay,entry,width,depth,length,weight,hole,probe,at,stall\n"
	for i, density := range []float64{3.73, 3.97, 3.80, 3.91, 3.85, 3.70, 4.02, 3.88} {
		log += fmt.Sprintf("s,b%d,fill,22.5,5.4;5.5;5.6,12,%.2f,12,,,\n", i+1, density*22.5*5.5*12/144)
	}
	log += fmt.Sprintf("s,last,fill,22.5,5.4;5.5;5.6,12,%.2f,12,,,\n", fill)
	if more > 0 {
		log += fmt.Sprintf("s,last,topup,,,,%.2f,2,,,yes\n", more)
	}
	job := readJob(t, map[string]string{
		"job.csv":      "name,value\nbag_weight,25 lb\nto_stall,yes\nweigh_within,0.5 lb\n",
		"sections.csv": "section,kind,face,holes\ns,rafter,rigid,drill\n",
		"bays.csv":     log + rows,
	})
	f := verify.Check(job, verify.Options{})
	return &f.Bays[len(f.Bays)-1]
}

// TestMoreNeverWorse is a law: whatever a bay took before, more material never makes the target
// less sure, or no less than 99 %, up to where it is more than the bay can hold. What went in
// beyond what a full bay takes speaks against the bay, and must not outweigh itself.
func TestMoreNeverWorse(t *testing.T) {
	for _, fill := range []float64{32, 34, 35, 36, 36.5} {
		last := toppedUp(t, fill, 0, "").ProbAtTarget
		for more := 0.2; more <= 42-fill; more += 0.2 {
			p := toppedUp(t, fill, more, "").ProbAtTarget
			// What a full bay would have taken is reckoned from the bay as it stands, whose sizes'
			// share of the variance has grown.
			if p < math.Min(last-0.002, 0.99) {
				t.Errorf("%g lb: after %.1f lb more %.4f, after less %.4f", fill, more, p, last)
			}
			last = math.Max(last, p)
		}
	}
}

// TestTookMoreThanFull is a law: of two bays that hold the same, the one that took part of it after
// its stall is less sure than the one that took all before it, and as sure again once a look
// explained where it went: found empty, blown into, found firm.
func TestTookMoreThanFull(t *testing.T) {
	const holds = 37.5
	whole := toppedUp(t, holds, 0, "")
	for _, more := range []float64{2, 4, 8} {
		late := toppedUp(t, holds-more, more, "")
		if !(late.ProbAtTarget < whole.ProbAtTarget-0.01) {
			t.Errorf("%g lb after the stall: %.4f, all before it %.4f", more, late.ProbAtTarget, whole.ProbAtTarget)
		}
		explained := toppedUp(t, holds-more, 0, fmt.Sprintf("s,last,seen,,,,,,rod empty,2,\ns,last,topup,,,,%g,2,,,yes\ns,last,seen,,,,,,rod firm,2,\n", more))
		if !(explained.ProbAtTarget > whole.ProbAtTarget-0.005) {
			t.Errorf("%g lb where it was empty: %.4f, all before it %.4f", more, explained.ProbAtTarget, whole.ProbAtTarget)
		}
	}
	// What a full bay takes too is no sign of anything: 0.05 lb/ft³ of 10.31 ft³ and the scale's
	// half pound.
	if d := toppedUp(t, holds-1, 1, "").ProbAtTarget - whole.ProbAtTarget; math.Abs(d) > 0.005 {
		t.Errorf("1 lb after the stall moves it by %.4f", d)
	}
	if full := verify.FullTakes / model.PoundPerCubicFoot; math.Abs(full-0.05) > 1e-9 {
		t.Errorf("a full bay takes %v lb/ft³ more", full)
	}
}
