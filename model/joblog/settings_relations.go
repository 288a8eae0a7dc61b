package joblog

import (
	"fmt"
	"math"
	"strings"

	"bayproof/model"
)

// relations refuses settings that cannot hold together, or not with the material.
func (r *Resolver) relations(s model.Settings, given []Given) []model.Fault {
	faults := r.bounds(s, given)
	if c := s.Confidence; !(c > 0.5 && c < 1) {
		faults = append(faults, r.fault(given, fmt.Sprintf("confidence %.4g is not above 0.5 and below 1", c), "0.95 is usual", "confidence"))
	}
	if s.BagsLeft > s.BagsLoaded {
		what := fmt.Sprintf("bags_left %.6g is more than bags_loaded %.6g", s.BagsLeft, s.BagsLoaded)
		faults = append(faults, r.fault(given, what, "count both again", "bags_left", "bags_loaded"))
	}
	faults = append(faults, r.weighed(s, given)...)
	if reason := noDefaultTarget(s.Material); reason != "" && s.From["target"] == model.OriginDefault {
		what := fmt.Sprintf("material %s has no default target: %s", s.Material, reason)
		faults = append(faults, r.fault(given, what, "give the density that its maker or your program asks for as target, and an aim and a ceiling with it", "material"))
	}
	return faults
}

// bounds refuses an aim below the target and a ceiling below the aim.
func (r *Resolver) bounds(s model.Settings, given []Given) []model.Fault {
	var faults []model.Fault
	u := s.Units.Unit(model.ShowDensity)
	said := func(name string, v float64) string {
		return fmt.Sprintf("%s %.4g %s (%s)", name, u.In(v), u.Symbol, s.From[name])
	}
	if s.Aim < s.Target {
		hint := fmt.Sprintf("give an aim too; common practice is some 6 %% over the target: %.3g %s", u.In(1.057*s.Target), u.Symbol)
		faults = append(faults, r.fault(given, said("aim", s.Aim)+" is below "+said("target", s.Target), hint, "target", "aim"))
	}
	if s.Ceiling < s.Aim {
		hint := fmt.Sprintf("give a ceiling too; common practice is some 29 %% over the target: %.3g %s", u.In(1.286*s.Target), u.Symbol)
		faults = append(faults, r.fault(given, said("ceiling", s.Ceiling)+" is below "+said("aim", s.Aim), hint, "aim", "ceiling", "target"))
	}
	return faults
}

// oddBag is how far weighed bags may lie from their label before a unit or a tare must be wrong.
const oddBag = 0.25

// weighed refuses bags that weigh no more than their wrapper, or nothing like their label.
func (r *Resolver) weighed(s model.Settings, given []Given) []model.Fault {
	if len(s.BagChecks) == 0 {
		return nil
	}
	var sum float64
	for _, v := range s.BagChecks {
		sum += v - s.BagTare
	}
	net, u := sum/float64(len(s.BagChecks)), s.Units.Unit(model.ShowMass)
	switch {
	case net <= 0:
		what := fmt.Sprintf("bag_checks less bag_tare leaves %.4g %s", u.In(net), u.Symbol)
		return []model.Fault{r.fault(given, what, "weigh an empty wrapper again", "bag_tare", "bag_checks")}
	case math.Abs(net-s.BagWeight) > oddBag*s.BagWeight:
		what := fmt.Sprintf("bag_checks average %.4g %s and bag_weight says %.4g %s", u.In(net), u.Symbol, u.In(s.BagWeight), u.Symbol)
		return []model.Fault{r.fault(given, what, "look at their units, lb or kg", "bag_checks", "bag_weight")}
	}
	return nil
}

// fault places a fault where the first of the names that anybody gave is given: in the file, else at its flag.
func (r *Resolver) fault(given []Given, what, hint string, names ...string) model.Fault {
	for _, list := range [][]Given{r.flags, given} {
		for _, name := range names {
			for _, g := range list {
				if g.Name == name && strings.TrimSpace(g.Text) != "" {
					return model.Fault{Src: g.Src, What: what, Hint: hint}
				}
			}
		}
	}
	return model.Fault{What: what, Hint: hint}
}

// noDefaultTarget says why the published 3.5 lb/ft³, which holds for dry cellulose in closed cavities, is no target for a
// material. Sources: Standard Work Specifications 4.1103.1 (mineral fibre and glass are judged by air permeance); a
// damp spray is held by its binder and weighed wet.
func noDefaultTarget(material string) string {
	m := strings.ToLower(material)
	for _, word := range []string{"mineral", "rock", "stone", "slag", "glass"} {
		if strings.Contains(m, word) {
			return "blown mineral fibre and glass are judged by air permeance, 3.5 cfm/ft2 at 50 Pa at most, not by a published density"
		}
	}
	for _, word := range []string{"damp", "wet", "spray", "stabilized", "stabilised"} {
		if strings.Contains(m, word) {
			return "a damp-sprayed material is held by its binder and weighs in wet; 3.5 lb/ft3 is published for dry cellulose"
		}
	}
	return ""
}
