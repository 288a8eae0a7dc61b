package record

import (
	"math"
	"strconv"
	"strings"

	"bayproof/model"
)

// settingRow is one setting with its value, where it came from and what it means.
type settingRow struct {
	Name, Value, Source, Meaning string
	Differs                      bool // a verdict rests on it, and it is not the default
}

// settings lists all settings of the job, then what sections override.
func (b *builder) settings() []settingRow {
	var out []settingRow
	job := b.f.Job
	for _, d := range model.SettingDefs() {
		out = append(out, b.setting(d, &job.Settings, ""))
	}
	for _, s := range job.Sections {
		for _, d := range model.SettingDefs() {
			if o := s.Settings.From[d.Name]; o == model.OriginSection {
				out = append(out, b.setting(d, &s.Settings, s.Name))
			}
		}
	}
	return out
}

func (b *builder) setting(d model.SettingDef, s *model.Settings, section string) settingRow {
	origin := s.From[d.Name]
	row := settingRow{Name: d.Name, Value: b.settingValue(d, s), Source: originWord(origin), Meaning: d.Meaning}
	if section != "" {
		row.Name += " of " + section
	}
	row.Differs = origin != model.OriginDefault && decides(d) && strings.TrimSpace(s.Raw[d.Name]) != d.Default && d.Default != ""
	return row
}

// decides tells whether a verdict rests on a setting; names and what is only printed do not.
func decides(d model.SettingDef) bool {
	switch d.Name {
	case "units", "material", "photo_place", "bags_loaded", "bags_left":
		return false
	}
	return d.Kind != model.SettingText && d.Kind != model.SettingDate
}

// settingValue writes a setting as it was typed, else in the job's units.
func (b *builder) settingValue(d model.SettingDef, s *model.Settings) string {
	if raw := s.Raw[d.Name]; raw != "" {
		return raw
	}
	if w, ok := d.Word(s); ok {
		return orBlank(w)
	}
	if x, ok := d.Number(s); ok {
		if math.IsNaN(x) {
			return blank
		}
		unit := b.System.Unit(d.Show)
		if d.Kind != model.SettingQuantity {
			return plainNumber(x)
		}
		return plainNumber(x/unit.Factor) + " " + unit.Symbol
	}
	var parts []string
	for _, w := range d.Weights(s) {
		parts = append(parts, plainNumber(w/b.System.Unit(d.Show).Factor))
	}
	return orBlank(strings.Join(parts, "; "))
}

// plainNumber writes a setting's number with no more digits than anybody sets.
func plainNumber(x float64) string {
	return strconv.FormatFloat(math.Round(x*1e4)/1e4, 'f', -1, 64)
}
