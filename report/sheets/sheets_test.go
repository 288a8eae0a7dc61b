package sheets

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"regexp"
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/report"
	"bayproof/verify"
	"bayproof/verify/plan"
)

func tape(v float64) model.Reading {
	return model.Reading{State: model.Measured, Values: []float64{v}, Within: math.NaN()}
}

func box(w, d, l float64) *model.Piece {
	return &model.Piece{Width: tape(w * model.Inch), Depth: tape(d * model.Inch), Length: tape(l * model.Foot)}
}

// example is an invented job: rafter bays, shallow bays and one measured odd bay.
func example() *plan.Plan {
	set := model.Settings{
		Job: "boathouse", Site: "Old Slip", Crew: "A. Reed, T. Moss",
		Target: 3.5 * model.PoundPerCubicFoot, Aim: 3.7 * model.PoundPerCubicFoot, Ceiling: 4.5 * model.PoundPerCubicFoot,
		Confidence: 0.95, Counting: model.CountingEnds, BagWeight: 25 * model.Pound, BagWithin: 0.015, BagStep: 0.25,
		WeighWithin: model.Pound, WidthWithin: model.Inch / 8, DepthWithin: model.Inch / 4, LengthWithin: model.Inch / 2,
		BagsLoaded: math.NaN(), BagsLeft: math.NaN(),
	}
	north := &model.Section{Name: "north slope", Listed: true, Expected: 14, Typical: *box(22.5, 5.5, 12), Settings: set}
	hip := &model.Section{Name: "hip", Listed: true, Expected: 5, Typical: *box(22.5, 5.5, 6.5), Settings: set}
	board := &model.Section{Name: "under the old board", Listed: true, Expected: 8, Typical: *box(22.5, 2.5, 12), Settings: set}
	odd := &model.Section{Name: "attic floor", Listed: true, Expected: 3, Settings: set}
	job := &model.Job{Name: "boathouse", Settings: set, Sections: []*model.Section{north, hip, board, odd}}
	job.Bays = []*model.Bay{{Section: north, Name: "b1", Pieces: []*model.Piece{box(22.25, 5.625, 12.5)}}}
	return plan.Make(&verify.Findings{Job: job}, plan.Options{})
}

func cautions(p *plan.Plan) []verify.Caution { return verify.Cautions(p.Job) }

func TestPaper(t *testing.T) {
	var b bytes.Buffer
	if err := WriteHTML(&b, example(), cautions(example())); err != nil {
		t.Fatal(err)
	}
	if dir := os.Getenv("SHEETS_OUT"); dir != "" {
		if err := os.WriteFile(dir, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	page := b.String()
	for _, want := range []string{"Roof sheet", "Truck sheet", "b14", "22 1/4 in", "Looked for <b>knob-and-tube wiring</b>: ", "unplugged", "3 bags weighed", "default-src 'none'"} {
		if !strings.Contains(page, want) {
			t.Errorf("the sheets do not say %q", want)
		}
	}
	for _, no := range []string{"<script", "http://", "https://", "src="} {
		if strings.Contains(page, no) {
			t.Errorf("the sheets contain %q", no)
		}
	}
	var again bytes.Buffer
	_ = WriteHTML(&again, example(), cautions(example()))
	if !bytes.Equal(b.Bytes(), again.Bytes()) {
		t.Error("the same plan gives other bytes")
	}
}

// A thing that may be in the house gets a tick for none and a blank for where it is; what is to be
// done gets a box alone. The depth of a vented bay is said where it is measured, and only there.
func TestTicksSayWhatWasLookedAt(t *testing.T) {
	for _, vented := range []model.Answer{model.Yes, model.No} {
		p := example()
		for _, s := range p.Job.Sections {
			s.Kind, s.VentSpace, s.Unvented = "rafter", vented, model.No
		}
		var b bytes.Buffer
		if err := WriteHTML(&b, p, cautions(p)); err != nil {
			t.Fatal(err)
		}
		page := b.String()
		roof, truck, _ := strings.Cut(page, `id="truck"`)
		for _, x := range []struct {
			sheet, name string
			looked      []string
		}{
			{roof, "roof", []string{"knob-and-tube wiring", "flues and chimneys that run through a bay", "wet framing, leaks and wet material"}},
			{truck, "truck", []string{"paint from before 1978", "vermiculite", "asbestos in siding, texture and pipe wrap"}},
		} {
			for _, what := range x.looked {
				if want := "Looked for <b>" + what + `</b>: <span class="look"><span class="none"></span> none, or in <span class="where"></span></span> `; !strings.Contains(x.sheet, want) {
					t.Errorf("the %s sheet has no tick for %s", x.name, what)
				}
			}
		}
		if want := "<li>Gas, oil and wood appliances: someone trained tests them"; !strings.Contains(truck, want) {
			t.Errorf("the truck sheet does not say %q", want)
		}
		if said := strings.Contains(roof, "is what is left below the channel, not the rafter"); said != (vented == model.Yes) {
			t.Errorf("vent space %v: the depth below the channel is said %v", vented, said)
		}
	}
}

func TestTextFits(t *testing.T) {
	text := string(AppendText(nil, example()))
	for _, line := range strings.Split(text, "\n") {
		if n := len([]rune(line)); n > textWidth {
			t.Errorf("%d columns: %s", n, line)
		}
	}
	if os.Getenv("SHEETS_OUT") != "" {
		t.Log("\n" + text)
	}
	for _, want := range []string{"Load ", "north slope: 14 bays", "b2 to b14", "attic floor: not planned", "What would close 8 in 10"} {
		if !strings.Contains(text, want) {
			t.Errorf("the text does not say %q:\n%s", want, text)
		}
	}
}

// TestSpanish: plan and sheets are Spanish from end to end, and fit; the formats for machines are
// the English ones.
func TestSpanish(t *testing.T) {
	english := regexp.MustCompile(`(?i)\b(the|and|of|with|from|bags?|bays?|depth|width|your|look|stall)\b`)
	names := strings.NewReplacer("under the old board", "", "knob-and-tube", "") // a section's, and what the trade calls the wiring
	p := example()
	csv := AppendCSV(nil, p)
	p.Job.Settings.Lang = "es"
	for _, line := range strings.Split(string(AppendText(nil, p)), "\n") {
		if n := len([]rune(line)); n > textWidth {
			t.Errorf("%d columns: %s", n, line)
		}
		if word := english.FindString(names.Replace(line)); word != "" {
			t.Errorf("English in the Spanish plan, %q: %s", word, line)
		}
	}
	if !bytes.Equal(csv, AppendCSV(nil, p)) {
		t.Error("the CSV is another one in Spanish")
	}
	var page bytes.Buffer
	if err := WriteHTML(&page, p, cautions(p)); err != nil {
		t.Fatal(err)
	}
	_, body, _ := strings.Cut(page.String(), "<body>")
	said := regexp.MustCompile(`<[^>]*>`).ReplaceAllString(body, " ")
	if all := english.FindAllString(names.Replace(said), -1); len(all) > 0 {
		t.Errorf("English on the Spanish sheets: %q", all)
	}
	if !strings.Contains(page.String(), `<html lang="es">`) {
		t.Error("the sheets do not say that they are Spanish")
	}
}

func TestMachineFormats(t *testing.T) {
	p := example()
	var doc map[string]any
	data, err := AppendJSON(nil, p, report.Tool{Name: "bayproof", Version: "0"}, cautions(p))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	bays := doc["bays"].([]any)
	rows, err := csv.NewReader(bytes.NewReader(AppendCSV(nil, p))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(bays) != len(p.Bays) || len(rows) != len(p.Bays)+1 {
		t.Errorf("%d bays in JSON, %d rows in CSV, %d planned", len(bays), len(rows), len(p.Bays))
	}
}

// The sheets count in bags wherever a bag's weight is known: from its label, or from bags that were
// weighed, which then hold instead.
func TestBagOfTheSheets(t *testing.T) {
	for _, c := range []struct {
		label, weighed float64 // lb
		want, not      string
	}{
		{25, math.NaN(), "25 lb a bag by the label", "as weighed"},
		{25, 24.5, "24.5 lb a bag as weighed", "by the label"},
		{math.NaN(), 24.5, "24.5 lb a bag as weighed", "</b> are lb"},
		{math.NaN(), math.NaN(), "</b> are lb", "a bag"},
	} {
		p := example()
		set := p.Job.Settings
		set.BagWeight = c.label * model.Pound
		if !math.IsNaN(c.weighed) {
			set.BagChecks = []float64{c.weighed * model.Pound}
		}
		p.Job.Settings = set
		for _, s := range p.Job.Sections {
			s.Settings = set
		}
		var b bytes.Buffer
		if err := WriteHTML(&b, plan.Make(&verify.Findings{Job: p.Job}, plan.Options{}), nil); err != nil {
			t.Fatal(err)
		}
		_, how, _ := strings.Cut(b.String(), `class="how"`)
		if page := b.String(); !strings.Contains(page, c.want) || strings.Contains(how, c.not) {
			t.Errorf("label %v, weighed %v lb: want %q and not %q", c.label, c.weighed, c.want, c.not)
		}
	}
}
