package cmd

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report/say"
)

// free makes sure that nothing would be written over.
func (o *startOptions) free() error {
	for _, name := range []string{"job.csv", "sections.csv"} {
		_, err := os.Lstat(filepath.Join(o.dir, name))
		if err == nil {
			return withHint(fmt.Errorf("%s is there already, and start writes over nothing", filepath.Join(o.dir, name)),
				"edit it in a spreadsheet, or name another folder; bayproof log "+o.dir+" goes on with the job")
		}
		if !errors.Is(err, fs.ErrNotExist) {
			return plainPath(err)
		}
	}
	return nil
}

// write makes the folder and its files once they are known to read without a fault.
func (o *startOptions) write(q *questions) error {
	job, sections := q.jobTable(), q.sectionTable()
	if faults := q.check(job, sections); len(faults) > 0 {
		for _, f := range faults {
			printError(o.env.Stderr, f.Src.File+": "+f.What, f.Hint)
		}
		return exitStatus(exitFault)
	}
	var m made
	if err := m.folder(o.dir); err != nil {
		m.undo()
		return err
	}
	files := []struct {
		name string
		data []byte
	}{{"job.csv", job}, {"sections.csv", sections}}
	for _, f := range files {
		name := filepath.Join(o.dir, f.name)
		if err := writeNew(name, f.data); err != nil {
			m.undo()
			return writeTrouble(name, err)
		}
		m.add(name)
	}
	fmt.Fprintf(o.env.Stdout, "%s is set up: job.csv with %s, sections.csv with %s.\n", o.dir,
		say.Count(len(q.values), "setting", "settings"), say.Count(len(q.sections), "section", "sections"))
	if q.values["bag_weight"] == "" && q.values["bag_checks"] == "" {
		io.WriteString(o.env.Stdout, "Still open: what a bag weighs. Without it only weighed masses can be logged:\nput bag_weight and the label's net weight into job.csv.\n")
	}
	fmt.Fprintf(o.env.Stdout, "Next: bayproof plan %s, and at the truck bayproof log %s\n", o.dir, o.dir)
	return nil
}

// writeNew writes a file that is not there yet, as a whole or not at all.
func writeNew(name string, data []byte) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		os.Remove(name)
	}
	return err
}

// check reads what would be written as check will.
func (q *questions) check(job, sections []byte) []model.Fault {
	files := joblog.Overlay(joblog.Overlay(joblog.Overlay(nothing{}, "job.csv", job), "sections.csv", sections), joblog.LogName, []byte(emptyLog))
	_, faults := joblog.Read(files, "", joblog.Options{})
	return faults
}

// nothing is an empty folder.
type nothing struct{}

func (nothing) Open(name string) (fs.File, error) {
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// table writes a table for a spreadsheet: a byte order mark, so that it is taken for UTF-8, and guarded text.
func table(rows [][]string) []byte {
	var b bytes.Buffer
	io.WriteString(&b, "\ufeff")
	for _, row := range rows {
		for i, c := range row {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(csvCell(c))
		}
		b.WriteString("\r\n")
	}
	return b.Bytes()
}

// csvCell quotes a cell that needs it.
func csvCell(s string) string {
	if strings.ContainsAny(s, ",\"\r\n;") || strings.TrimSpace(s) != s {
		return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
	}
	return s
}
