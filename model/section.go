package model

import "math"

// NewSection returns a section of which nothing is known but its name and the settings that hold in it.
func NewSection(name string, settings Settings) *Section {
	nan := math.NaN()
	return &Section{Name: name, Expected: -1, Covers: nan, Spacing: nan, BagsUsed: nan, LabelR: nan, AirImpermeableR: nan,
		Settings: settings}
}
