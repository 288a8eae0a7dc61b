package joblog_test

import (
	"strings"
	"testing"

	"bayproof/model/joblog"
)

// What may name a file of a job is the same on every system, whichever one this runs on.
func TestPlainName(t *testing.T) {
	for name, want := range map[string]bool{
		"b7-rod.jpg": true, "b7*.jpg": true, "café ½.png": true, ".hidden": true, "null.jpg": true, "comb.jpg": true, "lpt.txt": true, "com10": true, "a..b": true,
		"": false, ".": false, "..": false,
		"../b7.jpg": false, "a/b": false, "/etc/passwd": false,
		`..\b7.jpg`: false, `a\b`: false, `\\server\share\x`: false, `C:\x`: false, "C:x": false, "b7.jpg:hidden": false, `\\?\C:\x`: false, `\\.\pipe\x`: false,
		"nul": false, "NUL": false, "Nul.jpg": false, "con": false, "CON .jpg": false, "aux.tar.gz": false, "com1": false, "LPT9.txt": false, "com¹": false, "conout$": false,
		"b7.jpg.": false, "b7.jpg ": false, "a\x00b": false, "a\x1b[2J": false, "a\nb": false,
		strings.Repeat("x", 255): true, strings.Repeat("x", 256): false,
	} {
		if got := joblog.PlainName(name); got != want {
			t.Errorf("%q: %v, want %v", name, got, want)
		}
	}
}

func TestPlainPath(t *testing.T) {
	for name, want := range map[string]bool{
		"bays.csv": true, "photos/b7.jpg": true,
		"photos//b7.jpg": false, "/bays.csv": false, "photos/": false, "photos/../../x": false, "photos/nul": false, `photos\b7.jpg`: false, "C:/x": false, "//server/share": false, "": false,
	} {
		if got := joblog.PlainPath(name); got != want {
			t.Errorf("%q: %v, want %v", name, got, want)
		}
	}
}
