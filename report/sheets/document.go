package sheets

import (
	"encoding/json"
	"math"
	"strconv"

	"bayproof/report"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/plan"
)

type document struct {
	Method      int               `json:"method"` // verify.Method
	Tool        report.Tool       `json:"tool"`
	Job         string            `json:"job"`
	Units       unitsDocument     `json:"units"`
	Load        loadDocument      `json:"load"`
	WeighFirst  int               `json:"weigh_first"`
	Sections    []sectionDocument `json:"sections"`
	Bays        []bayDocument     `json:"bays"`
	NotPlanned  []string          `json:"not_planned"`
	Hold        []holdDocument    `json:"hold"`
	Cautions    []string          `json:"cautions"`
	Assumptions []assumption      `json:"assumptions"`
}

type unitsDocument struct {
	Length  string `json:"length"`
	Volume  string `json:"volume"`
	Mass    string `json:"mass"`
	Density string `json:"density"`
}

type loadDocument struct {
	Bags     report.Number `json:"bags"`
	Left     report.Number `json:"bags_left_to_open"`
	Used     report.Number `json:"bags_used"`
	Expected report.Number `json:"bags_expected"`
	U        report.Number `json:"u_bags"`
	Mass     report.Number `json:"mass"`
	Chance   report.Number `json:"chance"`
}

type sectionDocument struct {
	Section  string        `json:"section"`
	Bays     int           `json:"bays"`
	Sized    int           `json:"sized"`
	Filled   int           `json:"filled"`
	Volume   report.Number `json:"volume"`
	Mass     report.Number `json:"mass"`
	Bags     report.Number `json:"bags"`
	BagsUsed report.Number `json:"bags_used"`
	Target   report.Number `json:"target"`
	Aim      report.Number `json:"aim"`
	Mean     report.Number `json:"mean"`
	SD       report.Number `json:"sd"`
	FromLog  bool          `json:"from_log"`
	BlindMin report.Number `json:"blind_length_min"`
	BlindMax report.Number `json:"blind_length_max"`
	Ways     []wayDocument `json:"ways"`
}

type wayDocument struct {
	Code     string        `json:"code"`
	Counting string        `json:"counting"`
	Step     report.Number `json:"bag_step"`
	Within   report.Number `json:"weigh_within"`
	Closed   report.Number `json:"good_bays_closed"`
	AimFor   report.Number `json:"aim_for_eight_in_ten"`
	More     report.Number `json:"more_material"`
}

type bayDocument struct {
	Section  string        `json:"section"`
	Bay      string        `json:"bay"`
	State    string        `json:"state"`
	Volume   report.Number `json:"volume"`
	UVolume  report.Number `json:"u_volume"`
	Length   report.Number `json:"length"`
	Mass     report.Number `json:"mass"`
	Bags     report.Number `json:"bags"`
	InBags   marksDocument `json:"marks_bags"`
	InMass   marksDocument `json:"marks_mass"`
	BlindLen report.Number `json:"blind_length"`
}

type marksDocument struct {
	Short report.Number `json:"short_below"`
	Fine  report.Number `json:"fine_from"`
	Look  report.Number `json:"look_from"`
}

type holdDocument struct {
	Section string `json:"section"`
	Place   int    `json:"place"`
	Bay     string `json:"bay"`
	Seed    uint64 `json:"seed"`
}

type assumption struct {
	Name   string `json:"name"`
	Value  string `json:"value"`
	Unit   string `json:"unit"`
	Source string `json:"source"`
	Use    string `json:"use"`
}

// AppendJSON appends the plan as one document on one line, in the job's units.
func AppendJSON(dst []byte, p *plan.Plan, tool report.Tool, cautions []verify.Caution) ([]byte, error) {
	u := say.UnitsOf(p.Job)
	d := document{
		Method: verify.Method, Tool: tool, Job: p.Job.Name, WeighFirst: p.WeighFirst, NotPlanned: append([]string{}, p.Blind...),
		Units: unitsDocument{u.Of(verify.Length).Symbol, u.Of(verify.Volume).Symbol, u.Of(verify.Mass).Symbol, u.Of(verify.Density).Symbol},
		Load: loadDocument{report.Number(p.Load.Bags), report.Number(p.Load.Left), report.Number(p.Load.Used), report.Number(p.Load.Expected), report.Number(p.Load.U),
			report.Number(u.In(verify.Mass, p.Load.Mass)), report.Number(p.Load.Chance)},
		Sections: []sectionDocument{}, Bays: []bayDocument{}, Hold: []holdDocument{}, Cautions: []string{}, Assumptions: []assumption{},
	}
	for i := range p.Sections {
		d.Sections = append(d.Sections, newSectionDocument(u, &p.Sections[i]))
	}
	for i := range p.Bays {
		d.Bays = append(d.Bays, newBayDocument(u, &p.Bays[i]))
	}
	for _, h := range p.Hold {
		d.Hold = append(d.Hold, holdDocument{h.Section.Name, h.Place, h.Name, p.HoldSeed})
	}
	for _, c := range cautions {
		d.Cautions = append(d.Cautions, say.Caution(c))
	}
	for _, a := range p.Assumptions {
		d.Assumptions = append(d.Assumptions, assumption(a))
	}
	data, err := json.Marshal(d)
	return append(append(dst, screen.JSON(data)...), '\n'), err
}

func newSectionDocument(u say.Units, s *plan.Section) sectionDocument {
	density := func(x float64) report.Number { return report.Number(u.In(verify.Density, x)) }
	d := sectionDocument{
		Section: s.Section.Name, Bays: s.Bays, Sized: s.Sized, Filled: s.Filled,
		Volume: report.Number(u.In(verify.Volume, s.Volume)), Mass: report.Number(u.In(verify.Mass, s.Mass)), Bags: report.Number(s.Bags), BagsUsed: report.Number(s.BagsUsed),
		Target: density(s.Target), Aim: density(s.Aim), Mean: density(s.Mean), SD: density(s.SD), FromLog: s.FromLog,
		BlindMin: report.Number(u.In(verify.Length, s.BlindMin)), BlindMax: report.Number(u.In(verify.Length, s.BlindMax)),
	}
	for _, w := range s.Ways {
		d.Ways = append(d.Ways, wayDocument{
			Code: string(w.Code), Counting: w.Counting.String(), Step: report.Number(w.Step), Within: report.Number(u.In(verify.Mass, w.Within)),
			Closed: report.Number(w.Closed), AimFor: density(w.AimFor), More: report.Number(w.More),
		})
	}
	return d
}

func newBayDocument(u say.Units, b *plan.Bay) bayDocument {
	return bayDocument{
		Section: b.Section.Name, Bay: b.Name, State: stateWord(b),
		Volume: report.Number(u.In(verify.Volume, b.Volume)), UVolume: report.Number(u.In(verify.Volume, b.UVolume)), Length: report.Number(u.In(verify.Length, b.Length)),
		Mass: report.Number(u.In(verify.Mass, b.Mass)), Bags: report.Number(b.Bags), BlindLen: report.Number(u.In(verify.Length, b.Blind)),
		InBags: marksDocument{report.Number(b.Marks.ShortBelow), report.Number(b.Marks.FineFrom), report.Number(b.Marks.LookAt)},
		InMass: marksDocument{report.Number(u.In(verify.Mass, b.MarksMass.ShortBelow)), report.Number(u.In(verify.Mass, b.MarksMass.FineFrom)), report.Number(u.In(verify.Mass, b.MarksMass.LookAt))},
	}
}

func stateWord(b *plan.Bay) string {
	switch {
	case b.Filled:
		return "filled"
	case b.Typical:
		return "typical"
	}
	return "measured"
}

// csvColumns are the flat keys of a planned bay, the job's name before them.
const csvColumns = "job,section,bay,state,volume,u_volume,length,mass,bags,short_below_bags,fine_from_bags,look_from_bags," +
	"short_below_mass,fine_from_mass,look_from_mass,blind_length"

// AppendCSV appends a header and a row for every bay, in the job's units. What does not exist is an empty cell.
func AppendCSV(dst []byte, p *plan.Plan) []byte {
	u := say.UnitsOf(p.Job)
	dst = append(dst, csvColumns+"\n"...)
	for i := range p.Bays {
		d := newBayDocument(u, &p.Bays[i])
		row := []string{screen.Cell(p.Job.Name), screen.Cell(d.Section), screen.Cell(d.Bay), d.State}
		for _, x := range []report.Number{d.Volume, d.UVolume, d.Length, d.Mass, d.Bags, d.InBags.Short, d.InBags.Fine, d.InBags.Look,
			d.InMass.Short, d.InMass.Fine, d.InMass.Look, d.BlindLen} {
			row = append(row, cell(float64(x)))
		}
		dst = screen.AppendRow(dst, row...)
	}
	return dst
}

func cell(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}
