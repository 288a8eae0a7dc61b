package verify_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.12g, want %.12g ± %g", what, got, want, tol)
	}
}

const head = "section,bay,entry,width,depth,length,bags,weight,reach,hole,stall,probe,at,time\n"

// one checks the rows of one bay, "b", of 22½ × 5½ in, 12 ft, 10.3125 ft³. The bay must come out as
// the last of the log.
func one(t *testing.T, settings string, rows ...string) verify.Bay {
	t.Helper()
	f := verify.Check(guardedJob(t, settings, head+strings.Join(rows, "\n")+"\n"), verify.All())
	return f.Bays[len(f.Bays)-1]
}

// codes writes a bay's reasons as "code" or "code=answer".
func codes(b *verify.Bay) string {
	var out []string
	for _, r := range b.Reasons {
		s := string(r.Code)
		if r.IsAnswered() {
			s += "=" + string(r.Answered.Code)
		}
		out = append(out, s)
	}
	return strings.Join(out, " ")
}

// fill is a fill of the bay with its observations: weight, reach, hole, stall, probe, at.
func fill(weight, reach, hole, stall, probe, at string) string {
	return fmt.Sprintf("s,b,fill,22.5,5.5,12,,%s,%s,%s,%s,%s,%s,", weight, reach, hole, stall, probe, at)
}

func seen(reach, hole, stall, probe, at string) string {
	return fmt.Sprintf("s,b,seen,,,,,,%s,%s,%s,%s,%s,", reach, hole, stall, probe, at)
}

func topup(weight, reach, stall string) string {
	return fmt.Sprintf("s,b,topup,,,,,%s,%s,,%s,,,", weight, reach, stall)
}

// TestVerdicts goes through what rows make of a bay. 40 lb are 3.88 lb/ft³ and shown with
// weigh_within 1 lb; 37 lb are 3.59 and not; 30 lb are 2.9 and short.
func TestVerdicts(t *testing.T) {
	for _, c := range []struct {
		name, want string // verdict, then reasons
		rows       []string
	}{
		{"shown", "CLOSE", []string{fill("40", "", "", "", "", "")}},
		{"not shown", "MEASURE not-shown", []string{fill("37", "", "", "", "", "")}},
		{"short", "ADD short", []string{fill("30", "", "", "", "", "")}},
		{"nothing in it", "ADD no-material", []string{fill("0", "", "", "", "", "")}},
		{"over the ceiling", "PROBE over-full", []string{fill("56", "", "", "", "", "")}},
		{"a rod does not answer over-full", "PROBE over-full", []string{fill("56", "", "", "", "rod firm", "11")}},
		{"lost answers over-full", "CLOSE over-full=lost", []string{fill("56", "", "", "", "", ""), "s,b,lost,,,,,15,,,,,,"}},
		{"an amended size answers over-full", "CLOSE over-full=amended", []string{fill("56", "", "", "", "", ""), "s,b,amend,22.5,5.5,17,,56,,,,,,"}},
		{"reach within one throw", "CLOSE", []string{fill("40", "11", "0", "yes", "", "")}},
		{"reach short", "PROBE reach", []string{fill("40", "9", "0", "yes", "", "")}},
		{"hole in the middle, two throws", "CLOSE", []string{fill("40", "5; 5", "6", "", "", "")}},
		{"hole in the middle, one way", "PROBE reach", []string{fill("40", "5", "6", "", "", "")}},
		{"one rod beyond the mark does not see the end", "PROBE reach", []string{fill("40", "9", "0", "yes", "", ""), seen("", "", "", "rod firm", "10")}},
		{"rods that cover what lies beyond the mark", "CLOSE reach=rod-firm", []string{fill("40", "9", "0", "yes", "", ""), seen("", "", "", "rod firm", "10.5; 11.5")}},
		{"the same in two rows", "CLOSE reach=rod-firm", []string{fill("40", "9", "0", "yes", "", ""), seen("", "", "", "rod firm", "10.5"), seen("", "", "", "rod firm across", "11.5")}},
		{"a rod along from the hole", "CLOSE reach=rod-firm", []string{fill("40", "9", "0", "yes", "", ""), seen("", "", "", "rod firm along", "11.6")}},
		{"hands pressed", "CLOSE reach=hand-firm", []string{fill("40", "9", "0", "yes", "", ""), seen("", "", "", "hand firm", "10.5; 11.5")}},
		{"smoke still without a fan", "PROBE reach", []string{fill("40", "9", "0", "yes", "smoke still", "11.5")}},
		{"rod firm short of the mark", "PROBE reach", []string{fill("40", "9", "0", "yes", "", ""), seen("", "", "", "rod firm", "5")}},
		{"ir even does not see the end", "PROBE reach", []string{fill("40", "9", "0", "yes", "", ""), seen("", "", "", "ir even", "11")}},
		{"rod firm, place not said", "PROBE reach", []string{fill("40", "9", "0", "yes", "", ""), seen("", "", "", "rod firm", "")}},
		{"hole at the top", "CLOSE reach=rod-firm", []string{fill("40", "9", "12", "yes", "", ""), seen("", "", "", "rod firm", "0.5; 2")}},
		{"tube run again, nothing went in", "PROBE reach", []string{fill("40", "9", "0", "yes", "", ""), topup("0", "11.5", "yes")}},
		{"tube run again with material, and stalled", "CLOSE reach=tube", []string{fill("40", "9", "0", "yes", "", ""), topup("1", "11.5", "yes")}},
		{"material through a hole of its own", "CLOSE reach=tube", []string{fill("40", "9", "0", "yes", "", ""), "s,b,topup,,,,,1,,11,yes,,,"}},
		{"material through a hole elsewhere", "PROBE reach", []string{fill("40", "9", "0", "yes", "", ""), "s,b,topup,,,,,1,,5,yes,,,"}},
		{"tube run again, no stall said", "PROBE reach", []string{fill("40", "9", "0", "yes", "", ""), topup("0", "11.5", "")}},
		{"tube run again, not far enough", "PROBE reach", []string{fill("40", "8", "0", "yes", "", ""), topup("0", "9", "yes")}},
		{"no stall", "PROBE no-stall", []string{fill("40", "11", "0", "no", "", "")}},
		{"no stall, then nothing went in", "PROBE no-stall", []string{fill("40", "11", "0", "no", "", ""), topup("0", "", "yes")}},
		{"no stall, then stalled", "CLOSE no-stall=tube", []string{fill("40", "11", "0", "no", "", ""), topup("1", "", "yes")}},
		{"no stall and short reach, stalled short again", "PROBE reach no-stall", []string{fill("40", "8", "0", "no", "", ""), topup("0", "", "yes")}},
		{"soft", "PROBE probe-soft", []string{fill("40", "", "", "", "rod soft", "3")}},
		{"soft, firm there later", "PROBE probe-soft", []string{fill("40", "", "", "", "rod soft", "3"), seen("", "", "", "rod firm", "3.5")}},
		{"soft, blown in there", "PROBE probe-soft", []string{fill("40", "", "", "", "rod soft", "3"), "s,b,topup,,,,,1,,3,yes,,,"}},
		{"soft, blown in there and firm", "CLOSE probe-soft=rod-firm", []string{fill("40", "", "", "", "rod soft", "3"), "s,b,topup,,,,,1,,3,yes,,,", seen("", "", "", "rod firm", "3.5")}},
		{"soft, nothing went in and firm", "PROBE probe-soft", []string{fill("40", "", "", "", "rod soft", "3"), "s,b,topup,,,,,0,,3,yes,,,", seen("", "", "", "rod firm", "3.5")}},
		{"soft, firm elsewhere", "PROBE probe-soft", []string{fill("40", "", "", "", "rod soft", "3"), seen("", "", "", "rod firm", "8")}},
		{"soft after firm", "PROBE probe-soft", []string{fill("40", "", "", "", "rod firm", "3"), seen("", "", "", "rod soft", "3")}},
		{"moving air, firm rod", "PROBE probe-soft", []string{fill("40", "", "", "", "smoke moves", "3"), seen("", "", "", "rod firm", "3")}},
		{"cold, blown in and even later", "CLOSE probe-soft=ir-even", []string{fill("40", "", "", "", "ir cold", "3"), "s,b,topup,,,,,1,,3,yes,,,", seen("", "", "", "ir even 20 F", "2; 4")}},
		{"short before suspicion", "ADD short reach", []string{fill("30", "9", "0", "", "", "")}},
		{"suspicion before not shown", "PROBE not-shown reach", []string{fill("37", "9", "0", "", "", "")}},
	} {
		b := one(t, "", c.rows...)
		if got := strings.TrimSpace(verdictWord(b.Verdict) + " " + codes(&b)); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
		if (b.Now.Action == "") != (b.Verdict == verify.Close) {
			t.Errorf("%s: action %q with %s", c.name, b.Now.Action, verdictWord(b.Verdict))
		}
	}
}

func verdictWord(v verify.Verdict) string {
	return [...]string{"MEASURE", "CLOSE", "ADD", "PROBE"}[v]
}

// TestAdd: pounds, bags and density to the aim: 3.85 lb/ft³ × 10.3125 ft³ − 30 lb.
func TestAdd(t *testing.T) {
	b := one(t, "", fill("30", "", "", "", "", ""))
	near(t, "pounds", b.AddMass/model.Pound, 3.85*10.3125-30, 1e-9)
	near(t, "bags", b.AddBags, (3.85*10.3125-30)/25, 1e-9)
	near(t, "density then", b.AddDensity/model.PoundPerCubicFoot, 3.85, 1e-9)
	if b = one(t, "", fill("40", "", "", "", "", "")); !math.IsNaN(b.AddMass) {
		t.Errorf("CLOSE adds %v", b.AddMass)
	}
}

// TestGuardBandDecides: with weighing alone (tapes without ±) the acceptance limit of rule guarded
// stands 0.8224·U above the target, U = 2u (ILAC-G8:09/2019; printed to four decimals). The job's
// own numbers on either side of it.
func TestGuardBandDecides(t *testing.T) {
	const exact = "width_within,0\ndepth_within,0\nlength_within,0\n"
	u := 1 / math.Sqrt(3) // lb
	limit := 3.5*10.3125 + 0.8224*2*u
	for _, c := range []struct {
		mass float64
		want verify.Verdict
	}{{limit - 0.001, verify.Measure}, {limit + 0.001, verify.Close}} {
		b := one(t, exact, fill(fmt.Sprintf("%.6f", c.mass), "", "", "", "", ""))
		if b.Verdict != c.want {
			t.Errorf("%.4f lb: %s", c.mass, verdictWord(b.Verdict))
		}
	}
}

func find(reasons []verify.Reason, c verify.Code) bool {
	for i := range reasons {
		if reasons[i].Code == c {
			return true
		}
	}
	return false
}
