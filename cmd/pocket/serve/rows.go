package serve

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"bayproof/cmd/pocket"
	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/model/joblog"
	"bayproof/model/joblog/journal"
	"bayproof/report/say/lang"
)

// Limits of what one request may hold: an entry is a row or two, a cell a line that somebody typed.
const (
	maxBody = 64 << 10 // bytes
	maxRows = 20
	maxCell = 2000 // bytes
)

// entry is what the page sends: the rows of one entry.
type entry struct {
	Rows []sent `json:"rows"`
}

// sent is a row with what the phone knows of it.
type sent struct {
	ID    string            `json:"id"`    // the phone's own name of it
	Row   map[string]string `json:"row"`   // column to text, with its time
	After string            `json:"after"` // pocket.Before, of an entry's first row
}

// Answer is what becomes of an entry.
type Answer struct {
	Taken   bool     `json:"taken,omitempty"`
	Refused string   `json:"refused,omitempty"` // why it is not in the log
	Here    []string `json:"here,omitempty"`    // what stands there instead
	After   string   `json:"after,omitempty"`   // the digest under which it may be offered again
	Time    string   `json:"time,omitempty"`    // and the time, where the entry's own is before that of what stands there
}

// errBusy says that nothing can be written at the moment: the phone keeps its rows and tries again.
var errBusy = errors.New("the log cannot be written to")

// parse reads an entry, strictly: what the page never sends is no entry.
func parse(body []byte) (*entry, error) {
	if !utf8.Valid(body) {
		return nil, errors.New("no UTF-8")
	}
	d := json.NewDecoder(bytes.NewReader(body))
	d.DisallowUnknownFields()
	var e entry
	if err := d.Decode(&e); err != nil {
		return nil, err
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, errors.New("more than one value")
	}
	if len(e.Rows) == 0 || len(e.Rows) > maxRows {
		return nil, fmt.Errorf("%d rows", len(e.Rows))
	}
	for i, s := range e.Rows {
		if err := s.check(i == 0); err != nil {
			return nil, err
		}
	}
	return &e, nil
}

// check refuses a row that no page sends; whether the log can hold it is found by reading the log
// with it.
func (s *sent) check(first bool) error {
	hex := func(text string) bool { return strings.Trim(text, "0123456789abcdef") == "" }
	switch {
	case len(s.ID) > 64 || !hex(s.ID):
		return errors.New("an id that is none")
	case !hex(s.After) || first && len(s.After) != 16 || !first && s.After != "":
		return errors.New("a digest that is none")
	case s.Row["entry"] == "":
		return errors.New("a row without an entry")
	}
	if at, err := time.Parse(time.RFC3339, s.Row["time"]); err != nil || at.Year() < 2000 || at.Year() > 2200 {
		return errors.New("a row without a time")
	}
	columns := model.LogColumns()
	for name, text := range s.Row {
		switch {
		case name == "job" || !slices.ContainsFunc(columns, func(c model.Column[model.Entry]) bool { return c.Name == name }):
			return errors.New("a column that the page has not")
		case len(text) > maxCell || strings.ContainsFunc(text, unicode.IsControl):
			return errors.New("a cell that nobody typed")
		}
	}
	return nil
}

// take puts the rows of an entry into the log, which it holds for as long as that takes, and says
// how many it wrote.
func (s *Server) take(e *entry) (a Answer, wrote int, err error) {
	w, err := joblog.OpenBeside(s.Folder)
	if err != nil {
		return a, wrote, errors.Join(errBusy, err)
	}
	defer w.Close()
	if torn := w.Torn(); torn != "" {
		s.tell("the log's last line was torn off while it was written; it is set aside in " + torn + ": type that bay again")
	}
	read := func(rows ...map[string]string) (*model.Job, []model.Fault) {
		files, err := w.With(rows...)
		if err != nil {
			return nil, []model.Fault{{What: err.Error()}}
		}
		return joblog.Read(files, s.Folder.Log, joblog.Options{Name: s.Folder.Name, Flags: s.Flags})
	}
	job, faults := read()
	if len(faults) > 0 {
		return a, wrote, errors.Join(errBusy, errors.New(faults[0].What))
	}
	missing := absent(e, w.Rows(), job.Settings.Units)
	if len(missing) == 0 {
		return Answer{Taken: true}, wrote, nil
	}
	first := e.Rows[0]
	// Where part of an entry is there, what stands behind it does not matter: the rest belongs to
	// it.
	if whole := len(missing) == len(e.Rows); whole && pocket.Before(job, first.Row) != first.After {
		return movedOn(job, first.Row), 0, nil
	}
	if _, faults := read(missing...); len(faults) > 0 {
		a = movedOn(job, first.Row)
		crew := lang.Of(job.Settings.Lang)
		if a.Refused = crew.Told(faults[0].What); faults[0].Hint != "" {
			a.Refused += "; " + crew.Told(faults[0].Hint)
		}
		return a, 0, nil
	}
	for _, row := range missing {
		if err := w.Append(row); err != nil {
			return a, wrote, errors.Join(errBusy, err)
		}
		wrote++
	}
	if added := w.Added(); len(added.Columns) > 0 {
		s.tell("the log lacked columns, and they are added: " + strings.Join(added.Columns, ", ") + "; as it was it is kept in " + added.Kept)
	}
	return Answer{Taken: true}, wrote, nil
}

// absent are the rows of an entry that do not stand in the log yet: it has none with the same cells
// and the same time. Where a spreadsheet saved the log without seconds, the minute counts.
func absent(e *entry, log []map[string]string, units model.System) []map[string]string {
	form := journal.NewForm(journal.Columns(model.LogColumns()), units)
	taken := make([]bool, len(log))
	var out []map[string]string
next:
	for _, s := range e.Rows {
		at, _ := time.Parse(time.RFC3339, s.Row["time"]) // check has parsed it
		for i, row := range log {
			if !taken[i] && sameTime(row["time"], at) && form.Same(row, s.Row, "time") {
				taken[i] = true
				continue next
			}
		}
		out = append(out, s.Row)
	}
	return out
}

// sameTime tells whether a cell says this time, to the second where it says seconds.
func sameTime(text string, at time.Time) bool {
	if t, err := time.Parse(time.RFC3339, text); err == nil {
		return t.Equal(at)
	}
	t, bad := cell.Time(text, at)
	return bad == nil && t.Format("2006-01-02 15:04") == at.Format("2006-01-02 15:04")
}

// movedOn refuses a row by the names of those that stand above it now.
func movedOn(job *model.Job, row map[string]string) Answer {
	inSection, atMachine := pocket.Above(job, row)
	a := Answer{After: pocket.Before(job, row)}
	at, _ := time.Parse(time.RFC3339, row["time"])
	var names []string
	for _, x := range []*model.Entry{inSection, atMachine} {
		if x == nil {
			continue
		}
		if name := strings.TrimSpace(x.Section + " " + x.Bay); !slices.Contains(names, name) {
			names = append(names, name)
			a.Here = append(a.Here, inWords(job, x))
		}
		if !x.Time.IsZero() && !x.Time.Before(at) {
			at = x.Time.In(at.Location()).Add(time.Second)
			a.Time = at.Format(time.RFC3339)
		}
	}
	crew, own := lang.Of(job.Settings.Lang), strings.TrimSpace(row["section"]+" "+row["bay"])
	if a.Refused = crew.F("%s: %s was logged since. What this row leaves out would now mean that bay.", own, crew.List(names)); names == nil {
		a.Refused = crew.F("%s: the rows that it was typed behind are gone from the log.", own)
	}
	return a
}

// inWords shows a row of the log on one line, with the time of day.
func inWords(job *model.Job, x *model.Entry) string {
	var parts []string
	for i, text := range x.Cells {
		if i < len(job.Columns) && !cell.Blank(text) && job.Columns[i] != "time" {
			parts = append(parts, job.Columns[i]+" "+cell.Text(text))
		}
	}
	text := strings.Join(parts, ", ")
	if !x.Time.IsZero() {
		text += x.Time.Format(" (15:04)")
	}
	return text
}
