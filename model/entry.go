package model

import (
	"path"
	"strings"
	"time"
)

// EntryKind says what a row of the log does.
type EntryKind uint8

const (
	EntrySize EntryKind = iota
	EntryFill
	EntryPiece
	EntryLess
	EntryTopup
	EntryLost
	EntrySeen
	EntryClosed
	EntryAmend
	EntryStrike
	EntryCount
	EntrySet
)

// Entry is one row of the log, its cells read.
type Entry struct {
	Src          Source
	Index        int // place in the log from 0
	Section, Bay string
	Kind         EntryKind
	Stall        Answer
	Probe        Probe
	Material     Material
	Reach        []float64 // m, one a value; they add up
	Hole         float64   // m from the low end; NaN when not said
	At           float64   // m from the low end; NaN when not said
	Time         time.Time // zero when not said
	Photos       []string  // names or patterns, see NamesPhoto
	By, Note     string
	Cells        []string // the row as written
	Size         Piece    // shape and sizes as written on this row
}

// NamesPhoto tells whether the row names a file of photos/.
func (e *Entry) NamesPhoto(file string) bool {
	for _, name := range e.Photos {
		if NamesPhoto(name, file) {
			return true
		}
	}
	return false
}

// NamesPhoto tells whether a name of a photo column, of the log or of cores.csv, means a file of photos/: the file's own name, or a pattern such as
// `b7*.jpg` (path.Match). Case does not matter: a camera writes B7.JPG where a person types b7.jpg.
func NamesPhoto(name, file string) bool {
	if strings.EqualFold(name, file) {
		return true
	}
	if !strings.ContainsAny(name, `*?[`) {
		return false
	}
	ok, err := path.Match(strings.ToLower(name), strings.ToLower(file))
	return ok && err == nil
}

// Material is what a row says went in.
type Material struct {
	Kind   MaterialKind
	Shared bool    // shares the figure of the next bay
	Bags   float64 // MaterialBags: bags counted. MaterialCounter: the counter's reading
	Part   float64 // kg of a weighed part bag, signed; 0 when there is none
	Mass   float64 // MaterialWeight: kg
	Within float64 // the cell's own ±, kg for a mass, bags for a count; NaN when the setting holds
	Raw    string
	// Counter rows only, filled in when the log is put together.
	Prev   float64 // reading before this one; Bags less Prev is what went in
	PrevAt int     // number of that reading in the job's counter; 0 is an exact zero, as before the first row
	ReadAt int     // number of this reading in the job's counter, from 1; 0 where it is an exact zero
}

// AddsNothing tells whether a figure is 0: of a counter, whether it stands where it stood. A figure that the next bay
// brings is none.
func (m *Material) AddsNothing() bool {
	switch {
	case m.Shared:
		return false
	case m.Kind == MaterialBags:
		return m.Bags == 0 && m.Part == 0
	case m.Kind == MaterialCounter:
		return m.Bags == m.Prev
	}
	return m.Kind == MaterialWeight && m.Mass == 0
}

// TopsUpNothing tells whether the row is a top-up of 0. It says that the tube was run again, and changes no figure: it is
// no count and no weighing with an uncertainty of its own, and no reading of the counter beside the one before it.
func (e *Entry) TopsUpNothing() bool { return e.Kind == EntryTopup && e.Material.AddsNothing() }

// MaterialKind says which of the three columns a row's material stands in.
type MaterialKind uint8

const (
	MaterialNone MaterialKind = iota
	MaterialBags
	MaterialCounter
	MaterialWeight
)

// Shape is the solid that a bay or a piece is taken for.
type Shape uint8

const (
	ShapeUnsaid Shape = iota // box
	ShapeBox
	ShapeTaper
	ShapeWedge
	ShapeRound
)

// Answer is yes, no, or nothing said.
type Answer uint8

const (
	Unsaid Answer = iota
	Yes
	No
)

// Probe is what a look into a filled bay found.
type Probe uint8

const (
	ProbeNone Probe = iota
	RodFirm
	RodSoft
	RodEmpty
	SmokeStill
	SmokeMoves
	IREven
	IRCold
)
