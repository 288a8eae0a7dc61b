package prompt

import (
	"strings"
	"testing"
)

func TestWholeJob(t *testing.T) {
	book := newPaperBook()
	text := sitting(t, book, Options{},
		"b1 22.5 5 1/2;5 5/8 12 1 3/4 stall reach 11.5",
		"1 3/4 stall", "1 3/4", "1 1/2", "", "22 3/8", "", "11'10", "1 3/4",
		"top b4 8 lb stall", "probe b4 rod firm at 9", "close", "close b1", "list", "finish")
	t.Log("\n" + text)
	t.Log("\n" + book.log)
	says(t, text, "b1", "CLOSE", "north slope: 5 of 12 filled")
	if n := strings.Count(book.log, "\n"); n != 10 {
		t.Errorf("%d lines in the log, want a header and 9 rows:\n%s", n, book.log)
	}
	says(t, book.log, `north slope,b1,fill,,22.5,,5.5; 5.625,,12,,,1.75,`, `north slope,b5,fill,,22.375,,"""",,142 in,,,1.75`)
}
