package stat_test

import (
	"math"
	"testing"

	"bayproof/verify/stat"
)

// TestStudentQuantile holds the quantiles against the usual two-sided tables at 95 and 99 %, which
// print two or three decimals: half a unit of the last.
func TestStudentQuantile(t *testing.T) {
	for _, c := range []struct{ nu, t95, t99, tol float64 }{
		{1, 12.71, 63.66, 0.005}, {2, 4.30, 9.92, 0.005}, {5, 2.57, 4.03, 0.005}, {10, 2.23, 3.17, 0.005},
		{20, 2.09, 2.85, 0.005}, {math.Inf(1), 1.960, 2.576, 0.0005},
	} {
		near(t, "t95", stat.StudentQuantile(0.975, c.nu), c.t95, c.tol)
		near(t, "t99", stat.StudentQuantile(0.995, c.nu), c.t99, c.tol)
	}
	// JCGM 100 H.1: t99(16) = 2.92; G.4.1: t95(19) = 2.09.
	near(t, "t99(16)", stat.StudentQuantile(0.995, 16), 2.92, 0.005)
	near(t, "t95(19)", stat.StudentQuantile(0.975, 19), 2.09, 0.005)
}

// TestGrubbs: NIST/SEMATECH e-Handbook 1.3.5.17.1 (read): G 2.4687; critical 2.032 one-sided and
// 2.126 two-sided at 5 %. bayproof runs no Grubbs test: the statistic holds mean and deviation, the
// critical values hold Student quantiles far out, at 1 − α/n and 1 − α/2n, through G = (n − 1)/√n ·
// √(t²/(n − 2 + t²)). Tolerances: one unit of the last digit, as two of the three are cut, not
// rounded.
func TestGrubbs(t *testing.T) {
	x := []float64{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57}
	n := float64(len(x))
	mean, s := stat.MeanSD(x)
	near(t, "G", (x[7]-mean)/s, 2.4687, 1e-4)
	critical := func(alpha float64) float64 {
		q := stat.StudentQuantile(1-alpha/n, n-2)
		return (n - 1) / math.Sqrt(n) * math.Sqrt(q*q/(n-2+q*q))
	}
	near(t, "one-sided", critical(0.05), 2.032, 1e-3)
	near(t, "two-sided", critical(0.025), 2.126, 1e-3)
}

// TestOrdinaryZ: Iglewicz & Hoaglin's ten values (read): 8.2 and 8.3 hide each other, no ordinary z
// reaches 3. Median, MAD and modified z of the example are left out: nothing computes them.
func TestOrdinaryZ(t *testing.T) {
	x := []float64{2.1, 2.6, 2.4, 2.5, 2.3, 2.1, 2.3, 2.6, 8.2, 8.3}
	mean, s := stat.MeanSD(x)
	for _, v := range x {
		if z := math.Abs(v-mean) / s; !(z < 3) {
			t.Errorf("%v: z %.3f", v, z)
		}
	}
}

// TestStudentClosedForms holds the distribution against its closed forms at one and two degrees of
// freedom: ½ + arctan(t)/π and ½ + t/(2√(2 + t²)). The tolerance is that of the incomplete beta
// function.
func TestStudentClosedForms(t *testing.T) {
	for _, x := range []float64{-40, -3, -1, -0.1, 0, 0.2, 1.7, 6, 100} {
		near(t, "ν=1", stat.StudentCDF(x, 1), 0.5+math.Atan(x)/math.Pi, 1e-12)
		near(t, "ν=2", stat.StudentCDF(x, 2), 0.5+x/(2*math.Sqrt(2+x*x)), 1e-12)
	}
}

// TestQuantileInvertsCDF is a law: the quantile undoes the distribution, whole degrees of freedom
// or not.
func TestQuantileInvertsCDF(t *testing.T) {
	for _, nu := range []float64{1, 1.5, 2.7, 3, 3.01, 4.4, 16.7, 120.5, 9999, 1e6, math.Inf(1)} {
		for _, p := range []float64{0.001, 0.05, 0.2, 0.5, 0.9, 0.95, 0.975, 0.9999} {
			near(t, "p", stat.StudentCDF(stat.StudentQuantile(p, nu), nu), p, 1e-9)
		}
	}
}

// TestManyDegreesOfFreedom is a law: where t is replaced by the normal distribution the two agree
// to 1e-8.
func TestManyDegreesOfFreedom(t *testing.T) {
	for _, x := range []float64{-4, -1.7, 0.3, 1.645, 2.5} {
		near(t, "t", stat.StudentCDF(x, 1.9e7), stat.NormalCDF(x), 1e-8)
	}
}

// TestOutsideTheDomain: no readings say nothing; nothing panics.
func TestOutsideTheDomain(t *testing.T) {
	nan := math.NaN()
	for name, got := range map[string]float64{
		"ν = 0": stat.StudentCDF(1, 0), "ν < 0": stat.StudentCDF(1, -3), "ν NaN": stat.StudentCDF(1, nan),
		"t NaN": stat.StudentCDF(nan, 5), "p > 1": stat.StudentQuantile(1.1, 5), "quantile ν = 0": stat.StudentQuantile(0.9, 0),
		"u NaN": stat.ProbAtLeast(1, nan, 5, 0), "u < 0": stat.ProbAtLeast(1, -1, 5, 0), "y NaN": stat.ProbAtLeast(nan, 0, 5, 0),
		"normal": stat.NormalQuantile(-0.1),
	} {
		if !math.IsNaN(got) {
			t.Errorf("%s: %v, want NaN", name, got)
		}
	}
}

// TestConformity: JCGM 106, clause 7 (from memory), printed to two decimals.
func TestConformity(t *testing.T) {
	inf := math.Inf(1)
	near(t, "upper limit", 1-stat.ProbAtLeast(-5.47, 0.05, inf, -5.40), 0.92, 0.005)
	near(t, "lower limit", stat.ProbAtLeast(509.7, 8.6, inf, 490), 0.99, 0.005)
	near(t, "two limits", stat.ProbAtLeast(13.6, 1.8, inf, 12.5)-stat.ProbAtLeast(13.6, 1.8, inf, 16.3), 0.66, 0.005)
	near(t, "exact", stat.ProbAtLeast(3.5, 0, inf, 3.5), 1, 0)
	near(t, "exact, below", stat.ProbAtLeast(3.49, 0, inf, 3.5), 0, 0)
}

// TestGuardBand: ILAC-G8:09/2019: a one-sided risk of 5 % needs a guard band of 0.8224 U with U =
// 2u; one of U leaves less than 2.5 %.
func TestGuardBand(t *testing.T) {
	near(t, "w/U", stat.NormalQuantile(0.95)/2, 0.8224, 0.00005)
	if risk := 1 - stat.ProbAtLeast(2, 1, math.Inf(1), 0); risk >= 0.025 {
		t.Errorf("risk with w = U: %v", risk)
	}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.12g, want %.12g ± %g", what, got, want, tol)
	}
}

func TestNormalTable(t *testing.T) {
	for z := -9.0; z < 9; z += 0.0137 {
		whole, bell := stat.TableNormal(z)
		if d := math.Abs(stat.TableCDF(z) - 0.5*math.Erfc(-z/math.Sqrt2)); d > 1e-7 || whole != stat.TableCDF(z) {
			t.Fatalf("Φ(%v) off by %g", z, d)
		}
		if d := math.Abs(bell - math.Exp(-z*z/2)/math.Sqrt(2*math.Pi)); d > 1e-7 {
			t.Fatalf("φ(%v) off by %g", z, d)
		}
	}
	if p := stat.TableCDF(math.NaN()); p != 0 {
		t.Errorf("Φ(NaN) = %v: an unknown must not look sure", p)
	}
}
