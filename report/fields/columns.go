package fields

import (
	"slices"

	"bayproof/model"
)

// Column is one column of a file of the job.
type Column struct {
	File    string // bays.csv, sections.csv, cores.csv
	Name    string
	Unit    string // of a bare number, in us and in si jobs: "in / mm"; empty where it has none
	Meaning string
}

const (
	small = "in / mm"
	long  = "ft / m"
	mass  = "lb / kg"
	area  = "ft2 / m2"
)

// Columns returns the columns of every file, in the order in which a new file has them.
func Columns() []Column {
	var all []Column
	for _, t := range []struct {
		file string
		cols []Column
	}{
		{"bays.csv", append(sizeColumns(), materialColumns()...)},
		{"sections.csv", append(sectionColumns(), overrideColumns()...)},
		{"cores.csv", coreColumns()},
	} {
		for _, c := range t.cols {
			c.File = t.file
			all = append(all, c)
		}
	}
	return all
}

func sizeColumns() []Column {
	return []Column{
		{Name: "job", Meaning: "only in a file of many jobs: the job this row belongs to; any setting may be a further column there"},
		{Name: "section", Meaning: "the run of like bays, on every row; left out where the job has only one"},
		{Name: "bay", Meaning: "the bay's name within its section"},
		{Name: "entry", Meaning: "what the row does, see the entries; blank is fill where the row has material, else size"},
		{Name: "shape", Meaning: "box (when blank), taper, wedge or round"},
		{Name: "width", Unit: small, Meaning: "clear width between framing; readings with ; between; \" or blank is as above, not measured here"},
		{Name: "width2", Unit: small, Meaning: "width at the other end of a taper"},
		{Name: "depth", Unit: small, Meaning: "clear depth; in a vented bay what is left below the channel, not the rafter's"},
		{Name: "depth2", Unit: small, Meaning: "depth at the other end of a taper"},
		{Name: "length", Unit: long, Meaning: "clear length of the bay"},
		{Name: "length2", Unit: long, Meaning: "the other long side of a bay cut on a skew; 0 where it runs to a point"},
		{Name: "bulge", Unit: small, Meaning: "how far netting or a membrane stands out at mid-width after filling"},
	}
}

func materialColumns() []Column {
	return []Column{
		{Name: "bags", Meaning: "bags used: 1 3/4, 1 + 14.5 lb, 2 - 10.5 lb, the part at most a bag; shared: one count with the next bay"},
		{Name: "counter", Meaning: "running count of bags at the end of this bay, from 0 or from a count row; shared as with bags"},
		{Name: "weight", Unit: mass, Meaning: "weighed material"},
		{Name: "reach", Unit: long, Meaning: "length that the tube's tip passed; several with ; between add up"},
		{Name: "hole", Unit: long, Meaning: "the fill hole's distance from the low end"},
		{Name: "stall", Meaning: "yes or no: the flow stalled at the end"},
		{Name: "probe", Meaning: "rod firm, rod soft, rod empty, smoke still, smoke moves, ir even or ir cold"},
		{Name: "at", Unit: long, Meaning: "where that was found, from the low end"},
		{Name: "photo", Meaning: "file names in photos/, with ; between; b7*.jpg stands for several"},
		{Name: "by", Meaning: "initials"},
		{Name: "note", Meaning: "anything"},
		{Name: "time", Meaning: "2026-03-02 14:20, or 14:20 of the job's date"},
	}
}

func sectionColumns() []Column {
	return []Column{
		{Name: "section", Meaning: "the name that bays.csv uses"},
		{Name: "kind", Meaning: "rafter, wall, floor or knee wall"},
		{Name: "bays", Meaning: "how many bays there are, counted from outside or from drawings"},
		{Name: "covers", Unit: area, Meaning: "area of the section"},
		{Name: "spacing", Unit: small, Meaning: "framing on centre"},
		{Name: "shape", Meaning: "shape of the typical bay, for plan only; so are the three sizes"},
		{Name: "width", Unit: small, Meaning: "clear width of the typical bay"},
		{Name: "depth", Unit: small, Meaning: "clear depth of the typical bay, below the channel where it is vented"},
		{Name: "length", Unit: long, Meaning: "length of the typical bay"},
		{Name: "face", Meaning: "what holds the material: rigid, netting or membrane"},
		{Name: "bags_used", Meaning: "empties counted for this section"},
		{Name: "label_r", Meaning: "R-value from the bag's label, as printed there"},
		{Name: "unvented", Meaning: "yes or no: roof without ventilation above the bays"},
		{Name: "vent_space", Meaning: "yes or no: a channel of 1 in or more left open for air under the sheathing; depths do not hold it"},
		{Name: "climate_zone", Meaning: "of the code's map: 4A"},
		{Name: "air_impermeable_r", Meaning: "R-value of air-impermeable insulation in that roof"},
		{Name: "note", Meaning: "anything"},
	}
}

// overrideColumns are the settings that a section may override, in the order of their place.
func overrideColumns() []Column {
	defs := model.SettingDefs()
	slices.SortStableFunc(defs, func(a, b model.SettingDef) int { return a.BySection - b.BySection })
	var out []Column
	for _, def := range defs {
		if def.BySection == 0 {
			continue
		}
		c := Column{Name: def.Name, Meaning: "as in job.csv, for this section"}
		if def.Kind == model.SettingQuantity {
			c.Unit = model.US.Unit(def.Show).Symbol + " / " + model.SI.Unit(def.Show).Symbol
		}
		out = append(out, c)
	}
	return out
}

func coreColumns() []Column {
	return []Column{
		{Name: "section", Meaning: "the section"}, {Name: "bay", Meaning: "the bay it was taken from"},
		{Name: "kind", Meaning: "core or test box"},
		{Name: "diameter", Unit: small, Meaning: "of the hole; with depth"}, {Name: "depth", Unit: small, Meaning: "of the core"},
		{Name: "volume", Unit: "ft3 / m3", Meaning: "instead of diameter and depth"},
		{Name: "weight", Unit: "g", Meaning: "of the material"},
		{Name: "at", Unit: long, Meaning: "where it was taken, from the low end"},
		{Name: "by", Meaning: "initials"}, {Name: "date", Meaning: "2026-03-02"}, {Name: "photo", Meaning: "file name in photos/"},
	}
}

// Entry is one word of the entry column.
type Entry struct {
	Name    string
	Carries string // what its row may hold
	Meaning string
}

// Entries returns the words of the entry column in the order of their kinds.
func Entries() []Entry {
	return []Entry{
		{"size", "sizes", "measured, not filled yet; a second row adds readings"},
		{"fill", "material, observations, sizes unless measured before", "the bay was filled; one a bay"},
		{"piece", "sizes", "volume that belongs to the same bay too"},
		{"less", "sizes", "volume in the bay that cannot be filled: a duct, blocking"},
		{"topup", "material, also 0, observations", "blown into the bay afterwards; 0 with stall yes: tube run again, nothing went in"},
		{"lost", "material", "went in and came out, or never got in"},
		{"seen", "observations", "what a look into the bay found; the last word on each counts, probes add up"},
		{"closed", "", "the bay was closed; its verdict then is kept"},
		{"amend", "as fill", "a whole new fill instead of the one before; nothing is taken over from it"},
		{"strike", "", "withdraws the bay; its rows stay, struck through, and that it was closed stays a fact; with note closed: withdraws its last closing alone"},
		{"count", "counter, no bay", "the counter at the start of a day or after a reset"},
		{"set", "note, no bay", "machine setting or lot changed: fill order is judged afresh from here"},
	}
}
