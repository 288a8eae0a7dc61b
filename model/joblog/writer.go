package joblog

import (
	"bytes"
	"errors"
	"io/fs"
)

// ErrChanged says that the log is no longer what the writer last saw: another program wrote to it.
var ErrChanged = errors.New("the log was changed by another program")

// Trouble is why the log cannot be written to, with what would cure it.
type Trouble struct{ What, Hint string }

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

// Columns are the known names of the log's columns in their order, those that no one knows left empty.
func (w *Writer) Columns() []string { return w.layout.names() }

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
	line, err := w.line(row)
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
