// The plan of a job: bag counts at the aim, where to stop and look, what a bay could hide, what to
// load. The formulas stand at fill, hides and loadOf.

package plan

import (
	"fmt"
	"math"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/crew"
	"bayproof/verify/measure"
	"bayproof/verify/stat"
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

// Section is the plan of one run of like bays. Densities are in kg/m³.
type Section struct {
	Section         *model.Section
	Bays            int            // planned: those in the log and those that the table counts
	Sized           int            // of these, measured or taken over in the log; the rest is taken as the typical bay
	Filled          int            // of these, filled
	Volume          float64        // m³
	Mass            float64        // kg at the aim
	Bags            float64        // at the aim; NaN without a bag weight
	BagsUsed        float64        // counted so far in the log
	HidesMin        float64        // m: least and largest of what its bays could hide
	HidesMax        float64        // m
	Ways            []Way          // ways of counting; the present one first
	Mean, SD        float64        // kg/m³: what the crew packs to, and its spread between bays
	Aim             float64        // kg/m³ that the plan packs to
	Target, Ceiling float64        // kg/m³
	FromLog         bool           // Mean and SD are those of the bays logged so far
	counting        model.Counting // as the settings say, else as the log does it
	weighed         bool           // every fill logged so far is weighed, or its part bag is
	meanU           float64        // kg/m³: standard uncertainty of Mean
}

// Bay is the plan of one bay.
type Bay struct {
	Section    *model.Section
	Bay        *model.Bay // nil while the log does not name it
	Name       string     // as the log names it, or as names count on
	Typical    bool       // sizes are the section's typical ones
	Filled     bool
	Volume     float64 // m³
	UVolume    float64 // m³, standard uncertainty
	uTape      float64 // m³: the same once its sizes are measured
	Length     float64 // m, of the bay itself
	Mass       float64 // kg at the aim
	Bags       float64 // at the aim, not rounded; NaN without a bag weight
	LookAt     float64 // bags, whole steps of the count: from it on the density is above the ceiling; NaN without a bag weight
	LookAtMass float64 // kg, the same for a weighed bay
	Hides      float64 // m: an empty length as long as this keeps the bay open 19 times in 20; a shorter one may pass
}

// Options are what the caller chooses.
type Options struct {
	Hold int    // how many bays to leave open for an inspector
	Seed uint64 // which ones: same job, same seed, same bays
}

// Make plans the job of the findings: the sections table and whatever bays were measured or filled
// so far. Sections without a planned bay are listed in Blind if the table counts bays in them. It
// changes nothing in the findings.
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
		known := map[int]float64{}
		for i := range bays {
			sec.fill(&bays[i], known)
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

// massStep is how finely the amount to look at of a weighed bay is said, in kg: half a pound.
const massStep = model.Pound / 2

// newSection starts the plan of a section. From weighFirst filled bays on, mean and spread are the
// crew's own as the findings have them, and the mean's standard uncertainty is √(s² + u²)/√n in
// kg/m³, of n bays that scatter by s, u being that of the pooled density; before that the mean is
// the aim, known to a share of it (crewMeanOff), and the spread that of the rule's prior
// (spreadShare).
func newSection(f *verify.Findings, s *model.Section, bays []Bay) Section {
	set := &s.Settings
	// Until the log shows better the crew is taken to pack to the aim, off by crewMeanOff as a
	// whole.
	sec := Section{
		Section: s, Bays: len(bays), BagsUsed: math.NaN(),
		Aim: set.Aim, Target: set.Target, Ceiling: set.Ceiling,
		Mean: set.Aim, SD: spreadShare * set.Target, meanU: crewMeanOff * set.Aim,
	}
	sec.counting, sec.weighed = countingOf(f.Job, s)
	for i := range f.Sections {
		g := &f.Sections[i]
		if g.Section != s || g.Bays == 0 {
			continue
		}
		sec.BagsUsed = g.Bags
		// The mean is known by as many bays as there are, and by the pooled figure's own
		// uncertainty.
		if g.Bays >= weighFirst && g.Mean > 0 && g.SD > 0 {
			sec.Mean, sec.SD, sec.FromLog = g.Mean, g.SD, true
			sec.meanU = math.Hypot(g.SD, g.U) / math.Sqrt(float64(g.Bays))
		}
	}
	return sec
}

// countingOf returns how a section's bags are counted: as the settings say, else running where its
// log has a counter, else ends; and whether its log weighs every fill, or its part bag.
func countingOf(job *model.Job, s *model.Section) (c model.Counting, weighed bool) {
	fills, scale := 0, 0
	c = s.Settings.Counting
	for _, b := range job.Bays {
		if b.Section != s || b.Fill == nil || b.Struck || b.Fill.Material.Shared {
			continue
		}
		fills++
		switch m := &b.Fill.Material; {
		case m.Kind == model.MaterialCounter && c == model.CountingUnsaid:
			c = model.CountingRunning
		case m.Kind == model.MaterialWeight || m.Part != 0:
			scale++
		}
	}
	if c == model.CountingUnsaid {
		c = model.CountingEnds
	}
	return c, fills > 0 && scale == fills
}

// fill completes one bay: what it takes at the aim, from what on to look at it, the void that could
// stay unseen. The last is computed once for bays whose volumes are alike, which known keeps by
// rounded ln(volume).
func (sec *Section) fill(b *Bay, known map[int]float64) {
	set := &b.Section.Settings
	g := newGauge(sec)
	b.Mass = sec.Aim * b.Volume
	b.Bags = b.Mass / g.bag
	b.LookAt = math.NaN()
	if g.bag > 0 && g.step > 0 {
		b.LookAt = g.step * lookAt(b, set.Ceiling, g.step*g.bag)
	}
	b.LookAtMass = massStep * lookAt(b, set.Ceiling, massStep)
	alike := int(math.Round(math.Log(b.Volume) / alikeVolumes))
	share, ok := known[alike]
	if !ok {
		share = sec.hides(b, g)
		known[alike] = share
	}
	b.Hides = share * b.Length
}

// hides returns the share e of a bay's length that, empty, keeps the bay open 19 times in 20 under
// the rule in force, from 0 to 1:
//
//	(1 − e)·μ + 1.645·√((u² + τ²)·(1 + 1/n)) = x
//
// x is the highest reading that the rule keeps open in a section of n bays packed to the aim, found
// by bisection over the rule itself, to a thousandth of the target. A bay with e of its length
// empty reads (1 − e)·μ on average, and one in twenty of its readings lies above x. u is what
// knowing the material is uncertain by; what the tape is off by moves the other bays too. The
// factor 1 + 1/n is that of a new reading beside a mean of n (derived here;
// TestHidesAgainstTheRule).
func (sec *Section) hides(b *Bay, g gauge) float64 {
	lot := sec.lot(b, g)
	own := math.Sqrt(lot.Own*lot.Own + lot.Count*lot.Count + sec.SD*sec.SD)
	low, high := 0.0, sec.Ceiling
	for range 12 { // to a thousandth of the target
		if mid := (low + high) / 2; sec.closes(lot, mid, own) {
			high = mid
		} else {
			low = mid
		}
	}
	material := g.uMass() / b.Volume
	spread := math.Sqrt((material*material + sec.SD*sec.SD) * (1 + 1/float64(max(sec.Bays, 1))))
	return math.Min(1, math.Max(0, 1-(low-verify.OneSided95*spread)/sec.Mean))
}

// lot returns what a bay at the section's mean density will be to the rule, once it is measured and
// blown to the stall.
func (sec *Section) lot(b *Bay, g gauge) measure.Lot {
	inf := math.Inf(1)
	l := measure.Lot{Volume: b.Volume, Density: sec.Mean, OwnDOF: inf, CommonDOF: inf, SharedDOF: inf, DOF: inf,
		Own: sec.Mean * b.uTape / b.Volume, Common: sec.Mean * bagShare(&b.Section.Settings)}
	switch u := g.uMass() / b.Volume; {
	case g.weigh > 0 && math.IsNaN(g.bag):
		l.Own, l.Common = math.Hypot(l.Own, u), 0
	case g.weigh > 0:
		l.Own = math.Hypot(l.Own, u)
	default:
		l.Count, l.PerBag = u, g.bag/b.Volume
		if g.counting == model.CountingFresh {
			l.Interval = g.step * g.bag / 2 / b.Volume
		}
	}
	l.U = math.Sqrt(l.Own*l.Own + l.Count*l.Count + l.Common*l.Common)
	return l
}

// closes tells whether a bay that reads so many kg/m³ closes among others that read as a crew's at
// the section's mean do, at even quantiles of N(mean, sd²). At most mostOthers others: more would
// not change the answer by what matters here.
func (sec *Section) closes(lot measure.Lot, reads, sd float64) bool {
	set := &sec.Section.Settings
	lots := []measure.Lot{lot}
	lots[0].Density = reads
	if set.Rule == model.RuleGuarded {
		return lots[0].ProbAtLeast(sec.Target) >= set.Confidence
	}
	others := min(sec.Bays, mostOthers+1) - 1
	for i := range others {
		lot.Density = sec.Mean + sd*stat.NormalQuantile((float64(i)+0.5)/float64(others))
		lots = append(lots, lot)
	}
	p := &crew.Judge(lots, sec.Target, crew.Seen{}).Lots[0]
	return p.ProbAtTarget >= set.Confidence && !p.ShortOfCrew()
}

// sum adds up the bays: volume in m³, mass in kg and bags at the aim, and the range of what they
// could hide in m.
func (sec *Section) sum(bays []Bay) {
	sec.HidesMin, sec.HidesMax = math.Inf(1), math.Inf(-1)
	for i := range bays {
		b := &bays[i]
		sec.Volume += b.Volume
		sec.Mass += b.Mass
		sec.Bags += b.Bags
		sec.HidesMin, sec.HidesMax = math.Min(sec.HidesMin, b.Hides), math.Max(sec.HidesMax, b.Hides)
		if !b.Typical {
			sec.Sized++
		}
		if b.Filled {
			sec.Filled++
		}
	}
}

// Load is what to bring.
type Load struct {
	Expected float64 // bags that the whole job takes at the aim; NaN without a bag weight
	U        float64 // bags, standard uncertainty: sizes not measured, the crew's mean, the bag weight
	Bags     float64 // whole bags to load for the whole job
	Left     float64 // whole bags still to be loaded for, after those the log counts; equal to Bags before the first
	Used     float64 // bags counted in the log
	Mass     float64 // kg that the job takes at the aim
	Chance   float64 // of not running out
}

// loadOf adds up what is to go in. With n bags to go into a bay of volume V, in bags²,
//
//	U² = Σ over sections (Σ n·u(V)/V)² + (Σ n·u(mean)/mean)² + (Σ n·u(bag)/bag)²
//
// What is off together is added before it is squared: sizes that were not measured within a
// section, the crew's mean and the bag weight over the whole job. Bags in the log are known. What
// to load is the bags used, Σ n, and z·U with z the normal quantile of the chance of not running
// out, rounded up to whole bags.
func loadOf(p *Plan) Load {
	l := Load{Chance: loadChance}
	// Variances in bags². What is off together is added before it is squared: sizes within a
	// section, the crew's mean over the job.
	var sizes2, crew, rest, bagWeightShare float64
	for i := range p.Sections {
		sec := &p.Sections[i]
		set := &sec.Section.Settings
		bag := BagWeight(set)
		var off float64
		for j := range p.Bays {
			b := &p.Bays[j]
			if b.Section != sec.Section {
				continue
			}
			l.Mass += b.Mass
			if b.Filled {
				continue
			}
			bags := packTo(sec) * b.Volume / bag / (1 - set.Spill)
			rest += bags
			off += bags * b.UVolume / b.Volume
			crew += bags * sec.meanU / packTo(sec)
		}
		sizes2 += off * off
		bagWeightShare = bagShare(set)
		if sec.BagsUsed > 0 {
			l.Used += sec.BagsUsed
		}
	}
	l.U = math.Sqrt(sizes2 + crew*crew + rest*rest*bagWeightShare*bagWeightShare)
	l.Expected = l.Used + rest
	l.Left = math.Max(0, math.Ceil(rest+stat.NormalQuantile(loadChance)*l.U-1e-9))
	l.Bags = math.Ceil(l.Used + rest + stat.NormalQuantile(loadChance)*l.U - 1e-9)
	return l
}

// packTo returns the density in kg/m³ that the rest of the section will be packed to: the crew's
// own mean once the log shows it, else the aim.
func packTo(sec *Section) float64 {
	if sec.FromLog {
		return sec.Mean
	}
	return sec.Aim
}

// What the forecasts assume. They move no verdict.
const (
	weighFirst   = 3     // bays: so many show a crew's mean and spread well enough to plan by
	spreadShare  = 0.035 // of the target: spread between bays of one crew, the median of the rule's prior
	learning     = 0.074 // of the target: see closeProb
	crewMeanOff  = 0.05  // of the aim: how far a crew's mean may lie from what it packs to
	loadChance   = 0.95  // of not running out
	doubtShare   = 0.85  // of the doubt with known mean and spread: see closeProb
	goodShare    = 0.80  // of the good bays that a plan wants closed
	alikeVolumes = 0.02  // relative difference of volumes below which bays could hide the same share
	mostOthers   = 23    // bays beside one that could hide something
	aimStepLbFt3 = 0.05  // lb/ft³: how finely an aim is proposed
)

// Assumptions lists what the forecasts rest on besides the job's files: whoever plans by them
// should be able to see that they are assumed, and where each comes from.
func Assumptions() []verify.Constant {
	own := "this tool's own choice; moves no verdict"
	pct := func(x float64) string { return fmt.Sprintf("%g", 100*x) }
	return []verify.Constant{
		{Name: "spread between bays", Value: pct(spreadShare), Unit: "% of the target", Source: "median of the decision rule's prior", Use: "closing forecast, what a bay could hide, until the log shows the crew's own"},
		{Name: "doubt left by the rule", Value: pct(doubtShare), Unit: "% of that with the prior's spread", Source: own + "; fitted to the decision rule", Use: "closing forecast"},
		{Name: "mean and spread still being learned", Value: pct(learning), Unit: "% of the target", Source: own + "; fitted to the decision rule", Use: "closing forecast"},
		{Name: "crew's mean against the aim", Value: pct(crewMeanOff), Unit: "% of the aim, one standard deviation", Source: own, Use: "what to load"},
		{Name: "chance of not running out", Value: pct(loadChance), Unit: "%", Source: own, Use: "what to load"},
		{Name: "good bays closed", Value: pct(goodShare), Unit: "%", Source: own, Use: "aim and way of counting that are proposed"},
		{Name: "sizes not measured", Value: "1/4, 1", Unit: "in: width and depth, length", Source: own, Use: "volume of a typical bay"},
	}
}
