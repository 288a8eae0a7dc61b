package model

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
