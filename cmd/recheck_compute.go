package cmd

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report/record"
	"bayproof/report/screen"
	"bayproof/verify"
)

// rechecked is what was found about a record.
type rechecked struct {
	Method      int                 `json:"method"` // by which figures are computed here
	Record      string              `json:"record"` // the file
	Holds       bool                `json:"holds"`  // nothing differs, and the figures were compared
	Job         string              `json:"job"`
	Tool        record.Tool         `json:"written_by"`
	Stated      int                 `json:"record_method"` // by which the record's figures were computed; 0 where that is no number
	Findings    []recheckFinding    `json:"checks"`
	Differences []record.Difference `json:"differences"`
	Note        string              `json:"note"`
}

// recheckFinding is one of the checks: holds, differs, or not compared, with a sentence. They are bytes, figures and page, and
// files where the figures, which rest on them, are not compared.
type recheckFinding struct {
	Check  string `json:"check"`
	Result string `json:"result"`
	Text   string `json:"text"`
}

const (
	holds       = "holds"
	differs     = "differs"
	notCompared = "not compared"
)

// digestNote says what the digest does not prove.
const digestNote = "A digest shows that nothing changed since the record was written.\n" +
	"It does not show that what was written is true, nor who wrote it:\nfor that the file is signed."

// recheck computes everything again, or compares what can be compared of a record of another method.
func recheck(o *record.Opened, page []byte) (*rechecked, error) {
	r := &rechecked{Method: verify.Method, Stated: o.Method(), Job: o.Carried.Name, Tool: o.Carried.Tool, Note: digestNote, Differences: []record.Difference{}}
	if len(o.Carried.Files) == 0 {
		return nil, errors.New("it carries no files")
	}
	r.bytes(o)
	if r.Stated != 0 && r.Stated != r.Method {
		return r, r.otherMethod(o)
	}
	job, faults, err := carriedJob(&o.Carried)
	if err != nil {
		return nil, err
	}
	if len(faults) > 0 {
		r.faulty(faults)
		return r, nil
	}
	in, err := recordInput(job, o.Carried.Flags)
	if err != nil {
		return nil, err
	}
	if r.Differences, err = record.Compare(o.Findings, in.JSON); err != nil {
		return nil, err
	}
	r.figures(o, in.Findings.Totals.Bays)
	in.Pictures, in.Places = o.Carried.Pictures, o.Carried.Places()
	if err := r.page(in, page); err != nil {
		return nil, err
	}
	r.Holds = r.exit() == exitDone
	return r, nil
}

// exit is the exit code that one record gives. A page that could not be written again is told and changes nothing: its
// figures were compared.
func (r *rechecked) exit() int {
	code := exitDone
	for _, f := range r.Findings {
		switch {
		case f.Result == differs:
			return exitOpen
		case f.Result == notCompared && f.Check == "figures":
			code = exitPart
		}
	}
	return code
}

// otherMethod compares what does not hang on the method: whether the files inside are those that the figures came from.
func (r *rechecked) otherMethod(o *record.Opened) (err error) {
	if r.Differences, err = o.CompareFiles(); err != nil {
		return err
	}
	files := counted(len(o.Carried.Files), "file")
	if len(r.Differences) > 0 {
		d := r.Differences[0]
		r.add("files", differs, "the %s inside are not those that the figures were computed from; first %s: the record says %s, it is %s",
			files, d.Where, d.Stated, d.Now)
	} else {
		r.add("files", holds, "%s inside, as when the figures were computed", files)
	}
	r.add("figures", notCompared, "written by %s method: figures not compared. The record names method %d, this version computes by method %d. To compare them take the version that wrote it: %s",
		age(r.Stated, r.Method), r.Stated, r.Method, r.Tool.Version)
	r.add("page", notCompared, "a page of another method cannot be written again")
	return nil
}

// age says how the method of a record stands to that of this version.
func age(stated, now int) string {
	if stated < now {
		return "an older"
	}
	return "a newer"
}

// faulty says that the files inside are none from which a record can have been written.
func (r *rechecked) faulty(faults []model.Fault) {
	f := faults[0]
	r.add("figures", differs, "no record can be written from the files inside: %s, first %s:%d:%d: %s",
		counted(len(faults), "fault"), f.Src.File, f.Src.Line, f.Src.Col, f.What)
	r.add("page", notCompared, "it cannot be written again")
}

func (r *rechecked) add(check, result, format string, args ...any) {
	r.Findings = append(r.Findings, recheckFinding{check, result, fmt.Sprintf(format, args...)})
}

func (r *rechecked) bytes(o *record.Opened) {
	switch {
	case o.Holds():
		r.add("bytes", holds, "as written: SHA-256\n%s\n%s", o.Stated[:32], o.Stated[32:])
	case o.SavedAs:
		r.add("bytes", differs, "not as written; it looks like a page that a browser saved anew: ask for the file itself")
	case o.LineEnds:
		r.add("bytes", differs, "not as written; its line ends were changed, as some mail and transfer programs do: ask for the file itself")
	default:
		r.add("bytes", differs, "not as written: it says %.12s…, its bytes give %.12s…", o.Stated, o.Computed)
	}
}

func (r *rechecked) figures(o *record.Opened, bays int) {
	if n := len(r.Differences); n > 0 {
		r.add("figures", differs, "%s when computed again from the files inside; first %s: the record says %s, it is %s",
			differ(n), r.Differences[0].Where, r.Differences[0].Stated, r.Differences[0].Now)
		return
	}
	r.add("figures", holds, "%s computed again from %s inside, all the same", counted(bays, "bay"), counted(len(o.Carried.Files), "file"))
}

func differ(n int) string {
	if n == 1 {
		return "1 figure differs"
	}
	return fmt.Sprintf("%d figures differ", n)
}

// page writes the page again where it can be the same to the byte.
func (r *rechecked) page(in record.Input, page []byte) error {
	if r.Tool.Version != Version || r.Tool.Arch != family() {
		r.add("page", notCompared, "written by version %s on %s, this is %s on %s", r.Tool.Version, r.Tool.Arch, Version, family())
		return nil
	}
	var again bytes.Buffer
	if err := record.Write(&again, in); err != nil {
		return err
	}
	if where := record.FirstChange(page, again.Bytes()); where != "" {
		r.add("page", differs, "written again it reads otherwise, first in %s", where)
		return nil
	}
	r.add("page", holds, "written again: the same to the byte")
	return nil
}

// text writes the checks for a screen.
func (r *rechecked) text(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, written by %s %s\n", screen.Clean(r.Job), screen.Clean(r.Tool.Name), screen.Clean(r.Tool.Version))
	for _, f := range r.Findings {
		for i, line := range strings.Split(f.Text, "\n") {
			head := fmt.Sprintf("%-8s %-13s ", f.Check, f.Result)
			if i > 0 {
				head = screen.Pad("", len(head))
			}
			for k, part := range screen.Wrap(screen.Clean(line), 72-len(head)) {
				if k > 0 {
					head = screen.Pad("", len(head))
				}
				fmt.Fprintf(&b, "%s%s\n", head, part)
			}
		}
	}
	for i, d := range r.Differences {
		if i > 0 { // the first stands above
			fmt.Fprintf(&b, "         %s\n", screen.Clean(fmt.Sprintf("%s: the record says %s, it is %s", d.Where, d.Stated, d.Now)))
		}
	}
	fmt.Fprintf(&b, "%s\n", r.Note)
	_, err := io.WriteString(w, b.String())
	return err
}

// carriedJob reads the job again from the files that a record carries, one at least; the first of them is the log.
func carriedJob(c *record.Carried) (*model.Job, []model.Fault, error) {
	var fsys fs.FS = nothing{}
	for _, f := range c.Files {
		fsys = joblog.Overlay(fsys, f.Name, f.Raw)
	}
	job, faults := joblog.Read(fsys, c.Files[0].Name, recordReading(c.Name, c.Flags))
	if len(faults) > 0 {
		return nil, faults, nil
	}
	for _, p := range c.Photos {
		job.Photos = append(job.Photos, model.Photo{Name: p.Name, SHA256: p.SHA256, Bytes: p.Bytes, Taken: p.Taken})
	}
	return job, nil, nil
}
