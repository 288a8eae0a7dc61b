package model

import "strings"

// SettingKind says what a setting's text must be.
type SettingKind uint8

const (
	SettingText     SettingKind = iota // free text
	SettingDate                        // 2026-03-02
	SettingWord                        // one of Choices
	SettingYesNo                       // yes or no
	SettingCount                       // a plain number
	SettingShare                       // a number up to 1, or a percentage
	SettingQuantity                    // a number with a unit
	SettingWeights                     // weights with ; between
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
	// Field points into s: a *string, *float64, *[]float64, *bool, *System, *Rule or *Counting.
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

// Weights returns the setting's list in kg, nil where it holds none.
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
		*p = w
		return true
	case *System:
		*p, ok = ParseSystem(w)
	case *Rule:
		*p, ok = ParseRule(w)
	case *Counting:
		*p, ok = ParseCounting(w)
	case *bool:
		var a Answer
		a, ok = ParseAnswer(w)
		*p = a == Yes
	}
	return ok
}
