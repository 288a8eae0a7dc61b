// The columns of the tables, and the words that stand in their cells and in the settings: their
// values, and how a word is read.

package model

import (
	"math"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// Column is one column of a file whose rows are each a T (an Entry of bays.csv, a Section, a Core):
// everything about it stands in its row of one table. The readers find in it how a cell reads and
// where its value goes, the manual what it means, the writer and the prompt its place and its name.
// The order of a table is the one in which the columns are printed and a new file has them; nothing
// else hangs on it.
type Column[T any] struct {
	Name    string
	Is      ColumnKind
	Figure  *Figure      // nil where the cell is no figure
	Words   []string     // the words that a cell of a file beside the log may hold; nil where any text may stand
	Field   func(*T) any // points at what the cell fills in: its type says how the cell reads; nil for the column job
	Meaning string
}

// ColumnKind says what a column is, and with that which entries may carry it: see EntryDef.
type ColumnKind uint8

const (
	ColumnWords       ColumnKind = iota // by, note, photo, time: every row may have them
	ColumnName                          // what the row is about
	ColumnSize                          // shape and sizes
	ColumnMaterial                      // what went in: one of three columns says it
	ColumnObservation                   // what was seen of a filled bay
)

// Figure says what a cell that holds a figure may hold. Limits are in SI; a value beyond them is a
// slip of unit or of the pen.
type Figure struct {
	Show     Display // what kind of figure it is, which gives the unit of a bare number in each system
	Count    bool    // a plain number, of bags or of bays: it has no unit
	Bare     string  // the unit of a bare number where it is the same in both systems: grams of a core
	Zero     bool    // 0 is accepted
	Min, Max float64 // 0 is no limit
	BareMax  float64 // above it a number with no unit anywhere is refused; 0 is no limit
}

// Below a sixty-fourth of an inch no tape reads, nobody splits a bag finer than into thousandths,
// and no scale for bags, nor one for cores, shows less than a tenth or a hundredth of a gram.
// Longer, wider and deeper is no bay: the number is in another unit.
const (
	Thinnest  = Inch / 64
	leastBag  = 0.001
	leastMass = 0.0001  // kg
	leastCore = 0.00001 // kg

	longWay   = 100 * Foot
	longBare  = 40 * Foot
	widest    = 8 * Foot
	deepest   = 4 * Foot
	mostBags  = 10000 // in one cell; a counter of a job that large would be reset
	mostMass  = 5000  // kg in one cell
	leastRoom = 1e-6  // m³ of a core or a test box: a cubic centimeter
	mostRoom  = 10    // m³
)

// What the cells of a kind of size or of material may hold. A width, a depth or a length of 0 is no
// bay; nothing may have been blown, and nothing stands out of a flat face.
func widthCell() *Figure { return &Figure{Show: ShowSize, Min: Thinnest, Max: widest} }
func depthCell() *Figure { return &Figure{Show: ShowSize, Min: Thinnest, Max: deepest} }
func bulgeCell() *Figure { return &Figure{Show: ShowSize, Min: Thinnest, Max: deepest, Zero: true} }
func countCell() *Figure { return &Figure{Count: true, Min: leastBag, Max: mostBags, Zero: true} }
func massCell() *Figure  { return &Figure{Show: ShowMass, Min: leastMass, Max: mostMass, Zero: true} }

// lengthCell is the length of a bay: up to longWay with a unit, up to longBare without one.
func lengthCell() *Figure {
	return &Figure{Show: ShowLength, Min: Thinnest, Max: longWay, BareMax: longBare}
}

// placeCell is a length that may be 0: a place in a bay, a side that runs to a point.
func placeCell() *Figure {
	f := lengthCell()
	f.Zero = true
	return f
}

// LogColumns are the columns of bays.csv.
func LogColumns() []Column[Entry] {
	const (
		name, size, material = ColumnName, ColumnSize, ColumnMaterial
		observation, words   = ColumnObservation, ColumnWords
	)
	return []Column[Entry]{
		{"job", name, nil, nil, nil, "only in a file of many jobs: the row's job; any setting may be a column there too"},
		{"section", name, nil, nil, func(e *Entry) any { return &e.Section }, "the run of like bays, on every row; leave it out if the job has only one"},
		{"bay", name, nil, nil, func(e *Entry) any { return &e.Bay }, "the bay's name within its section"},
		{"entry", words, nil, nil, func(e *Entry) any { return &e.Kind }, "what the row does, see the entries; blank is fill if the row has material, else size"},
		{"shape", size, nil, nil, func(e *Entry) any { return &e.Size.Shape }, "box (when blank), taper, wedge or round"},
		{"width", size, widthCell(), nil, func(e *Entry) any { return &e.Size.Width }, "clear width between framing; write ; between readings; \" or blank: as above, not measured here; ?: on the roof sheet, not typed in yet, so the bay waits"},
		{"width2", size, widthCell(), nil, func(e *Entry) any { return &e.Size.Width2 }, "width at the other end of a taper"},
		{"depth", size, depthCell(), nil, func(e *Entry) any { return &e.Size.Depth }, "clear depth; in a vented bay below the channel, not the whole rafter"},
		{"depth2", size, depthCell(), nil, func(e *Entry) any { return &e.Size.Depth2 }, "depth at the other end of a taper"},
		{"length", size, lengthCell(), nil, func(e *Entry) any { return &e.Size.Length }, "clear length of the bay"},
		{"length2", size, placeCell(), nil, func(e *Entry) any { return &e.Size.Length2 }, "the other long side of a bay cut on a skew; 0 if it runs to a point"},
		{"bulge", size, bulgeCell(), nil, func(e *Entry) any { return &e.Size.Bulge }, "how far netting or a membrane stands out at mid-width after filling"},
		{"bags", material, countCell(), nil, func(e *Entry) any { return &e.Material }, "bags used: 1 3/4, 1 + 14.5 lb, 2 - 10.5 lb; shared: one count with the next bay"},
		{"counter", material, countCell(), nil, func(e *Entry) any { return &e.Material }, "running count of bags at the end of this bay, from 0 or from a count row; shared as with bags"},
		{"weight", material, massCell(), nil, func(e *Entry) any { return &e.Material }, "weighed material"},
		{"reach", observation, placeCell(), nil, func(e *Entry) any { return &e.Reach }, "length that the tube's tip passed; several with ; between add up"},
		{"hole", observation, placeCell(), nil, func(e *Entry) any { return &e.Hole }, "the fill hole's distance from the low end; several holes with ; between"},
		{"feed", observation, nil, nil, func(e *Entry) any { return &e.Feed }, "how long material ran into the bay: 4:10 or 250 s, bursts with ; between add up; shared as with bags"},
		{"stop", observation, placeCell(), nil, func(e *Entry) any { return &e.Stops }, "where the rod stopped, from the low end, and at what: 6 block, wire, pipe, duct, flue or ?; several with ; between"},
		{"existing", observation, nil, nil, func(e *Entry) any { return &e.Existing }, "old batts or loose fill left in the bay; measure the room that is left"},
		{"stall", observation, nil, nil, func(e *Entry) any { return &e.Stall }, "yes or no: blown to the stall; ? if nobody can tell"},
		{"probe", observation, nil, nil, func(e *Entry) any { return &e.Look }, "rod firm, rod soft, rod empty, hand firm, hand soft, smoke still, smoke moves, ir even or ir cold; along or across may follow a rod, 50 Pa smoke, 20 F or 11 C ir"},
		{"at", observation, placeCell(), nil, func(e *Entry) any { return &e.At }, "where that was found, from the low end; several looks with ; between"},
		{"photo", words, nil, nil, func(e *Entry) any { return &e.Photos }, "file names in photos/, with ; between; b7*.jpg stands for several"},
		{"machine", name, nil, nil, func(e *Entry) any { return &e.Machine }, "which machine or hose filled the bay; leave it out if there is one"},
		{"by", words, nil, nil, func(e *Entry) any { return &e.By }, "initials"},
		{"note", words, nil, nil, func(e *Entry) any { return &e.Note }, "anything; name a leak, wet framing, a flue, a wire or a duct after closing, and the supervisor is asked again"},
		{"time", words, nil, nil, func(e *Entry) any { return &e.Time }, "2026-03-02 14:20, or 14:20 of the job's date"},
	}
}

// SectionColumns are the columns of sections.csv but for the settings that a section may override,
// which follow from their own table.
func SectionColumns() []Column[Section] {
	const name, size, words = ColumnName, ColumnSize, ColumnWords
	return []Column[Section]{
		{"section", name, nil, nil, func(s *Section) any { return &s.Name }, "the name that bays.csv uses"},
		{"kind", words, nil, []string{"rafter", "wall", "floor", "knee wall"}, func(s *Section) any { return &s.Kind }, "rafter, wall, floor or knee wall"},
		{"bays", words, countCell(), nil, func(s *Section) any { return &s.Expected }, "how many bays, counted from outside or from drawings"},
		{"covers", words, &Figure{Show: ShowArea}, nil, func(s *Section) any { return &s.Covers }, "area of the section"},
		{"spacing", words, widthCell(), nil, func(s *Section) any { return &s.Spacing }, "framing, on center"},
		{"shape", size, nil, nil, func(s *Section) any { return &s.Typical.Shape }, "shape of the typical bay, for plan only, as the next three"},
		{"width", size, widthCell(), nil, func(s *Section) any { return &s.Typical.Width }, "clear width of the typical bay"},
		{"depth", size, depthCell(), nil, func(s *Section) any { return &s.Typical.Depth }, "clear depth of the typical bay; if vented, below the channel"},
		{"length", size, lengthCell(), nil, func(s *Section) any { return &s.Typical.Length }, "length of the typical bay"},
		{"face", words, nil, []string{"rigid", "netting", "membrane"}, func(s *Section) any { return &s.Face }, "what holds the material: rigid, netting or membrane"},
		{"holes", words, nil, []string{"slit", "drill", "ask", "no"}, func(s *Section) any { return &s.Holes }, "how a hole is made: slit and patch, drill with the siding off, ask (a finished face), or no"},
		{"bags_used", words, countCell(), nil, func(s *Section) any { return &s.BagsUsed }, "empty bags counted for this section"},
		{"label_r", words, &Figure{Show: ShowRValue, Zero: true}, nil, func(s *Section) any { return &s.LabelR }, "R-value from the bag's label, as printed there"},
		{"unvented", words, nil, nil, func(s *Section) any { return &s.Unvented }, "yes or no: roof without ventilation above the bays"},
		{"vent_space", words, nil, nil, func(s *Section) any { return &s.VentSpace }, "yes or no: 1 in or more left open for air under the sheathing; depths leave it out"},
		{"climate_zone", words, nil, nil, func(s *Section) any { return &s.ClimateZone }, "of the code's map: 4A"},
		{"air_impermeable_r", words, &Figure{Show: ShowRValue, Zero: true}, nil, func(s *Section) any { return &s.AirImpermeableR }, "R-value of air-impermeable insulation in that roof"},
		{"note", words, nil, nil, func(s *Section) any { return &s.Note }, "anything"},
	}
}

// CoreColumns are the columns of cores.csv.
func CoreColumns() []Column[Core] {
	const name, size, words = ColumnName, ColumnSize, ColumnWords
	return []Column[Core]{
		{"section", name, nil, nil, func(c *Core) any { return &c.Section }, "the section"},
		{"bay", name, nil, nil, func(c *Core) any { return &c.Bay }, "the bay it was taken from"},
		{"machine", name, nil, nil, func(c *Core) any { return &c.Machine }, "which machine or hose filled a test box; leave it out if there is one"},
		{"time", words, nil, nil, func(c *Core) any { return &c.Time }, "2026-03-02 14:20, or 14:20 of the job's date; tells the machine setting of a test box"},
		{"kind", words, nil, []string{KindCore, "test box"}, func(c *Core) any { return &c.Kind }, "core or test box"},
		{"diameter", size, widthCell(), nil, func(c *Core) any { return &c.Diameter }, "of the hole; with depth"},
		{"depth", size, depthCell(), nil, func(c *Core) any { return &c.Depth }, "of the core"},
		{"volume", size, &Figure{Show: ShowVolume, Min: leastRoom, Max: mostRoom}, nil, func(c *Core) any { return &c.Volume }, "instead of diameter and depth"},
		{"weight", ColumnMaterial, &Figure{Show: ShowMass, Bare: "g", Min: leastCore, Max: mostMass}, nil, func(c *Core) any { return &c.Mass }, "of the material"},
		{"at", words, placeCell(), nil, func(c *Core) any { return &c.At }, "where it was taken, from the low end"},
		{"by", words, nil, nil, func(c *Core) any { return &c.By }, "initials"},
		{"date", words, nil, nil, func(c *Core) any { return &c.Date }, "2026-03-02"},
		{"photo", words, nil, nil, func(c *Core) any { return &c.Photo }, "file name in photos/"},
	}
}

// InspectionColumns are the columns of inspections.csv, which the crew's commands never write.
func InspectionColumns() []Column[Inspection] {
	const name, words = ColumnName, ColumnWords
	return []Column[Inspection]{
		{"job", name, nil, nil, func(x *Inspection) any { return &x.Job }, "the job; left out in a job's own folder"},
		{"section", name, nil, nil, func(x *Inspection) any { return &x.Section }, "the section"},
		{"bay", name, nil, nil, func(x *Inspection) any { return &x.Bay }, "the bay"},
		{"inspector", words, nil, nil, func(x *Inspection) any { return &x.Inspector }, "who looked"},
		{"date", words, nil, nil, func(x *Inspection) any { return &x.Date }, "2026-03-02"},
		{"method", words, nil, []string{"opened", "core", "rod", "smoke", "ir"}, func(x *Inspection) any { return &x.Method }, "how: opened, core, rod, smoke, ir"},
		{"found", words, nil, foundWords[1:], func(x *Inspection) any { return &x.Found }, "full, short, empty, soft, not opened, hazard"},
		{"density", words, &Figure{Show: ShowDensity, Min: loosest, Max: Densest}, nil, func(x *Inspection) any { return &x.Density }, "where it was taken"},
		{"at", words, placeCell(), nil, func(x *Inspection) any { return &x.At }, "where, from the low end"},
		{"empty", words, placeCell(), nil, func(x *Inspection) any { return &x.Empty }, "how much of the length is empty"},
		{"note", words, nil, nil, func(x *Inspection) any { return &x.Note }, "free text"},
	}
}

// Unit is the unit of a bare number in a system of units.
func (f *Figure) Unit(units System) Unit {
	switch {
	case f.Count:
		return Unit{Dimension: DimCount, Factor: 1}
	case f.Bare != "":
		u, _ := LookupUnit(f.Bare)
		return u
	}
	return units.Unit(f.Show)
}

// BlankRow is a row none of whose cells says anything.
func BlankRow[T any](table []Column[T]) T {
	var row T
	for _, c := range table {
		if c.Field == nil {
			continue
		}
		switch p := c.Field(&row).(type) {
		case *float64:
			*p = math.NaN()
		case *Material:
			p.Within = math.NaN()
		case *Look:
			p.Under = math.NaN()
		}
	}
	return row
}

// Said tells whether the column's cell says anything on a row.
func (c *Column[T]) Said(row *T) bool {
	if c.Field == nil {
		return false
	}
	switch p := c.Field(row).(type) {
	case *float64:
		return !math.IsNaN(*p)
	case *[]float64:
		return len(*p) > 0
	case *Reading:
		return p.State != Absent
	case *Material:
		return p.Kind != MaterialNone && p.Kind.Column() == c.Name || p.Beside && c.Name == MaterialCounter.Column()
	case *Shape:
		return *p != ShapeUnsaid
	case *Answer:
		return *p != Unsaid
	case *Look:
		return p.Probe != ProbeNone
	case *Feed:
		return *p != Feed{}
	case *[]Stop:
		return len(*p) > 0
	case *string:
		return *p != ""
	case *[]string:
		return len(*p) > 0
	case *time.Time:
		return !p.IsZero()
	}
	return true // an entry is always something
}

// EntryDef describes one word of the column entry: what a row of it may carry besides the words
// that every row may have.
type EntryDef struct {
	Word                          string
	Sizes, Material, Observations bool
	Also                          [3]string // columns more
	AfterFill                     bool      // the bay must be filled before it
	Nameless                      bool      // it belongs to no bay
	Hint                          string    // of the fault of a row that carries something else
	May                           string    // what it may carry, as the manual says it
	Meaning                       string
}

// EntryDefs returns the table of entries in the order of their kinds.
func EntryDefs() []EntryDef {
	defs := entryDefs
	return defs[:]
}

// otherwise is the hint of a row that carries what it may not.
const otherwise = "leave it blank: this row has by, note and time only"

// entryDefs is the table by kind.
var entryDefs = [entryKinds]EntryDef{
	EntrySize: {Word: "size", Sizes: true, Observations: true,
		Hint: "write what went in as entry fill; a size row has sizes and what was seen",
		May:  "sizes, observations", Meaning: "measured, before or after the fill; a second row adds readings"},
	EntryFill: {Word: "fill", Sizes: true, Material: true, Observations: true,
		May: "material, observations, sizes unless measured before", Meaning: "the bay was filled; one row a bay"},
	EntryPiece: {Word: "piece", Sizes: true, Hint: "leave it blank: a piece or less row has sizes only",
		May: "sizes", Meaning: "more volume of the same bay"},
	EntryLess: {Word: "less", Sizes: true, Hint: "leave it blank: a piece or less row has sizes only",
		May: "sizes", Meaning: "volume in the bay that cannot be filled: a duct, blocking"},
	EntryTopup: {Word: "topup", Material: true, Observations: true, AfterFill: true,
		Hint: "write an amend to change sizes; a topup row has material and what was seen",
		May:  "material, also 0, a counter beside a weight, observations", Meaning: "blown in afterwards; 0 changes no figure and settles nothing"},
	EntryLost: {Word: "lost", Material: true, AfterFill: true, Hint: "leave it blank: a lost row has material only",
		May: "bags or weight, a counter beside a weight", Meaning: "went in and came out, or never got in"},
	EntrySeen: {Word: "seen", Observations: true, AfterFill: true,
		Hint: "write material as a topup; a seen row has what was seen",
		May:  "observations; before the fill too where a size row stands", Meaning: "what a look found; the last word on each counts, probes add up"},
	EntryClosed: {Word: "closed", AfterFill: true, Hint: otherwise, Meaning: "the bay was closed; its verdict then is kept"},
	EntryDecided: {Word: "decided", AfterFill: true, Hint: otherwise,
		May: "by, note, both needed", Meaning: "a person closes the bay as it stands, and says why"},
	EntryAmend: {Word: "amend", Sizes: true, Material: true, Observations: true, AfterFill: true,
		May: "as fill", Meaning: "a whole new fill in place of the old one; it takes over nothing"},
	EntryStrike: {Word: "strike", Hint: otherwise,
		Meaning: "takes the bay back; its rows stay, struck through. With a word in note, as closed or topup: takes the last such row back alone"},
	EntryLeave: {Word: "leave", Hint: otherwise,
		May: "note, which says why", Meaning: "not filled on purpose, so not missing"},
	EntryEmpties: {Word: "empties", Material: true, Nameless: true, Hint: "write the bags alone",
		May: "bags, no bay; section or machine", Meaning: "empty bags counted since the last such row; for a recount write recount in note"},
	EntryElsewhere: {Word: "elsewhere", Material: true, Nameless: true, Hint: "leave it blank: an elsewhere row has material and a note",
		May: "bags or weight, a counter beside a weight, note, no bay", Meaning: "bags that went to the attic or a test box, or tore"},
	EntryCount: {Word: "count", Material: true, Nameless: true, Hint: "write the counter alone",
		May: "counter, no bay", Meaning: "the counter at the start of a day or after a reset"},
	EntrySet: {Word: "set", Nameless: true, Hint: "write a note alone",
		May: "note, no bay", Meaning: "machine setting or lot changed: the order of filling starts over here"},
}

// carries tells whether a row may hold a column; every row may have its names and words.
func (d *EntryDef) carries(c *Column[Entry]) bool {
	switch c.Is {
	case ColumnSize:
		return d.Sizes
	case ColumnMaterial:
		return d.Material
	case ColumnObservation:
		return d.Observations || slices.Contains(d.Also[:], c.Name)
	}
	return true
}

// The words that stand in the log and in the settings, in the order of their values. Where the
// first value of a type means that nothing was said it has no word, and the list begins with the
// second.
var (
	shapeWords    = []string{"box", "taper", "wedge", "round"}
	probeWords    = []string{"rod firm", "rod soft", "rod empty", "hand firm", "hand soft", "smoke still", "smoke moves", "ir even", "ir cold"}
	answerWords   = []string{"yes", "no", "?"}
	stopWords     = []string{"?", "block", "wire", "pipe", "duct", "flue"}
	rodWays       = []string{"along", "across"}
	systemWords   = []string{"us", "si"}
	ruleWords     = []string{"process", "guarded"}
	countingWords = []string{"ends", "fresh", "running"}
	materialWords = []string{"bags", "counter", "weight"}
	originWords   = []string{"default", "job.csv", "sections.csv", "programme.csv", "flag"}
)

// EntryWords are the words of the entry column, in the order of the kinds.
func EntryWords() []string {
	var words []string
	for _, def := range entryDefs {
		words = append(words, def.Word)
	}
	return words
}

// ShapeWords are the words of the shape column, from ShapeBox.
func ShapeWords() []string { return slices.Clone(shapeWords) }

// ProbeWords are the words of the probe column, from RodFirm.
func ProbeWords() []string { return slices.Clone(probeWords) }

// StopWords are what a rod may stop at, from StopUnknown.
func StopWords() []string { return slices.Clone(stopWords) }

// RodWays are the words that may follow a rod, from Along.
func RodWays() []string { return slices.Clone(rodWays) }

// wordOf is the word of a value; first is the value of the first word. What was not said has none.
func wordOf[T ~uint8](v, first T, words []string) string {
	if v < first {
		return ""
	}
	return words[v-first]
}

// String returns the word of the entry column; each kind has one.
func (k EntryKind) String() string { return entryDefs[k].Word }

// String returns the word of the shape column, or nothing.
func (s Shape) String() string { return wordOf(s, ShapeBox, shapeWords) }

// String returns the words of the probe column, or nothing.
func (p Probe) String() string { return wordOf(p, RodFirm, probeWords) }

// String returns yes, no, ? or nothing.
func (a Answer) String() string { return wordOf(a, Yes, answerWords) }

// String returns us or si.
func (s System) String() string { return systemWords[s] }

// String returns process or guarded.
func (r Rule) String() string { return ruleWords[r] }

// String returns ends, fresh, running, or nothing.
func (c Counting) String() string { return wordOf(c, CountingEnds, countingWords) }

// String says where a setting's value came from.
func (o Origin) String() string { return originWords[o] }

// parse finds a word in any case, with spaces and what does not show around it; first is the value
// of the first word. The zero value and false answer for what is no word.
func parse[T ~uint8](s string, first T, words []string) (T, bool) {
	for i, w := range words { // as the format has it: nearly all
		if s == w {
			return first + T(i), true
		}
	}
	s = strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\t' || r == '\u00a0' || Invisible(r) }), " ")
	for i, w := range words {
		if strings.EqualFold(s, w) {
			return first + T(i), true
		}
	}
	return 0, false
}

// ParseEntryKind reads a word of the entry column.
func ParseEntryKind(s string) (EntryKind, bool) {
	for k, def := range entryDefs { // as the format has it: nearly all, and without a list
		if s == def.Word {
			return EntryKind(k), true
		}
	}
	return parse(s, EntrySize, EntryWords())
}

// ParseShape reads a word of the shape column.
func ParseShape(s string) (Shape, bool) { return parse(s, ShapeBox, shapeWords) }

// ParseProbe reads the words of the probe column.
func ParseProbe(s string) (Probe, bool) { return parse(s, RodFirm, probeWords) }

// ParseSystem reads us or si.
func ParseSystem(s string) (System, bool) { return parse(s, US, systemWords) }

// ParseRule reads process or guarded.
func ParseRule(s string) (Rule, bool) { return parse(s, RuleProcess, ruleWords) }

// ParseCounting reads ends, fresh or running.
func ParseCounting(s string) (Counting, bool) { return parse(s, CountingEnds, countingWords) }

// answersWritten are the words for yes, and from the fourth on those for no.
var answersWritten = []string{"yes", "y", "true", "no", "n", "false"}

// ParseAnswer reads yes, y, true, no, n, false.
func ParseAnswer(s string) (Answer, bool) {
	i, ok := parse(s, uint8(0), answersWritten)
	switch {
	case !ok:
		return Unsaid, false
	case i < 3:
		return Yes, true
	}
	return No, true
}

// Fold makes names that differ only in case, spaces or characters that do not show the same: "North
// Slope" and "north slope" are one section, and writing it in two ways is a fault rather than a
// second section.
func Fold(name string) string {
	folded := func(r rune) rune {
		if unicode.IsSpace(r) || Invisible(r) {
			return -1
		}
		return unicode.ToLower(r)
	}
	for i := range len(name) { // most names are folded as they stand, and need no copy
		if c := name[i]; c <= ' ' || c >= utf8.RuneSelf || 'A' <= c && c <= 'Z' {
			return strings.Map(folded, name)
		}
	}
	return name
}

// Invisible tells whether a character does not show: zero-width spaces and joiners, soft hyphens,
// marks that turn the direction of writing, variation selectors, fillers. Source: Unicode, general
// category Cf but for the signs that stand before a number and do show, and
// Default_Ignorable_Code_Point.
func Invisible(r rune) bool {
	if r < 0x80 {
		return false
	}
	return unicode.Is(unicode.Cf, r) && !unicode.Is(unicode.Prepended_Concatenation_Mark, r) ||
		unicode.Is(unicode.Variation_Selector, r) || unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r)
}

// unseen tells whether two names differ only in characters that do not show, and gives the first of
// them.
func unseen(a, b string) (rune, bool) {
	visible := func(r rune) rune {
		if Invisible(r) {
			return -1
		}
		return r
	}
	if a == b || strings.Map(visible, a) != strings.Map(visible, b) {
		return 0, false
	}
	for _, r := range a + b {
		if Invisible(r) {
			return r, true
		}
	}
	return 0, false
}
