package model

import "time"

// Job is one job as its files state it, put together and free of faults.
type Job struct {
	Name     string
	Settings Settings   // resolved for the job
	Sections []*Section // those of sections.csv in its order, then those that only the log names
	Log      []Entry    // every row of bays.csv in file order; never sorted, never edited
	Bays     []*Bay     // in the order in which the log first names them
	Cores    []Core
	Inputs   []Input  // files read, the log first
	Photos   []Photo  // files found in photos/
	Header   []string // the log's columns as written
	Columns  []string // the log's columns by their known names, empty where no one knows them
	Extra    []string // columns that no one knows, kept for the record
	Warnings []Warning
	// OrderDoubtful is set where times run backward: no finding that needs the order of rows is made then.
	OrderDoubtful bool
}

// Section is a run of like bays.
type Section struct {
	Name                string
	Listed              bool    // it has a row in sections.csv
	Kind                string  // rafter, wall, floor, knee wall; empty when not said
	Expected            int     // bays counted from outside or from drawings; -1 when not said
	Covers              float64 // m²; NaN when not said
	Spacing             float64 // m on centre; NaN when not said
	Typical             Piece   // the typical bay, for plans only
	Face                string  // rigid, netting, membrane
	BagsUsed            float64 // empties counted for this section; NaN when not said
	LabelR              float64 // m²·K/W: R-value of the bag label; NaN when not said
	Unvented, VentSpace Answer
	ClimateZone         string
	AirImpermeableR     float64 // m²·K/W; NaN when not said
	Note                string
	Settings            Settings // resolved for this section
	Src                 Source
}

// Bay is one cavity filled as one: what all the rows about it come to.
type Bay struct {
	Section *Section
	Name    string
	Pieces  []Piece           // sizes in force: the bay itself first, then pieces and less
	Fill    *Entry            // the fill in force (the last amend where there is one); nil while not filled
	Moves   []*Entry          // rows in force that carry material: the fill, top-ups, losses, in file order
	Rows    []*Entry          // every row that names the bay, in file order
	Dead    map[*Entry]string // rows no longer in force, with why: "amended", "struck"
	Closed  []*Entry          // its `closed` rows but those that a strike withdrew; no other later row takes one back
	Struck  bool
	Order   int // place in fill order from 1; an amended fill keeps its place; 0 while not filled
	Run     int // how many `set` rows of the log stand before its fill
	// SharedWith are the other bays of the same section that the one count belongs to, in fill order; nil when its own.
	SharedWith []*Bay
	// Waiting is set where the figure that the bay shares is not logged yet, or was withdrawn: what went in is not known,
	// so the bay counts as not filled (Fill and Moves are nil) although material is in it.
	Waiting bool
}

// Piece is one solid that a bay is made of.
type Piece struct {
	Shape                                                Shape
	Less                                                 bool // taken away instead of added
	Width, Width2, Depth, Depth2, Length, Length2, Bulge Reading
	Src                                                  Source
}

// Core is one row of cores.csv: a core sample or a test box.
type Core struct {
	Section, Bay, Kind string
	Diameter, Depth    float64 // m; NaN where Volume is given
	Volume             float64 // m³
	Mass               float64 // kg
	At                 float64 // m from the low end; NaN when not said
	By, Date, Photo    string
	Src                Source
}

// Input is a file that was read, with the SHA-256 of its bytes in hex.
type Input struct {
	File   string
	SHA256 string
	Raw    []byte // the bytes themselves, kept only where the reader was asked to
}

// Photo is a file in photos/.
type Photo struct {
	Name   string
	SHA256 string
	Bytes  int64
	Taken  time.Time // zero when the file does not say
}

// Source is a place in an input.
type Source struct {
	File string
	Line int // from 1; 0 when the whole file is meant
	Col  int // field from 1; 0 when the whole row is meant
}

// Fault is one thing that makes an input unusable.
type Fault struct {
	Src  Source
	What string // lower case, no full stop, names the thing and its range
	Hint string // what would cure it
}

// Warning is one thing worth knowing that stops nothing.
type Warning struct {
	Code         string
	Text         string
	Src          Source
	Section, Bay string
}
