package joblog

import (
	"bytes"
	"errors"
	"io/fs"

	"github.com/gofrs/flock"
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
	lock   *flock.Flock
	seen   []byte // the log as last seen; nil while there is none
	layout layout
	own    []map[string]string // rows that this writer wrote
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
	return w, nil
}

// Close gives the lock back.
func (w *Writer) Close() error {
	w.letGo()
	return nil
}

// Torn is the file that a torn last line was set aside in, empty where there was none.
func (w *Writer) Torn() string { return w.torn }

// Columns are the known names of the log's columns in their order, those that no one knows left empty.
func (w *Writer) Columns() []string { return w.layout.names() }

// look reads the log as it stands and mends a torn end.
func (w *Writer) look() error {
	b, err := fs.ReadFile(w.folder.FS, w.folder.Log)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		w.seen, w.layout = nil, newLayout()
		return nil
	case err != nil:
		what, hint := why(err)
		return &Trouble{w.folder.Show(w.folder.Log) + ": " + what, hint}
	}
	if b, err = w.setAside(b); err != nil {
		return err
	}
	w.seen = b
	w.layout, err = layoutOf(w.folder, b)
	return err
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
	w.own = append(w.own, row)
	return nil
}

// line is what Append writes for a row: the row itself, after the header where the log has none yet, after the line end
// that the last row lacks.
func (w *Writer) line(row map[string]string) ([]byte, error) {
	var b []byte
	switch {
	case len(w.seen) == 0:
		b = append(b, w.layout.head()...)
	case w.seen[len(w.seen)-1] != '\n' && !w.layout.endsIn(w.seen):
		b = append(b, w.layout.end...)
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

// Reload reads a log that another program changed, and returns the rows that this writer wrote and that are no longer
// in it: to be written again, or not.
func (w *Writer) Reload() (lost []map[string]string, err error) {
	if err := w.look(); err != nil {
		return nil, err
	}
	lost, w.own = w.layout.missing(w.folder, w.seen, w.own)
	return lost, nil
}
