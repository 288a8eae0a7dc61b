package model

// Settings are the values that verdicts rest on, resolved for a job or a section.
// The table SettingDefs names each, its kind, default and meaning; From says where each value came from.
type Settings struct {
	Job, Site, Crew, Installer, Program, WorkOrder, Date string
	Material, Manufacturer, Product, Lot, Delivery       string
	Units                                                System
	Target, Aim, Ceiling                                 float64 // kg/m³
	Rule                                                 Rule
	Confidence                                           float64
	Counting                                             Counting
	BagWeight                                            float64   // kg net; NaN when not given
	BagWithin                                            float64   // share
	BagChecks                                            []float64 // kg, as weighed
	BagTare                                              float64   // kg; 0 when none
	BagStep                                              float64   // bags
	WeighWithin                                          float64   // kg
	WidthWithin, DepthWithin, LengthWithin               float64   // m
	Throw                                                float64   // m
	Spill                                                float64   // share
	BagsLoaded, BagsLeft                                 float64   // bags; NaN when not given
	BlowerPressure, CFM50Before, CFM50After              float64   // Pa, m³/s; NaN when not given
	PhotoPlace                                           bool
	From                                                 map[string]Origin // by setting name; absent means OriginDefault
	Raw                                                  map[string]string // the value as written, by setting name; absent means the default of the table
}

// Flagged tells whether any value came from the command line.
func (s *Settings) Flagged() bool {
	for _, from := range s.From {
		if from == OriginFlag {
			return true
		}
	}
	return false
}

// Bag is the net weight of a bag in kg that holds: the mean of weighed bags less the tare, else the label's; NaN where
// neither is given.
func (s *Settings) Bag() float64 {
	if len(s.BagChecks) > 0 {
		return mean(s.BagChecks) - s.BagTare
	}
	return s.BagWeight
}

// Origin says where a setting's value came from.
type Origin uint8

const (
	OriginDefault Origin = iota
	OriginJob
	OriginSection
	OriginFlag
)

// System is the family of units that a job is written and shown in.
type System uint8

const (
	US System = iota
	SI
)

// Rule is how a verdict is reached from the evidence.
type Rule uint8

const (
	RuleProcess Rule = iota // with prior knowledge of the process (JCGM 106)
	RuleGuarded             // the measurement alone, with a guard band (JCGM 106)
)

// Counting says which readings of the hopper a bay's count rests on.
type Counting uint8

const (
	CountingUnsaid  Counting = iota // running with counter, ends with bags
	CountingEnds                    // start and end of each bay are read by themselves
	CountingFresh                   // each bay starts from an exact level, only its end is read
	CountingRunning                 // a bay starts where the last one ended
)
