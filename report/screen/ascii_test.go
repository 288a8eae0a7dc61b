package screen

import (
	"bytes"
	"io"
	"testing"
)

// What is passed on is ASCII and says the same, however the text is cut on its way.
func TestASCII(t *testing.T) {
	const text = "■ CLOSE b1  3.83 ± 0.24 lb/ft³, 2½ in, “café” 日\x1b[1m…"
	const want = "# CLOSE b1  3.83 +- 0.24 lb/ft3, 2 1/2 in, \"cafe\" ?\x1b[1m~"
	for size := 1; size < 9; size++ {
		var out bytes.Buffer
		w := ASCII(&out)
		for rest := []byte(text); len(rest) > 0; rest = rest[min(size, len(rest)):] {
			if n, err := w.Write(rest[:min(size, len(rest))]); err != nil || n != min(size, len(rest)) {
				t.Fatalf("%d, %v", n, err)
			}
		}
		if out.String() != want {
			t.Errorf("%d bytes at a time: %q, want %q", size, out.String(), want)
		}
	}
}

// The verdicts' marks stay apart: nothing is told by colour alone, there either.
func TestASCIIMarks(t *testing.T) {
	seen := map[string]string{}
	for _, mark := range []string{"■", "▲", "◆", "○", "□"} {
		var out bytes.Buffer
		io.WriteString(ASCII(&out), mark)
		got := out.String()
		if other, taken := seen[got]; taken || len(got) != 1 {
			t.Errorf("%s and %s are both %q", mark, other, got)
		}
		seen[got] = mark
	}
}
