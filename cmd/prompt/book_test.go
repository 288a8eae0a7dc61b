package prompt

import (
	"bytes"
	"encoding/csv"
	"errors"
	"strings"
	"testing"
	"testing/fstest"

	"bayproof/model"
	"bayproof/model/joblog"
)

const header = "section,bay,entry,shape,width,width2,depth,depth2,length,length2,bulge,bags,counter,weight,reach,hole,stop,existing,stall,probe,at,photo,machine,by,note,time"

// paperBook is a log in memory, read by the reader that reads real ones.
type paperBook struct {
	jobCSV, sections, log string
	fail                  error  // what the next Append answers
	changed               string // what another program made of the log, seen at the next Append
	lost                  []Row
	cores                 []Row
}

func newPaperBook() *paperBook {
	return &paperBook{
		jobCSV:   "name,value\njob,boathouse\nbag_weight,25 lb\nto_stall,yes\ndate,2026-03-02\n",
		sections: "section,kind,bays,width,depth,length\nnorth slope,rafter,12,22.5,5.5,12\nhip,rafter,4,,,\n",
		log:      header + "\n",
	}
}

func (b *paperBook) read(log string) (*model.Job, []model.Fault) {
	files := fstest.MapFS{"job.csv": {Data: []byte(b.jobCSV)}, "bays.csv": {Data: []byte(log)}}
	if b.sections != "" {
		files["sections.csv"] = &fstest.MapFile{Data: []byte(b.sections)}
	}
	return joblog.Read(files, "", joblog.Options{})
}

func (b *paperBook) Job() (*model.Job, []model.Fault) { return b.read(b.log) }

func (b *paperBook) Try(rows ...Row) (*model.Job, []model.Fault) {
	log := b.log
	for _, row := range rows {
		log += line(row)
	}
	return b.read(log)
}

func (b *paperBook) Append(row Row) error {
	if b.changed != "" {
		return ErrChanged
	}
	if err := b.fail; err != nil {
		b.fail = nil
		return err
	}
	b.log += line(row)
	return nil
}

func (b *paperBook) AppendCore(row Row) error {
	b.cores = append(b.cores, row)
	return nil
}

func (b *paperBook) TakeBackCore() error {
	b.cores = b.cores[:len(b.cores)-1]
	return nil
}

func (b *paperBook) Reload() (Changed, error) {
	b.log, b.changed = b.changed, ""
	changed := Changed{Lost: b.lost}
	if len(b.lost) > 0 {
		changed.Kept = "bays.csv.before"
	}
	b.lost = nil
	return changed, nil
}

func line(row Row) string {
	var buf bytes.Buffer
	w := csv.NewWriter(&buf)
	var cells []string
	for _, column := range strings.Split(header, ",") {
		if column == "time" {
			cells = append(cells, "2026-03-02T14:20:00Z")
			continue
		}
		cells = append(cells, row[column])
	}
	_ = w.Write(cells)
	w.Flush()
	return buf.String()
}

// sitting feeds lines to a session and returns all that was said, prompts and lines included.
func sitting(t *testing.T, book Book, opt Options, lines ...string) string {
	t.Helper()
	s, faults := New(book, opt)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	var b strings.Builder
	b.WriteString(s.Opening())
	for _, l := range lines {
		b.WriteString(s.Prompt() + l + "\n")
		b.WriteString(s.Feed(l))
		if s.Done() {
			return b.String()
		}
	}
	b.WriteString(s.Close())
	return b.String()
}

func says(t *testing.T, text string, wants ...string) {
	t.Helper()
	for _, want := range wants {
		if !strings.Contains(text, want) {
			t.Errorf("nothing says %q in:\n%s", want, text)
		}
	}
}

var errDisk = errors.New("no space left on device")
