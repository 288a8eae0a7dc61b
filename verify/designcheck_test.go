package verify_test

import (
	"math"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

// designJob is a job of one bay, 22½ × 5½ in, 12 ft, with the given pounds in it. Section is the cells of unvented,
// climate_zone and air_impermeable_r.
func designJob(t *testing.T, weight, section string) verify.DesignCheck {
	t.Helper()
	job := readJob(t, map[string]string{
		"job.csv":      "name,value\nrule,guarded\nbag_weight,25 lb\n",
		"sections.csv": "section,unvented,climate_zone,air_impermeable_r\nnorth," + section + "\n",
		"bays.csv":     "section,bay,width,depth,length,weight\nnorth,b1,22.5,5.5,12," + weight + "\n",
	})
	return verify.DesignChecks(verify.Check(job, verify.Options{}))[0]
}

// 5½ in at λ 0.040 W/(m·K): 0.1397/0.040 = 3.4925 m²·K/W = R 19.83 (by hand; 1e-12: exact but for rounding).
func TestDesignR(t *testing.T) {
	c := designJob(t, "40", ",,")
	if want := 3.4925; math.Abs(c.R-want) > 1e-12 || c.RWithin != 0.10 {
		t.Errorf("R %v ± %v of it, want %v ± 0.1", c.R, c.RWithin, want)
	}
	if us := c.R / model.RValue; math.Abs(us-19.83) > 0.005 { // 0.005: the figure has two places
		t.Errorf("R-%v, want R-19.83", us)
	}
}

// Published densities without settling in walls: 48, 53, 63 kg/m³ (T. V. Rasmussen, SBi, summary). The bay holds
// 10.3125 ft³, so that 32 lb are 3.1030 lb/ft³ = 49.706 kg/m³ and 42 lb are 4.0727 lb/ft³ = 65.239 kg/m³ (by hand).
func TestDesignSettling(t *testing.T) {
	for _, tt := range []struct {
		weight string
		least  float64
		met    [3]bool
	}{{"32", 49.706, [3]bool{true, false, false}}, {"42", 65.239, [3]bool{true, true, true}}} {
		c := designJob(t, tt.weight, ",,")
		if len(c.Settling) != 3 {
			t.Fatalf("%d lines, want 3", len(c.Settling))
		}
		for i, s := range c.Settling {
			if s.Met != tt.met[i] || math.Abs(s.Least-tt.least) > 5e-4 { // the figure has three places
				t.Errorf("%s lb against %v: met %v, least %v; want %v, %v", tt.weight, s.Published, s.Met, s.Least, tt.met[i], tt.least)
			}
		}
	}
}

// IRC Table R806.5, 2015 to 2024.
func TestAirImpermeableTable(t *testing.T) {
	for zone, want := range map[string]float64{
		"1": 5, "2A": 5, "2B": 5, "3": 5, "3C": 5, "4A": 15, "4B": 15, "4C": 10, "5": 20, "5a": 20, " 6B ": 25, "7": 30, "8": 35,
		"": math.NaN(), "9": math.NaN(), "4": math.NaN(), "5X": math.NaN(),
	} {
		c := designJob(t, "40", "yes,"+zone+",20")
		got := c.RequiredImpermeable / model.RValue
		if math.Abs(got-want) > 1e-12 || math.IsNaN(got) != math.IsNaN(want) {
			t.Errorf("zone %q: R-%v, want R-%v", zone, got, want)
		}
		if !c.Unvented || math.Abs(c.ActualImpermeable-20*model.RValue) > 1e-12 {
			t.Errorf("zone %q: unvented %v, %v m²·K/W stated", zone, c.Unvented, c.ActualImpermeable)
		}
	}
}
