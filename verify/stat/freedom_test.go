package stat_test

import (
	"math"
	"testing"

	"bayproof/verify/stat"
)

// part is a standard uncertainty with its degrees of freedom.
type part struct{ u, nu float64 }

func combine(parts ...part) *stat.Freedom {
	var f stat.Freedom
	for _, p := range parts {
		f.Add(p.u*p.u, p.nu)
	}
	return &f
}

// TestWelchSatterthwaite: JCGM 100, G.4.1 (from memory) and rows read elsewhere; tolerances are
// half of the last digit printed.
func TestWelchSatterthwaite(t *testing.T) {
	f := combine(part{0.25, 9}, part{0.57, 4}, part{0.82, 14})
	near(t, "G.4.1 u", f.U(), 1.03, 0.005)
	near(t, "G.4.1 ν", f.DOF(), 19.0, 0.05)
	near(t, "G.4.1 U", stat.StudentQuantile(0.975, f.DOF())*f.U(), 2.2, 0.05)

	near(t, "0.57 (9) with 0.25 (∞)", combine(part{0.57, 9}, part{0.25, math.Inf(1)}).DOF(), 12.8, 0.05)
	near(t, "four equal", combine(part{1, 10}, part{1, 10}, part{1, 10}, part{1, 10}).DOF(), 40, 1e-12)
}

// TestEndGauge: JCGM 100, H.1, in nm. The print rounds u to 32 first and takes ν 16.
func TestEndGauge(t *testing.T) {
	f := combine(part{25, 18}, part{9.7, 25.6}, part{2.9, 50}, part{16.6, 2})
	near(t, "u", f.U(), 31.7, 0.05)
	if nu := f.DOF(); nu < 16.6 || nu > 16.8 {
		t.Errorf("ν = %v, want 16.6 to 16.8", nu)
	}
	near(t, "U", stat.StudentQuantile(0.995, 16)*f.U(), 92.6, 0.15)
}

// TestNothingEstimated: without estimated parts the degrees of freedom are infinite.
func TestNothingEstimated(t *testing.T) {
	if nu := combine(part{1, math.Inf(1)}, part{0, 3}).DOF(); !math.IsInf(nu, 1) {
		t.Errorf("ν = %v", nu)
	}
}
