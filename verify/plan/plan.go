package plan

import (
	"bayproof/model"
	"bayproof/verify"
)

// Plan is what a job will take. All quantities are SI; NaN means that there is no such figure.
type Plan struct {
	Job         *model.Job
	Sections    []Section
	Bays        []Bay // by section, in the order of filling as far as it is known
	Load        Load
	WeighFirst  int    // so many bays, the first ones, are worth weighing
	Hold        []Held // bays to leave open for an inspector, in the order of the sections
	HoldSeed    uint64
	Blind       []string          // sections that cannot be planned: no bay measured, no typical size
	Assumptions []verify.Constant // what the forecasts rest on besides the files
}

// Section is the plan of one run of like bays.
type Section struct {
	Section         *model.Section
	Bays            int // planned: those in the log and those that the table counts
	Sized           int // of these, measured or taken over in the log; the rest is taken as the typical bay
	Filled          int
	Volume          float64 // m³
	Mass            float64 // kg at the aim
	Bags            float64 // at the aim; NaN without a bag weight
	BagsUsed        float64 // counted so far in the log
	BlindMin        float64 // m: least and largest blind length of its bays
	BlindMax        float64
	Ways            []Way // ways of counting; the present one first
	Mean, SD        float64
	Aim             float64 // kg/m³ that the plan packs to
	Target, Ceiling float64
	FromLog         bool           // Mean and SD are those of the bays logged so far
	counting        model.Counting // as the settings say, else as the log does it
	meanU           float64
}

// Bay is the plan of one bay.
type Bay struct {
	Section   *model.Section
	Bay       *model.Bay // nil while the log does not name it
	Name      string     // as the log names it, or as names count on
	Typical   bool       // sizes are the section's typical ones
	Filled    bool
	Volume    float64 // m³
	UVolume   float64 // m³, standard uncertainty
	Length    float64 // m, of the bay itself
	Mass      float64 // kg at the aim
	Bags      float64 // at the aim, not rounded; NaN without a bag weight
	Marks     Marks
	MarksMass Marks   // the same for a weighed bay, in kg
	Blind     float64 // m
}

// Options are what the caller chooses.
type Options struct {
	Hold int    // how many bays to leave open for an inspector
	Seed uint64 // which ones: same job, same seed, same bays
}

// Make plans the job of the findings: the sections table and whatever bays were measured or filled so far.
func Make(f *verify.Findings, opt Options) *Plan {
	p := &Plan{Job: f.Job, WeighFirst: weighFirst, HoldSeed: opt.Seed, Assumptions: Assumptions()}
	for _, s := range f.Job.Sections {
		bays := sectionBays(f.Job, s)
		if len(bays) == 0 {
			if s.Expected != 0 {
				p.Blind = append(p.Blind, s.Name)
			}
			continue
		}
		sec := newSection(f, s, bays)
		for i := range bays {
			sec.fill(&bays[i])
		}
		sec.sum(bays)
		sec.Ways = waysOf(&sec, bays)
		p.Sections = append(p.Sections, sec)
		p.Bays = append(p.Bays, bays...)
	}
	p.Load = loadOf(p)
	p.Hold = hold(p, opt)
	return p
}
