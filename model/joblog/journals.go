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
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/model/joblog/disk"
	"bayproof/model/joblog/journal"
)

// JournalOf is the name of a file's journal.
func JournalOf(file string) string { return file + ".journal" }

// openJournal reads the journal, or begins one in memory: its file comes about with the first row.
func (w *Writer) openJournal() error {
	name := JournalOf(w.file)
	b, err := fs.ReadFile(w.folder.FS, name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		what, hint := why(err)
		return &Trouble{w.folder.Show(name) + ": " + what, hint}
	}
	w.chain = journal.Read(b)
	if other := w.foreign(w.chain); other != "" {
		return &Trouble{w.folder.Show(name) + ": this is the journal of " + other, "put each journal back beside its file"}
	}
	return nil
}

// foreign is the other file whose rows a journal holds, as their columns show; empty where they may
// be this one's.
func (w *Writer) foreign(chain *journal.Chain) string {
	other := coreColumns()
	if w.known.what == other.what {
		other = bayColumns(model.LogColumns())
	}
	if len(chain.Rows) == 0 || w.known.all(chain.Rows[0].Cells) || !other.all(chain.Rows[0].Cells) {
		return ""
	}
	return other.what
}

// confirm writes a row into the journal. One that is written again behind all that is left, as it
// was, is there already; with another time, or behind rows that came after it, it takes the place
// of the one that was dropped.
func (w *Writer) confirm(row map[string]string) error {
	form, chain := w.form(), w.chain.Clone()
	var lines []byte
	if at, last := w.dropped(form, row); at >= 0 {
		if last && form.Same(chain.Rows[at].Cells, row) {
			return nil
		}
		lines = chain.Undo(chain.Rows[at].N, row["by"], row["time"])
	}
	return w.writeJournal(append(lines, chain.Add(row)...), chain)
}

// dropped finds the row of the journal that this one writes again, among those that the file lacks:
// one that says the same, or that this sitting missed and that says the same but for its time. last
// tells whether all that came after it is gone too; at is -1 where there is none.
func (w *Writer) dropped(form *journal.Form, row map[string]string) (at int, last bool) {
	is := func(k journal.Kept) bool {
		missed := func(lost map[string]string) bool { return form.Same(lost, k.Cells) }
		return k.Cells["bay"] == row["bay"] && form.Same(k.Cells, row, "time") && (form.Same(k.Cells, row) || slices.ContainsFunc(w.lost, missed))
	}
	rows := w.chain.Rows
	if !slices.ContainsFunc(rows, is) {
		return -1, false
	}
	places := form.Compare(rows, w.Rows()).Places
	for i, k := range rows {
		if places[i] < 0 && is(k) {
			return i, !slices.ContainsFunc(places[i:], func(at int) bool { return at >= 0 })
		}
	}
	return -1, false
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
			err = &Trouble{"another program cut the journal", "type finish, and bayproof log JOB again"}
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
		var last journal.Kept
		if n := len(w.chain.Rows); n > 0 {
			last = w.chain.Rows[n-1]
		}
		row := last.Cells
		now, readErr := fs.ReadFile(w.folder.FS, w.file)
		line, err := w.layout.append(nil, row)
		if errors.Join(readErr, err) == nil && !bytes.Equal(now, w.seen) {
			return ErrChanged
		}
		left, found := bytes.CutSuffix(now, line)
		if errors.Join(readErr, err) != nil || row == nil || !found || len(w.layout.unended(left)) > 0 { // the end of a longer line
			return &Trouble{w.Name() + " was changed by another program", "take the row out of it by hand"}
		}
		left = slices.Clip(left)
		chain := w.chain.Clone()
		if err := w.writeJournal(chain.Undo(last.N, row["by"], time), chain); err != nil {
			return err
		}
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
	were, _, _ := w.rowsOf(w.base)
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
func (w *Writer) form() *journal.Form {
	form := journal.NewForm(w.known.table, w.layout.job.Units)
	form.Day, _ = cell.Date("date", w.layout.job.Date)
	return form
}

// Foreign is a row that was logged elsewhere, and what it is to this log.
type Foreign struct {
	Row     map[string]string
	Here    bool   // it stands in the log already
	Against string // why it is not taken: another cell of the same bay, entry and time, or the row as it is but for a time; empty where nothing is
	Hint    string
}

// Elsewhere is a file with rows that were logged elsewhere.
type Elsewhere struct {
	Rows     []Foreign
	Faults   []model.Fault // of rows that are not among these: they cannot be read, or are another job's
	Warnings []model.Warning
}

// Compare sets the rows of another file, a log too, beside those of this one: each is new, or here
// already, or against a row of the same bay, entry and time whose cells are others. Of one without
// a time that the log has with one nobody knows whether it is a further one.
func (w *Writer) Compare(file string, data []byte) (*Elsewhere, error) {
	there := newWriter(&Folder{FS: Overlay(w.folder.FS, file, data), Log: file})
	l, err := there.layoutOf(data)
	if err != nil {
		return nil, err
	}
	if !l.known {
		return nil, &Trouble{file + " has no rows", "check that this is the right file"}
	}
	all, at, bad := there.rowsOf(data)
	var rows []map[string]string
	for i, row := range all {
		if job := row["job"]; l.has("job") && !w.layout.has("job") {
			if delete(row, "job"); cell.Name(job) != w.layout.job.Job {
				bad.addf(model.Source{File: file, Line: at[i]}, "take its rows into that job's own log", "this row is of job %s", quoted(job))
				continue
			}
		}
		if row["entry"] == "" {
			row["entry"] = journal.UnsaidEntry(row)
		}
		rows = append(rows, row)
	}
	out := &Elsewhere{Faults: bad.sorted([]string{file}), Warnings: bad.warnings, Rows: make([]Foreign, len(rows))}
	for i := range out.Warnings {
		out.Warnings[i].Src = bad.place(out.Warnings[i].Src.Source)
	}
	form := w.form()
	form.Has = l.has
	c := form.Compare(journal.Numbered(rows), w.Rows())
	for i, at := range c.Places {
		out.Rows[i] = Foreign{Row: rows[i], Here: at >= 0}
	}
	for _, d := range c.Differences {
		x := &out.Rows[d.N-1]
		x.Here = false // of another name it is another row
		switch timeless := cell.Blank(d.Cells["time"]); {
		case d.Now == nil:
		case timeless && len(d.Columns) == 1 && !cell.Blank(d.Now["time"]):
			x.Against, x.Hint = "the log has it, with the time "+cell.Text(d.Now["time"]), "write its time where it is a further one; leave it out where it is the same"
		case !timeless && !d.Renamed():
			x.Against = fmt.Sprintf("%s %q there, %q here", d.Columns[0], cell.Text(d.Cells[d.Columns[0]]), cell.Text(d.Now[d.Columns[0]]))
			x.Hint = "one of the two is wrong: amend the bay where it is this log's"
		}
	}
	return out, nil
}

// Rows are the rows of the log as it was last seen, column to text.
func (w *Writer) Rows() []map[string]string {
	rows, _, _ := w.rowsOf(w.seen)
	return rows
}

// Compared sets the log as it stands beside its journal; rows are those of the log.
func (w *Writer) Compared() (c *journal.Compared, rows []map[string]string) {
	rows = w.Rows()
	return w.form().Compare(w.chain.Rows, rows), rows
}

// Broken is the line at which the chain of the journal breaks: rows from there on are as the file of
// the journal has them, and nothing proves them. 0 where it holds.
func (w *Writer) Broken() int { return w.chain.Broken }

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
	if err := w.unread(); err != nil { // it may be one of those
		return nil, 0, err
	}
	_, lines, _ := would.rowsOf(would.seen)
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
	var mode fs.FileMode
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
	if err := w.unread(); err != nil { // a row that cannot be read was not taken out
		return nil, err
	}
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

// Journals sets the log, of which b is what stands there, and cores.csv beside their journals, where
// Options ask for that: the checker on a phone does not, and so does not carry it.
func Journals(r *reader, b []byte) {
	folder := &Folder{FS: r.fsys, Log: r.log, Name: r.opt.Name}
	r.journals.Log = r.readJournal(newWriter(folder), b)
	r.journals.Cores = r.readJournal(newCoreWriter(folder), r.coresRaw)
}

// readJournal sets a file that holds b beside its journal; nil where there is none. A journal that
// cannot be read stops nothing. Of one whose chain breaks the lines before are what is compared.
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
	if other := w.foreign(chain); other != "" {
		r.f.warn("journal", model.Source{File: name}, "this is the journal of %s: here it proves nothing. Put each journal back beside its file", other)
		return nil
	}
	if chain.End == "" { // a power cut left it before its first line
		return nil
	}
	sound := chain
	if chain.Broken > 0 {
		sound = journal.Read(text[:chain.Sound])
	}
	j := &model.Journal{Rows: sound.Written, Accepted: sound.Accepted, Broken: chain.Broken, End: chain.End}
	if w.layout, err = w.layoutOf(b); err != nil || r.refused(w.file) {
		r.apart(w.file, "if it can't be mended, give it another name: bayproof log JOB --restore then writes those rows again",
			"its journal has %s", count(len(sound.Rows), "confirmed row"))
		return j
	}
	rows, at, bad := w.rowsOf(b)
	c := w.form().Compare(sound.Rows, rows)
	j.Gone, j.Moved = c.Gone(), c.Moved >= 0
	j.Changed, j.Besides = len(c.Differences)-j.Gone, len(rows)-len(sound.Rows)+j.Gone
	r.tellDifferences(w.file, c.Differences, j, at)
	if j.Moved {
		r.f.warn("journal-order", model.Source{File: w.file}, "%s stands above rows that were logged before it. Was the file sorted?", sound.Rows[c.Moved].Told())
	}
	if chain.Broken > 0 {
		lacks := ""
		if n := w.form().Compare(chain.Rows, rows).Gone() - j.Gone; n > 0 {
			lacks = fmt.Sprintf(". Rows there that are not in %s: %d", w.file, n)
		}
		r.f.warn("journal-broken", model.Source{File: name, Line: chain.Broken}, "the journal breaks at line %d: from there on it proves nothing%s", chain.Broken, lacks)
	}
	var parts []string
	hint := "mend it, or bayproof log JOB --accept where it is right"
	if j.Changed > 0 {
		parts = append(parts, count(j.Changed, "row")+" with other cells")
	}
	if j.Gone > 0 {
		parts, hint = append(parts, count(j.Gone, "row")+" missing"), "bayproof log JOB --restore brings back what is missing"
	}
	switch {
	case parts != nil && len(bad.list) > 0:
		r.apart(w.file, "mend the file first; bayproof log JOB --restore then brings back what is missing", "%s of its journal can't be found in it", count(j.Gone+j.Changed, "row"))
	case parts != nil:
		r.apart(w.file, hint, "not as its journal has it: %s", strings.Join(parts, ", "))
	}
	return j
}

// mostTold is how many rows that are not as they were confirmed are told one by one.
const mostTold = 5

// tellDifferences warns of rows that are not in the file as its journal has them; at are the lines
// of the file's rows.
func (r *reader) tellDifferences(file string, differences []journal.Difference, j *model.Journal, at []int) {
	if j.Gone == len(differences) && j.Besides == len(at) && j.Gone > 1 {
		r.f.warn("journal-gone", model.Source{File: file}, "none of the %d rows in the journal is in %s: bayproof log JOB --restore brings them back", j.Gone, file)
		return
	}
	said := map[string]bool{}
	for i := range differences[:min(len(differences), mostTold)] {
		d := &differences[i]
		x := model.Warning{Code: "journal-gone", Text: tell(d.Told(file)), Src: model.Place{Source: model.Source{File: file}}, Section: cell.Name(d.Cells["section"]), Bay: cell.Name(d.Cells["bay"])}
		cure := ": bayproof log JOB --restore brings it back"
		if d.Now != nil {
			x.Code, cure, x.Src.Line = "journal-changed", "; if that is right, bayproof log JOB --accept", at[d.At]
		}
		if !said[x.Code] {
			x.Text += cure
		}
		said[x.Code] = true
		r.f.warnings = append(r.f.warnings, x)
	}
	if more := len(differences) - mostTold; more > 0 {
		code := "journal-changed"
		if j.Gone > 0 {
			code = "journal-gone"
		}
		r.f.warn(code, model.Source{File: file}, "%d more rows are not as the journal has them: in all %d are gone, %d read otherwise", more, j.Gone, j.Changed)
	}
}

// apart takes what a file's journal knows of it: a fault where the job cannot be read for another
// one, nothing else.
func (r *reader) apart(file, hint, format string, args ...any) {
	r.beyond = append(r.beyond, model.Fault{Src: model.Place{Source: model.Source{File: file}}, What: fmt.Sprintf(format, args...), Hint: hint})
}

// refused tells whether a file was refused as a whole.
func (r *reader) refused(file string) bool {
	return slices.ContainsFunc(r.f.list, func(f model.Fault) bool { return f.Src.File == file && f.Src.Line == 0 })
}
