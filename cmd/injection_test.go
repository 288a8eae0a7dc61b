package cmd_test

import (
	"path/filepath"
	"strings"
	"testing"
	"unicode"
)

// hostileTexts are names that would do something if a terminal, a spreadsheet or a page obeyed them.
func hostileTexts() []string {
	return []string{
		"\x1b[2J\x1b]0;owned\x07", "\u009b31m", "\u202egnp.exe", "a\u2066b", "=1+1", "+1", "-1", "@SUM(A1)", "\tx", "</script><script>alert(1)</script>",
		"%s%n", "../../x", "C:\\x", "nul", strings.Repeat("x", 5000), "'", `"`, "`id`", "$(id)", "&amp;",
	}
}

// hostileJob writes a job with a hostile text in every field that takes text.
func hostileJob(t *testing.T, text string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "job")
	q := `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
	makeFile(t, filepath.Join(dir, "job.csv"), "name,value\nsite,"+q+"\ncrew,"+q+"\nproduct,"+q+"\nlot,"+q+"\ninstaller,"+q+"\n")
	makeFile(t, filepath.Join(dir, "sections.csv"), "section,kind,bays,note\nx"+strings.Trim(q, `"`)+",rafter,3,\n")
	row := "x" + strings.Trim(q, `"`) + ",b1,22.5,5.5,12,30,x" + strings.Trim(q, `"`) + "," + q
	if strings.ContainsAny(text, `",`) { // names in quotes, with a letter before
		row = `"x` + strings.ReplaceAll(text, `"`, `""`) + `",b1,22.5,5.5,12,30,` + q + "," + q
		makeFile(t, filepath.Join(dir, "sections.csv"), "section,kind,bays,note\n\"x"+strings.ReplaceAll(text, `"`, `""`)+"\",rafter,3,\n")
	}
	makeFile(t, filepath.Join(dir, "bays.csv"), "section,bay,width,depth,length,weight,by,note\n"+row+"\n")
	return dir
}

// Nothing in a log is obeyed by the terminal that shows it: what comes out has no control characters and none that turn
// the direction of writing, whatever the command.
func TestNothingIsObeyedByATerminal(t *testing.T) {
	for _, text := range hostileTexts() {
		dir := hostileJob(t, text)
		for _, args := range [][]string{
			{"check", dir}, {"check", dir, "--summary"}, {"fields", dir}, {"plan", dir, "--sheets", "-"}, {"review", dir}, {"check", filepath.Join(dir, "bays.csv")},
		} {
			_, stdout, stderr := runCommand(t, args...)
			for _, r := range stdout + stderr {
				if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)) {
					t.Errorf("%.20q: %s shows %q", text, args[0], r)
					break
				}
			}
		}
	}
}

// Nor where it is complained about.
func TestNoComplaintIsObeyed(t *testing.T) {
	for _, text := range hostileTexts()[:4] {
		dir := t.TempDir()
		makeFile(t, filepath.Join(dir, "bays.csv"), "section,bay,width,depth,length,weight\n"+text+","+text+","+text+",5.5,12,30\n,,"+text+"\n")
		code, _, stderr := runCommand(t, "check", dir)
		if code != 1 {
			t.Errorf("%.20q: exit code %d, want 1", text, code)
		}
		for _, r := range stderr {
			if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)) {
				t.Errorf("%.20q: a complaint shows %q", text, r)
				break
			}
		}
	}
}

// Nothing in a log is a formula in the CSV that is written.
func TestNothingIsAFormula(t *testing.T) {
	for _, text := range []string{"=1+1", "+1", "-1", "@SUM(A1)", "\tx", "=cmd|' /C calc'!A0"} {
		dir := t.TempDir()
		quoted := `"'` + text + `"`
		makeFile(t, filepath.Join(dir, "bays.csv"), "section,bay,width,depth,length,weight\n"+quoted+","+quoted+",22.5,5.5,12,30\n")
		for _, args := range [][]string{{"check", dir, "-f", "csv"}, {"plan", dir, "-f", "csv"}, {"review", dir, "-f", "csv"}} {
			code, stdout, stderr := runCommand(t, args...)
			if code == 1 {
				t.Fatalf("%q: %s: %s", text, args[0], stderr)
			}
			for _, line := range strings.Split(stdout, "\n") {
				for _, cell := range strings.Split(line, ",") {
					cell = strings.Trim(cell, `"`)
					if cell != "" && strings.ContainsRune("=+@\t", rune(cell[0])) || strings.HasPrefix(cell, "-1") && text == "-1" {
						t.Errorf("%q: %s writes the cell %q", text, args[0], cell)
					}
				}
			}
		}
	}
}
