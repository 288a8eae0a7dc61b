package prompt

import (
	"fmt"
	"strings"
	"testing"
)

// longJob is a job of so many bays in sections of 25, the log half an hour from its end.
func longJob(bays int) *paperBook {
	book := newPaperBook()
	book.sections = "section,kind,bays,width,depth,length\n"
	for s := 0; s*25 < bays; s++ {
		book.sections += fmt.Sprintf("slope %d,rafter,25,22.5,5.5,12\n", s+1)
	}
	var b strings.Builder
	b.WriteString(header + "\n")
	for i := range bays {
		b.WriteString(line(Row{"section": fmt.Sprintf("slope %d", i/25+1), "bay": fmt.Sprintf("b%d", i%25+1), "entry": "fill",
			"width": "22.5", "depth": fmt.Sprint(5.5 + float64(i%5)/16), "length": fmt.Sprint(11.5 + float64(i%4)/4), "bags": fmt.Sprint(1.5 + float64(i%3)/4)}))
	}
	book.log = b.String()
	return book
}

// BenchmarkEntry is one bay typed in a job of 500: read, tried, judged, said. Writing to disk is
// not in it.
func BenchmarkEntry(b *testing.B) {
	book := longJob(499)
	s, faults := New(book, Options{})
	if len(faults) > 0 {
		b.Fatal(faults)
	}
	log := book.log
	for b.Loop() {
		if text := s.Feed("1 3/4"); !strings.Contains(text, "b25") {
			b.Fatal(text)
		}
		book.log = log
		s, _ = New(book, Options{}) // the job as it was; counts twice what the first verdict costs
	}
}
