package joblog

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"slices"
	"strings"
	"time"
	"unicode/utf16"

	"bayproof/model"
	"bayproof/model/cell"
)

// ErrChanged says that the log is no longer what the writer last saw: another program wrote to it.
var ErrChanged = errors.New("the log was changed by another program")

// Trouble is why the log cannot be written to, with what would cure it.
type Trouble struct{ What, Hint string }

// Error is what is the matter, without the hint.
func (t *Trouble) Error() string { return t.What }

// Writer appends rows to a job's log, one write a row, each on disk before Append returns. It holds a lock beside the
// log while it is open, and never changes a row that stands there.
type Writer struct {
	folder *Folder
	lock   *lock
	seen   []byte // the log as last seen; nil while there is none
	layout layout
	base   []byte // the log as it was when it was opened, or when this writer last wrote to it
	kept   string // the file that base is set aside in; empty where it is in none
	torn   string
	added  Added
	cores  [][]byte // rows of cores.csv that were written, for TakeBackCore
}

// Added is what was added to a log's header so that its rows can say what they have to.
type Added struct {
	Columns []string
	Kept    string // the file that holds the log as it was
}

// OpenWriter takes the lock of the folder's log and makes the log ready to be appended to. who says who holds it, to
// anyone else who tries. A last line that was torn off while it was written is set aside: see Torn.
func OpenWriter(f *Folder, who string) (*Writer, error) {
	w := &Writer{folder: f}
	if err := w.hold(who); err != nil {
		return nil, err
	}
	if err := w.look(); err != nil {
		w.Close()
		return nil, err
	}
	w.base = w.seen
	return w, nil
}

// Close gives the lock back.
func (w *Writer) Close() error {
	if w.lock != nil {
		w.lock.letGo()
		w.lock = nil
	}
	return nil
}

// Torn is the file that a torn last line was set aside in, empty where there was none.
func (w *Writer) Torn() string { return w.torn }

// Added is what Append added to the header of a log that lacked columns; no columns where nothing was.
func (w *Writer) Added() Added { return w.added }

// look reads the log as it stands and mends a torn end. Nothing is taken off a file whose header is not understood: it may be
// something else than a log.
func (w *Writer) look() error {
	w.torn = ""
	b, err := fs.ReadFile(w.folder.FS, w.folder.Log)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		w.seen, w.layout = nil, newLayout()
		return nil
	case err != nil:
		what, hint := why(err)
		return &Trouble{w.folder.Show(w.folder.Log) + ": " + what, hint}
	}
	from, whole := encodingOf(string(b)).tornFrom(b), b
	if from >= 0 {
		whole = b[:from:from]
	}
	l, err := layoutOf(w.folder, whole)
	if err != nil {
		return err
	}
	if from >= 0 {
		if !l.known {
			return &Trouble{w.folder.Show(w.folder.Log) + ": torn, and no header above that is known", "give it another name; bayproof log then begins a new one"}
		}
		if err := w.setAside(b, from); err != nil {
			return err
		}
	}
	w.seen, w.layout = whole, l
	return nil
}

// Append writes one row, column to text, as the last line of the log and returns once it is on disk. It writes nothing
// where another program changed the log since the last look, and then returns ErrChanged.
func (w *Writer) Append(row map[string]string) error {
	wide, err := w.widened(row)
	if err != nil {
		return err
	}
	line, err := (&Writer{folder: w.folder, layout: wide.layout, seen: wide.log}).line(row)
	if err != nil {
		return err
	}
	now, err := fs.ReadFile(w.folder.FS, w.folder.Log)
	if err != nil && !(errors.Is(err, fs.ErrNotExist) && w.seen == nil) {
		if errors.Is(err, fs.ErrNotExist) {
			return ErrChanged
		}
		what, hint := why(err)
		return &Trouble{w.folder.Show(w.folder.Log) + ": " + what, hint}
	}
	if !bytes.Equal(now, w.seen) {
		return ErrChanged
	}
	if wide.added != nil {
		if err := w.rewrite(wide); err != nil {
			return err
		}
	}
	if err := w.write(line); err != nil {
		return err
	}
	w.seen = append(w.seen, line...)
	w.base, w.kept = w.seen, ""
	return nil
}

// line is what Append writes for a row: the row itself, after the header where the log has none yet, after the line end
// that the last row lacks.
func (w *Writer) line(row map[string]string) ([]byte, error) {
	var b []byte
	switch {
	case len(w.seen) == 0:
		b = append(b, w.layout.head()...)
	case !w.layout.ended(w.seen):
		b = append(b, w.layout.lineEnd()...)
	}
	return w.layout.append(b, row)
}

// With returns the folder as it would be with rows after the log's last. It writes nothing.
func (w *Writer) With(rows ...map[string]string) (fs.FS, error) {
	would := &Writer{folder: w.folder, layout: w.layout, seen: bytes.Clone(w.seen)}
	for _, row := range rows {
		wide, err := would.widened(row)
		if err != nil {
			return nil, err
		}
		would.seen, would.layout = wide.log, wide.layout
		line, err := would.line(row)
		if err != nil {
			return nil, err
		}
		would.seen = append(would.seen, line...)
	}
	if len(would.seen) == 0 {
		would.seen = would.layout.head()
	}
	return Overlay(w.folder.FS, w.folder.Log, would.seen), nil
}

// coresFile is the file of core samples and test boxes.
const coresFile = "cores.csv"

// WithCore returns the folder as it would be with a row more in cores.csv, and that row's bytes. It writes nothing.
func (w *Writer) WithCore(row map[string]string) (fs.FS, []byte, error) {
	b, err := fs.ReadFile(w.folder.FS, coresFile)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		what, hint := why(err)
		return nil, nil, &Trouble{w.folder.Show(coresFile) + ": " + what, hint}
	}
	l := layout{sep: ',', end: "\n", units: w.layout.units}
	var add []byte
	if len(b) == 0 {
		for _, c := range model.CoreColumns() {
			l.cols, l.title = append(l.cols, column{name: c.Name, title: c.Name}), append(l.title, c.Name)
		}
		add = l.head()
	} else {
		var f faultList
		text, ok := decode(coresFile, 1, string(b), &f)
		if !ok {
			return nil, nil, firstTrouble(w.folder, f.list)
		}
		s, ok := openSheet(coresFile, text, knownOf(coresFile, "weight", model.CoreColumns(), func(model.SettingDef) bool { return false }), &f)
		if !ok {
			return nil, nil, firstTrouble(w.folder, f.list)
		}
		l.cols, l.sep, l.text = s.cols, s.cut.sep, encodingOf(string(b))
		if strings.Contains(text, "\r\n") {
			l.end = "\r\n"
		}
		if !l.ended(b) {
			add = l.lineEnd()
		}
	}
	row = maps.Clone(row)
	maps.DeleteFunc(row, func(name, _ string) bool { return slices.Contains([]string{"time", "by"}, name) && !l.has(name) })
	if add, err = l.append(add, row); err != nil {
		var t *Trouble
		if errors.As(err, &t) {
			t.What = strings.Replace(t.What, "the log", w.folder.Show(coresFile), 1)
		}
		return nil, nil, err
	}
	fsys, err := w.With()
	if err != nil {
		return nil, nil, err
	}
	return Overlay(fsys, coresFile, append(bytes.Clone(b), add...)), add, nil
}

// AppendCore writes a row into cores.csv and returns once it is on disk.
func (w *Writer) AppendCore(row map[string]string) error {
	_, add, err := w.WithCore(row)
	if err != nil {
		return err
	}
	f, err := w.folder.openToWrite(coresFile, os.O_WRONLY|os.O_APPEND|os.O_CREATE)
	if err != nil {
		return w.folder.trouble(coresFile, err)
	}
	_, err = f.Write(add)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return &Trouble{fmt.Sprintf("%s: the row is not on disk: %v", w.folder.Show(coresFile), plainErr(err)), "is the disk full?"}
	}
	w.cores = append(w.cores, add)
	return nil
}

// TakeBackCore takes the last row that AppendCore wrote off cores.csv again, where nothing stands behind it.
func (w *Writer) TakeBackCore() error {
	b, err := fs.ReadFile(w.folder.FS, coresFile)
	if err != nil || len(w.cores) == 0 || !bytes.HasSuffix(b, w.cores[len(w.cores)-1]) {
		return &Trouble{w.folder.Show(coresFile) + " was changed by another program", "take the row out of it by hand"}
	}
	f, err := w.folder.openToWrite(coresFile, os.O_WRONLY)
	if err != nil {
		return w.folder.trouble(coresFile, err)
	}
	n := len(w.cores) - 1
	if err = errors.Join(f.Truncate(int64(len(b)-len(w.cores[n]))), f.Sync(), f.Close()); err == nil {
		w.cores = w.cores[:n]
	}
	return err
}

// widening is a log with the columns that it lacked.
type widening struct {
	added  []string // nil where it lacks none
	log    []byte
	layout layout
}

// widened adds to a log all the columns that a new one has, where it lacks one of those that a row says; before the time, which
// stays last. The rows that stand there say nothing in them.
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
	for _, c := range model.LogColumns() {
		// A log without sections has none on any row: a column for them would leave them blank.
		if unnamed := c.Name == "section" && row["section"] == ""; !w.layout.has(c.Name) && c.Name != "job" && !unnamed {
			cols, wide.added = append(cols, column{name: c.Name, title: c.Name}), append(wide.added, c.Name)
		}
	}
	wide.layout.cols = slices.Concat(w.layout.cols[:place], cols, w.layout.cols[place:])
	wide.layout.title = slices.Concat(w.layout.title[:place], wide.added, w.layout.title[place:])
	if len(w.seen) == 0 {
		return wide, nil
	}
	r := newReader(w.folder.FS, w.folder.Log, Options{})
	text, ok := decode(w.folder.Log, 1, string(w.seen), &r.f)
	if !ok {
		return same, firstTrouble(w.folder, r.f.list)
	}
	plan := r.plan(text)
	if plan == nil {
		return same, firstTrouble(w.folder, r.f.list)
	}
	out, err := wide.rows(text, plan.sheet, place)
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
			return "", &Trouble{fmt.Sprintf("line %d has a quote that is not closed", n+1), "mend it in a spreadsheet"}
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

// rewrite puts the widened log in the place of the one that stands there, whole or not at all, and keeps that beside it.
func (w *Writer) rewrite(wide widening) error {
	name := w.folder.Log
	if len(w.seen) > 0 {
		now, err := w.folder.openToWrite(name, os.O_WRONLY) // refuses what is written through to somewhere else
		if err != nil {
			return w.folder.trouble(name, err)
		}
		info, err := now.Stat()
		now.Close()
		if err != nil {
			return w.folder.trouble(name, err)
		}
		kept, err := w.keepBeside(w.seen)
		if err != nil {
			return err
		}
		if err := w.replace(name, wide.log, info.Mode().Perm()); err != nil {
			return err
		}
		w.added = Added{wide.added, kept}
	}
	w.seen, w.layout = wide.log, wide.layout
	w.base, w.kept = w.seen, ""
	return nil
}

// replace writes a file beside another and gives it its name. Where someone holds the file that fails on Windows, and whoever
// appends tries again.
func (w *Writer) replace(name string, data []byte, mode fs.FileMode) error {
	part := name + ".new"
	f, err := w.folder.root.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return w.folder.trouble(part, err)
	}
	_, err = f.Write(data)
	err = errors.Join(err, f.Chmod(mode), f.Sync(), f.Close())
	if err == nil {
		err = w.folder.root.Rename(part, name)
	}
	if err != nil {
		_ = w.folder.root.Remove(part)
		return &Trouble{fmt.Sprintf("%s: columns cannot be added: %v", w.folder.Show(name), plainErr(err)), "is the disk full? is it open elsewhere?"}
	}
	w.syncFolder()
	return nil
}

// write adds bytes to the log in one write. What a full disk took of them is taken off again.
func (w *Writer) write(b []byte) (err error) {
	name := w.folder.Log
	f, err := w.folder.openToWrite(name, os.O_WRONLY|os.O_APPEND|os.O_CREATE)
	if err != nil {
		return w.folder.trouble(name, err)
	}
	_, err = f.Write(b)
	if err == nil {
		err = f.Sync()
	}
	if err != nil {
		err = errors.Join(err, f.Truncate(int64(len(w.seen))))
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return &Trouble{fmt.Sprintf("%s: the row is not on disk: %v", w.folder.Show(name), plainErr(err)), "is the disk full?"}
	}
	if len(w.seen) == 0 {
		w.syncFolder()
	}
	return nil
}

// syncFolder makes a file's new name last through a power cut, where the system can.
func (w *Writer) syncFolder() {
	if d, err := w.folder.root.Open(path.Dir(w.folder.Log)); err == nil {
		_ = d.Sync() // Windows does not sync folders
		d.Close()
	}
}

// layout is how the rows of a log are written: its own columns, separator, decimal mark, line end and encoding.
type layout struct {
	cols  []column
	title []string
	sep   byte
	comma bool
	end   string
	text  encoding
	units model.System
	known bool // read from a header that stands in the file
}

// newLayout is that of a new log.
func newLayout() layout {
	l := layout{sep: ',', end: "\n"}
	for _, c := range model.LogColumns() {
		if c.Name != "job" {
			l.cols = append(l.cols, column{name: c.Name, title: c.Name})
			l.title = append(l.title, c.Name)
		}
	}
	return l
}

// layoutOf reads how a log is written.
func layoutOf(f *Folder, b []byte) (layout, error) {
	r := newReader(f.FS, f.Log, Options{})
	r.readJob()
	text, ok := decode(f.Log, 1, string(b), &r.f)
	l := newLayout()
	if !ok {
		return l, firstTrouble(f, r.f.list)
	}
	settings, _ := r.resolver.Job(f.Name, r.given)
	l.units = settings.Units
	r.f = faultList{}
	plan := r.plan(text)
	if plan == nil {
		if strings.Trim(text, " \r\n\t"+bom) == "" {
			return l, nil
		}
		return l, firstTrouble(f, r.f.list)
	}
	s := plan.sheet
	l.cols, l.title, l.sep = s.cols, s.header, s.cut.sep
	l.comma = plan.decimalComma(s.lines, s, &r.f)
	l.text, l.known = encodingOf(string(b)), true
	l.end = "\n"
	if s.lines.end == '\r' {
		l.end = "\r"
	} else if i := strings.IndexByte(text, '\n'); i > 0 && text[i-1] == '\r' {
		l.end = "\r\n"
	}
	return l, nil
}

// firstTrouble is the first fault as an error.
func firstTrouble(f *Folder, faults []model.Fault) error {
	if len(faults) == 0 {
		return &Trouble{f.Show(f.Log) + " cannot be read", ""}
	}
	x := faults[0]
	if x.Src.Line == 0 {
		return &Trouble{f.Show(x.Src.File) + ": " + x.What, x.Hint}
	}
	return &Trouble{fmt.Sprintf("%s:%d: %s", f.Show(x.Src.File), x.Src.Line, x.What), x.Hint}
}

// has tells whether the log has a column of this name.
func (l *layout) has(name string) bool {
	return slices.ContainsFunc(l.cols, func(c column) bool { return c.name == name })
}

// head is the first line of a new log. The byte order mark makes spreadsheets read it as UTF-8.
func (l *layout) head() []byte {
	return []byte(bom + strings.Join(l.title, string(l.sep)) + l.end)
}

// lineEnd is the log's line end as it stands in the file.
func (l *layout) lineEnd() []byte {
	b, _ := l.text.coder().NewEncoder().Bytes([]byte(l.end))
	return b
}

// ended tells whether the log ends in a line end.
func (l *layout) ended(b []byte) bool {
	return bytes.HasSuffix(b, l.lineEnd()) || !l.text.wide() && bytes.HasSuffix(b, []byte{'\n'})
}

// append adds a row to b as a line of the log.
func (l *layout) append(b []byte, row map[string]string) ([]byte, error) {
	for _, name := range slices.Sorted(maps.Keys(row)) {
		if !l.has(name) && !cell.Blank(row[name]) && !implied(name, row) {
			return nil, &Trouble{"the log has no column " + name, "add " + name + " to the end of its first row"}
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
		return nil, &Trouble{"the log is written in Windows-1252, which has no place for what stands in this row", "save the log as CSV UTF-8 first"}
	}
	return append(b, s...), nil
}

// row is append the other way round: a row of the log as text by column, whose figures say the unit of their header and
// have a decimal point.
func (l *layout) row(cells []string) map[string]string {
	row := map[string]string{}
	for i, c := range l.cols {
		text := at(cells, i)
		if c.name == "" || cell.Blank(text) {
			continue
		}
		form, numeric := cell.Column(c.name, l.units)
		switch {
		case !numeric:
			text = cell.Text(text)
		case cell.DittoMark(text) || cell.OwedMark(text) || text == "shared":
		default:
			if l.comma {
				text = strings.ReplaceAll(text, ",", ".")
			}
			if c.unit != "" && c.unit != form.Unit.Symbol {
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

// cell makes text fit for the column: a figure keeps its unit where the header states another one, and takes the file's
// decimal mark; free text is kept from being run by a spreadsheet.
func (l *layout) cell(c column, text string) string {
	text = strings.Map(func(r rune) rune {
		if r == '\n' || r == '\r' || r == 0 {
			return ' '
		}
		return r
	}, text)
	form, numeric := cell.Column(c.name, l.units)
	switch {
	case !numeric:
		return cell.GuardText(text)
	case cell.Blank(text) || cell.DittoMark(text) || cell.OwedMark(text) || text == "shared":
		return text
	}
	if c.unit != "" && c.unit != form.Unit.Symbol {
		text = withUnit(text, form.Unit.Symbol)
	}
	if l.comma {
		text = strings.ReplaceAll(text, ".", ",")
	}
	return text
}

// quote puts a cell in quotes where it could be taken for more than one, or for the start of a quoted one.
func (l *layout) quote(text string) string {
	if strings.IndexByte(text, l.sep) < 0 && strings.IndexByte(text, '"') < 0 && text == strings.TrimSpace(text) {
		return text
	}
	return `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
}

// Changed is what another program made of the log.
type Changed struct {
	Lost []map[string]string // rows that stood in the log and are gone from it, in their order, column to text
	Tail bool                // all of them stood after those that are left
	Kept string              // the file that holds the log as it was, empty where all of it is still there
	Torn string              // the file that a torn last line was set aside in, empty where there was none
}

// Reload reads a log that another program changed and says which of the rows are gone that stood in it when it was opened
// or last written to. What is gone is set aside first, and so is a log that cannot be read any more: these bytes stand
// nowhere else. Until a row is written the answer is found anew each time.
func (w *Writer) Reload() (Changed, error) {
	var c Changed
	err := w.look()
	c.Torn = w.torn
	if err == nil {
		c.Lost, c.Tail = missing(w.folder, w.base, w.seen)
		if len(c.Lost) == 0 {
			w.base, w.kept = w.seen, ""
			return c, nil
		}
	}
	if len(w.base) > 0 && w.kept == "" {
		if bad := w.keepBase(); bad != nil {
			return c, errors.Join(err, bad)
		}
	}
	c.Kept = w.kept
	return c, err
}

// keepBase writes the log as it was into a new file beside it.
func (w *Writer) keepBase() (err error) {
	w.kept, err = w.keepBeside(w.base)
	return err
}

// keepBeside writes a log as it was into a new file beside it, and returns its name.
func (w *Writer) keepBeside(log []byte) (string, error) {
	name := w.folder.Log + ".before"
	f, err := w.folder.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	for n := 2; errors.Is(err, fs.ErrExist) && n < 1000; n++ {
		name = fmt.Sprintf("%s.before%d", w.folder.Log, n)
		f, err = w.folder.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	}
	if err == nil {
		_, err = f.Write(log)
		if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
			_ = w.folder.root.Remove(name) // a part of it would only mislead
		}
	}
	if err != nil {
		return "", &Trouble{w.folder.Show(name) + ": the log as it was cannot be kept: " + plainErr(err).Error(), "may you write to the folder, and is there room on the disk?"}
	}
	return w.folder.Show(name), nil
}

// missing finds the rows of a log that are not in it any more. A spreadsheet that saved the log may have written a row's
// figures and its time anew, so a row is known by its bay, its entry and its minute. tail tells whether no row that is left
// stood after one that is gone.
func missing(f *Folder, before, now []byte) (lost []map[string]string, tail bool) {
	there := map[rowKey]int{}
	for _, row := range rowsOf(f, now) {
		there[keyOf(row)]++
	}
	tail = true
	for _, row := range rowsOf(f, before) {
		if key := keyOf(row); there[key] > 0 {
			there[key]--
			tail = tail && len(lost) == 0
			continue
		}
		lost = append(lost, row)
	}
	return lost, tail
}

// rowKey is what a row is known by.
type rowKey struct{ section, bay, entry, minute string }

// keyOf finds what a row is known by. A time that cannot be read stands for itself.
func keyOf(row map[string]string) rowKey {
	k := rowKey{cell.Name(row["section"]), cell.Name(row["bay"]), cell.Name(row["entry"]), row["time"]}
	if t, bad := cell.Time(row["time"], time.Time{}); bad == nil {
		k.minute = t.Format("2006-01-02 15:04")
	}
	return k
}

// Foreign is a row that was logged elsewhere, and what it is to this log.
type Foreign struct {
	Row     map[string]string
	Here    bool   // it stands in the log already
	Against string // what the log says otherwise: another cell of the same bay, entry and time; empty where nothing does
}

// Compare sets the rows of another file, a log too, beside those of this one: each is new, or here already, or against a row of
// the same bay, entry and time whose cells are others.
func (w *Writer) Compare(file string, data []byte) ([]Foreign, error) {
	l, err := layoutOf(&Folder{FS: Overlay(w.folder.FS, file, data), Log: file}, data)
	if err != nil {
		return nil, err
	}
	if !l.known {
		return nil, &Trouble{file + " holds no rows", "is it the right file?"}
	}
	here := map[rowKey][]map[string]string{}
	for _, row := range rowsOf(w.folder, w.seen) {
		row = whole(row)
		key := keyOf(row)
		here[key] = append(here[key], row)
	}
	var out []Foreign
	for _, row := range rowsOf(w.folder, data) {
		row = whole(row)
		x, key := Foreign{Row: row}, keyOf(row)
		for k, other := range here[key] {
			if x.Against = l.differs(row, other); x.Against == "" {
				here[key] = slices.Delete(here[key], k, k+1) // one row is here once
				x.Here = true
				break
			}
		}
		if key.minute == "" { // rows without a time may be further ones
			x.Against = ""
		}
		out = append(out, x)
	}
	return out, nil
}

// whole returns a row with its entry said.
func whole(row map[string]string) map[string]string {
	if row["entry"] != "" {
		return row
	}
	row = maps.Clone(row)
	row["entry"] = "size"
	if row["bags"]+row["counter"]+row["weight"] != "" {
		row["entry"] = "fill"
	}
	return row
}

// differs says the first cell in which two rows do not say the same, the first one in the columns of this layout; empty where there
// is none. Figures are compared as they are
// written plainly.
func (l *layout) differs(a, b map[string]string) string {
	for _, c := range model.LogColumns() {
		if c.Name == "time" || c.Name == "section" || c.Name == "bay" || c.Name == "entry" || !l.has(c.Name) {
			continue
		}
		plain := func(text string) string {
			if form, ok := cell.Column(c.Name, l.units); ok && text != "" {
				if out, bad := form.Plain(text); bad == nil {
					return out
				}
			}
			return cell.Text(text)
		}
		if x, y := plain(a[c.Name]), plain(b[c.Name]); x != y {
			return fmt.Sprintf("%s %q there, %q here", c.Name, x, y)
		}
	}
	return ""
}

// rowsOf returns the rows of a log, those of one that cannot be read being none.
func rowsOf(f *Folder, log []byte) []map[string]string {
	l, err := layoutOf(f, log)
	if err != nil || !l.known {
		return nil
	}
	r := newReader(f.FS, f.Log, Options{})
	text, ok := decode(f.Log, 1, string(log), &r.f)
	if !ok {
		return nil
	}
	plan := r.plan(text)
	if plan == nil {
		return nil
	}
	var rows []map[string]string
	for {
		row, _, more := plan.sheet.next()
		if !more {
			return rows
		}
		rows = append(rows, l.row(row))
	}
}

// setAside takes a last line that was torn off while it was written out of the log, from the byte from on, into a file
// beside it.
func (w *Writer) setAside(b []byte, from int) error {
	name := w.folder.Log + ".torn"
	f, err := w.folder.openToWrite(name, os.O_WRONLY|os.O_APPEND|os.O_CREATE)
	if err == nil {
		_, err = f.Write(append(bytes.Clone(b[from:]), '\n'))
		err = errors.Join(err, f.Sync(), f.Close())
	}
	if err != nil {
		return &Trouble{w.folder.Show(name) + ": " + plainErr(err).Error(),
			"the log's last line is torn and cannot be set aside; may you write to the folder?"}
	}
	f, err = w.folder.openToWrite(w.folder.Log, os.O_WRONLY)
	if err == nil {
		err = errors.Join(f.Truncate(int64(from)), f.Sync(), f.Close())
	}
	if err != nil {
		return &Trouble{w.folder.Show(w.folder.Log) + ": " + plainErr(err).Error(), "its last line is torn: delete it"}
	}
	w.torn = w.folder.Show(name)
	return nil
}

// tornFrom is the byte at which the torn end of a log begins, -1 where it is whole.
func (e encoding) tornFrom(b []byte) int {
	if !e.wide() {
		return tornFrom(b)
	}
	text, _ := e.coder().NewDecoder().Bytes(b[:len(b)&^1])
	from := tornFrom(text)
	if from < 0 && len(b)%2 == 1 { // half a letter
		from = bytes.LastIndexByte(text, '\n') + 1
	}
	if from < 0 {
		return -1
	}
	units := 0
	for _, r := range string(text[:from]) { // half a pair is read as one letter, and is one unit as that is
		units += utf16.RuneLen(r)
	}
	return 2 * units
}

// tornFrom is the same of text whose line end is one byte.
func tornFrom(b []byte) int {
	text := bytes.TrimRight(b, "\x00")
	if len(text) == len(b) && (len(b) == 0 || b[len(b)-1] == '\n') {
		return -1
	}
	from := bytes.LastIndexByte(text, '\n') + 1
	last := string(bytes.TrimRight(text[from:], "\r"))
	if len(text) < len(b) { // a block of NULs, as a power cut leaves
		if last == "" {
			return len(text)
		}
		return from
	}
	if from == 0 || cell.Blank(last) || wholeRow(string(text[:from]), last) {
		return -1
	}
	return from
}

// wholeRow tells whether a last line without line end is all of its row: it has as many cells as the row before, and its time
// is as long as there, where that has one.
func wholeRow(before, last string) bool {
	var f faultList
	s, ok := openSheet("", strings.TrimPrefix(before, bom), bayColumns(model.LogColumns()), &f)
	if !ok {
		return true
	}
	field := s.field("time")
	var previous []string
	for {
		row, _, more := s.next()
		if !more {
			break
		}
		previous = append(previous[:0], row...)
	}
	row, open := s.cut.cut(last, nil)
	if open > 0 {
		return false
	}
	if field < 0 {
		return len(row) >= len(s.header)
	}
	if len(previous) == 0 {
		_, bad := cell.Time(at(row, field), time.Unix(0, 0))
		return bad == nil && len(row) == len(s.header)
	}
	if len(row) < len(previous) || cell.Blank(at(previous, field)) {
		return len(row) >= len(previous)
	}
	_, bad := cell.Time(at(row, field), time.Unix(0, 0))
	return bad == nil && len(at(row, field)) >= len(at(previous, field))
}
