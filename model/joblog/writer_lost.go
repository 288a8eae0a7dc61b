package joblog

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"bayproof/model/cell"
)

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
func (w *Writer) keepBase() error {
	name := w.folder.Log + ".before"
	f, err := w.folder.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	for n := 2; errors.Is(err, fs.ErrExist) && n < 1000; n++ {
		name = fmt.Sprintf("%s.before%d", w.folder.Log, n)
		f, err = w.folder.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	}
	if err == nil {
		_, err = f.Write(w.base)
		if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
			_ = w.folder.root.Remove(name) // a part of it would only mislead
		}
	}
	if err != nil {
		return &Trouble{w.folder.Show(name) + ": the log as it was cannot be kept: " + plainErr(err).Error(), "may you write to the folder, and is there room on the disk?"}
	}
	w.kept = w.folder.Show(name)
	return nil
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

func keyOf(row map[string]string) rowKey {
	k := rowKey{cell.Name(row["section"]), cell.Name(row["bay"]), cell.Name(row["entry"]), row["time"]}
	if t, bad := cell.Time(row["time"], time.Time{}); bad == nil {
		k.minute = t.Format("2006-01-02 15:04")
	}
	return k
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
