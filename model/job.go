package model

import (
	"math"
	"path"
	"strings"
	"time"
)

// Job is one job as its files state it, put together and free of faults.
type Job struct {
	Name     string
	Settings Settings   // resolved for the job
	Sections []*Section // those of sections.csv in its order, then those that only the log names
	Log      []Entry    // every row of bays.csv in file order; never sorted, never edited
	Bays     []*Bay     // in the order in which the log first names them
	Left     []*Bay     // bays that are not filled on purpose, which Bays lacks: nothing is missing where they are
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
	Left    *Entry // the row that says why it is not filled on purpose; nil where it is to be filled
	Decided *Entry // the row by which a person closes it as it stands; nil while nobody does
	Order   int    // place in fill order from 1; an amended fill keeps its place; 0 while not filled
	Run     int    // how many `set` rows of the log stand before its fill
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

// NewSection returns a section of which nothing is known but its name and the settings that hold in it.
func NewSection(name string, settings Settings) *Section {
	nan := math.NaN()
	return &Section{Name: name, Expected: -1, Covers: nan, Spacing: nan, BagsUsed: nan, LabelR: nan, AirImpermeableR: nan,
		Settings: settings}
}

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
	EntryDecided
	EntryAmend
	EntryStrike
	EntryLeave
	EntryEmpties
	EntryElsewhere
	EntryCount
	EntrySet

	entryKinds = iota // how many there are
)

// Entry is one row of the log, its cells read.
type Entry struct {
	Src          Source
	Index        int // place in the log from 0
	Section, Bay string
	Kind         EntryKind
	Machine      string // the machine or hose that filled the bay; empty where there is one
	Stall        Answer
	Look
	Material Material
	Feed     Feed
	Reach    []float64 // m, one a value; they add up
	Hole     []float64 // m from the low end, one a hole
	Stops    []Stop    // where the rod stopped
	Existing string    // what was left in the bay before it was filled; empty where nothing was said
	At       []float64 // m from the low end: where it was looked, one a look
	Time     time.Time // zero when not said
	Photos   []string  // names or patterns, see NamesPhoto
	By, Note string
	Cells    []string // the row as written
	Size     Piece    // shape and sizes as written on this row
}

// Places are where the row looked, in m from the low end; one NaN where it looked and did not say where.
func (e *Entry) Places() []float64 {
	if len(e.At) == 0 {
		return []float64{math.NaN()}
	}
	return e.At
}

// OneHole is the place of the fill hole in m from the low end; NaN where none was said, or more than one: the material then
// came from several places.
func (e *Entry) OneHole() float64 {
	if len(e.Hole) != 1 {
		return math.NaN()
	}
	return e.Hole[0]
}

// Feed is how long material ran into a bay.
type Feed struct {
	Seconds float64 // all bursts; 0 when not said
	Shared  bool    // the bay shares the time of the next one
}

// Stop is where the rod stopped, and at what.
type Stop struct {
	At   float64 // m from the low end
	What StopAt
}

// StopAt is what a rod stopped at.
type StopAt uint8

const (
	StopUnknown StopAt = iota // nobody could tell
	StopBlock
	StopWire
	StopPipe
	StopDuct
	StopFlue
)

// Look is what a look into a bay found, how and under what.
type Look struct {
	Probe Probe
	Way   RodWay
	Under float64 // smoke: Pa across the face; ir: K between inside and outside; NaN when not said
}

// RodWay is the way a rod went, by the bay's length.
type RodWay uint8

const (
	WayUnsaid RodWay = iota
	Along
	Across
)

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

// Answer is yes, no, nothing said, or that nobody could tell.
type Answer uint8

const (
	Unsaid Answer = iota
	Yes
	No
	Doubtful // somebody looked, and could not tell: `?`
)

// Probe is what a look into a filled bay found.
type Probe uint8

const (
	ProbeNone Probe = iota
	RodFirm
	RodSoft
	RodEmpty
	HandFirm
	HandSoft
	SmokeStill
	SmokeMoves
	IREven
	IRCold
)

// Reading is what one size cell says. Seven of them stand in every row of a log, which may have millions: they are kept small.
type Reading struct {
	Values []float64 // m, one a repeat; for a ditto the value taken over
	Within float64   // m, the cell's own half-width; NaN when the setting holds
	Raw    string    // as written
	Line   int32     // of the cell, in the file of its piece
	Col    int16     // its field from 1; 0 when the whole row is meant
	State  ReadingState
}

// ReadingState says whether a size was measured.
type ReadingState uint8

const (
	Absent ReadingState = iota
	Ditto               // as the bay above, not measured here
	Measured
)

// Mean returns the mean of the values in metres; NaN when there are none.
func (r Reading) Mean() float64 { return mean(r.Values) }

// mean is the arithmetic mean; NaN of none.
func mean(values []float64) float64 {
	if len(values) == 1 {
		return values[0]
	}
	var sum float64
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// Readings returns the seven readings of a piece in the order of the log's columns.
func (p *Piece) Readings() [7]*Reading {
	return [7]*Reading{&p.Width, &p.Width2, &p.Depth, &p.Depth2, &p.Length, &p.Length2, &p.Bulge}
}

// SizeNames are the names of a piece's readings, in the order of Readings.
func SizeNames() [7]string {
	return [7]string{"width", "width2", "depth", "depth2", "length", "length2", "bulge"}
}

// Dims are the numbers that a piece's volume is made of, in metres. They are the means of its readings, with what was
// left blank filled in, so that a caller may move one of them and ask for the volume again.
type Dims struct {
	Shape                        Shape
	Width, Width2, Depth, Depth2 float64
	Length, Length2              float64 // the two long sides; equal but for a skew end
	Bulge                        float64
	WidthFollows, DepthFollows   bool // Width2, Depth2 were not given and are those of the first end
	LengthFollows                bool // Length2 was not given: the bay is cut square
}

// Dims returns the piece's dimensions: the mean of each cell's readings, the other end as the first where it was left
// blank, no bulge where none was said. What was never given is NaN.
func (p *Piece) Dims() Dims {
	d := Dims{
		Shape: p.Shape,
		Width: meanOrNaN(&p.Width), Depth: meanOrNaN(&p.Depth), Length: meanOrNaN(&p.Length),
	}
	d.Width2, d.WidthFollows = follow(&p.Width2, d.Width)
	d.Depth2, d.DepthFollows = follow(&p.Depth2, d.Depth)
	d.Length2, d.LengthFollows = follow(&p.Length2, d.Length)
	d.Bulge, _ = follow(&p.Bulge, 0)
	return d
}

// LongSide returns the longer of the piece's two long sides in metres, as Dims has them.
func (p *Piece) LongSide() float64 {
	length := meanOrNaN(&p.Length)
	other, _ := follow(&p.Length2, length)
	return max(length, other)
}

// follow returns the cell's mean, or instead of a cell that says nothing the value that then holds.
func follow(r *Reading, otherwise float64) (value float64, follows bool) {
	if r.State == Absent {
		return otherwise, true
	}
	return mean(r.Values), false
}

func meanOrNaN(r *Reading) float64 {
	if r.State == Absent {
		return math.NaN()
	}
	return mean(r.Values)
}

// Volume returns the volume in m³, by the prismoidal rule, which is exact for a straight taper:
//
//	V = L/6·(w₁d₁ + (w₁+w₂)(d₁+d₂) + w₂d₂),  L = (length + length2)/2,  d = depth + 2/3·bulge
//
// A wedge is half a box: its depth runs from the whole to nothing. A round is π/4·w²·L. The two thirds of a bulge are
// the mean rise of a face that stands out in a parabola between its studs; they are added to the depth at every point,
// so that a bulge on a wedge counts whole. It is NaN where a dimension that the shape needs is missing.
func (d Dims) Volume() float64 {
	length := (d.Length + d.Length2) / 2
	rise := 2 * d.Bulge / 3
	switch d.Shape {
	case ShapeRound:
		return math.Pi / 4 * d.Width * d.Width * length
	case ShapeWedge:
		return d.Width * (d.Depth/2 + rise) * length
	case ShapeTaper:
		d1, d2 := d.Depth+rise, d.Depth2+rise
		return length / 6 * (d.Width*d1 + (d.Width+d.Width2)*(d1+d2) + d.Width2*d2)
	default:
		return d.Width * (d.Depth + rise) * length
	}
}

// Volume returns the volume of the piece in m³, positive for a `less` too. See Dims.Volume for the formula.
func (p *Piece) Volume() float64 { return p.Dims().Volume() }

// Volume returns the volume in force of the bay in m³: its own, plus its pieces, without what `less` takes away.
// It is NaN while a dimension is missing.
func (b *Bay) Volume() float64 {
	var v float64
	for i := range b.Pieces {
		if b.Pieces[i].Less {
			v -= b.Pieces[i].Volume()
		} else {
			v += b.Pieces[i].Volume()
		}
	}
	if len(b.Pieces) == 0 {
		return math.NaN()
	}
	return v
}

// WarningDef describes a warning that the reading of a job can give.
type WarningDef struct{ Code, Means, Cure string }

// WarningDefs returns the table of the reader's warnings.
func WarningDefs() []WarningDef {
	return []WarningDef{
		{"encoding", "a file is not UTF-8 and was read as Windows-1252", "save it as CSV UTF-8"},
		{"unknown-column", "columns that no one knows are kept and not used", "name them as the format does, or leave them"},
		{"unknown-setting", "a row of job.csv names no setting", "bayproof fields lists them"},
		{"section-not-listed", "the log names a section that sections.csv lacks", "add its row, or write its name as there"},
		{"order", "times run backward: nothing is concluded from the order of filling", "put the rows back into the order of the work"},
		{"shared-open", "a bay shares a figure that is not logged, or was withdrawn: it counts as not filled", "log the next bay, or amend"},
		{"line-unended", "the last row ends in a figure and has no line end: the file may have been cut off there", "look at the figure, and end the line"},
		{"counter-start", "the first reading of the counter, with no count row before it, fills a bay over the ceiling: it is read from 0", "write a count row before it that says where the counter stood"},
		{"beyond-bay", "a place or a fill hole lies up to a foot beyond the bay's end: it is taken for the end", "look at its unit"},
		{"invisible", "a name holds characters that do not show: they are left out", "type the name anew"},
		{"photos", "a photo cannot be read", "look at the file"},
	}
}
