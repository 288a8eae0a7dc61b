package verify_test

import (
	"math"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

// designJob is a job of one bay, 22½ in wide, 12 ft long, of the given depth in inches and with the
// given pounds in it. Section is the cells of unvented, climate_zone and air_impermeable_r.
func designJob(t *testing.T, depth, weight, section string) verify.DesignCheck {
	t.Helper()
	job := readJob(t, map[string]string{
		"job.csv":      "name,value\nrule,guarded\nbag_weight,25 lb\nto_stall,yes\n",
		"sections.csv": "section,unvented,climate_zone,air_impermeable_r\nnorth," + section + "\n",
		"bays.csv":     "section,bay,width,depth,length,weight\nnorth,b1,22.5," + depth + ",12," + weight + "\n",
	})
	return verify.DesignChecks(verify.Check(job, verify.Options{}))[0]
}

// 5½ in at λ 0.040 W/(m·K): 0.1397/0.040 = 3.4925 m²·K/W = R 19.83 (by hand; 1e-12: exact but for
// rounding).
func TestDesignR(t *testing.T) {
	c := designJob(t, "5.5", "40", ",,")
	if want := 3.4925; math.Abs(c.R-want) > 1e-12 || c.RWithin != 0.10 {
		t.Errorf("R %v ± %v of it, want %v ± 0.1", c.R, c.RWithin, want)
	}
	if us := c.R / model.RValue; math.Abs(us-19.83) > 0.005 { // 0.005: the figure has two places
		t.Errorf("R-%v, want R-19.83", us)
	}
}

// Published densities without settling in walls, by gap: 48 kg/m³ at 0.1 m, 53 and (humidity
// cycling) 63 at 0.3 m (T. V. Rasmussen, SBi, summary). A bay is set beside the figures of its own
// depth alone: 3½ and 4 in are a gap of 0.1 m, 11¼ and 12 in one of 0.3 m, within 15 mm; for depths
// between nothing is published. At 4 in the bay holds 7.5 ft³, so that 24 lb are
// 3.2 lb/ft³ = 51.259 kg/m³; at 12 in 22.5 ft³, 76.5 lb are 3.4 lb/ft³ = 54.463 kg/m³ (by hand).
func TestDesignSettling(t *testing.T) {
	for _, tt := range []struct {
		depth, weight string
		least         float64
		published     []float64
		met           []bool
	}{
		{"4", "24", 51.259, []float64{48}, []bool{true}},
		{"12", "76.5", 54.463, []float64{53, 63}, []bool{true, false}},
		{"3.5", "21", 51.259, []float64{48}, []bool{true}},
		{"11.25", "72", 54.676, []float64{53, 63}, []bool{true, false}},
		{"5.5", "42", 65.239, nil, nil}, {"7.25", "50", 0, nil, nil}, {"9.25", "60", 0, nil, nil}, {"14", "90", 0, nil, nil}, {"2.5", "16", 0, nil, nil},
	} {
		c := designJob(t, tt.depth, tt.weight, ",,")
		if len(c.Settling) != len(tt.published) {
			t.Errorf("%s in deep: %d lines, want %d", tt.depth, len(c.Settling), len(tt.published))
			continue
		}
		for i, s := range c.Settling {
			if s.Published != tt.published[i] || s.Met != tt.met[i] || math.Abs(s.Least-tt.least) > 5e-4 { // the figure has three places
				t.Errorf("%s in deep against %v: met %v, least %v; want %v, %v, %v", tt.depth, s.Published, s.Met, s.Least, tt.published[i], tt.met[i], tt.least)
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
		c := designJob(t, "5.5", "40", "yes,"+zone+",20")
		got := c.RequiredImpermeable / model.RValue
		if math.Abs(got-want) > 1e-12 || math.IsNaN(got) != math.IsNaN(want) {
			t.Errorf("zone %q: R-%v, want R-%v", zone, got, want)
		}
		if !c.Unvented || math.Abs(c.ActualImpermeable-20*model.RValue) > 1e-12 {
			t.Errorf("zone %q: unvented %v, %v m²·K/W stated", zone, c.Unvented, c.ActualImpermeable)
		}
	}
}
