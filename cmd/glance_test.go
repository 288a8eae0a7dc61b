package cmd_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/chromedp/cdproto/emulation"
)

// fortyBays writes a job of 40 bays in three sections, weighed ± 1 lb and blown to the stall, eight
// of them not done: short ones, one that the tube did not pass, one that did not stall, one soft to
// a rod.
func fortyBays(t *testing.T) (dir string, open []string) {
	t.Helper()
	const (
		pound = 3.92     // lb/ft³ where nothing is wrong, a little more or less from bay to bay
		bulge = 1.0 / 18 // ft: two thirds of an inch of netting
	)
	odd := map[string]string{"n4": "short", "n9": "reach", "n13": "soft", "s2": "short", "s7": "no stall", "s11": "short", "g3": "reach", "g8": "short"}
	var rows strings.Builder
	rows.WriteString("section,bay,entry,width,depth,length,bulge,weight,reach,stall,probe,at\n")
	total := 0.0
	for _, s := range []struct {
		name, letter         string
		bays                 int
		width, depth, length float64 // in, in, ft
		netting              bool
	}{{"north slope", "n", 16, 22.5, 5.5, 12, true}, {"south slope", "s", 14, 22.5, 5.5, 13, false}, {"gable", "g", 10, 14.5, 5.5, 8, false}} {
		for i := 1; i <= s.bays; i++ {
			name := fmt.Sprint(s.letter, i)
			volume, out := s.width/12*s.depth/12*s.length, ""
			if s.netting {
				volume, out = s.width/12*(s.depth/12+bulge)*s.length, "1"
			}
			density, reach, stall := pound+float64(i%5-2)*0.03, s.length, "yes"
			switch odd[name] {
			case "short":
				density = 3.2 - 0.01*float64(i)
			case "reach":
				reach -= 5
			case "no stall":
				stall = "no"
			}
			if odd[name] != "" {
				open = append(open, name)
			}
			total += density * volume
			fmt.Fprintf(&rows, "%s,%s,fill,%g,%g,%g,%s,%.1f lb,%g,%s,,\n", s.name, name, s.width, s.depth, s.length, out, density*volume, reach, stall)
			if odd[name] == "soft" {
				fmt.Fprintf(&rows, "%s,%s,seen,,,,,,,,rod soft,%g\n", s.name, name, s.length-2)
			}
		}
	}
	dir = t.TempDir()
	for name, text := range map[string]string{
		"job.csv":      fmt.Sprintf("name,value\njob,farm house\ncrew,2\ndate,2026-05-12\nbag_weight,25 lb\nto_stall,yes\nbags_loaded,70\nbags_left,%.2f\n", 70-total/25),
		"sections.csv": "section,kind,bays,face,holes\nnorth slope,rafter,16,netting,\nsouth slope,rafter,14,rigid,drill\ngable,wall,10,rigid,drill\n",
		"bays.csv":     rows.String(),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return dir, open
}

// TestOneGlance: 40 bays are one look at a terminal of 30 lines and 80 columns, in both languages,
// and every open bay has its line with what to do.
func TestOneGlance(t *testing.T) {
	dir, open := fortyBays(t)
	for _, lang := range []string{"en", "es"} {
		_, text, stderr := runCommand(t, "check", dir, "--lang", lang)
		if stderr != "" {
			t.Fatal(stderr)
		}
		lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
		if len(lines) > 30 {
			t.Errorf("%s: %d lines:\n%s", lang, len(lines), text)
		}
		for _, line := range lines {
			if n := utf8.RuneCountInString(line); n > 79 {
				t.Errorf("%s: %d columns: %s", lang, n, line)
			}
		}
		for _, name := range open {
			var found []string
			for _, line := range lines {
				fields := strings.Fields(line)
				if len(fields) > 3 && fields[2] == name && fields[0] != "■" {
					found = append(found, line)
				}
			}
			if len(found) != 1 {
				t.Errorf("%s: %s has %d lines of its own: %q", lang, name, len(found), found)
			}
		}
		if !strings.Contains(text, "40 ") || strings.Count(text, "■") != 3 {
			t.Errorf("%s: the good bays are not one line a section:\n%s", lang, text)
		}
		t.Logf("%s: %d lines\n%s", lang, len(lines), text)
	}
}

// planned writes the sheets of a job that is not begun, in both languages, and its orders; they
// stand beside each other in one folder.
func planned(t *testing.T) string {
	dir, _ := fortyBays(t)
	to := t.TempDir()
	rows := "section,kind,bays,face,holes,width,depth,length,shape\nnorth slope,rafter,16,netting,,22.5,5.5,12,\nknee wall,knee wall,6,rigid,drill,14.5,30,5,wedge\n"
	fresh := t.TempDir()
	for name, text := range map[string]string{"job.csv": "name,value\nbag_weight,25 lb\n", "sections.csv": rows} {
		if err := os.WriteFile(filepath.Join(fresh, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for _, lang := range []string{"en", "es"} {
		for _, args := range [][]string{{"plan", fresh, "--sheets", filepath.Join(to, "sheets-"+lang+".html")}, {"plan", dir, "--todo", "--sheets", filepath.Join(to, "todo-"+lang+".html")}} {
			if code, _, stderr := runCommand(t, append(args, "--lang", lang)...); code != 0 {
				t.Fatalf("%q: %d %s", args, code, stderr)
			}
		}
	}
	return to
}

// sheetsOnPaper: on Letter and on A4, in both languages, no word runs out of its cell, and each
// page says which language it is in.
func sheetsOnPaper(t *testing.T, b *browser, dir string) {
	call(t, b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
	for _, name := range []string{"sheets-en", "sheets-es", "todo-en", "todo-es"} {
		for _, mm := range []float64{216 - 21, 210 - 21} { // width of the paper less its margins
			b.open(t, filepath.Join(dir, name+".html"), int64(math.Floor(mm/25.4*96)))
			if wide := ask[[]string](t, b, `[...document.querySelectorAll("th, td, h1, .ask span")].filter(x => x.scrollWidth > x.clientWidth + 1 && x.clientWidth > 0).map(x => x.textContent)`); len(wide) > 0 {
				t.Errorf("%s, %g mm: %q", name, mm, wide)
			}
			if cells := ask[int](t, b, `document.querySelectorAll("th, td").length`); cells < 20 {
				t.Errorf("%s has %d cells", name, cells)
			}
			if lang := ask[string](t, b, `document.documentElement.lang`); !strings.HasSuffix(name, lang) {
				t.Errorf("%s is said to be in %q", name, lang)
			}
		}
	}
	b.open(t, filepath.Join(dir, "sheets-es.html"), 700)
	if n := ask[int](t, b, `(() => { const th = document.querySelectorAll("th")[8]; th.textContent = "averyverylongwordindeed"; return th.scrollWidth - th.clientWidth })()`); n <= 1 {
		t.Error("a word that runs out of its cell is not seen")
	}
	b.quiet(t)
}
