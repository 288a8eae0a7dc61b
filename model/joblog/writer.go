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
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"strings"
	"time"
	"unicode/utf16"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/model/joblog/disk"
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
	lost   []map[string]string // rows that another program dropped, as Reload found them last
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

// newWriter is the writer of a folder's log, which it has not looked at yet.
func newWriter(f *Folder) *Writer {
	return &Writer{folder: f, file: f.Log, known: bayColumns(model.LogColumns())}
}

// newCoreWriter is that of the folder's cores.csv. It holds no lock: the log's is that of both.
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

// look reads the file as it stands and mends a torn end.
func (w *Writer) look() error {
	w.torn = ""
	b, err := fs.ReadFile(w.folder.FS, w.file)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		what, hint := why(err)
		return &Trouble{w.Name() + ": " + what, hint}
	}
	torn, err := w.see(b)
	switch whole := len(w.seen); {
	case err != nil:
	case torn:
		err = w.setAside(b, whole)
	case whole < len(b):
		if err = w.cutTo(whole); err != nil {
			err = w.folder.trouble(w.file, err)
		}
	}
	return err
}

// see takes the file for b, nil where there is none, but for what is to be taken off its end: a row
// that was torn off, or nothing but blank lines, where the header goes. Nothing is taken off one
// whose header is not understood: it may be something else.
func (w *Writer) see(b []byte) (torn bool, err error) {
	whole, head := b, tornHead(w.known, b)
	from := encodingOf(string(b)).tornFrom(w.known, b)
	if head {
		from = 0
	}
	if torn = from >= 0; torn {
		whole = b[:from:from]
	}
	l, err := w.layoutOf(whole)
	switch {
	case err != nil:
		return false, err
	case torn && !head && !l.known:
		return false, &Trouble{w.Name() + ": it breaks off, and no row above is a header", "give it another name; bayproof log then starts a new one"}
	case len(whole) > 0 && !l.known:
		whole = []byte{}
	}
	w.seen, w.layout = whole, l
	return torn, nil
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
		now, err := disk.OpenToWrite(w.folder.root, name, os.O_WRONLY) // refuses what is written through to somewhere else
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

// replace writes a file beside another and gives it its name; mode is that of the other, 0 where
// there is none. Where someone holds the file that fails on Windows, and whoever appends tries
// again.
func (w *Writer) replace(name string, data []byte, mode fs.FileMode) error {
	part := name + ".new"
	if left, err := w.folder.root.Lstat(part); err == nil && left.Mode().IsRegular() {
		_ = w.folder.root.Remove(part) // of a run that was killed: whoever holds the lock is the only one to write it
	}
	f, err := w.folder.root.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, cmp.Or(mode, 0o666))
	if err != nil {
		return w.folder.trouble(part, err)
	}
	_, err = f.Write(data)
	if mode != 0 {
		_ = f.Chmod(mode) // more than the umask allows is a favor
	}
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
	f, err := disk.OpenToWrite(w.folder.root, name, os.O_WRONLY|os.O_APPEND|os.O_CREATE)
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
		hint := cmp.Or(FaultOf(err).Hint, "make room on the disk")
		return &Trouble{fmt.Sprintf("%s: the row is not on disk: %v", w.folder.Show(name), plainErr(err)), hint}
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
		var bad error
		if w.kept, bad = w.keepBeside(w.base); bad != nil {
			return c, errors.Join(err, bad)
		}
	}
	c.Kept = w.kept
	return c, err
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

// setAside takes a last line that was torn off while it was written out of the log, from the byte
// from on, into a file beside it.
func (w *Writer) setAside(b []byte, from int) error {
	name := w.file + ".torn"
	f, err := disk.OpenToWrite(w.folder.root, name, os.O_WRONLY|os.O_APPEND|os.O_CREATE)
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
