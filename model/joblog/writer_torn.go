package joblog

import (
	"bytes"
	"errors"
	"os"
	"strings"
	"time"
	"unicode/utf16"

	"bayproof/model/cell"
)

// setAside takes a last line that was torn off while it was written out of the log, from the byte from on, into a file
// beside it.
func (w *Writer) setAside(b []byte, from int) error {
	name := w.folder.Log + ".torn"
	if err := w.keepTorn(name, b[from:]); err != nil {
		return &Trouble{w.folder.Show(name) + ": " + plainErr(err).Error(),
			"the log's last line is torn and cannot be set aside; may you write to the folder?"}
	}
	f, err := w.folder.openToWrite(w.folder.Log, os.O_WRONLY)
	if err == nil {
		err = errors.Join(f.Truncate(int64(from)), f.Sync(), f.Close())
	}
	if err != nil {
		return &Trouble{w.folder.Show(w.folder.Log) + ": " + plainErr(err).Error(), "its last line is torn: delete it"}
	}
	w.torn = w.folder.Show(name)
	return nil
}

// keepTorn adds a torn line to the file of torn lines.
func (w *Writer) keepTorn(name string, line []byte) error {
	f, err := w.folder.openToWrite(name, os.O_WRONLY|os.O_APPEND|os.O_CREATE)
	if err != nil {
		return err
	}
	_, err = f.Write(append(bytes.Clone(line), '\n'))
	return errors.Join(err, f.Sync(), f.Close())
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
	if len(row) < len(previous) || cell.Blank(at(previous, field)) {
		return len(row) >= len(previous)
	}
	_, bad := cell.Time(at(row, field), time.Unix(0, 0))
	return bad == nil && len(at(row, field)) >= len(at(previous, field))
}
