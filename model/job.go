package model

import (
	"math"
	"path"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// Job is one job as its files state it, put together and free of faults. A reader fills in all but
// Bays, OrderDoubtful and the sections that only the log names, which Assemble adds. From then on
// nothing in it is changed: findings point into it.
type Job struct {
	Name     string
	Settings Settings   // resolved for the job
	Sections []*Section // those of sections.csv in its order, then those that only the log names
	Log      []Entry    // every row of bays.csv in file order; never sorted, never edited
	Bays     []*Bay     // in the order in which the log first names them
	Left     []*Bay     // bays that are not filled on purpose, which Bays lacks: nothing is missing where they are
	Cores    []Core
	Inputs   []Input  // files read, the log first
	Terms    *Terms   // that of the program's terms among them; nil where there are none
	Photos   []Photo  // files found in photos/
	Frame             // how a spreadsheet shows the log
	Columns  []string // the log's columns by their known names, empty where no one knows them
	Extra    []string // columns that no one knows, kept for the record
	Warnings []Warning
	Journals Journals
	// OrderDoubtful is set where times run backward: no finding that needs the order of rows is
	// made then.
	OrderDoubtful bool
}

// Section is a run of like bays, filled by one crew in one way: what one of them tells about
// another is told within it.
type Section struct {
	Name                string
	Listed              bool    // it has a row in sections.csv
	Kind                string  // rafter, wall, floor, knee wall; empty when not said
	Expected            int     // bays counted from outside or from drawings; -1 when not said
	Covers              float64 // m²; NaN when not said
	Spacing             float64 // m on center; NaN when not said
	Typical             Piece   // the typical bay, for plans only
	Face                string  // rigid, netting, membrane
	Holes               string  // slit, drill, ask, no; empty when not said
	BagsUsed            float64 // empties counted for this section; NaN when not said
	LabelR              float64 // m²·K/W: R-value of the bag label; NaN when not said
	Unvented, VentSpace Answer
	ClimateZone         string
	AirImpermeableR     float64 // m²·K/W; NaN when not said
	Note                string
	Settings            Settings // resolved for this section
	Src                 Place
}

// OpenFace tells whether the face is netting or a membrane: it stands out, can be pressed, and is
// slit and patched.
func (s *Section) OpenFace() bool { return s.Face == "netting" || s.Face == "membrane" }

// HowHoles is how a hole is made in the section: as it was said, else slit where the face is open;
// empty where nobody said.
func (s *Section) HowHoles() string {
	if s.Holes == "" && s.OpenFace() {
		return "slit"
	}
	return s.Holes
}

// Bay is one cavity filled as one: what all the rows about it come to. Its entries are those of the
// job's log, not copies, so that a finding can name the row that it rests on. Rows, Pieces and
// Moves are in file order; the order of filling is Order.
type Bay struct {
	Section *Section
	Name    string
	Pieces  []*Piece          // sizes in force: the bay itself first, then pieces and less; those of a row where it gives all of them
	Fill    *Entry            // the fill in force (the last amend where there is one); nil while not filled
	Moves   []*Entry          // rows in force that carry material: the fill, top-ups, losses, in file order
	From    *Bay              // where the sizes that it takes over were measured; nil where it takes over none
	Rows    []*Entry          // every row that names the bay, in file order
	Dead    map[*Entry]string // rows no longer in force, with why: "amended", "struck"
	Closed  []*Entry          // its `closed` rows but those that a strike withdrew; no other later row takes one back
	Struck  bool
	Left    *Entry // the row that says why it is not filled on purpose; nil where it is to be filled
	Decided *Entry // the row by which a person closes it as it stands; nil while nobody does
	Order   int    // place in fill order from 1; an amended fill keeps its place; 0 while not filled
	Machine string // the machine or hose that filled it; empty where there is one
	Run     int    // how many `set` rows of its machine stand before its fill
	// SharedWith are the other bays of the same section that the one count belongs to, in fill
	// order; nil when its own.
	SharedWith []*Bay
	Owes       Owes
}

// Owes is what a bay still lacks to be judged: it counts as not filled (Fill and Moves are nil)
// although material is in it.
type Owes uint8

const (
	OwesNothing Owes = iota
	OwesShare        // the figure that it shares is not logged yet, or was withdrawn
	OwesSizes        // what went in is logged, and no size: the roof sheet is not typed in yet
	OwesCount        // what was seen while it was filled is logged, and not what went in: the truck sheet is not typed in yet
)

// StallSaid is the last word of the bay's rows on whether the flow stopped by itself.
func (b *Bay) StallSaid() (said Answer) {
	for _, e := range b.Rows {
		if e.Stall != Unsaid && b.Dead[e] == "" {
			said = e.Stall
		}
	}
	return said
}

// Stalled tells whether somebody said that the bay was blown until the flow stopped: the last word
// of its rows, else that for all bays.
func (b *Bay) Stalled() bool {
	said := b.StallSaid()
	return said == Yes || said == Unsaid && b.Section.Settings.ToStall == Yes
}

// Piece is one solid that a bay is made of. Which sizes it needs depends on its shape; a bay's
// first piece is the bay itself, and what is left blank there is that of the bay above.
type Piece struct {
	Shape                                                Shape
	Less                                                 bool // taken away instead of added
	Width, Width2, Depth, Depth2, Length, Length2, Bulge Reading
	Src                                                  Source
}

// Core is one row of cores.csv: a core sample or a test box, whose mass over its volume is a
// density that no count of bags went into.
type Core struct {
	Section, Bay, Kind string
	Machine            string    // that filled a test box; empty where there is one
	Time               time.Time // zero when not said
	Diameter, Depth    float64   // m; NaN where Volume is given
	Volume             float64   // m³
	Mass               float64   // kg
	At                 float64   // m from the low end; NaN when not said
	By, Date, Photo    string
	Src                Place
}

// KindCore is the Kind of a core sample, and of a row that leaves it out.
const KindCore = "core"

// Inspection is one row of inspections.csv: what an inspector found in a bay. A crew's own cores
// and looks are no inspection.
type Inspection struct {
	Job, Section, Bay string
	Inspector, Date   string
	Method            string // opened, core, rod, smoke, ir
	Found             Found
	Density           float64 // kg/m³; NaN where none was taken
	At                float64 // m from the low end; NaN when not said
	Empty             float64 // m; NaN when not said
	Note              string
	Src               Source
}

// Found is what an inspector found.
type Found uint8

const (
	FoundNothing Found = iota // the row does not say: its density does, where it has one
	FoundFull
	FoundShort
	FoundEmpty
	FoundSoft
	FoundNotOpened
	FoundHazard
)

// foundWords are the words of the column, in the order of the constants.
var foundWords = []string{"", "full", "short", "empty", "soft", "not opened", "hazard"}

// String is the word of the column.
func (f Found) String() string { return foundWords[f] }

// ParseFound finds the word in any case.
func ParseFound(s string) (Found, bool) { return parse(s, FoundNothing, foundWords) }

// Tells tells whether the row says what is in the bay.
func (f Found) Tells() bool { return f < FoundNotOpened }

// Bad tells whether the bay was found short, empty or soft.
func (f Found) Bad() bool { return f == FoundShort || f == FoundEmpty || f == FoundSoft }

// Input is a file that was read, with the SHA-256 of its bytes in hex.
type Input struct {
	File   string
	SHA256 string
	Raw    []byte // the bytes themselves, kept only where the reader was asked to
}

// Photo is a file in photos/. A row names it by its name or by a pattern (NamesPhoto).
type Photo struct {
	Name   string
	SHA256 string
	Bytes  int64
	Taken  time.Time // zero when the file does not say
	Look   [4]uint64 // perceptual hash, 256 signs of its lowest frequencies; nought where nobody looked at the picture
}

// Fault is one thing that makes an input unusable. All of them are gathered and told at once, each
// with its place: a job with a fault has no verdicts.
type Fault struct {
	Src  Place
	What string // what is wrong: lower case, no full stop, names the thing and its range
	Hint string // what to type
}

// String says where it is and what is wrong.
func (f Fault) String() string {
	if place := f.Src.String(); place != "" {
		return place + ": " + f.What
	}
	return f.What
}

// Told is the whole fault in one line: where, what is wrong, what to type.
func (f Fault) Told() string {
	if f.Hint == "" {
		return f.String()
	}
	text := f.String() + ". " + upper(f.Hint)
	if !strings.HasSuffix(text, "?") {
		text += "."
	}
	return text
}

// upper is a sentence with a capital letter; one that begins with the name of a command, a flag or
// a file stays as it is.
func upper(s string) string {
	word, _, _ := strings.Cut(s, " ")
	if strings.ContainsAny(word, "._-,0123456789") || word == "bayproof" {
		return s
	}
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}

// Warning is one thing worth knowing that stops nothing. Its code is a row of WarningDefs.
type Warning struct {
	Code         string
	Text         string
	Src          Place
	Section, Bay string
}

// Journals are what came of setting the log and the file of cores beside their journals, the files
// that keep every row that was confirmed. nil where there is none, or nobody asked. No verdict
// rests on them.
type Journals struct{ Log, Cores *Journal }

// Journal is what came of setting a file beside its journal.
type Journal struct {
	Rows     int    // that were confirmed
	Accepted int    // changes of them that somebody accepted
	Gone     int    // rows that the file lacks
	Changed  int    // rows with other cells in the file
	Besides  int    // rows of the file that the journal lacks: typed by hand, or by another program
	Moved    bool   // rows stand in the file in another order
	Broken   int    // the journal's first line that its chain does not hold for, from which on nothing is counted; 0 where it holds
	End      string // the chain's last sum, hex: whoever keeps it can tell whether the journal was changed
}

// Agrees tells whether the file holds all that was confirmed, as it was confirmed.
func (j *Journal) Agrees() bool { return j.Gone+j.Changed+j.Broken == 0 && !j.Moved }

// NewSection returns a section of which nothing is known but its name and the settings that hold in
// it.
func NewSection(name string, settings Settings) *Section {
	nan := math.NaN()
	return &Section{Name: name, Expected: -1, Covers: nan, Spacing: nan, BagsUsed: nan, LabelR: nan, AirImpermeableR: nan,
		Settings: settings}
}

// Cleared is memory for n values, all zero: that of s where it is large enough, else new, with room
// to grow where s had to.
func Cleared[T any](s []T, n int) []T {
	if n > cap(s) {
		return make([]T, n, max(n, cap(s)+cap(s)/4))
	}
	s = s[:n]
	clear(s)
	return s
}

// EntryKind says what a row of the log does. size measures a bay that is not filled yet; fill says
// what went in, and at most sizes too; piece and less add a solid to the bay or take one away;
// topup adds material, lost takes some out again. seen and closed tell what was found and that the
// bay was covered. amend is the bay's whole new fill and puts all its rows before it out of force,
// strike withdraws the bay. count says where the counter stands, and set that the machine was set
// anew; these two belong to no bay.
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

// Entry is one row of the log, its cells read. What an empty cell comes to depends on the kind of
// entry and on the rows before, and is found when the log is put together; but for Index and the
// last three of Material, an entry stays as it was read.
type Entry struct {
	Src          Source
	Index        int // place in the log from 0
	Section, Bay string
	Kind         EntryKind
	Withdrawn    bool   // a later strike takes this row alone back: it is as if it were not there
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

// Places are where the row looked, in m from the low end; one NaN where it looked and did not say
// where.
func (e *Entry) Places() []float64 {
	if len(e.At) == 0 {
		return []float64{math.NaN()}
	}
	return e.At
}

// OneHole is the place of the fill hole in m from the low end; NaN where none was said, or more
// than one: the material then came from several places.
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
	return slices.ContainsFunc(e.Photos, func(name string) bool { return NamesPhoto(name, file) })
}

// NamesPhoto tells whether a name of a photo column, of the log or of cores.csv, means a file of
// photos/: the file's own name, or a pattern such as `b7*.jpg` (path.Match). Case does not matter:
// a camera writes B7.JPG where a person types b7.jpg.
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

// Material is what a row says went in (or, of a lost row, came out). What that weighs is for
// verify/measure to say, with the weight of a bag and its uncertainty.
type Material struct {
	Kind   MaterialKind
	Shared bool    // shares the figure of the next bay
	Bags   float64 // MaterialBags: bags counted. MaterialCounter, and Beside: the counter's reading
	Part   float64 // kg of a weighed part bag, signed; 0 when there is none
	Mass   float64 // MaterialWeight: kg
	// Beside is set where a weight stands beside a reading of the counter: the weight is the mass,
	// Bags is the reading, and the counter goes on from there.
	Beside bool
	Within float64 // the cell's own ±, kg for a mass, bags for a count; NaN when the setting holds
	Raw    string
	// Readings of the counter only, filled in when the log is put together.
	Prev   float64 // reading before this one; Bags less Prev is what went in
	PrevAt int     // number of that reading in the job's counter; 0 is an exact zero, as before the first row
	ReadAt int     // number of this reading in the job's counter, from 1; 0 where it is an exact zero
}

// Reads tells whether the row reads the counter, at its own figure and not at the next bay's.
func (m *Material) Reads() bool { return m.Kind == MaterialCounter && !m.Shared || m.Beside }

// AddsNothing tells whether a figure is 0: of a counter, whether it stands where it stood. A figure
// that the next bay brings is none.
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

// TopsUpNothing tells whether the row is a top-up of 0. It says that the tube was run again, and
// changes no figure: it is no count and no weighing with an uncertainty of its own, and no reading
// of the counter beside the one before it.
func (e *Entry) TopsUpNothing() bool { return e.Kind == EntryTopup && e.Material.AddsNothing() }

// MaterialKind says which of the three columns a row's material stands in.
type MaterialKind uint8

const (
	MaterialNone MaterialKind = iota
	MaterialBags
	MaterialCounter
	MaterialWeight
)

// Shape is the solid that a bay or a piece is taken for. A taper runs straight from one end to the
// other, a wedge from its depth to nothing, a round is a cylinder whose diameter is its width.
// Gradient has their volumes.
type Shape uint8

const (
	ShapeUnsaid Shape = iota // box
	ShapeBox
	ShapeTaper
	ShapeWedge
	ShapeRound
)

// Answer is yes, no, nothing said, or that nobody could tell; a blank is never a no.
type Answer uint8

const (
	Unsaid Answer = iota
	Yes
	No
	Doubtful // somebody looked, and could not tell: `?`
)

// Probe is what a look into a filled bay found: how a rod met the material, whether smoke at the
// hole moved, how even it looked to an infrared camera.
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

// Reading is what one size cell says: its repeats are kept apart, because how far they scatter is
// all that the log tells of the hand that held the tape. Seven of them stand in every row of a log,
// which may have millions: they are kept small.
type Reading struct {
	Values []float64 // m, one a repeat; for a ditto the value taken over
	Within float64   // m, the cell's own half-width; NaN when the setting holds
	Raw    string    // as written
	Line   int32     // of the cell, in the file of its piece
	Col    int16     // its field from 1; 0 when the whole row is meant
	State  ReadingState
}

// ReadingState says whether a size was measured. A ditto has a value, that of the bay above, and no
// reading of its own: what it may be off by is how far neighboring bays differ.
type ReadingState uint8

const (
	Absent ReadingState = iota
	Ditto               // as the bay above, not measured here
	Measured
	Owed // on the roof sheet, which is not typed in yet: the next row of the bay with sizes says it
)

// WarningDef describes a warning that the reading of a job can give.
type WarningDef struct{ Code, Means, Cure string }

// WarningDefs returns the table of the reader's warnings, in the order in which the manual prints
// them. Warnings of a verdict stand in verify's table of codes.
func WarningDefs() []WarningDef {
	return []WarningDef{
		{"encoding", "a file is not UTF-8 and was read as Windows-1252", "check accents and fractions, save as CSV UTF-8"},
		{"unknown-column", "columns with unknown names are not used, only kept", "correct the name, or leave them"},
		{"unknown-setting", "a row of job.csv names no setting", "bayproof fields lists them"},
		{"section-not-listed", "the log names a section that sections.csv lacks", "add its row, or write the name the same way"},
		{"order", "times run backward: the order of filling counts for nothing", "put the rows back in the order of the work"},
		{"shared-open", "a bay shares a figure that is missing: it counts as not filled", "log the next bay, or amend"},
		{"line-unended", "the last row has no line end: the file may have been cut off in its last figure", "check the figure, and end the line"},
		{"counter-start", "the first counter reading has no count row before it, and puts a bay over the ceiling: it counts from 0", "write a count row before it"},
		{"beyond-bay", "a place lies up to a foot past the bay's end and counts as its end", "check its unit"},
		{"size-replaced", "an amended size is more than three times its ± away, or the shape is another: the new one replaces the old, else both count", "measure again if either may be right"},
		{"invisible", "a name has characters that do not show: they are left out", "type the name again"},
		{"photos", "a photo can't be read", "check the file"},
		{"journal-gone", "the journal has a confirmed row that its file lacks", "bayproof log JOB --restore brings it back; --accept says it was taken out on purpose"},
		{"journal-changed", "a row reads otherwise than the journal has it; no verdict waits for it", "bayproof log JOB --accept says that the file is right"},
		{"journal-order", "rows stand in another order than they were confirmed in", "sort the log by time again, or bayproof log JOB --accept"},
		{"journal-broken", "the journal breaks: from that line on it proves nothing", "keep it with the job, and ask who changed it"},
		{"journal", "the journal can't be read, or is that of another file", "check the file"},
	}
}
