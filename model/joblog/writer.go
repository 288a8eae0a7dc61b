// Appending to the log and to cores.csv so that no confirmed row is lost.
//
// A row is confirmed once it is on disk in its file and in the journal beside it. One write appends
// it, and it is synced before Append returns; what the journal does not take is taken off the file
// again. A Writer knows the bytes of the file as it saw them last, and refuses to write where they
// are others: rows that another program dropped are found by their bay, entry and minute and told.
// A last line that was torn off while it was written is set aside before anything follows it. Where
// the file has to be rewritten (columns that it lacks, rows brought back) that is one atomic
// replacement, and the file as it was is kept beside it.

package joblog

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
	"time"
	"unicode/utf16"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/model/joblog/journal"
)

// ErrChanged says that the file is no longer what the writer last saw: another program wrote to it.
var ErrChanged = errors.New("the log was changed by another program")

// Trouble is why the log cannot be written to, with what would cure it.
type Trouble struct{ What, Hint string }

// Error is what is the matter, without the hint.
func (t *Trouble) Error() string { return t.What }

// FaultOf is what keeps rows from being written, as a fault of theirs.
func FaultOf(err error) model.Fault {
	var t *Trouble
	if errors.As(err, &t) {
		return model.Fault{What: t.What, Hint: t.Hint}
	}
	return model.Fault{What: err.Error()}
}

// Writer appends rows to a file whose rows are confirmed, a job's log or its cores.csv: one write a
// row, on disk in the file and in its journal before Append returns. It never changes a row that
// stands there. The log's holds a lock beside it while it is open.
type Writer struct {
	Cores  *Writer // that of cores.csv, of the log's in a sitting; else nil
	folder *Folder
	file   string
	known  *knownColumns
	lock   *lock
	beside *lock  // see OpenBeside
	seen   []byte // the file as last seen; nil while there is none
	layout layout
	base   []byte // the file as it was when it was opened, or when this writer last wrote to it
	kept   string // the file that base is set aside in; empty where it is in none
	chain  *journal.Chain
	lost   []map[string]string // rows that another program dropped, until they are written again
	torn   string
	added  Added
}

// Added is what was added to a file's header so that its rows can say what they have to.
type Added struct {
	Columns []string
	Kept    string // the file that holds it as it was
}

// OpenWriter takes the lock of the folder's log and makes the log and cores.csv ready to be
// appended to. who says who holds it, to anyone else who tries. A last line that was torn off while
// it was written is set aside: see Torn.
func OpenWriter(f *Folder, who string) (*Writer, error) {
	w := newWriter(f)
	w.Cores = newCoreWriter(f)
	if err := w.hold(who); err != nil {
		return nil, err
	}
	for _, file := range w.Files() {
		if err := file.alone(file.open); err != nil {
			w.Close()
			return nil, err
		}
	}
	return w, nil
}

// newWriter is the writer of a folder's log, newCoreWriter that of its cores.csv; neither has looked
// at the file yet.
func newWriter(f *Folder) *Writer {
	return &Writer{folder: f, file: f.Log, known: bayColumns(model.LogColumns())}
}

func newCoreWriter(f *Folder) *Writer {
	return &Writer{folder: f, file: path.Join(path.Dir(f.Log), coresFile), known: coreColumns()}
}

// open reads the file and its journal, while nobody else writes.
func (w *Writer) open() error {
	err := errors.Join(w.look(), w.openJournal())
	w.base = w.seen
	return err
}

// Files are the writers of all files that one sitting writes to, the log's first.
func (w *Writer) Files() []*Writer {
	if w.Cores == nil {
		return []*Writer{w}
	}
	return []*Writer{w, w.Cores}
}

// Name is the file as the user would write it, What as a sentence names it.
func (w *Writer) Name() string { return w.folder.Show(w.file) }
func (w *Writer) What() string { return w.known.what }

// Close gives the lock back.
func (w *Writer) Close() error {
	if w.lock != nil {
		w.lock.letGo(true)
	}
	if w.beside != nil {
		w.beside.letGo(false)
	}
	w.lock, w.beside = nil, nil
	return nil
}

// Torn is the file that a torn last line was set aside in, empty where there was none.
func (w *Writer) Torn() string { return w.torn }

// Added is what Append added to the header of a file that lacked columns since this was last asked;
// no columns where nothing was.
func (w *Writer) Added() (added Added) {
	added, w.added = w.added, Added{}
	return added
}

// look reads the file as it stands and mends a torn end. Nothing is taken off one whose header is
// not understood: it may be something else.
func (w *Writer) look() error {
	w.torn = ""
	b, err := fs.ReadFile(w.folder.FS, w.file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		w.seen, w.layout = nil, newLayout(w.known)
		return nil
	case err != nil:
		what, hint := why(err)
		return &Trouble{w.Name() + ": " + what, hint}
	}
	from, whole := encodingOf(string(b)).tornFrom(w.known, b), b
	if tornHead(w.known, b) {
		if err := w.setAside(b, 0); err != nil {
			return err
		}
		w.seen, w.layout = []byte{}, newLayout(w.known)
		return nil
	}
	if from >= 0 {
		whole = b[:from:from]
	}
	l, err := w.layoutOf(whole)
	if err != nil {
		return err
	}
	if from >= 0 {
		if !l.known {
			return &Trouble{w.Name() + ": it breaks off, and no row above is a header", "give it another name; bayproof log then starts a new one"}
		}
		if err := w.setAside(b, from); err != nil {
			return err
		}
	}
	w.seen, w.layout = whole, l
	return nil
}

// Append writes one row, column to text, as the last line of the log and then into the journal, and
// returns once it is on disk in both: then it is confirmed. A row that the journal does not take is
// taken off the log again. It writes nothing where another program changed the log since the last
// look, and then returns ErrChanged.
func (w *Writer) Append(row map[string]string) error {
	return w.alone(func() error { return w.appendRow(row) })
}

// appendRow is Append while nobody else writes.
func (w *Writer) appendRow(row map[string]string) error {
	wide, err := w.widened(row)
	if err != nil {
		return err
	}
	line, err := wide.layout.line(wide.log, row)
	if err != nil {
		return err
	}
	now, err := fs.ReadFile(w.folder.FS, w.file)
	if err != nil && !(errors.Is(err, fs.ErrNotExist) && w.seen == nil) {
		if errors.Is(err, fs.ErrNotExist) {
			return ErrChanged
		}
		what, hint := why(err)
		return &Trouble{w.Name() + ": " + what, hint}
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
	if err := w.confirm(row); err != nil {
		return errors.Join(err, w.takeBack())
	}
	w.seen = append(w.seen, line...)
	w.base, w.kept = w.seen, ""
	return nil
}

// With returns the folder as it would be with rows after the file's last. It writes nothing.
func (w *Writer) With(rows ...map[string]string) (fs.FS, error) { return w.over(w.folder.FS, rows) }

// WithCore returns the folder as it would be with a row more in cores.csv. It writes nothing.
func (w *Writer) WithCore(row map[string]string) (fs.FS, error) {
	fsys, err := w.With() // a box may be weighed before there is a log
	if err != nil {
		return nil, err
	}
	return w.Cores.over(fsys, []map[string]string{row})
}

// over lays the file as it would be with rows after its last over a folder.
func (w *Writer) over(fsys fs.FS, rows []map[string]string) (fs.FS, error) {
	would := w.copied()
	for _, row := range rows {
		wide, err := would.widened(row)
		if err != nil {
			return nil, err
		}
		would.seen, would.layout = wide.log, wide.layout
		line, err := would.layout.line(would.seen, row)
		if err != nil {
			return nil, err
		}
		would.seen = append(would.seen, line...)
	}
	if len(would.seen) == 0 {
		would.seen = would.layout.head()
	}
	return Overlay(fsys, w.file, would.seen), nil
}

// copied is what can be tried out of a writer without writing.
func (w *Writer) copied() *Writer {
	return &Writer{folder: w.folder, file: w.file, known: w.known, layout: w.layout, seen: bytes.Clone(w.seen)}
}

// rewrite puts the widened log in the place of the one that stands there, whole or not at all, and
// keeps that beside it.
func (w *Writer) rewrite(wide widening) error {
	name := w.file
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
			w.dropKept(kept) // the log stands as it was: a copy of it would only mislead
			return err
		}
		w.added = Added{wide.added, kept}
	}
	w.seen, w.layout = wide.log, wide.layout
	w.base, w.kept = w.seen, ""
	return nil
}

// replace writes a file beside another and gives it its name. Where someone holds the file that
// fails on Windows, and whoever appends tries again.
func (w *Writer) replace(name string, data []byte, mode fs.FileMode) error {
	part := name + ".new"
	if left, err := w.folder.root.Lstat(part); err == nil && left.Mode().IsRegular() {
		_ = w.folder.root.Remove(part) // of a run that was killed: whoever holds the lock is the only one to write it
	}
	f, err := w.folder.root.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return w.folder.trouble(part, err)
	}
	_, err = f.Write(data)
	_ = f.Chmod(mode) // it was opened with it; more than the umask allows is a favor
	err = errors.Join(err, f.Sync(), f.Close())
	if err == nil {
		err = w.folder.root.Rename(part, name)
	}
	if err != nil {
		_ = w.folder.root.Remove(part)
		return &Trouble{fmt.Sprintf("%s: can't be written again: %v", w.folder.Show(name), plainErr(err)), "make room on the disk, and close it in other programs"}
	}
	w.syncFolder()
	return nil
}

// write adds bytes to the log in one write. What a full disk took of them is taken off again.
func (w *Writer) write(b []byte) error {
	opened := false
	err := w.appendTo(w.file, b, func(*os.File) (int64, error) {
		opened = true
		return int64(len(w.seen)), nil
	})
	switch {
	case err != nil && opened && w.seen == nil:
		_ = w.folder.root.Remove(w.file) // an empty log where there was none
	case err == nil && len(w.seen) == 0:
		w.syncFolder()
	}
	return err
}

// appendTo adds bytes to a file of the folder in one write, and returns once they are on disk. end
// is asked with the file open where it ends: what a full disk took of the bytes is taken off again
// down to there.
func (w *Writer) appendTo(name string, b []byte, end func(*os.File) (int64, error)) error {
	f, err := w.folder.openToWrite(name, os.O_WRONLY|os.O_APPEND|os.O_CREATE)
	if err != nil {
		return w.folder.trouble(name, err)
	}
	at, err := end(f)
	if err == nil {
		if _, err = f.Write(b); err == nil {
			err = f.Sync()
		}
		if err != nil {
			err = errors.Join(err, f.Truncate(at))
		}
	}
	_ = f.Close() // what is synced is on disk, whatever closing says
	if err != nil {
		return &Trouble{fmt.Sprintf("%s: the row is not on disk: %v", w.folder.Show(name), plainErr(err)), "make room on the disk"}
	}
	return nil
}

// syncFolder makes a file's new name last through a power cut, where the system can.
func (w *Writer) syncFolder() {
	if d, err := w.folder.root.Open(path.Dir(w.file)); err == nil {
		_ = d.Sync() // Windows does not sync folders
		d.Close()
	}
}

// Changed is what another program made of the log.
type Changed struct {
	Lost []map[string]string // rows that stood in the log and are gone from it, in their order, column to text
	Tail bool                // all of them stood after those that are left
	Kept string              // the file that holds the log as it was, empty where all of it is still there
	Torn string              // the file that a torn last line was set aside in, empty where there was none
}

// Reload reads a log that another program changed and says which of the rows are gone that stood in
// it when it was opened or last written to. What is gone is set aside first, and so is a log that
// cannot be read any more: these bytes stand nowhere else. Until a row is written the answer is
// found anew each time.
func (w *Writer) Reload() (Changed, error) {
	var c Changed
	err := w.alone(w.look)
	c.Torn = w.torn
	if err == nil {
		c.Lost, c.Tail = w.missing()
		w.lost = c.Lost
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

// dropKept takes a copy of the log that keepBeside made away again.
func (w *Writer) dropKept(kept string) {
	if kept != "" {
		_ = w.folder.root.Remove(path.Join(path.Dir(w.file), path.Base(strings.ReplaceAll(kept, `\`, "/"))))
	}
}

// keepBeside writes a log as it was into a new file beside it, and returns its name.
func (w *Writer) keepBeside(log []byte) (string, error) {
	name := w.file + ".before"
	f, err := w.folder.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	for n := 2; errors.Is(err, fs.ErrExist) && n < 1000; n++ {
		name = fmt.Sprintf("%s.before%d", w.file, n)
		f, err = w.folder.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	}
	if err == nil {
		_, err = f.Write(log)
		if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
			_ = w.folder.root.Remove(name) // a part of it would only mislead
		}
	}
	if err != nil {
		return "", &Trouble{w.folder.Show(name) + ": " + w.known.what + " as it was can't be kept: " + plainErr(err).Error(), "may you write to the folder, and is there room on the disk?"}
	}
	return w.folder.Show(name), nil
}

// missing finds the rows of the file as it was that are not in it any more. tail tells whether no
// row that is left stood after one that is gone.
func (w *Writer) missing() (lost []map[string]string, tail bool) {
	were, _ := w.rowsOf(w.base)
	tail = true
	for i, at := range w.form().Compare(journal.Numbered(were), w.Rows()).Places {
		if at < 0 {
			lost = append(lost, were[i])
		} else {
			tail = tail && len(lost) == 0
		}
	}
	return lost, tail
}

// form says how the cells of its rows are to be read.
func (w *Writer) form() *journal.Form { return journal.NewForm(w.known.table, w.layout.units) }

// Foreign is a row that was logged elsewhere, and what it is to this log.
type Foreign struct {
	Row     map[string]string
	Here    bool   // it stands in the log already
	Against string // what the log says otherwise: another cell of the same bay, entry and time; empty where nothing does
}

// Compare sets the rows of another file, a log too, beside those of this one: each is new, or here
// already, or against a row of the same bay, entry and time whose cells are others.
func (w *Writer) Compare(file string, data []byte) ([]Foreign, error) {
	there := newWriter(&Folder{FS: Overlay(w.folder.FS, file, data), Log: file})
	l, err := there.layoutOf(data)
	if err != nil {
		return nil, err
	}
	if !l.known {
		return nil, &Trouble{file + " has no rows", "check that this is the right file"}
	}
	rows, _ := w.rowsOf(data)
	for i, row := range rows {
		if row["entry"] == "" {
			rows[i]["entry"] = journal.UnsaidEntry(row)
		}
	}
	form := w.form()
	form.Has = l.has
	c := form.Compare(journal.Numbered(rows), w.Rows())
	out := make([]Foreign, len(rows))
	for i, at := range c.Places {
		out[i] = Foreign{Row: rows[i], Here: at >= 0}
	}
	for _, d := range c.Differences {
		x := &out[d.N-1]
		// Of another name it is another row, and rows without a time may be further ones.
		if x.Here = false; d.Now != nil && !d.Renamed() && !cell.Blank(d.Cells["time"]) {
			x.Against = fmt.Sprintf("%s %q there, %q here", d.Columns[0], cell.Text(d.Cells[d.Columns[0]]), cell.Text(d.Now[d.Columns[0]]))
		}
	}
	return out, nil
}

// setAside takes a last line that was torn off while it was written out of the log, from the byte
// from on, into a file beside it.
func (w *Writer) setAside(b []byte, from int) error {
	name := w.file + ".torn"
	f, err := w.folder.openToWrite(name, os.O_WRONLY|os.O_APPEND|os.O_CREATE)
	if err == nil {
		_, err = f.Write(append(bytes.Clone(b[from:]), '\n'))
		err = errors.Join(err, f.Sync(), f.Close())
	}
	if err != nil {
		return &Trouble{w.folder.Show(name) + ": " + plainErr(err).Error(),
			w.known.what + "'s last line is torn and cannot be set aside; may you write to the folder?"}
	}
	if err := w.cutTo(from); err != nil {
		return &Trouble{w.Name() + ": " + plainErr(err).Error(), "delete its last line: it breaks off"}
	}
	w.torn = w.folder.Show(name)
	return nil
}

// tornHead tells whether all that a log holds is the beginning of a new log's first row, as a power
// cut leaves it, with a block of NULs behind it or nothing but that: nothing is lost with it. A
// first row that somebody typed has no byte order mark and is left alone.
func tornHead(k *knownColumns, b []byte) bool {
	text := bytes.TrimRight(b, "\x00")
	l := newLayout(k)
	return len(b) > 0 && bytes.HasPrefix(l.head(), text) && (len(text) < len(b) || len(text) < len(l.head()))
}

// tornFrom is the byte at which the torn end of a log begins, -1 where it is whole.
func (e encoding) tornFrom(k *knownColumns, b []byte) int {
	if !e.wide() {
		return tornFrom(k, b)
	}
	text, _ := e.coder().NewDecoder().Bytes(b[:len(b)&^1])
	from := tornFrom(k, text)
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
func tornFrom(k *knownColumns, b []byte) int {
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
	if from == 0 || cell.Blank(last) || wholeRow(k, string(text[:from]), last) {
		return -1
	}
	return from
}

// wholeRow tells whether a last line without line end is all of its row: it has as many cells as
// the row before, and its time, where that is the last, is as long as there, where that has one.
func wholeRow(k *knownColumns, before, last string) bool {
	var f faultList
	s, ok := openSheet("", strings.TrimPrefix(before, bom), k, &f)
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
	return bad == nil && (field < len(s.cols)-1 || len(at(row, field)) >= len(at(previous, field)))
}

// JournalOf is the name of a file's journal.
func JournalOf(file string) string { return file + ".journal" }

// openJournal reads the journal, or begins one in memory: its file comes about with the first row.
func (w *Writer) openJournal() error {
	b, err := fs.ReadFile(w.folder.FS, JournalOf(w.file))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		what, hint := why(err)
		return &Trouble{w.folder.Show(JournalOf(w.file)) + ": " + what, hint}
	}
	w.chain = journal.Read(b)
	return nil
}

// confirm writes a row into the journal. A row that another program dropped is there already where
// it is written again with its own time; with another time it stands at another place, and takes
// the place of the one that was dropped.
func (w *Writer) confirm(row map[string]string) error {
	form, chain := w.form(), w.chain.Clone()
	at := slices.IndexFunc(w.lost, func(lost map[string]string) bool { return form.Same(lost, row) })
	if at < 0 {
		return w.writeJournal(chain.Add(row), chain)
	}
	var lines []byte
	dropped := slices.IndexFunc(chain.Rows, func(k journal.Kept) bool { return form.Same(k.Cells, row) && k.Cells["time"] == w.lost[at]["time"] })
	if dropped < 0 || chain.Rows[dropped].Cells["time"] != row["time"] {
		if dropped >= 0 {
			lines = chain.Replace(chain.Rows[dropped].N, nil, row["by"], row["time"])
		}
		if err := w.writeJournal(append(lines, chain.Add(row)...), chain); err != nil {
			return err
		}
	}
	w.lost = slices.Delete(slices.Clone(w.lost), at, at+1)
	return nil
}

// writeJournal adds lines to the journal and makes the chain theirs, once they are on disk. What
// was torn off behind its last whole line is cut first, and what a full disk took of the lines is
// taken off again.
func (w *Writer) writeJournal(lines []byte, chain *journal.Chain) error {
	whole := int64(w.chain.Bytes)
	err := w.appendTo(JournalOf(w.file), lines, func(f *os.File) (int64, error) {
		info, err := f.Stat()
		switch {
		case err != nil:
		case info.Size() < whole:
			err = errors.New("was cut by another program")
		case info.Size() > whole:
			err = f.Truncate(whole)
		}
		return whole, err
	})
	if err != nil {
		return err
	}
	if whole == 0 {
		w.syncFolder()
	}
	w.chain = chain
	return nil
}

// takeBack takes the row off the file that the journal did not take.
func (w *Writer) takeBack() error {
	err := w.cutTo(len(w.seen))
	if err == nil && w.seen == nil {
		err = w.folder.root.Remove(w.file)
	}
	if err != nil {
		return &Trouble{fmt.Sprintf("%s: its last row can't be taken off again: %v", w.Name(), plainErr(err)), "delete that row, and type it again"}
	}
	return nil
}

// cutTo takes off the file what stands behind so many bytes.
func (w *Writer) cutTo(bytes int) error {
	f, err := w.folder.openToWrite(w.file, os.O_WRONLY)
	if err == nil {
		err = errors.Join(f.Truncate(int64(bytes)), f.Sync(), f.Close())
	}
	return err
}

// TakeBack takes the last row that was confirmed out of the file again, where nothing stands behind
// it; time says when. The journal notes it first, so that it never has a row that the file lacks.
func (w *Writer) TakeBack(time string) error {
	return w.alone(func() error {
		last := len(w.chain.Rows) - 1
		now, err := fs.ReadFile(w.folder.FS, w.file)
		if err != nil || last < 0 || !bytes.Equal(now, w.seen) {
			return &Trouble{w.Name() + " was changed by another program", "take the row out of it by hand"}
		}
		row := w.chain.Rows[last].Cells
		line, err := w.layout.append(nil, row)
		if err != nil || !bytes.HasSuffix(now, line) {
			return &Trouble{w.Name() + " was changed by another program", "take the row out of it by hand"}
		}
		chain := w.chain.Clone()
		if err := w.writeJournal(chain.Undo(row["by"], time), chain); err != nil {
			return err
		}
		left := now[: len(now)-len(line) : len(now)-len(line)]
		if err := w.cutTo(len(left)); err != nil {
			return errors.Join(w.folder.trouble(w.file, err), w.confirm(row))
		}
		w.seen, w.base, w.kept = left, left, ""
		return nil
	})
}

// Rows are the rows of the log as it was last seen, column to text.
func (w *Writer) Rows() []map[string]string {
	rows, _ := w.rowsOf(w.seen)
	return rows
}

// Compared sets the log as it stands beside its journal; rows are those of the log.
func (w *Writer) Compared() (c *journal.Compared, rows []map[string]string) {
	rows = w.Rows()
	return w.form().Compare(w.chain.Rows, rows), rows
}

// Restored is the folder as it would be with the rows that are in the journal and not in the file
// any more, and how many these are. It writes nothing.
func (w *Writer) Restored() (fs.FS, int, error) {
	b, n, err := w.restored()
	return Overlay(w.folder.FS, w.file, b), n, err
}

// restored is the file with those rows, each behind the row that it was written after.
func (w *Writer) restored() (b []byte, n int, err error) {
	would := w.copied()
	c, _ := w.Compared()
	for _, d := range c.Differences {
		if d.Now != nil {
			continue
		}
		n++
		wide, err := would.widened(d.Cells)
		if err != nil {
			return nil, 0, err
		}
		would.seen, would.layout = wide.log, wide.layout
	}
	if n == 0 {
		return w.seen, 0, nil
	}
	if len(would.seen) == 0 {
		would.seen = would.layout.head()
	}
	_, lines := would.rowsOf(would.seen)
	behind := map[int][]byte{}              // line of the log to what goes behind it
	at := would.layout.lastLine(would.seen) // where none of the journal's rows is left: behind all that stands there
	if first := slices.IndexFunc(c.Places, func(at int) bool { return at >= 0 }); first >= 0 {
		at = lines[c.Places[first]] - 1
	}
	for i, k := range w.chain.Rows {
		if c.Places[i] >= 0 {
			at = lines[c.Places[i]]
			continue
		}
		if behind[at], err = would.layout.append(behind[at], k.Cells); err != nil {
			return nil, 0, err
		}
	}
	return would.layout.insert(would.seen, behind), n, nil
}

// Restore writes the file that Restored gives, whole or not at all, and keeps the one that stood
// there beside it, under the name that it returns.
func (w *Writer) Restore() (kept string, err error) {
	err = w.alone(func() error {
		if err := w.look(); err != nil { // as it stands now
			return err
		}
		kept, err = w.restore()
		return err
	})
	return kept, err
}

// restore is Restore while nobody else writes.
func (w *Writer) restore() (kept string, err error) {
	whole, n, err := w.restored()
	if err != nil || n == 0 {
		return "", err
	}
	mode := fs.FileMode(0o666)
	if w.seen != nil {
		info, err := fs.Stat(w.folder.FS, w.file)
		if err != nil {
			return "", w.folder.trouble(w.file, err)
		}
		mode = info.Mode().Perm()
		if kept, err = w.keepBeside(w.seen); err != nil {
			return "", err
		}
	}
	if err := w.replace(w.file, whole, mode); err != nil {
		w.dropKept(kept)
		return "", err
	}
	return kept, w.look()
}

// Accept notes in the journal that the file is meant as it stands: what was changed in it, what was
// taken out, in which order its rows stand. by and time say who accepts it, and when. It returns
// what was accepted, a sentence each.
func (w *Writer) Accept(by, time string) (told []string, err error) {
	err = w.alone(func() error {
		if err := w.look(); err != nil { // as it stands now
			return err
		}
		told, err = w.accept(by, time)
		return err
	})
	return told, err
}

// accept is Accept while nobody else writes.
func (w *Writer) accept(by, time string) (told []string, err error) {
	c, rows := w.Compared()
	chain := w.chain.Clone()
	var lines []byte
	for _, d := range c.Differences {
		told = append(told, d.Told(w.Name()))
		lines = append(lines, chain.Replace(d.N, d.Now, by, time)...)
	}
	if c.Moved >= 0 {
		told = append(told, "rows stand in another order")
		now := w.form().Compare(chain.Rows, rows)
		order := make([]int, len(chain.Rows))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int { return now.Places[a] - now.Places[b] })
		for i, at := range order {
			order[i] = chain.Rows[at].N
		}
		lines = append(lines, chain.Reorder(order, by, time)...)
	}
	if len(lines) == 0 {
		return nil, nil
	}
	return told, w.writeJournal(lines, chain)
}
