package say

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"bayproof/model"
)

// A verdict is worth no more than the settings that it was made with, so those that somebody moved
// are told beside it.

// NotDefault lists the settings that a verdict rests on and that are worth telling beside it, see
// Differs: "target
// 3.6 lb/ft³ (flag)". A section's own are named with it.
func (w *Words) NotDefault(job *model.Job) string {
	var told []string
	for _, def := range model.SettingDefs() {
		if Differs(def, &job.Settings) {
			told = append(told, fmt.Sprintf("%s %s (%s)", def.Name, w.Setting(def, &job.Settings), w.S(job.Settings.From[def.Name].String())))
		}
		told = append(told, w.sectionsOwn(def, job)...)
	}
	return strings.Join(told, ", ")
}

// TermsOf says whose terms a job was judged by, with the digest of their file.
func (u Units) TermsOf(job *model.Job) string {
	if job.Terms == nil {
		return u.S("the job's own settings: no program file")
	}
	return u.F("the program's terms, %s, SHA-256 %.16s…", job.Terms.File, job.Terms.SHA256)
}

// Flagged tells whether a verdict rests on a setting from the command line: the job's files alone
// may not give it.
func Flagged(s *model.Settings) bool {
	for _, def := range model.SettingDefs() {
		if def.Bears != model.BearsNothing && s.From[def.Name] == model.OriginFlag {
			return true
		}
	}
	return false
}

// Differs tells whether a verdict rests on a setting that is not what it is where nothing is said,
// or that a flag gives: one that says the default too, since the job's own value was not used.
func Differs(def model.SettingDef, s *model.Settings) bool {
	switch from := s.From[def.Name]; {
	case def.Bears == model.BearsNothing || from == model.OriginDefault:
		return false
	case from == model.OriginFlag:
		return true
	}
	return def.Bears == model.BearsChoice && !isDefault(def, s)
}

// sectionsOwn lists the values of one setting that sections have for themselves, each value once.
func (w *Words) sectionsOwn(def model.SettingDef, job *model.Job) []string {
	var values []string
	var names [][]string
	for _, s := range job.Sections {
		if s.Settings.From[def.Name] != model.OriginSection || !Differs(def, &s.Settings) {
			continue
		}
		value := w.Setting(def, &s.Settings)
		at := slices.Index(values, value)
		if at < 0 {
			at = len(values)
			values, names = append(values, value), append(names, nil)
		}
		names[at] = append(names[at], s.Name)
	}
	var out []string
	for i, value := range values {
		out = append(out, fmt.Sprintf("%s %s (%s: %s)", def.Name, value, model.OriginSection, w.List(names[i])))
	}
	return out
}

// isDefault tells whether a setting was given the value that it has anyway.
func isDefault(def model.SettingDef, s *model.Settings) bool {
	if word, ok := def.Word(s); ok {
		return word == def.Default
	}
	given, _ := def.Number(s)
	usual := defaultNumber(def)
	// 1/8 in as a job writes it and as the manual does may differ in the last bits.
	return math.Abs(given-usual) <= 1e-9*math.Abs(usual)
}

// defaultNumber reads the manual's own text, so that a default stands in one place. It is the
// number that a default stands for, in SI: 1/8 in, 1.5 %, 0.95.
func defaultNumber(def model.SettingDef) float64 {
	number, symbol, _ := strings.Cut(def.Default, " ")
	above, below, fraction := strings.Cut(number, "/")
	x, err := strconv.ParseFloat(above, 64)
	if fraction {
		n, _ := strconv.ParseFloat(below, 64)
		x /= n
	}
	if err != nil {
		return math.NaN()
	}
	if unit, ok := model.LookupUnit(symbol); ok {
		return unit.SI(x)
	}
	return x
}

// Setting writes a setting's value as a person would: with its unit where it has one; empty where
// it is not set.
func (u Units) Setting(def model.SettingDef, s *model.Settings) string {
	if x, ok := def.Number(s); ok {
		return u.settingNumber(def, x)
	}
	if list := def.Weights(s); list != nil {
		var each []string
		for _, x := range list {
			each = append(each, u.settingNumber(def, x))
		}
		return strings.Join(each, "; ")
	}
	text, _ := def.Word(s)
	return text
}

// settingNumber writes a number that somebody set: no digit is added or taken away, so inches come
// in 64ths and shares as percent.
func (u Units) settingNumber(def model.SettingDef, x float64) string {
	switch {
	case math.IsNaN(x):
		return ""
	case def.Kind == model.SettingShare:
		return plain(x*100, 2) + " %"
	case def.Kind == model.SettingCount:
		return Bags(x)
	}
	unit := u.show(def.Show)
	if unit.Symbol == "in" {
		return Fraction(x/unit.SI, 64) + " in"
	}
	return plain(x/unit.SI, 3) + " " + unit.Name
}
