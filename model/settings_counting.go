package model

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
		{Name: "throw", Kind: SettingQuantity, Show: ShowLength, Bears: BearsChoice, Default: "1 ft", Meaning: "how far past the tube's tip material packs",
			BySection: true, Zero: true, Max: 10 * Foot, Field: func(s *Settings) any { return &s.Throw }},
	}
}
