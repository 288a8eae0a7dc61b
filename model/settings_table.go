package model

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
		{Name: "rule", Kind: SettingWord, Bears: BearsChoice, Choices: []string{"process", "guarded"}, Default: "process",
			Meaning: "process: the crew's other bays are evidence; guarded: each bay by its own measurement", Field: func(s *Settings) any { return &s.Rule }},
		{Name: "confidence", Kind: SettingShare, Bears: BearsChoice, Default: "0.95", Meaning: "how sure a verdict must be, above 0.5 and below 1",
			Field: func(s *Settings) any { return &s.Confidence }},
	}
}
