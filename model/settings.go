package model

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// Settings are the values that verdicts rest on, resolved for a job or a section: a flag's, else
// that of the section's row, else the job's own, else the default (model/joblog.Resolver). The
// table SettingDefs has a row for each; From says where each value came from, so that what differs
// from the default can be told beside every verdict.
type Settings struct {
	Job, Site, Crew, Installer, Program, WorkOrder, Date string
	Material, Manufacturer, Product, Lot, Delivery       string
	Units                                                System
	Target, Aim, Ceiling                                 float64 // kg/m³
	Rule                                                 Rule
	Confidence                                           float64
	Counting                                             Counting
	BagWeight                                            float64           // kg net; NaN when not given
	BagWithin                                            float64           // share
	BagChecks                                            []float64         // kg, as weighed
	BagTare                                              float64           // kg; 0 when none
	BagStep                                              float64           // bags
	WeighWithin                                          float64           // kg
	WidthWithin, DepthWithin, LengthWithin               float64           // m
	Throw                                                float64           // m
	Spill                                                float64           // share
	BagsLoaded, BagsLeft                                 float64           // bags; NaN when not given
	BlowerPressure, CFM50Before, CFM50After              float64           // Pa, m³/s; NaN when not given
	ToStall                                              Answer            // every bay is blown until the flow stops, unless its row says no
	DepthChecks                                          []float64         // m: a second person's depth less the crew's
	Lang                                                 string            // en or es
	From                                                 map[string]Origin // by setting name; absent means OriginDefault
	Raw                                                  map[string]string // the value as written, by setting name; absent means the default of the table
	Overruled                                            []Overruled       // values of the job's or the section's own that the program's terms put aside
}

// Overruled is a value that a job gives and that is not used, because the program's terms govern
// it.
type Overruled struct {
	Name      string
	Own, Used string // as the table writes them, in the job's units
	Src       Place  // of the own one
	Value     any    // of the own one: a pointer of the type that SettingDef.Field has
}

// UnderOwn does something with a job whose own values hold where its program's terms put them
// aside, and puts the terms back.
func (j *Job) UnderOwn(do func()) {
	all := []*Settings{&j.Settings}
	for _, s := range j.Sections {
		all = append(all, &s.Settings)
	}
	for _, s := range all {
		governed := *s
		defer func() { *s = governed }()
		for _, o := range s.Overruled {
			for _, d := range settingDefs {
				if d.Name == o.Name {
					reflect.ValueOf(d.Field(s)).Elem().Set(reflect.ValueOf(o.Value).Elem())
				}
			}
		}
	}
	do()
}

// DepthOff returns by how much every depth of the job was read too small, in m: the mean of what a
// second person's tape reads more at the crew's marks; 0 where nobody checked.
func (s *Settings) DepthOff() float64 {
	if len(s.DepthChecks) == 0 {
		return 0
	}
	return mean(s.DepthChecks)
}

// Flagged names the settings that a verdict rests on and that came from the command line, in the
// order of the table: without them the job's files may give other verdicts.
func (s *Settings) Flagged() (names []string) {
	for i := range settingDefs {
		if name := settingDefs[i].Name; settingDefs[i].Bears != BearsNothing && s.From[name] == OriginFlag {
			names = append(names, name)
		}
	}
	return names
}

// Bag returns the net weight of a bag in kg that holds: the mean of weighed bags less the tare,
// else the label's; NaN where neither is given.
func (s *Settings) Bag() float64 {
	if len(s.BagChecks) > 0 {
		return mean(s.BagChecks) - s.BagTare
	}
	return s.BagWeight
}

// Origin says where a setting's value came from, the weaker first: a flag holds against all others.
type Origin uint8

const (
	OriginDefault Origin = iota
	OriginJob
	OriginSection
	OriginTerms // the program's, or of a review without one its defaults
	OriginFlag
)

// System is the family of units that a job is written and shown in. It decides what a bare number
// means, and nothing else: quantities are SI as soon as they are read.
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

// Counting says which readings of the hopper a bay's count rests on, and so how uncertain it is:
// two readings of its own (ends), one (fresh), or two that it shares with its neighbors, so that
// what one bay has too much the next has too little (running). verify/measure turns that into a
// standard uncertainty.
type Counting uint8

const (
	CountingUnsaid  Counting = iota // running with counter, ends with bags
	CountingEnds                    // start and end of each bay are read by themselves
	CountingFresh                   // each bay starts from an exact level, only its end is read
	CountingRunning                 // a bay starts where the last one ended
)

// SettingKind says what a setting's text must be; from SettingCount on they are numbers. The field
// of each kind is the Go type that holds it, see SettingDef.Field.
type SettingKind uint8

const (
	SettingText        SettingKind = iota // free text
	SettingDate                           // 2026-03-02
	SettingWord                           // one of Choices
	SettingCount                          // a plain number
	SettingShare                          // a number up to 1, or a percentage
	SettingQuantity                       // a number with a unit
	SettingWeights                        // weights with ; between
	SettingDifferences                    // quantities with ; between that may be below zero
)

// Bearing says whether a verdict rests on a setting, and with that when it is told beside the
// verdicts: from a flag always, since the job's files alone may give another verdict.
type Bearing uint8

const (
	BearsNothing Bearing = iota // printed, and no verdict rests on it
	BearsFact                   // a fact about the job: it has no usual value, and is told only where a flag gives it
	BearsChoice                 // it can be left unsaid: whatever differs from the default is told
)

// SettingDef is the row of a setting: everything about it but where its value is kept. Every name
// is a row of job.csv, a further column of a log of many jobs, and a flag; manual, completion,
// record and sources follow from the row. A new setting is a row here and its field in Settings.
type SettingDef struct {
	Name      string
	Kind      SettingKind
	Show      Display  // SettingQuantity, SettingWeights, SettingDifferences: what kind of figure it is, and so the unit of a bare number
	Choices   []string // SettingWord
	Default   string   // as it would be written, its bare numbers in US units; empty where there is none
	Meaning   string   // for the manual, the help of the flag and the record
	Bears     Bearing  // whether a verdict rests on it
	BySection int      // its place among the columns of sections.csv that override the job's settings, from 1; 0 where none may
	OneJob    bool     // it belongs to one job: a crew's defaults for the next one never hold it
	Personal  bool     // it says who or where: left out of copies that are given away blanked
	Zero      bool     // 0 is accepted
	Min, Max  float64  // SI, the range beyond which a value is a slip; 0 where there is no such limit
	// Field points into s: a *string, *float64, *[]float64, *Answer, *System, *Rule or *Counting.
	Field func(s *Settings) any
}

// SettingDefs returns the table of all settings in the order in which `fields` prints them.
func SettingDefs() []SettingDef { return slices.Clone(settingDefs) }

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
	case fmt.Stringer: // Answer, System, Rule, Counting
		return p.String(), true
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
	}
	return ok
}

// AimOverTarget is the aim over the target where none is given: 3.85 over 3.5 lb/ft³, what counts
// to a quarter of a bag need to show the target. Source: own simulation, verify/crew/SIMULATION.md.
const AimOverTarget = 1.1

// Limits of settings. Below 0.5 lb/ft3 and beyond Densest no loose fill packs, a bag of it weighs
// some 5 to 25 kg: what lies outside is in another unit.
const (
	loosest     = 0.5 * PoundPerCubicFoot
	lightestBag = 1  // kg
	heaviestBag = 60 // kg
)

// settingDefs is the table. Sources: the target of 3.5 lb/ft3 is published (Standard Work
// Specifications 4.1103.1); the aim is AimOverTarget of it; the ceiling is common practice. The
// ±1.5 % of a bag follows from the allowable variation of labelled weights (NIST Handbook 133, from
// memory).
var settingDefs = []SettingDef{
	// Which job it is.
	{Name: "job", OneJob: true, Personal: true, Meaning: "name of the job; else the folder's name", Field: func(s *Settings) any { return &s.Job }},
	{Name: "site", OneJob: true, Personal: true, Meaning: "where the job is", Field: func(s *Settings) any { return &s.Site }},
	{Name: "crew", Personal: true, Meaning: "who did the work", Field: func(s *Settings) any { return &s.Crew }},
	{Name: "installer", Personal: true, Meaning: "the company", Field: func(s *Settings) any { return &s.Installer }},
	{Name: "program", Personal: true, Meaning: "the program that pays", Field: func(s *Settings) any { return &s.Program }},
	{Name: "work_order", OneJob: true, Personal: true, Meaning: "its number for the job", Field: func(s *Settings) any { return &s.WorkOrder }},
	{Name: "date", Kind: SettingDate, OneJob: true, Meaning: "day of the work, 2026-03-02; a time of 14:20 in the log is on it",
		Field: func(s *Settings) any { return &s.Date }},
	{Name: "units", Kind: SettingWord, Bears: BearsFact, Choices: systemWords, Default: "us",
		Meaning: "units of bare numbers and of results", Field: func(s *Settings) any { return &s.Units }},
	{Name: "lang", Kind: SettingWord, Choices: []string{"en", "es"}, Default: "en", Meaning: "language of the crew's screens, sheets and phone page: en or es", Field: func(s *Settings) any { return &s.Lang }},

	// What was blown.
	{Name: "material", Bears: BearsChoice, Default: "cellulose",
		Meaning: "kind of material; a mineral fiber or damp-sprayed one needs a target of its own", Field: func(s *Settings) any { return &s.Material }},
	{Name: "manufacturer", Meaning: "who made it", Field: func(s *Settings) any { return &s.Manufacturer }},
	{Name: "product", Meaning: "its name on the bag", Field: func(s *Settings) any { return &s.Product }},
	{Name: "lot", OneJob: true, Meaning: "lot number on the bag", Field: func(s *Settings) any { return &s.Lot }},
	{Name: "delivery", OneJob: true, Personal: true, Meaning: "delivery note", Field: func(s *Settings) any { return &s.Delivery }},

	// What a verdict is taken against. Of a bay it is asked whether its density reaches the target,
	// and how surely.
	{Name: "target", Kind: SettingQuantity, Show: ShowDensity, Bears: BearsChoice, Default: "3.5 lb/ft3", BySection: 1, Min: loosest, Max: Densest,
		Meaning: "least density that passes", Field: func(s *Settings) any { return &s.Target }},
	{Name: "aim", Kind: SettingQuantity, Show: ShowDensity, Bears: BearsChoice, Default: "3.85 lb/ft3", BySection: 2, Min: loosest, Max: Densest,
		Meaning: "density that the crew packs to; else 1.1 times the target", Field: func(s *Settings) any { return &s.Aim }},
	{Name: "ceiling", Kind: SettingQuantity, Show: ShowDensity, Bears: BearsChoice, Default: "4.5 lb/ft3", BySection: 3, Min: loosest, Max: Densest,
		Meaning: "above this the material can't all be in the bay", Field: func(s *Settings) any { return &s.Ceiling }},
	{Name: "to_stall", Kind: SettingWord, Bears: BearsFact, OneJob: true, Choices: answerWords[:2],
		Meaning: "yes: every bay is blown to the stall unless its row says no or ?. Without it, or stall yes, a count gets no credit from the crew's other bays", Field: func(s *Settings) any { return &s.ToStall }},
	{Name: "rule", Kind: SettingWord, Bears: BearsChoice, Choices: ruleWords, Default: "process",
		Meaning: "process: the crew's other bays count too; guarded: each bay by its own measurement", Field: func(s *Settings) any { return &s.Rule }},
	{Name: "confidence", Kind: SettingShare, Bears: BearsChoice, Default: "0.95",
		Meaning: "how sure a verdict must be, above 0.5 and below 1", Field: func(s *Settings) any { return &s.Confidence }},

	// Bags and how they are counted. The weight of a bag has no default: without it a count says
	// nothing.
	{Name: "counting", Kind: SettingWord, Bears: BearsChoice, Choices: countingWords, BySection: 5,
		Meaning: "ends: start and end of each bay are read; fresh: each bay starts from an exact level; running: it starts where the last one ended. Else running with counter, ends with bags",
		Field:   func(s *Settings) any { return &s.Counting }},
	{Name: "bag_weight", Kind: SettingQuantity, Show: ShowMass, Bears: BearsFact, Min: lightestBag, Max: heaviestBag,
		Meaning: "net weight of a bag; needed if you count bags", Field: func(s *Settings) any { return &s.BagWeight }},
	{Name: "bag_within", Kind: SettingShare, Bears: BearsChoice, Default: "1.5 %", Zero: true, Max: 0.2,
		Meaning: "± limit on the average net weight of the job's bags", Field: func(s *Settings) any { return &s.BagWithin }},
	{Name: "bag_checks", Kind: SettingWeights, Show: ShowMass, Bears: BearsFact, OneJob: true, Min: lightestBag, Max: heaviestBag,
		Meaning: "weighed bags, 25.3; 25.1; 25.2; their mean replaces the label", Field: func(s *Settings) any { return &s.BagChecks }},
	{Name: "bag_tare", Kind: SettingQuantity, Show: ShowMass, Bears: BearsChoice, Default: "0", OneJob: true, Zero: true, Max: 5,
		Meaning: "weight of an empty wrapper, if bags were weighed in it", Field: func(s *Settings) any { return &s.BagTare }},
	{Name: "bag_step", Kind: SettingCount, Bears: BearsChoice, Default: "1/4", BySection: 4, Max: 1,
		Meaning: "smallest part of a bag that the crew tells apart", Field: func(s *Settings) any { return &s.BagStep }},
	{Name: "weigh_within", Kind: SettingQuantity, Show: ShowMass, Bears: BearsChoice, Default: "1 lb", BySection: 7, Zero: true, Max: 20,
		Meaning: "± of a weighed mass: scale, hose and paddle corners", Field: func(s *Settings) any { return &s.WeighWithin }},
	{Name: "bags_loaded", Kind: SettingCount, OneJob: true, Zero: true,
		Meaning: "bags that went out with the truck", Field: func(s *Settings) any { return &s.BagsLoaded }},
	{Name: "bags_left", Kind: SettingCount, OneJob: true, Zero: true,
		Meaning: "bags that came back", Field: func(s *Settings) any { return &s.BagsLeft }},
	{Name: "spill", Kind: SettingShare, Bears: BearsChoice, Default: "0", Zero: true, Max: 0.5,
		Meaning: "share of the material that never gets into a bay", Field: func(s *Settings) any { return &s.Spill }},

	// The tape and the tube. A ± of the tape is a limit to either side, and all readings of a size
	// share its error.
	{Name: "width_within", Kind: SettingQuantity, Show: ShowSize, Bears: BearsChoice, Default: "1/8 in", BySection: 8, Zero: true, Max: Foot,
		Meaning: "± of one tape reading of a width", Field: func(s *Settings) any { return &s.WidthWithin }},
	{Name: "depth_within", Kind: SettingQuantity, Show: ShowSize, Bears: BearsChoice, Default: "1/4 in", BySection: 9, Zero: true, Max: Foot,
		Meaning: "± of one tape reading of a depth", Field: func(s *Settings) any { return &s.DepthWithin }},
	{Name: "length_within", Kind: SettingQuantity, Show: ShowSize, Bears: BearsChoice, Default: "1/2 in", BySection: 10, Zero: true, Max: Foot,
		Meaning: "± of one tape reading of a length", Field: func(s *Settings) any { return &s.LengthWithin }},
	{Name: "depth_checks", Kind: SettingDifferences, Show: ShowSize, Bears: BearsFact, OneJob: true, Zero: true, Max: Foot,
		Meaning: "a second person's depth less the crew's, five or more: 1/8; 0; -1/16; 0; 1/8", Field: func(s *Settings) any { return &s.DepthChecks }},
	{Name: "throw", Kind: SettingQuantity, Show: ShowLength, Bears: BearsChoice, Default: "1 ft", BySection: 6, Zero: true, Max: 10 * Foot,
		Meaning: "how far past the tube's tip material packs", Field: func(s *Settings) any { return &s.Throw }},

	// Evidence that the record prints and no verdict rests on.
	{Name: "blower_pressure", Kind: SettingQuantity, Show: ShowPressure, OneJob: true, Max: 100000,
		Meaning: "at the end of the hose, feed off; under 80 in of water is a warning", Field: func(s *Settings) any { return &s.BlowerPressure }},
	{Name: "cfm50_before", Kind: SettingQuantity, Show: ShowFlow, OneJob: true,
		Meaning: "air leakage of the house at 50 Pa before the work", Field: func(s *Settings) any { return &s.CFM50Before }},
	{Name: "cfm50_after", Kind: SettingQuantity, Show: ShowFlow, OneJob: true,
		Meaning: "air leakage of the house at 50 Pa after the work", Field: func(s *Settings) any { return &s.CFM50After }},
}

// Terms are the file of a program's terms that lies beside a log, and the evidence that it asks
// for. What its settings make of the job's stands in the settings themselves.
type Terms struct {
	Input
	Asks Asks
}

// Asks is the evidence that a programme asks for. The zero value asks for nothing.
type Asks struct {
	Photos    float64 // share of the filled bays with a photo
	Measured  float64 // share of the bays whose sizes were all measured
	Probes    float64 // share of the filled bays with a probe
	Stalls    float64 // share of the filled bays of which it is said whether the flow stalled
	Cores     int     // core samples or test boxes a job
	BagChecks int     // weighed bags a job
	Blower    bool    // blower pressure
	Signature bool    // installer and date, as they sign for the work
	Counted   bool    // bays counted from outside in every section
	Empties   bool    // bags loaded and left, or empties counted by section
	Times     bool    // a time on every row with material
	LabelR    bool    // the bag label's R-value in every section
}

// AskDef explains one ask for help and tables.
type AskDef struct {
	Name  string
	Kind  string // share, number, yes or no
	Means string
	Field func(*Asks) any // *float64, *int or *bool
}

// AskDefs is the table of what a programme can ask for, in the order in which lacks are listed.
func AskDefs() []AskDef {
	return []AskDef{
		{"ask_photos", "share", "of the filled bays with a photo that is there", func(a *Asks) any { return &a.Photos }},
		{"ask_measured", "share", "of the bays whose sizes were all measured", func(a *Asks) any { return &a.Measured }},
		{"ask_probes", "share", "of the filled bays with a rod, smoke or infrared look", func(a *Asks) any { return &a.Probes }},
		{"ask_stalls", "share", "of the filled bays of which it is said whether the flow stalled", func(a *Asks) any { return &a.Stalls }},
		{"ask_cores", "number", "of cores and test boxes a job", func(a *Asks) any { return &a.Cores }},
		{"ask_bag_checks", "number", "of weighed bags a job", func(a *Asks) any { return &a.BagChecks }},
		{"ask_blower_pressure", "yes or no", "the blower's pressure", func(a *Asks) any { return &a.Blower }},
		{"ask_signature", "yes or no", "the installer's name and the date, to be signed for", func(a *Asks) any { return &a.Signature }},
		{"ask_counted", "yes or no", "bays counted from outside in every section", func(a *Asks) any { return &a.Counted }},
		{"ask_empties", "yes or no", "bags loaded and left, or empties by section", func(a *Asks) any { return &a.Empties }},
		{"ask_times", "yes or no", "a time on every row with material", func(a *Asks) any { return &a.Times }},
		{"ask_label_r", "yes or no", "the bag label's R-value in every section", func(a *Asks) any { return &a.LabelR }},
	}
}

// Any tells whether anything is asked for.
func (a *Asks) Any() bool { return *a != Asks{} }
