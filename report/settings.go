package report

import (
	"bayproof/model"
)

type settingDocument struct {
	Value  any    `json:"value"`
	Unit   word   `json:"unit"`
	Source string `json:"source"`
}

// settingsDocument lists every setting in the order of the table, with the place that its value came from.
func settingsDocument(job *model.Job) pairs {
	defs := model.SettingDefs()
	out := make(pairs, 0, len(defs))
	for _, def := range defs {
		out = append(out, pair{def.Name, newSetting(def, &job.Settings)})
	}
	return out
}

func newSetting(def model.SettingDef, s *model.Settings) settingDocument {
	d := settingDocument{Source: s.From[def.Name].String()}
	factor := 1.0
	if def.Kind == model.SettingQuantity || def.Kind == model.SettingWeights {
		unit := s.Units.Unit(def.Show)
		d.Unit, factor = word(unit.Symbol), unit.Factor
	}
	switch p := def.Field(s).(type) {
	case *float64:
		d.Value = Number(*p / factor)
	case *[]float64:
		list := make([]Number, 0, len(*p))
		for _, x := range *p {
			list = append(list, Number(x/factor))
		}
		d.Value = list
	case *bool:
		d.Value = *p
	default:
		text, _ := def.Word(s)
		d.Value = word(text)
	}
	return d
}
