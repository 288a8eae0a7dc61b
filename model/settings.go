package model

import (
	"slices"
	"strings"
)

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
	ToStall                                              Answer    // every bay is blown until the flow stops, unless its row says no
	DepthChecks                                          []float64 // m: a second person's depth less the crew's
	Lang                                                 string    // en or es
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

// SettingKind says what a setting's text must be.
type SettingKind uint8

const (
	SettingText        SettingKind = iota // free text
	SettingDate                           // 2026-03-02
	SettingWord                           // one of Choices
	SettingYesNo                          // yes or no
	SettingCount                          // a plain number
	SettingShare                          // a number up to 1, or a percentage
	SettingQuantity                       // a number with a unit
	SettingWeights                        // weights with ; between
	SettingDifferences                    // quantities with ; between that may be below zero
)

// Bearing says whether a verdict rests on a setting, and with that when it is told beside the verdicts: from a flag
// always, since the job's files alone may give another verdict.
type Bearing uint8

const (
	BearsNothing Bearing = iota // printed, and no verdict rests on it
	BearsFact                   // a fact about the job: it has no usual value, and is told only where a flag gives it
	BearsChoice                 // it can be left unsaid: whatever differs from the default is told
)

// SettingDef describes one setting. Every name is a column of job.csv's first field, a further column of a log of many
// jobs, and a flag.
type SettingDef struct {
	Name      string
	Kind      SettingKind
	Show      Display  // SettingQuantity, SettingWeights: what kind of figure it is
	Choices   []string // SettingWord
	Default   string   // as it would be written; empty where there is none
	Meaning   string
	Bears     Bearing // whether a verdict rests on it
	BySection bool    // a section's row may override the job
	Zero      bool    // 0 is accepted
	Min, Max  float64 // SI, the range beyond which a value is a slip; 0 where there is no such limit
	// Field points into s: a *string, *float64, *[]float64, *bool, *Answer, *System, *Rule or *Counting.
	Field func(s *Settings) any
}

// Flag is the setting's flag without the dashes.
func (d SettingDef) Flag() string { return strings.ReplaceAll(d.Name, "_", "-") }

// Number returns the setting's number in SI; false where it is not a single number.
func (d SettingDef) Number(s *Settings) (float64, bool) {
	if p, ok := d.Field(s).(*float64); ok {
		return *p, true
	}
	return 0, false
}

// Weights returns the setting's list in SI, nil where it holds none.
func (d SettingDef) Weights(s *Settings) []float64 {
	if p, ok := d.Field(s).(*[]float64); ok {
		return *p
	}
	return nil
}

// Word returns the setting's text or chosen word; false where it is a number or a list.
func (d SettingDef) Word(s *Settings) (string, bool) {
	switch p := d.Field(s).(type) {
	case *string:
		return *p, true
	case *System:
		return p.String(), true
	case *Rule:
		return p.String(), true
	case *Counting:
		return p.String(), true
	case *Answer:
		return p.String(), true
	case *bool:
		if *p {
			return "yes", true
		}
		return "no", true
	}
	return "", false
}

// SetWord sets a text or a choice; false where w is none of the choices.
func (d SettingDef) SetWord(s *Settings, w string) (ok bool) {
	switch p := d.Field(s).(type) {
	case *string:
		if ok = d.Choices == nil || slices.Contains(d.Choices, w); ok {
			*p = w
		}
	case *System:
		*p, ok = ParseSystem(w)
	case *Rule:
		*p, ok = ParseRule(w)
	case *Counting:
		*p, ok = ParseCounting(w)
	case *Answer:
		*p, ok = ParseAnswer(w)
	case *bool:
		var a Answer
		a, ok = ParseAnswer(w)
		*p = a == Yes
	}
	return ok
}

// SettingDefs returns the table of all settings in the order in which `fields` prints them.
func SettingDefs() []SettingDef {
	var defs []SettingDef
	defs = append(defs, nameDefs()...)
	defs = append(defs, materialDefs()...)
	defs = append(defs, verdictDefs()...)
	defs = append(defs, countDefs()...)
	defs = append(defs, tapeDefs()...)
	return append(defs, evidenceDefs()...)
}

// text makes the definition of a free text.
func text(name, fallback, meaning string, field func(*Settings) any) SettingDef {
	return SettingDef{Name: name, Kind: SettingText, Default: fallback, Meaning: meaning, Field: field}
}

// nameDefs are the settings that say which job it is.
func nameDefs() []SettingDef {
	return []SettingDef{
		text("job", "", "name of the job; the folder's name where none is given", func(s *Settings) any { return &s.Job }),
		text("site", "", "where the job is", func(s *Settings) any { return &s.Site }),
		text("crew", "", "who did the work", func(s *Settings) any { return &s.Crew }),
		text("installer", "", "the company", func(s *Settings) any { return &s.Installer }),
		text("program", "", "the program that pays", func(s *Settings) any { return &s.Program }),
		text("work_order", "", "its number for the job", func(s *Settings) any { return &s.WorkOrder }),
		{Name: "date", Kind: SettingDate, Meaning: "day of the work, 2026-03-02; a time of 14:20 in the log takes it",
			Field: func(s *Settings) any { return &s.Date }},
		{Name: "units", Kind: SettingWord, Bears: BearsFact, Choices: []string{"us", "si"}, Default: "us",
			Meaning: "units of bare numbers and of results", Field: func(s *Settings) any { return &s.Units }},
		{Name: "lang", Kind: SettingWord, Choices: []string{"en", "es"}, Default: "en", Meaning: "what the crew reads", Field: func(s *Settings) any { return &s.Lang }},
	}
}

// materialDefs are the settings that say what was blown.
func materialDefs() []SettingDef {
	return []SettingDef{
		{Name: "material", Kind: SettingText, Bears: BearsChoice, Default: "cellulose",
			Meaning: "kind of material; a mineral fibre or damp-sprayed one needs a target of its own", Field: func(s *Settings) any { return &s.Material }},
		text("manufacturer", "", "who made it", func(s *Settings) any { return &s.Manufacturer }),
		text("product", "", "its name on the bag", func(s *Settings) any { return &s.Product }),
		text("lot", "", "lot number on the bag", func(s *Settings) any { return &s.Lot }),
		text("delivery", "", "delivery note", func(s *Settings) any { return &s.Delivery }),
	}
}

// verdictDefs are the settings that a verdict is taken against. 3.5 lb/ft3 is published (Standard Work Specifications
// 4.1103.1); 3.7 and 4.5 are common practice. Below 0.5 lb/ft3 and beyond Densest no loose fill packs: such a value is in
// another unit.
func verdictDefs() []SettingDef {
	density := func(name, fallback, meaning string, field func(*Settings) any) SettingDef {
		return SettingDef{Name: name, Kind: SettingQuantity, Show: ShowDensity, Bears: BearsChoice, Default: fallback, Meaning: meaning, BySection: true,
			Min: 0.5 * PoundPerCubicFoot, Max: Densest, Field: field}
	}
	return []SettingDef{
		density("target", "3.5 lb/ft3", "least density that is accepted", func(s *Settings) any { return &s.Target }),
		density("aim", "3.7 lb/ft3", "density that the crew packs to", func(s *Settings) any { return &s.Aim }),
		density("ceiling", "4.5 lb/ft3", "above this the material cannot all be in the bay", func(s *Settings) any { return &s.Ceiling }),
		{Name: "to_stall", Kind: SettingYesNo, Meaning: "yes: every bay is blown until the flow stops, unless its row says no",
			Field: func(s *Settings) any { return &s.ToStall }},
		{Name: "rule", Kind: SettingWord, Bears: BearsChoice, Choices: []string{"process", "guarded"}, Default: "process",
			Meaning: "process: the crew's other bays are evidence; guarded: each bay by its own measurement", Field: func(s *Settings) any { return &s.Rule }},
		{Name: "confidence", Kind: SettingShare, Bears: BearsChoice, Default: "0.95", Meaning: "how sure a verdict must be, above 0.5 and below 1",
			Field: func(s *Settings) any { return &s.Confidence }},
	}
}

// countDefs are the settings about bags and how they are counted. The ±1.5 % follows from the allowable variation of
// labelled weights (NIST Handbook 133, from memory). A bag of loose fill weighs some 5 to 25 kg; 1 to 60 kg is taken.
func countDefs() []SettingDef {
	return []SettingDef{
		{Name: "counting", Kind: SettingWord, Bears: BearsChoice, Choices: []string{"ends", "fresh", "running"}, BySection: true,
			Meaning: "ends: start and end of each bay are read by themselves; fresh: each starts from an exact level; running: it starts where the last ended. Without it running with counter, ends with bags",
			Field:   func(s *Settings) any { return &s.Counting }},
		{Name: "bag_weight", Kind: SettingQuantity, Show: ShowMass, Bears: BearsFact, Meaning: "net weight of a bag; needed where bags are counted",
			Min: 1, Max: 60, Field: func(s *Settings) any { return &s.BagWeight }},
		{Name: "bag_within", Kind: SettingShare, Bears: BearsChoice, Default: "1.5 %", Meaning: "± limit on the average net weight of the job's bags",
			Zero: true, Max: 0.2, Field: func(s *Settings) any { return &s.BagWithin }},
		{Name: "bag_checks", Kind: SettingWeights, Show: ShowMass, Bears: BearsFact, Meaning: "weighed bags, 25.3; 25.1; 25.2; their mean replaces the label",
			Min: 1, Max: 60, Field: func(s *Settings) any { return &s.BagChecks }},
		{Name: "bag_tare", Kind: SettingQuantity, Show: ShowMass, Bears: BearsChoice, Default: "0", Meaning: "weight of an empty wrapper, where bags were weighed in it",
			Zero: true, Max: 5, Field: func(s *Settings) any { return &s.BagTare }},
		{Name: "bag_step", Kind: SettingCount, Bears: BearsChoice, Default: "1/4", Meaning: "smallest part of a bag that the crew tells apart", BySection: true,
			Max: 1, Field: func(s *Settings) any { return &s.BagStep }},
		{Name: "weigh_within", Kind: SettingQuantity, Show: ShowMass, Bears: BearsChoice, Default: "1 lb", Meaning: "± of a weighed mass: scale, hose and paddle corners",
			BySection: true, Zero: true, Max: 20, Field: func(s *Settings) any { return &s.WeighWithin }},
		{Name: "bags_loaded", Kind: SettingCount, Meaning: "bags that went out with the truck", Zero: true, Field: func(s *Settings) any { return &s.BagsLoaded }},
		{Name: "bags_left", Kind: SettingCount, Meaning: "bags that came back", Zero: true, Field: func(s *Settings) any { return &s.BagsLeft }},
		{Name: "spill", Kind: SettingShare, Bears: BearsChoice, Default: "0", Meaning: "share of the material that never reaches a bay", Zero: true, Max: 0.5,
			Field: func(s *Settings) any { return &s.Spill }},
	}
}

// tapeDefs are the settings about the tape and the tube.
func tapeDefs() []SettingDef {
	within := func(name, fallback, of string, field func(*Settings) any) SettingDef {
		return SettingDef{Name: name, Kind: SettingQuantity, Show: ShowSize, Bears: BearsChoice, Default: fallback, BySection: true, Zero: true, Max: Foot,
			Meaning: "± of one tape reading of a " + of, Field: field}
	}
	return []SettingDef{
		within("width_within", "1/8 in", "width", func(s *Settings) any { return &s.WidthWithin }),
		within("depth_within", "1/4 in", "depth", func(s *Settings) any { return &s.DepthWithin }),
		within("length_within", "1/2 in", "length", func(s *Settings) any { return &s.LengthWithin }),
		{Name: "depth_checks", Kind: SettingDifferences, Show: ShowSize, Meaning: "a second person's depth less the crew's, five or more: 1/8; 0; -1/16; 0; 1/8",
			Zero: true, Max: Foot, Field: func(s *Settings) any { return &s.DepthChecks }},
		{Name: "throw", Kind: SettingQuantity, Show: ShowLength, Bears: BearsChoice, Default: "1 ft", Meaning: "how far past the tube's tip material packs",
			BySection: true, Zero: true, Max: 10 * Foot, Field: func(s *Settings) any { return &s.Throw }},
	}
}

// evidenceDefs are the settings that the record prints and no verdict rests on.
func evidenceDefs() []SettingDef {
	flow := func(name, meaning string, field func(*Settings) any) SettingDef {
		return SettingDef{Name: name, Kind: SettingQuantity, Show: ShowFlow, Meaning: meaning, Field: field}
	}
	return []SettingDef{
		{Name: "blower_pressure", Kind: SettingQuantity, Show: ShowPressure, Max: 100000,
			Meaning: "at the end of the hose, feed off; under 80 in of water is a warning", Field: func(s *Settings) any { return &s.BlowerPressure }},
		flow("cfm50_before", "air leakage of the house at 50 Pa before the work", func(s *Settings) any { return &s.CFM50Before }),
		flow("cfm50_after", "air leakage of the house at 50 Pa after the work", func(s *Settings) any { return &s.CFM50After }),
		{Name: "photo_place", Kind: SettingYesNo, Default: "no", Meaning: "keep the place that a photo's file states", Field: func(s *Settings) any { return &s.PhotoPlace }},
	}
}

// String returns us or si.
func (s System) String() string {
	if s == SI {
		return "si"
	}
	return "us"
}

// ParseSystem reads us or si.
func ParseSystem(s string) (System, bool) {
	i, ok := word(s, []string{"us", "si"})
	return System(i), ok
}

// String returns process or guarded.
func (r Rule) String() string {
	if r == RuleGuarded {
		return "guarded"
	}
	return "process"
}

// ParseRule reads process or guarded.
func ParseRule(s string) (Rule, bool) {
	i, ok := word(s, []string{"process", "guarded"})
	return Rule(i), ok
}

// String returns ends, fresh, running, or nothing.
func (c Counting) String() string {
	switch c {
	case CountingEnds:
		return "ends"
	case CountingFresh:
		return "fresh"
	case CountingRunning:
		return "running"
	}
	return ""
}

// ParseCounting reads ends, fresh or running.
func ParseCounting(s string) (Counting, bool) {
	i, ok := word(s, []string{"ends", "fresh", "running"})
	if !ok {
		return CountingUnsaid, false
	}
	return CountingEnds + Counting(i), true
}

// String says where a setting's value came from.
func (o Origin) String() string {
	switch o {
	case OriginJob:
		return "job.csv"
	case OriginSection:
		return "sections.csv"
	case OriginFlag:
		return "flag"
	}
	return "default"
}
