// A table as text: lines are cut into cells, and cells are checked against the header.
//
// Spreadsheets and people write quotes in more ways than a CSV library takes: an inch mark inside a
// cell, a quote that was not doubled, a ditto mark alone. A line break inside a cell is refused
// anyway, so every line can be cut by itself: first by the book (closeStrict); where that does not
// come to the header's number of cells, by a looser rule that allows for inch marks (closeLoose),
// which is taken where it does. Lines without a quote are cut eight bytes at a time. What was meant
// in two ways is a fault, never a guess.

package joblog

import (
	"fmt"
	"maps"
	"math/bits"
	"path"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// sheet is one table of a job: the header says where its columns stand, next gives its rows.
type sheet struct {
	file   string
	cut    cutter
	comma  bool // the decimal mark is a comma
	header []string
	cols   []column
	extra  []string // headers that no one knows
	frame  *model.Frame
	lines  lines
	f      *faultList
	row    []string // of next
	mem    *rowMemory
	plain  bool // no quote stands in the text
	full   bool // the row before had all its cells
	spare  int  // empty cells after the header's that every row has; -1 before the first row
}

// column is one column of a sheet.
type column struct {
	name    string        // the known name; empty where no one knows it
	title   string        // as written
	unit    string        // the unit in the header, as the tool writes it
	setting bool          // it is a setting, not a column of the file's own
	figure  *model.Figure // nil where its cells are no figures
}

// openSheet reads the header: the first line that is not blank, after a line `sep=;` where there is
// one. It answers false where the text holds no table that anyone knows; an empty text has no
// header and no fault.
func openSheet(file, text string, k *knownColumns, f *faultList) (*sheet, bool) {
	s := &sheet{file: file, frame: new(model.Frame), lines: newLines(text, 0), f: f, spare: -1, mem: new(rowMemory)}
	f.shows(file, s.frame)
	sep := byte(0)
	for {
		line, ok := s.lines.next()
		if !ok {
			return s, false
		}
		if sep == 0 {
			if sep = sepLine(line); sep != 0 { // spreadsheets obey it and show no row
				s.frame.Hidden = append(s.frame.Hidden, model.Hidden{From: s.lines.n, Lines: 1})
				continue
			}
		}
		if blankLine(line) {
			continue
		}
		if len(line) > model.MostLine || strings.Count(line, ",")+strings.Count(line, ";")+strings.Count(line, "\t") >= model.MostColumns {
			s.header = []string{tell(line)}
			f.addf(model.Source{File: file, Line: s.lines.n}, "check that this is the right file", "the first row has %d kB, or over %d columns: no table of a job has so many", len(line)>>10, model.MostColumns)
			return s, false
		}
		s.readHeader(line, sep, k)
		for _, title := range s.header {
			s.frame.Header = append(s.frame.Header, tell(title))
		}
		return s, k.plan(s)
	}
}

// readHeader cuts the header line by the separator that finds the most known names.
func (s *sheet) readHeader(line string, sep byte, k *knownColumns) {
	best := -1
	for _, c := range []byte{',', ';', '\t'} {
		if sep != 0 && c != sep {
			continue
		}
		cut := cutter{sep: c}
		cells, _ := cut.cut(line, nil)
		known := 0
		for _, cell := range cells {
			if name, _ := k.name(cell); name != "" {
				known++
			}
		}
		if known > best {
			best, s.header, s.cut = known, cells, cut
		}
	}
	s.cut.want = len(s.header)
}

// sepLine knows the line that some spreadsheets put first to say their separator.
func sepLine(line string) byte {
	line = strings.Trim(line, `" `)
	if len(line) == 5 && strings.EqualFold(line[:4], "sep=") && strings.IndexByte(",;\t", line[4]) >= 0 {
		return line[4]
	}
	return 0
}

// blankLine tells whether a line before the header holds nothing.
func blankLine(line string) bool {
	return strings.Trim(line, ",;\t\r\" \u00a0") == ""
}

// next gives the next row that holds something: its cells, which stay until the memory is taken
// again, and its line. Rows that cannot be cut are faults and are passed over.
func (s *sheet) next() (cells []string, line int, ok bool) {
	for {
		text, more := s.lines.next()
		if !more {
			return nil, 0, false
		}
		if len(text) == 0 {
			continue
		}
		if len(text) > model.MostLine {
			s.f.addf(model.Source{File: s.file, Line: s.lines.n}, "shorten the note; is a quote left open?", "this row has %d kB: no row is that long", len(text)>>10)
			continue
		}
		open := 0
		if s.plain {
			s.row = s.cut.plain(text, s.mem.room(len(s.header)))
		} else {
			s.row, open = s.cut.cut(text, s.mem.room(len(s.header)))
		}
		switch {
		case open > 0:
			s.openQuote(open)
		case allBlank(s.row) || slices.Equal(s.row, s.header): // the header may stand in the file once more
		case s.tornOff(len(s.row)):
			s.f.addf(s.place(len(s.row)-1), "complete it or delete it", "the last row breaks off: %s of %d and no line end", count(len(s.row), "cell"), len(s.header))
		case s.fits(s.row):
			s.full = len(s.row) == len(s.header)
			s.unended()
			return s.mem.keep(s.row), s.lines.n, true
		}
	}
}

// tornOff knows a last row that lacks its line end and cells which the row before it has, or the
// time, where that is the last column: a log that bayproof wrote has both in every row.
func (s *sheet) tornOff(cells int) bool {
	timed := len(s.cols) > 0 && s.cols[len(s.cols)-1].name == "time"
	return s.lines.rest == "" && !s.lines.ended && (s.full || timed) && cells < len(s.header)
}

// unended warns of a last row that ends in a figure and in no line end: some editors leave it out,
// and a file that was cut off while it was written or copied looks the same. Of 1.75 the 1 is a
// figure too.
func (s *sheet) unended() {
	last := len(s.row) - 1
	if s.lines.rest != "" || s.lines.ended || last >= len(s.cols) || cell.Blank(s.row[last]) {
		return
	}
	if s.cols[last].figure != nil {
		s.f.warn("line-unended", s.place(last), "the last row has no line end. If the file was cut off there, %s %s may be only the start of a figure. Check it, and end the line",
			s.cols[last].name, s.row[last])
	}
}

// fits tells whether a row has the cells that the header names. A comma file may leave out blank
// ones at the end, or have as many more as every row has; one row with a cell more has a comma in a
// cell, and what stands after it has moved.
func (s *sheet) fits(row []string) bool {
	n, want := len(row), len(s.header)
	if n == want || s.cut.sep != ';' && n < want {
		s.spare = max(s.spare, 0)
		return true
	}
	if s.cut.sep != ';' && allBlank(row[want:]) && (s.spare < 0 || s.spare == n-want) {
		s.row, s.spare = row[:want], n-want
		return true
	}
	hint := "put a cell with a comma in it in quotes"
	if s.cut.sep == ';' {
		hint = "give the row as many cells as the header; put readings with ; between them in quotes"
	}
	s.f.addf(model.Source{File: s.file, Line: s.lines.n, Col: min(n, want+1)}, hint, "%s here, and the header names %d", count(n, "cell"), want)
	return false
}

// place is a cell of the row that next gave last; field counts from 0.
func (s *sheet) place(field int) model.Source {
	return model.Source{File: s.file, Line: s.lines.n, Col: field + 1}
}

// allBlank tells whether cells hold spaces alone. It looks at bytes, as every row of a log is
// asked; a no-break space is two of them.
func allBlank(cells []string) bool {
	for _, c := range cells {
		for i := 0; i < len(c); i++ {
			switch c[i] {
			case ' ', '\t', '\r', 0xc2, 0xa0:
			default:
				return false
			}
		}
	}
	return true
}

// cutter cuts a line into its cells. A quote opens a cell only at its start; inside a cell it is
// text (an inch mark). Because a line break inside a cell is refused anyway, every line is cut by
// itself, and a line whose quotes do not add up may be read the way it was meant.
type cutter struct {
	sep   byte
	ditto []bool // columns in which a quote alone is a cell: as the bay above
	want  int    // cells of the header; 0 while it is read
}

// cut appends the line's cells. open is the number from 1 of a cell whose quote is not closed on
// this line, else 0.
func (c *cutter) cut(line string, cells []string) (out []string, open int) {
	if strings.IndexByte(line, '"') < 0 {
		return c.plain(line, cells), 0
	}
	start := len(cells)
	out, ok := c.quoted(line, cells, closeStrict)
	if ok && (c.want == 0 || len(out)-start == c.want) {
		return out, 0
	}
	strict := append([]string(nil), out[start:]...)
	out, loose := c.quoted(line, cells[:start], closeLoose)
	switch {
	case ok && !(loose && len(out)-start == c.want):
		return append(cells[:start], strict...), 0
	case !loose:
		return out, len(out) - start
	}
	return out, 0
}

// plain cuts a line without quotes, eight bytes at a time.
func (c *cutter) plain(line string, cells []string) []string {
	from, i := 0, 0
	for ; i+8 <= len(line); i += 8 {
		for found := among(line[i:i+8], c.sep); found != 0; found &= found - 1 {
			at := i + bits.TrailingZeros64(found)/8
			cells = append(cells, line[from:at])
			from = at + 1
		}
	}
	for ; i < len(line); i++ {
		if line[i] == c.sep {
			cells = append(cells, line[from:i])
			from = i + 1
		}
	}
	return append(cells, line[from:])
}

// among looks for a byte in the first eight of s: the top bit of every byte of the answer tells
// whether that one is b, the lowest byte standing for the first. A byte of x is zero where they are
// the same, and only there does neither it nor the sum of its lower bits and 127, which carries
// nothing over, have its top bit set.
func among(s string, b byte) uint64 {
	const ones, low = 0x0101010101010101, 0x7f7f7f7f7f7f7f7f
	_ = s[7]
	x := uint64(s[0]) | uint64(s[1])<<8 | uint64(s[2])<<16 | uint64(s[3])<<24 |
		uint64(s[4])<<32 | uint64(s[5])<<40 | uint64(s[6])<<48 | uint64(s[7])<<56
	x ^= ones * uint64(b)
	return ^(x&low + low | x | low)
}

// quoted cuts a line with quotes in it; it stops at a cell that the closing rule finds no end of.
func (c *cutter) quoted(line string, cells []string, closing func(c *cutter, s string) (string, int)) ([]string, bool) {
	for n := 0; ; n++ {
		var cell string
		var end int
		switch {
		case line == "" || line[0] != '"':
			if end = strings.IndexByte(line, c.sep); end < 0 {
				end = len(line)
			}
			cell = line[:end]
		case n < len(c.ditto) && c.ditto[n] && c.ends(line[1:]) >= 0:
			cell, end = line[:1], 1+c.ends(line[1:])
		default:
			if cell, end = closing(c, line); end < 0 {
				return append(cells, line), false
			}
		}
		if n < len(c.ditto) && c.ditto[n] && len(cell) > 2 {
			cell = strings.ReplaceAll(cell, `""`, `"`) // an inch mark that was doubled once too often
		}
		cells = append(cells, cell)
		if end == len(line) {
			return cells, true
		}
		line = line[end+1:]
	}
}

// ends tells how many spaces stand before the end of the cell, or -1 where more of the cell
// follows.
func (c *cutter) ends(s string) int {
	i := 0
	for i < len(s) && s[i] == ' ' {
		i++
	}
	if i == len(s) || s[i] == c.sep {
		return i
	}
	return -1
}

// closeStrict reads a quoted cell by the book: a doubled quote is one quote, a single one closes
// the cell and stands before a separator. It returns the cell and where it ends, or -1.
func closeStrict(c *cutter, s string) (string, int) {
	doubled := false
	for i := 1; i < len(s); i++ {
		if s[i] != '"' {
			continue
		}
		if i+1 < len(s) && s[i+1] == '"' {
			doubled = true
			i++
			continue
		}
		n := c.ends(s[i+1:])
		if n < 0 {
			return "", -1
		}
		cell := s[1:i]
		if doubled {
			cell = strings.ReplaceAll(cell, `""`, `"`)
		}
		return cell, i + 1 + n
	}
	return "", -1
}

// closeLoose reads a quoted cell whose own quotes were not doubled: it ends at the first quotes
// that stand before a separator. Two of them are an inch mark and the closing quote.
func closeLoose(c *cutter, s string) (string, int) {
	for i := 1; i < len(s); i++ {
		if s[i] != '"' {
			continue
		}
		from := i
		for i < len(s) && s[i] == '"' {
			i++
		}
		if n := c.ends(s[i:]); n >= 0 {
			cell := strings.ReplaceAll(s[1:from], `""`, `"`) + strings.Repeat(`"`, (i-from)/2)
			return cell, i + n
		}
	}
	return "", -1
}

// maxBreak is how many lines a broken cell is followed for.
const maxBreak = 40

// closing tells how many lines ahead a cell is closed that a quote opened; 0 where no line closes
// it.
func (c *cutter) closing(ahead lines) int {
	for n := 1; n <= maxBreak; n++ {
		line, ok := ahead.next()
		if !ok {
			break
		}
		cells, open := c.cut(line, nil)
		if open == 0 && len(cells) == c.want && len(cells) > 2 {
			break // a row by itself: no broken cell runs across it
		}
		if at := strings.IndexByte(line, '"'); at >= 0 && c.ends(line[at+1:]) >= 0 {
			return n
		}
	}
	return 0
}

// openQuote makes the fault of a quote that is not closed on its line. Where a later line closes
// it, the cell holds a line break and the lines in between are passed over, or each of them would
// be a fault of its own.
func (s *sheet) openQuote(field int) {
	src := model.Source{File: s.file, Line: s.lines.n, Col: field}
	n := s.cut.closing(s.lines)
	if n == 0 {
		s.f.add(src, "a quote opens this cell and nothing closes it", `close the quote; write an inch mark inside quotes twice, 12' 6""`)
		return
	}
	s.frame.Hidden = append(s.frame.Hidden, model.Hidden{From: s.lines.n + 1, Lines: n})
	for range n {
		s.lines.next()
	}
	s.f.add(src, fmt.Sprintf("this cell has a line break: its quote closes on line %d of the file", s.lines.n), "write the cell on one line")
}

// count counts things in words.
func count(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}

// Blanker writes copies of a job's files from which nobody learns who worked, for whom and where:
// settings that say so, notes, initials, names of photos and whatever stands in columns that no one
// knows. One person keeps one mark and one photo one name in all files, lines keep their numbers,
// and every other cell stands as it was written, names of sections and bays among them.
type Blanker struct {
	job            *model.Job
	people, photos map[string]string // what stands for each
}

// Blanked stands for a text that was taken out where a row needs one, and for the job's name.
const Blanked = "blanked"

// NewBlanker takes the job as it was read.
func NewBlanker(job *model.Job) *Blanker {
	b := &Blanker{job: job, people: map[string]string{}, photos: map[string]string{}}
	for _, p := range job.Photos {
		b.photo(p.Name)
	}
	return b
}

// photo is what stands for a photo's name; upper and lower case are one, as NamesPhoto has it.
func (b *Blanker) photo(name string) string {
	key := strings.ToLower(name)
	if b.photos[key] == "" {
		b.photos[key] = fmt.Sprintf("photo-%03d", len(b.photos)+1)
	}
	return b.photos[key]
}

// Photos are the job's photos under other names.
func (b *Blanker) Photos() []model.Photo {
	out := slices.Clone(b.job.Photos)
	for i := range out {
		out[i].Name = b.photo(out[i].Name)
	}
	return out
}

// Flags are the settings of a command line without those that say who or where.
func (b *Blanker) Flags(flags map[string]string) map[string]string {
	out := maps.Clone(flags)
	maps.DeleteFunc(out, func(name, _ string) bool { return personal(name) })
	return out
}

// personal tells whether a setting says who or where.
func personal(name string) bool {
	return slices.ContainsFunc(model.SettingDefs(), func(d model.SettingDef) bool { return d.Name == name && d.Personal })
}

// cell is what a copy has in a column.
func (b *Blanker) cell(column, text string) string {
	switch {
	case cell.Blank(text), column == "", column != "job" && personal(column):
		return ""
	case column == "job", column == "note":
		return Blanked
	case column == "by":
		key := cell.Text(text)
		if b.people[key] == "" {
			b.people[key] = fmt.Sprintf("P%d", len(b.people)+1)
		}
		return b.people[key]
	case column == "photo":
		var names []string
		for _, name := range cell.Photos(text) {
			found := []string{}
			for _, p := range b.job.Photos {
				if model.NamesPhoto(name, p.Name) {
					found = append(found, b.photo(p.Name))
				}
			}
			if len(found) == 0 { // one that is not there
				found = append(found, b.photo(name))
			}
			names = append(names, found...)
		}
		return strings.Join(names, "; ")
	}
	return text
}

// File is the copy of one of the job's files, by its name in the folder: UTF-8, its rows on the
// lines on which they stood. It answers false for a file that holds no table.
func (b *Blanker) File(file string, raw []byte) ([]byte, bool) {
	var f faultList
	text, ok := decode(file, 1, string(raw), &f)
	known := bayColumns(model.LogColumns())
	switch path.Base(file) {
	case "job.csv", ProgrammeName:
		known = namesAndValues(file)
	case "sections.csv":
		known = sectionColumns()
	case coresFile:
		known = coreColumns()
	}
	if ok && allBlank([]string{text}) {
		return nil, true
	}
	s, opened := openSheet(file, text, known, &f)
	if !ok || !opened {
		return nil, false
	}
	if known.what == "the log" && planLog(s, model.LogColumns()) == nil {
		return nil, false
	}
	form := layout{sep: s.cut.sep}
	var out strings.Builder
	lines := 1
	write := func(line int, cells []string) {
		out.WriteString(strings.Repeat("\n", line-lines))
		lines = line
		for i, c := range cells {
			if i > 0 {
				out.WriteByte(form.sep)
			}
			out.WriteString(form.quote(c))
		}
	}
	head := slices.Clone(s.header)
	for i := range s.cols {
		if s.cols[i].name == "" {
			head[i] = fmt.Sprintf("column %d", i+1)
		}
	}
	write(s.lines.n, head)
	name, value, other := s.field("name"), s.field("value"), s.field("job")
	for {
		row, line, more := s.next()
		if !more {
			break
		}
		row = slices.Clone(row)
		switch key := headerKey(at(row, name)); {
		case known.index["value"] == 1 && known.own == 2: // a setting or an ask a row
			keep := slices.ContainsFunc(model.SettingDefs(), func(d model.SettingDef) bool { return d.Name == key && !d.Personal }) ||
				slices.ContainsFunc(model.AskDefs(), func(d model.AskDef) bool { return d.Name == key })
			for i := range row {
				if !keep || i != name && i != value {
					row[i] = ""
				}
			}
		case other >= 0 && cell.Name(at(row, other)) != b.job.Name && !cell.Blank(at(row, other)): // of another job
			continue
		default:
			for i := range row {
				row[i] = b.cell(s.cols[i].name, row[i])
			}
		}
		write(line, row)
	}
	out.WriteByte('\n')
	return []byte(out.String()), len(f.list) == 0
}
