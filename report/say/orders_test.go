package say

import (
	"math"
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

// TestOrderCautions: the caution on an order is that of its work and of what is known of its
// section; what nobody said is a reason to say it. What must not be said counts as much: a roof has
// no bath walls, netting is not drilled.
func TestOrderCautions(t *testing.T) {
	wall, roof := model.Section{Kind: "wall", Holes: "drill"}, model.Section{Kind: "rafter", Holes: "drill"}
	for _, c := range []struct {
		work    string
		of      model.Section
		says    []string
		saysNot []string
	}{
		{"hole", wall, []string{"Voltage tester", "switches and outlets", "bath and kitchen", "1978"}, []string{"slit it", "ask first"}},
		{"hole", roof, []string{"Voltage tester", "Not sure?", "1978"}, []string{"bath", "outlets", "slit it"}},
		{"hole", model.Section{}, []string{"Voltage tester", "bath and kitchen", "1978"}, []string{"Slit"}},
		{"hole", model.Section{Kind: "wall", Holes: "ask"}, []string{"ask first", "Voltage tester", "1978"}, nil},
		{"hole", model.Section{Kind: "rafter", Face: "netting"}, []string{"slit it"}, []string{"Voltage", "1978"}},
		{"blow", roof, []string{"first pop", "can stop the machine", "less air"}, nil},
		{"blow", model.Section{Face: "netting"}, []string{"first pop"}, []string{"Plaster"}},
		{"smoke", roof, []string{"Fires out", "appliances off", "trained", "vermiculite", "Relight"}, nil},
		{"hazard", roof, []string{"appliance or circuit off", "Don't leave the house"}, nil},
	} {
		text := strings.Join(Units{}.cautionsOf(c.work, &c.of), " ")
		for _, want := range c.says {
			if !strings.Contains(text, want) {
				t.Errorf("%s, %+v: %q does not say %q", c.work, c.of, text, want)
			}
		}
		for _, bad := range c.saysNot {
			if strings.Contains(text, bad) {
				t.Errorf("%s, %+v: %q says %q", c.work, c.of, text, bad)
			}
		}
	}
}

// TestMeasureAllSizes: one order for sizes that were taken over, and its line has a blank for each.
func TestMeasureAllSizes(t *testing.T) {
	b := &verify.Bay{Bay: &model.Bay{Name: "b2", Section: &model.Section{}}, Further: &verify.Further{}}
	b.Now = verify.Order{Action: verify.ActMeasure, Data: []verify.Datum{
		{Key: "dimension", Text: "width, depth, length", Dim: verify.Name}, {Key: "places", Value: 1}}}
	w := &Words{Units: Units{System: model.US}}
	if text, line := w.Order(&b.Now), w.Line(b); text != "Measure its width, depth and length." || line != "size b2 width _ depth _ length _" {
		t.Errorf("%q, %q", text, line)
	}
	b.Now.Data = []verify.Datum{{Key: "dimension", Text: "depth", Dim: verify.Name}, {Key: "places", Value: 3}}
	if text, line := w.Order(&b.Now), w.Line(b); text != "Measure its depth at 3 places, not where it was read before." || line != "size b2 depth _; _; _" {
		t.Errorf("%q, %q", text, line)
	}
}

// TestSince: why a closed bay is asked about again is said in the words of the row that found it.
func TestSince(t *testing.T) {
	u := Units{System: model.US}
	for _, c := range []struct {
		code verify.Code
		by   *model.Entry
		want string
	}{
		{verify.ReTotals, nil, "the empties contradict the counts"},
		{verify.ReHazard, &model.Entry{Note: "leak at the ridge"}, "a hazard was noted since: leak at the ridge"},
		{verify.ReHazard, &model.Entry{Stops: []model.Stop{{At: 2 * model.Foot, What: model.StopBlock}, {At: 6 * model.Foot}}}, "a hazard was noted since: unknown at 6'"},
		{verify.ReFound, &model.Entry{Look: model.Look{Probe: model.RodSoft, Under: math.NaN()}, At: []float64{9 * model.Foot}}, "a look found something since: rod soft at 9'"},
	} {
		if got := u.Since(&verify.Bay{Further: &verify.Further{Reopened: c.code, ReopenedBy: c.by}}); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
