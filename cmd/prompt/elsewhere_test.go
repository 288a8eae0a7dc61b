package prompt

import (
	"strings"
	"testing"

	"bayproof/model"
)

// busyBook is a log of which a file is being written to whenever rows are tried.
type busyBook struct {
	*paperBook
	fault model.Fault
}

func (b busyBook) Try(rows ...Row) (*model.Job, []model.Fault) {
	return nil, []model.Fault{b.fault}
}

// What keeps an entry from being written and is not the entry's own is told with the file it stands
// in.
func TestFaultsElsewhereNameTheirFile(t *testing.T) {
	book := busyBook{newPaperBook(), model.Fault{Src: model.Place{Source: model.Source{File: "sections.csv"}}, What: "was written to while it was read", Hint: "type the command again"}}
	says(t, sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4"), "not written: sections.csv: was written to while it was read\n  type the command again\n")

	paper := newPaperBook()
	s, faults := New(paper, Options{})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	paper.sections = strings.Replace(paper.sections, "hip,rafter,4", "hip,rafter,4.5", 1)
	says(t, s.Feed("b1 22.5 5.5 12 1 3/4"), "not written: sections.csv, row 3: bays 4.5")
	if strings.Contains(paper.log, "b1") {
		t.Errorf("written all the same:\n%s", paper.log)
	}
}

// A row of the log is told by its line, the row that is being typed is not: it has none yet.
func TestFaultsOfTheLogNameTheirLine(t *testing.T) {
	paper := newPaperBook()
	text := sitting(t, paper, Options{}, "b1 22.5 5.5 12 1 3/4", "top b9 1/4 stall", "top b1 1/4 reach 20")
	says(t, text, "not written: reach 20' is past the end: north slope b1 is 12' long")
	if strings.Contains(text, "bays.csv") {
		t.Errorf("the row being typed is told with a line:\n%s", text)
	}
	paper.changed = paper.log + "north slope,b2,fill,,none,,5.5,,12,,,1.75\n"
	text = sitting(t, paper, Options{}, "b3 22.5 5.5 12 1 3/4")
	says(t, text, "no longer reads:\nnot written: bays.csv, row 3: width none")
}
