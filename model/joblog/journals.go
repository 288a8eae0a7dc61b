// Rows of the log and of cores.csv set beside those of their journals, and of other files.
//
// A row that was written is confirmed in the journal (confirm). What file and journal differ in is
// told (readJournal), and settled as somebody wants it: the row brought back (Restore) or the
// change noted (Accept). The same comparing finds rows that another program dropped (missing), and
// tells of a file from elsewhere which of its rows are new (Compare).

package joblog

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/model/joblog/disk"
	"bayproof/model/joblog/journal"
)

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

// cutTo takes off the file what stands behind so many bytes. Once it is off it is off for all who
// read: where the disk does not keep that, a row comes back that the journal has not, and none that
// was confirmed is lost.
func (w *Writer) cutTo(bytes int) error {
	f, err := disk.OpenToWrite(w.folder.root, w.file, os.O_WRONLY)
	if err != nil {
		return err
	}
	err = f.Truncate(int64(bytes))
	_, _ = f.Sync(), f.Close()
	return err
}

// TakeBack takes the last row that was confirmed out of the file again, where nothing stands behind
// it; time says when. The journal notes it first, so that it never has a row that the file lacks.
func (w *Writer) TakeBack(time string) error {
	return w.alone(func() error {
		var row map[string]string
		if n := len(w.chain.Rows); n > 0 {
			row = w.chain.Rows[n-1].Cells
		}
		now, readErr := fs.ReadFile(w.folder.FS, w.file)
		line, err := w.layout.append(nil, row)
		if errors.Join(readErr, err) != nil || row == nil || !bytes.Equal(now, w.seen) || !bytes.HasSuffix(now, line) {
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

// mostTold is how many rows that are not as they were confirmed are told one by one.
const mostTold = 5

// readJournal sets a file that holds b beside its journal; nil where there is none. A journal that
// cannot be read stops nothing.
func (r *reader) readJournal(w *Writer, b []byte) *model.Journal {
	name := JournalOf(w.file)
	text, err := readSteady(r.fsys, name)
	if err != nil {
		if !errors.Is(err, fs.ErrNotExist) {
			what, _ := why(err)
			r.f.warn("journal", model.Source{File: name}, "the journal %s", what)
		}
		return nil
	}
	r.keep(name, text)
	chain := journal.Read(text)
	w.layout, _ = w.layoutOf(b)
	rows, at := w.rowsOf(b)
	c := w.form().Compare(chain.Rows, rows)
	j := &model.Journal{Rows: chain.Written, Accepted: chain.Accepted, Moved: c.Moved >= 0, Broken: chain.Broken, End: chain.End}
	for i := range c.Differences {
		d := &c.Differences[i]
		x := model.Warning{Code: "journal-changed", Text: tell(d.Told(w.file)), Src: model.Place{Source: model.Source{File: w.file}}, Section: cell.Name(d.Cells["section"]), Bay: cell.Name(d.Cells["bay"])}
		if d.Now == nil {
			if j.Gone++; j.Gone == 1 {
				x.Text += ": bayproof log JOB --restore brings it back"
			}
			x.Code = "journal-gone"
		} else {
			if j.Changed++; j.Changed == 1 {
				x.Text += "; if that is right, bayproof log JOB --accept"
			}
			x.Src.Line = at[d.At]
		}
		if i < mostTold {
			r.f.warnings = append(r.f.warnings, x)
		}
	}
	if more := len(c.Differences) - mostTold; more > 0 {
		code := "journal-changed"
		if j.Gone > 0 {
			code = "journal-gone"
		}
		r.f.warn(code, model.Source{File: w.file}, "%d more rows are not as they were confirmed: of %d in the journal %d are gone, %d changed", more, len(chain.Rows), j.Gone, j.Changed)
	}
	if c.Moved >= 0 {
		r.f.warn("journal-order", model.Source{File: w.file}, "%s stands above rows that were logged before it. Was the file sorted?", chain.Rows[c.Moved].Told())
	}
	if chain.Broken > 0 {
		r.f.warn("journal-broken", model.Source{File: name, Line: chain.Broken}, "the journal was changed: from line %d on it shows nothing", chain.Broken)
	}
	return j
}

// faultsOfJournals say of files that cannot be read what their journals know of them; nothing of
// one that its journal agrees with.
func (r *reader) faultsOfJournals() []model.Fault {
	var out []model.Fault
	tell := func(file string, j *model.Journal) {
		if j != nil && j.Gone+j.Changed > 0 {
			out = append(out, model.Fault{Src: model.Place{Source: model.Source{File: file}}, Hint: "bayproof log JOB --restore brings back rows that are gone",
				What: fmt.Sprintf("not as it was logged: %d rows are gone, %d changed; the journal has them", j.Gone, j.Changed)})
		}
	}
	tell(r.log, r.journals.Log)
	tell(r.name(coresFile), r.journals.Cores)
	return out
}
