package joblog

import (
	"bytes"
	"errors"
	"os"
	"strings"
	"time"

	"bayproof/model/cell"
)

// setAside takes a last line that was torn off while it was written out of the log, into a file beside it, and returns
// the log without it. A line is whole where it ends in a line end, or in a whole time.
func (w *Writer) setAside(b []byte) ([]byte, error) {
	from := tornFrom(b)
	if from < 0 {
		return b, nil
	}
	name := w.folder.Log + ".torn"
	if err := w.keepTorn(name, b[from:]); err != nil {
		return nil, &Trouble{w.folder.Show(name) + ": " + plainErr(err).Error(),
			"the log's last line is torn and cannot be set aside; may you write to the folder?"}
	}
	f, err := w.folder.root.OpenFile(w.folder.Log, os.O_WRONLY, 0)
	if err == nil {
		err = errors.Join(f.Truncate(int64(from)), f.Sync(), f.Close())
	}
	if err != nil {
		return nil, &Trouble{w.folder.Show(w.folder.Log) + ": " + plainErr(err).Error(), "its last line is torn: delete it"}
	}
	w.torn = w.folder.Show(name)
	return b[:from:from], nil
}

// keepTorn adds a torn line to the file of torn lines.
func (w *Writer) keepTorn(name string, line []byte) error {
	f, err := w.folder.root.OpenFile(name, os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(append(bytes.Clone(line), '\n'))
	return errors.Join(err, f.Sync(), f.Close())
}

// tornFrom is where the torn end of a log begins, -1 where it is whole.
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

// wholeRow tells whether a last line without line end is all of its row: its time is there, and as long as in the row
// before. Where the rows before have no time it has as many cells as they have.
func wholeRow(before, last string) bool {
	var f faultList
	s, ok := openSheet("", strings.TrimPrefix(before, bom), bayColumns(), &f)
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
	if len(previous) == 0 {
		_, bad := cell.Time(at(row, field), time.Unix(0, 0))
		return bad == nil && len(row) == len(s.header)
	}
	if cell.Blank(at(previous, field)) {
		return len(row) >= len(previous)
	}
	_, bad := cell.Time(at(row, field), time.Unix(0, 0))
	return bad == nil && len(at(row, field)) >= len(at(previous, field))
}
