package sheets

import (
	"math"
	"strconv"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/verify"
	"bayproof/verify/plan"
)

// paper is what the template of the two sheets shows.
type paper struct {
	Job, Site, Crew, Date string
	Aim, Target, Ceiling  string
	Size, Long, Mass      string // unit names
	Roof                  []roofSection
	RoofTicks, TruckTicks []tick
	Bag                   string // see bagLine
	Load                  string
	Step                  string
	Parts                 []string // fractions of a bag to ring
	Boxes                 []int
	WeighFirst            []int
	Blower                string
	InBags                bool
	Vented                bool // a section has a channel under its sheathing, or may have one
}

// tick is one caution with its box. What is looked for gets a box for none of it and a blank for where it is: a tick then
// says what somebody looked at, not that a sentence was read.
type tick struct{ LookFor, Text string }

type roofSection struct {
	Name, Note string
	Rows       []roofRow
}

type roofRow struct {
	Bay                    string
	Width, Depth, Long     string
	Planned                bool // the sizes are the section's typical ones, to be measured
	Fifth                  bool // a heavier line below it
	Aim, Short, Fine, Look string
	Weigh                  bool // no count can show it
}

// spareRows are the empty rows at the end of each section, for bays that nobody counted.
const spareRows = 2

// newPaper lays the plan out on paper.
func newPaper(p *plan.Plan, cautions []verify.Caution) paper {
	u := say.UnitsOf(p.Job)
	set := &p.Job.Settings
	d := paper{
		Job: p.Job.Name, Site: set.Site, Crew: set.Crew, Date: set.Date,
		Aim: u.Target(set.Aim), Target: u.Target(set.Target), Ceiling: u.Target(set.Ceiling),
		Size: u.Of(verify.Size).Name, Long: u.Of(verify.Length).Name, Mass: u.Of(verify.Mass).Name,
		Step: say.Bags(set.BagStep), Parts: parts(set.BagStep), Boxes: boxes(p.Load), Bag: bagLine(u, set), InBags: !math.IsNaN(plan.BagWeight(set)),
		Load: loadLine(u, p), Blower: blowerLine(u),
	}
	for i := range p.WeighFirst {
		d.WeighFirst = append(d.WeighFirst, i+1)
	}
	for i := range p.Sections {
		d.Roof = append(d.Roof, newRoofSection(u, p, &p.Sections[i]))
	}
	for _, c := range cautions {
		d.Vented = d.Vented || c.Code == "vent-space"
		if t := (tick{c.LookFor, c.Text}); !truckCaution(c.Code) {
			d.RoofTicks = append(d.RoofTicks, t)
		} else {
			d.TruckTicks = append(d.TruckTicks, t)
		}
	}
	return d
}

// bagLine says what a bag weighs: "25 lb a bag by the label"; empty where nobody says.
func bagLine(u say.Units, set *model.Settings) string {
	switch bag := plan.BagWeight(set); {
	case math.IsNaN(bag):
		return ""
	case len(set.BagChecks) > 0:
		return plainMass(u, bag) + " a bag as weighed"
	default:
		return plainMass(u, bag) + " a bag by the label"
	}
}

// truckCaution tells which cautions are ticked at the truck: the machine, the house and what may be in its materials; the
// others are ticked where the bays are.
func truckCaution(code verify.Code) bool {
	switch code {
	case "jam", "dust", "static", "service-drop", "combustion", "asbestos", "vermiculite", "lead", "label", "crawl-space":
		return true
	}
	return false
}

func newRoofSection(u say.Units, p *plan.Plan, sec *plan.Section) roofSection {
	s := roofSection{Name: sec.Section.Name, Note: sectionNote(u, sec)}
	n := 0
	for i := range p.Bays {
		b := &p.Bays[i]
		if b.Section != sec.Section || b.Filled {
			continue
		}
		n++
		row := newRoofRow(u, b)
		row.Fifth = n%5 == 0
		s.Rows = append(s.Rows, row)
	}
	for range spareRows {
		s.Rows = append(s.Rows, roofRow{})
	}
	return s
}

// The boxes fill whole rows.
const boxesInRow = 7

func blowerLine(u say.Units) string {
	if u.System == model.SI {
		return "least 20 kPa"
	}
	return "least 80 in of water"
}

func sectionNote(u say.Units, sec *plan.Section) string {
	n := strconv.Itoa(sec.Bays) + " bays"
	if sec.Bays == 1 {
		n = "1 bay"
	}
	if math.IsNaN(sec.Bags) {
		return n + ", " + u.Mass(sec.Mass, model.Pound) + " in all"
	}
	return n + ", " + bagsAbout(sec.Bags) + " bags in all"
}

// bagsAbout prints a sum of bags to a tenth.
func bagsAbout(x float64) string {
	return strconv.FormatFloat(x, 'f', 1, 64)
}
