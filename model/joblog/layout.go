// How a log is written: its encoding, separator, decimal mark, line end and columns. A row that is
// appended takes the form of the rows that stand there, whatever wrote them. The same code finds
// the encoding when a log is read (decode): UTF-8, UTF-16 with or without a byte order mark, else
// Windows-1252 with a warning.

package joblog

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	xencoding "golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"bayproof/model"
	"bayproof/model/cell"
)

// layout is how the rows of a log are written: its own columns, separator, decimal mark, line end
// and encoding.
type layout struct {
	what  string // the file, as a sentence names it
	cols  []column
	sep   byte
	comma bool
	end   string
	text  encoding
	job   model.Settings // whose units bare figures have
	known bool           // read from a header that stands in the file
}

// newLayout is that of a new file.
func newLayout(k *knownColumns) layout {
	l := layout{what: k.what, sep: ',', end: "\n"}
	for _, c := range k.table {
		l.cols = append(l.cols, column{name: c.Name, title: c.Name, figure: c.Figure})
	}
	return l
}

// sheetOf opens the table that the file is where it holds b, and gives its text; nil where that is
// blank.
func (w *Writer) sheetOf(b []byte) (*sheet, string, error) {
	var f faultList
	text, ok := decode(w.file, 1, string(b), &f)
	if !ok {
		return nil, "", f.firstTrouble(w.folder, w.file)
	}
	if strings.Trim(text, " \r\n\t") == "" {
		return nil, text, nil
	}
	s, ok := openSheet(w.file, text, w.known, &f)
	if !ok || w.file == w.folder.Log && planLog(s, model.LogColumns()) == nil {
		return nil, text, f.firstTrouble(w.folder, w.file)
	}
	return s, text, nil
}

// layoutOf reads how the file is written where it holds b.
func (w *Writer) layoutOf(b []byte) (layout, error) {
	r := newReader(w.folder.FS, w.folder.Log, Options{})
	r.readJob()
	l := newLayout(w.known)
	l.job, _ = r.resolver.Job(w.folder.Name, r.given)
	s, text, err := w.sheetOf(b)
	if s == nil {
		return l, err
	}
	l.cols, l.sep = s.cols, s.cut.sep
	l.comma = tableComma(s.lines, s, &r.f, s.numeric)
	l.text, l.known = encodingOf(string(b)), true
	if s.lines.end == '\r' {
		l.end = "\r"
	} else if i := strings.IndexByte(text, '\n'); i > 0 && text[i-1] == '\r' {
		l.end = "\r\n"
	}
	return l, nil
}

// firstTrouble is the first fault as an error.
func (f *faultList) firstTrouble(folder *Folder, file string) error {
	if len(f.list) == 0 {
		return &Trouble{folder.Show(file) + " can't be read", ""}
	}
	x := f.list[0]
	place := f.place(x.Src.Source)
	place.File = folder.Show(place.File)
	return &Trouble{place.String() + ": " + x.What, x.Hint}
}

// has tells whether the file has a column of this name.
func (l *layout) has(name string) bool {
	return slices.ContainsFunc(l.cols, func(c column) bool { return c.name == name })
}

// head is the first line of a new file. The byte order mark makes spreadsheets read it as UTF-8.
func (l *layout) head() []byte {
	var titles []string
	for _, c := range l.cols {
		titles = append(titles, c.title)
	}
	return []byte(bom + strings.Join(titles, string(l.sep)) + l.end)
}

// lineEnd is the log's line end as it stands in the file.
func (l *layout) lineEnd() []byte {
	b, _ := l.text.coder().NewEncoder().Bytes([]byte(l.end))
	return b
}

// unended is what the log's last line lacks of its line end: all of it, or the half of two that a
// power cut took.
func (l *layout) unended(b []byte) []byte {
	end, half := l.lineEnd(), 0
	if l.end == "\r\n" {
		half = len(end) / 2
	}
	switch {
	case bytes.HasSuffix(b, end[half:]):
		return nil
	case half > 0 && bytes.HasSuffix(b, end[:half]):
		return end[half:]
	}
	return end
}

// line is what is written behind a file for a row: the row itself, after the header where the file
// has none yet, after the line end that its last row lacks.
func (l *layout) line(seen []byte, row map[string]string) ([]byte, error) {
	var b []byte
	switch {
	case len(seen) == 0:
		b = append(b, l.head()...)
	default:
		b = append(b, l.unended(seen)...)
	}
	return l.append(b, row)
}

// append adds a row to b as a line of the log.
func (l *layout) append(b []byte, row map[string]string) ([]byte, error) {
	for _, name := range slices.Sorted(maps.Keys(row)) {
		if !l.has(name) && !cell.Blank(row[name]) && !implied(name, row) {
			return nil, &Trouble{l.what + " has no column " + name, "add " + name + " to the end of its first row"}
		}
	}
	var line strings.Builder
	for i, c := range l.cols {
		if i > 0 {
			line.WriteByte(l.sep)
		}
		if c.name != "" {
			line.WriteString(l.quote(l.cell(c, row[c.name])))
		}
	}
	line.WriteString(l.end)
	s, err := l.text.coder().NewEncoder().String(line.String())
	if err != nil {
		return nil, &Trouble{l.what + " is in Windows-1252, which can't hold this row", "save " + l.what + " as CSV UTF-8 first"}
	}
	return append(b, s...), nil
}

// row is append the other way round: a row of the log as text by column, whose figures say the unit
// of their header and have a decimal point.
func (l *layout) row(cells []string) map[string]string {
	row := map[string]string{}
	for i, c := range l.cols {
		text := at(cells, i)
		if c.name == "" || cell.Blank(text) {
			continue
		}
		switch {
		case c.figure == nil:
			text = cell.Text(text)
		case cell.DittoMark(text) || cell.OwedMark(text) || text == "shared":
		default:
			if l.comma {
				text = strings.ReplaceAll(text, ",", ".")
			}
			if c.unit != "" && c.unit != c.figure.Unit(l.job.Units).Symbol {
				text = withUnit(text, c.unit)
			}
		}
		row[c.name] = text
	}
	return row
}

// implied tells whether a cell says what its absence says too: fill with material, size without.
func implied(name string, row map[string]string) bool {
	material := !cell.Blank(row["bags"]) || !cell.Blank(row["counter"]) || !cell.Blank(row["weight"])
	return name == "entry" && (material && row[name] == "fill" || !material && row[name] == "size")
}

// cell makes text fit for the column: a figure keeps its unit where the header states another one,
// and takes the file's decimal mark; free text is kept from being run by a spreadsheet.
func (l *layout) cell(c column, text string) string {
	text = strings.Map(func(r rune) rune {
		if r == '\n' || r == '\r' || r == 0 {
			return ' '
		}
		return r
	}, text)
	switch {
	case c.figure == nil:
		return cell.GuardText(text)
	case cell.Blank(text) || cell.DittoMark(text) || cell.OwedMark(text) || text == "shared":
		return text
	}
	if bare := c.figure.Unit(l.job.Units).Symbol; c.unit != "" && c.unit != bare {
		text = withUnit(text, bare)
	}
	if l.comma {
		text = strings.ReplaceAll(text, ".", ",")
	}
	return text
}

// quote puts a cell in quotes where it could be taken for more than one, or for the start of a
// quoted one.
func (l *layout) quote(text string) string {
	if strings.IndexByte(text, l.sep) < 0 && strings.IndexByte(text, '"') < 0 && text == strings.TrimSpace(text) {
		return text
	}
	return `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
}

// widening is a log with the columns that it lacked.
type widening struct {
	added  []string // nil where it lacks none
	log    []byte
	layout layout
}

// widened adds to a log all the columns that a new one has, where it lacks one of those that a row
// says; before the time, which stays last. The rows that stand there say nothing in them.
func (w *Writer) widened(row map[string]string) (widening, error) {
	same := widening{nil, w.seen, w.layout}
	lacks := false
	for name, text := range row {
		lacks = lacks || !w.layout.has(name) && !cell.Blank(text) && !implied(name, row)
	}
	if !lacks {
		return same, nil
	}
	wide := widening{layout: w.layout}
	place := len(w.layout.cols)
	for i, c := range w.layout.cols {
		if c.name == "time" {
			place = i
		}
	}
	var cols []column
	for _, c := range newLayout(w.known).cols {
		// A file without sections has none on any row: a column for them would leave them blank.
		if unnamed := c.name == "section" && row["section"] == ""; !w.layout.has(c.name) && !unnamed {
			cols, wide.added = append(cols, c), append(wide.added, c.name)
		}
	}
	wide.layout.cols = slices.Concat(w.layout.cols[:place], cols, w.layout.cols[place:])
	if len(w.seen) == 0 {
		return wide, nil
	}
	s, text, err := w.sheetOf(w.seen)
	if s == nil {
		return same, err
	}
	out, err := wide.rows(text, s, place)
	if err != nil {
		return same, err
	}
	coder := w.layout.text.coder()
	if mark, _ := coder.NewEncoder().String(bom); strings.HasPrefix(string(w.seen), mark) {
		out = bom + out
	}
	wide.log, err = coder.NewEncoder().Bytes([]byte(out))
	return wide, err
}

// rows writes the lines of a log anew, with empty cells at a place, or in the header what is added.
func (wide *widening) rows(text string, s *sheet, place int) (string, error) {
	var out strings.Builder
	head, end := s.lines.n, "\n" // the line of the header
	if s.lines.end == '\r' {
		end = "\r"
	}
	for n, line := range strings.SplitAfter(text, end) {
		body := strings.TrimRight(line, "\r\n")
		if n+1 < head || strings.TrimSpace(body) == "" {
			out.WriteString(line)
			continue
		}
		row, open := s.cut.cut(body, nil)
		if open > 0 {
			return "", &Trouble{fmt.Sprintf("line %d has a quote that is not closed", n+1), "close it in a text editor"}
		}
		for len(row) < len(s.header) {
			row = append(row, "")
		}
		cells := make([]string, len(wide.added))
		if slices.Equal(row, s.header) {
			cells = wide.added
		}
		row = slices.Concat(row[:place], cells, row[place:])
		for i := range row {
			row[i] = wide.layout.quote(row[i])
		}
		out.WriteString(strings.Join(row, string(wide.layout.sep)) + line[len(body):])
	}
	return out.String(), nil
}

// rowsOf returns the rows of the file where it holds b, the line of each, and what is wrong with
// rows that cannot be read.
func (w *Writer) rowsOf(b []byte) (rows []map[string]string, at []int, bad *faultList) {
	l, err := w.layoutOf(b)
	if err != nil || !l.known {
		return nil, nil, new(faultList)
	}
	s, _, _ := w.sheetOf(b)
	for {
		row, line, more := s.next()
		if !more {
			return rows, at, s.f
		}
		rows, at = append(rows, l.row(row)), append(at, line)
	}
}

// unread is why not all rows of the file as it was last seen can be read; nil where they can.
func (w *Writer) unread() error {
	if _, _, bad := w.rowsOf(w.seen); len(bad.list) > 0 {
		return bad.firstTrouble(w.folder, w.file)
	}
	return nil
}

// lines are the lines of a log as text, each with its end.
func (l *layout) lines(log []byte) []string {
	text, _ := l.text.coder().NewDecoder().String(string(log))
	end := "\n"
	if l.end == "\r" {
		end = "\r"
	}
	return strings.SplitAfter(text, end)
}

// lastLine is the number of a log's last line that holds something.
func (l *layout) lastLine(log []byte) int {
	n := 0
	for i, line := range l.lines(log) {
		if strings.TrimSpace(line) != "" {
			n = i + 1
		}
	}
	return n
}

// insert puts what is encoded already behind lines of a log, by their numbers.
func (l *layout) insert(log []byte, behind map[int][]byte) []byte {
	var out []byte
	for i, line := range l.lines(log) {
		b, _ := l.text.coder().NewEncoder().Bytes([]byte(line)) // was decoded from it
		out = append(out, b...)
		if add := behind[i+1]; add != nil {
			out = append(append(out, l.unended(out)...), add...)
		}
	}
	return out
}

// bom is the byte order mark: in front of a text it says that it is UTF-8, and is no part of it.
const bom = "\ufeff"

// encoding is how the text of a file is written.
type encoding uint8

const (
	utf8Text encoding = iota
	windows1252
	utf16Little
	utf16Big
)

// coder turns the encoding's bytes into UTF-8 and back. A byte order mark is text to it.
func (e encoding) coder() xencoding.Encoding {
	switch e {
	case windows1252:
		return charmap.Windows1252
	case utf16Little:
		return unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)
	case utf16Big:
		return unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)
	}
	return xencoding.Nop
}

// wide tells whether a character takes two bytes at least.
func (e encoding) wide() bool { return e == utf16Little || e == utf16Big }

// encodingOf finds how a file is written. Whatever is neither UTF-16 nor UTF-8 is taken for
// Windows-1252.
func encodingOf(b string) encoding {
	if e := utf16Of(b); e.wide() {
		return e
	}
	if utf8.ValidString(b) {
		return utf8Text
	}
	return windows1252
}

// decode turns a file's bytes into text: a byte order mark is taken off; what is neither UTF-8 nor
// UTF-16 is read as Windows-1252 with a warning; NUL is a fault. line is that of the first byte. It
// answers false where nothing can be read.
func decode(file string, line int, b string, f *faultList) (string, bool) {
	const half = "the last row breaks off in the middle of a letter"
	if strings.HasPrefix(b, "PK\x03\x04") || strings.HasPrefix(b, "\xd0\xcf\x11\xe0") { // as spreadsheets' own files begin
		f.add(model.Source{File: file}, "this is a workbook, not a CSV file", "save the sheet as CSV UTF-8")
		return "", false
	}
	if e := utf16Of(b); e.wide() {
		s, err := e.coder().NewDecoder().String(b[:len(b)&^1])
		if err != nil || len(b)%2 == 1 {
			f.add(model.Source{File: file, Line: line + strings.Count(s, "\n")}, half, "complete it or delete it")
			return "", false
		}
		b = s
	}
	b = strings.TrimPrefix(b, bom)
	if at := strings.IndexByte(b, 0); at >= 0 {
		src := model.Source{File: file, Line: line + strings.Count(b[:at], "\n")}
		f.add(src, "this is not text: it has a NUL byte", "save as CSV UTF-8; if the file was cut off, keep the lines before this one")
		return "", false
	}
	if utf8.ValidString(b) {
		return b, true
	}
	if bad := firstInvalid(b); bad > 0 && !utf8.FullRuneInString(b[bad:]) {
		src := model.Source{File: file, Line: line + strings.Count(b[:bad], "\n")}
		f.add(src, half, "complete it or delete it, and save as CSV UTF-8")
		return "", false
	}
	s, err := windows1252.coder().NewDecoder().String(b)
	if err != nil {
		f.add(model.Source{File: file}, "this is neither UTF-8 nor Windows-1252", "save as CSV UTF-8")
		return "", false
	}
	src := model.Source{File: file, Line: line + strings.Count(b[:firstInvalid(b)], "\n")}
	f.warn("encoding", src, "%s is not UTF-8 and was read as Windows-1252. Check accents and fractions, and save as CSV UTF-8", file)
	return s, true
}

// utf16Of knows the byte order marks of UTF-16, and text without one by its NULs at every other
// byte; utf8Text where there is neither.
func utf16Of(b string) encoding {
	switch {
	case strings.HasPrefix(b, "\xff\xfe"):
		return utf16Little
	case strings.HasPrefix(b, "\xfe\xff"):
		return utf16Big
	}
	head := b[:min(len(b), 64)]
	var nul [2]int
	for i := range len(head) {
		if head[i] == 0 {
			nul[i%2]++
		}
	}
	switch {
	case len(head) < 8:
	case nul[0] > len(head)/3 && nul[1] == 0:
		return utf16Big
	case nul[1] > len(head)/3 && nul[0] == 0:
		return utf16Little
	}
	return utf8Text
}

// firstInvalid is the byte at which a text stops being UTF-8, its length where it is all of that.
func firstInvalid(b string) int {
	for i := 0; i < len(b); {
		r, n := utf8.DecodeRuneInString(b[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return len(b)
}

// lines hands out the lines of a text with their numbers.
type lines struct {
	rest string
	n    int  // number of the last line given
	end  byte // '\n', or '\r' in a text that has no other line end
	// ended is whether the last line given had a line end.
	ended bool
}

// newLines begins with the line after number before. A file that has no line feed at all has
// carriage returns for line ends.
func newLines(s string, before int) lines {
	l := lines{rest: s, n: before, end: '\n'}
	if strings.IndexByte(s, '\n') < 0 && strings.IndexByte(s, '\r') >= 0 {
		l.end = '\r'
	}
	return l
}

// next gives the next line without its end.
func (l *lines) next() (string, bool) {
	if l.rest == "" {
		return "", false
	}
	l.n++
	at := strings.IndexByte(l.rest, l.end)
	if l.ended = at >= 0; !l.ended {
		line := l.rest
		l.rest = ""
		return strings.TrimSuffix(line, "\r"), true
	}
	line := l.rest[:at]
	l.rest = l.rest[at+1:]
	if at > 0 && line[at-1] == '\r' {
		line = line[:at-1]
	}
	return line, true
}

// numeric tells of a column whether its cells are figures.
func (s *sheet) numeric(field int) bool { return s.cols[field].figure != nil }

// tableComma tells whether a comma is the decimal mark: in a semicolon or tab file, where the
// columns that are numeric have commas and none has a point. Where both stand, which one is meant
// nobody knows.
func tableComma(text lines, s *sheet, f *faultList, numeric func(field int) bool) bool {
	if s.cut.sep == ',' {
		return false
	}
	var comma, point model.Source
	var commaCell, pointCell string
	var row []string
	open, frame := 0, s.frame.Behind(0, 0) // of the rows that are not read yet
	for {
		line, ok := text.next()
		if !ok {
			break
		}
		at := text.n
		if row, open = s.cut.cut(line, row[:0]); open > 0 {
			n := s.cut.closing(text)
			frame.Hidden = append(frame.Hidden, model.Hidden{From: text.n + 1, Lines: n})
			for range n {
				text.next()
			}
		}
		for i, c := range row {
			if i >= len(s.cols) || !numeric(i) {
				continue
			}
			if comma.Line == 0 && between(c, ',') {
				comma, commaCell = model.Source{File: s.file, Line: at, Col: i + 1}, c
			}
			if point.Line == 0 && between(c, '.') {
				point, pointCell = model.Source{File: s.file, Line: at, Col: i + 1}, c
			}
		}
	}
	if comma.Line > 0 && point.Line > 0 {
		f.addf(comma, "write one decimal mark in the whole file", "%s has a decimal comma, and %s in row %d a decimal point", commaCell, pointCell, frame.Row(point.Line))
	}
	return comma.Line > 0
}

// between tells whether the mark stands between two digits; those of other scripts are refused in
// the cell.
func between(s string, mark byte) bool {
	for i := 1; i+1 < len(s); i++ {
		if s[i] == mark && s[i-1]-'0' <= 9 && s[i+1]-'0' <= 9 {
			return true
		}
	}
	return false
}
