package cmd

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

// Which terminals show UTF-8, of both kinds of system, whichever one this runs on.
func TestTerminalsThatShowUTF8(t *testing.T) {
	for _, x := range []struct {
		env  string // NAME=value, blanks between
		want bool
	}{
		{"LANG=en_US.UTF-8", true}, {"LANG=C.UTF-8", true}, {"LANG=de_DE.utf8", true}, {"LANG=de_DE.UTF-8@euro", true}, {"LC_CTYPE=UTF-8 LANG=C", true},
		{"LANG=C", false}, {"LANG=POSIX", false}, {"", false}, {"LANG=de_DE.ISO-8859-1", false}, {"LANG=de_DE@euro", false},
		{"LC_ALL=C LANG=en_US.UTF-8", false}, {"LC_ALL= LC_CTYPE=en_US.UTF-8 LANG=C", true}, {"LC_CTYPE=C LANG=en_US.UTF-8", false},
	} {
		if got := localeUTF8(envOf(x.env)); got != x.want {
			t.Errorf("%s: %v, want %v", x.env, got, x.want)
		}
	}
	for _, x := range []struct {
		page uint32
		env  string
		want bool
	}{{65001, "", true}, {437, "", false}, {850, "", false}, {1252, "", false}, {437, "WT_SESSION=0e5", true}} {
		if got := codePageUTF8(x.page, envOf(x.env)); got != x.want {
			t.Errorf("code page %d %s: %v, want %v", x.page, x.env, got, x.want)
		}
	}
}

// The language of messages, as POSIX has it.
func TestLanguageOfTheSystem(t *testing.T) {
	for env, want := range map[string]string{
		"LANG=es_MX.UTF-8": "es", "LANG=es": "es", "LANG=es-US": "es", "LANG=en_US.UTF-8": "en", "LANG=C": "c", "LANG=C.UTF-8": "c", "LANG=POSIX": "posix", "": "", "LANG=.UTF-8": "",
		"LC_ALL=en_US LANG=es_MX": "en", "LC_ALL= LC_MESSAGES=es_US@x LANG=en_US": "es", "LANG=ES_MX": "es",
	} {
		if got := localeLanguage(envOf(env)); got != want {
			t.Errorf("%s: %q, want %q", env, got, want)
		}
	}
}

func envOf(text string) func(string) string {
	return func(name string) string {
		for _, field := range strings.Fields(text) {
			if key, value, _ := strings.Cut(field, "="); key == name {
				return value
			}
		}
		return ""
	}
}

// A terminal without UTF-8 gets ASCII, with the verdicts in words as everywhere; a file and a pipe
// get UTF-8.
func TestASCIITerminal(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "bays.csv"), []byte("bay,width,depth,length,weight\nb1,22.5,5.5,12,40\nb2,22.5,5.5,12,20\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	run := func(terminal bool, args ...string) string {
		var out bytes.Buffer
		Run(append([]string{"check", dir}, args...), &Env{Stdin: strings.NewReader(""), Stdout: &out, Stderr: &out, StdoutTerminal: terminal, ASCII: true,
			Now: time.Now, Getenv: func(string) string { return "" }})
		return out.String()
	}
	shown, piped := run(true, "--confidence", "0.95"), run(false, "--confidence", "0.95")
	for _, c := range []byte(shown) {
		if c >= 0x80 {
			t.Fatalf("not ASCII:\n%s", shown)
		}
	}
	for _, verdict := range []string{"# CLOSE", "^ ADD"} {
		if !strings.Contains(shown, verdict) {
			t.Errorf("no %q:\n%s", verdict, shown)
		}
	}
	if !strings.Contains(piped, "■ CLOSE") {
		t.Errorf("the pipe gets:\n%s", piped)
	}
	if n, m := strings.Count(shown, "\n"), strings.Count(piped, "\n"); n != m {
		t.Errorf("%d lines shown, %d piped", n, m)
	}
	file := filepath.Join(dir, "out.txt")
	run(true, "-o", file)
	if data, _ := os.ReadFile(file); !bytes.Contains(data, []byte("▲ ADD")) {
		t.Errorf("the file gets:\n%s", data)
	}
}

// Of two exit codes the graver counts, in whatever order they come.
func TestGraver(t *testing.T) {
	order := []int{exitFault, exitUsage, exitOpen, exitPart, exitDone}
	for i, a := range order {
		for _, b := range order[i:] {
			if graver(a, b) != a || graver(b, a) != a {
				t.Errorf("of %d and %d: %d and %d, want %d", a, b, graver(a, b), graver(b, a), a)
			}
		}
	}
}

// TestLastLine: behind the last line of a question there is room for the answer on the narrowest
// screen, and a word that is longer than that hangs nothing up.
func TestLastLine(t *testing.T) {
	for _, c := range [][3]string{
		{"  (a/very/long/name.csv)\n[no] ", "  (a/very/long/name.csv)\n", "[no] "},
		{"  b4 counter at the stop, it stood at 5.25: ", "  b4 counter at the\n", "  stop, it stood at\n"},
		{"  /a/name/that/is/longer/than/the/screen: ", "", "  /a/name/that/is/longer/than/the/screen: "},
	} {
		head, last := lastLine(c[0], 20)
		if !strings.HasPrefix(head, c[1]) || strings.Contains(last, "\n") || !strings.Contains(head+last+"\n", c[2]) {
			t.Errorf("%q: %q, %q", c[0], head, last)
		}
	}
}

// Whoever waits at a terminal is told what is done, once a second from the first on; where nobody
// waits so long, or sits there, nothing is.
func TestWaiting(t *testing.T) { synctest.Test(t, waiting) }

func waiting(t *testing.T) {
	said := func(terminal bool, long time.Duration) string {
		var out bytes.Buffer
		e := Env{Stderr: &out, StderrTerminal: terminal}
		stop := e.waiting("500 bays are judged")
		time.Sleep(long)
		stop()
		stop() // a second time is none
		return out.String()
	}
	if text := said(true, progressAfter+progressAfter/2); !strings.HasPrefix(text, "\rbayproof: 500 bays are judged, 1 s ") || !strings.HasSuffix(text, "\n") {
		t.Errorf("after a second and a half it says %q", text)
	}
	if text := said(true, 0) + said(false, progressAfter+progressAfter/2); text != "" {
		t.Errorf("it says %q", text)
	}
}
