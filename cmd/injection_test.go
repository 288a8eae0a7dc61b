package cmd_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"

	"bayproof/cmd"
)

// hostileTexts are names that would do something if a terminal, a spreadsheet or a page obeyed
// them.
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

// Nothing in a log is obeyed by the terminal that shows it: what comes out has no control
// characters and none that turn the direction of writing, whatever the command.
func TestNothingIsObeyedByATerminal(t *testing.T) {
	t.Parallel()
	for _, text := range hostileTexts() {
		dir := hostileJob(t, text)
		for _, args := range [][]string{
			{"check", dir}, {"check", dir, "-f", "csv"}, {"check", dir, "-f", "json"}, {"check", dir, "--summary"}, {"fields", dir, "-f", "csv"}, {"fields", dir, "-f", "json"},
			{"plan", dir, "-f", "csv"}, {"plan", dir, "-f", "json"}, {"review", dir, "-f", "csv"}, {"review", dir, "-f", "json"},
			{"log", dir}, {"fields", dir}, {"plan", dir, "--sheets", "-"}, {"review", dir}, {"check", filepath.Join(dir, "bays.csv")},
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
		dir := filepath.Join(t.TempDir(), "=1+1") // the folder's name is the job's
		quoted := `"'` + text + `"`
		makeFile(t, filepath.Join(dir, "bays.csv"), "section,bay,width,depth,length,weight\n"+quoted+","+quoted+",22.5,5.5,12,30\n")
		makeFile(t, filepath.Join(dir, "job.csv"), "name,value\ncrew,"+quoted+"\nsite,"+quoted+"\nproduct,"+quoted+"\n")
		for _, args := range [][]string{{"check", dir, "-f", "csv"}, {"plan", dir, "-f", "csv"}, {"review", dir, "-f", "csv"}, {"fields", dir, "-f", "csv"}} {
			code, stdout, stderr := runCommand(t, args...)
			if code == 1 || stdout == "" {
				t.Fatalf("%q: %s: exit code %d: %s", text, args[0], code, stderr)
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

// Nor what is typed at the prompt, or pasted into it.
func TestThePromptObeysNothing(t *testing.T) {
	t.Parallel()
	for _, text := range hostileTexts() {
		dir := filepath.Join(t.TempDir(), "job")
		makeFile(t, filepath.Join(dir, "job.csv"), "name,value\nbag_weight,25 lb\n")
		makeFile(t, filepath.Join(dir, "sections.csv"), "section,kind,bays\nnorth,rafter,4\n")
		typed := []string{"b1 22.5 5.5 12 1 3/4", "b" + text + " 22.5 5.5 12 1 3/4", text, "note " + text, "size " + text + " 22.5 5.5 12", "list", "section " + text, "finish"}
		var out, errs bytes.Buffer
		cmd.Run([]string{"log", dir}, &cmd.Env{
			Stdin: strings.NewReader(strings.Join(typed, "\n") + "\n"), Stdout: &out, Stderr: &errs,
			Now:    func() time.Time { return time.Date(2026, 5, 14, 9, 0, 0, 0, time.UTC) },
			Getenv: func(string) string { return "" },
		})
		if !strings.Contains(out.String(), "b1 ") {
			t.Fatalf("%.20q: the prompt took nothing: %s%s", text, out.String(), errs.String())
		}
		shown(t, text+" at the prompt", out.String()+errs.String())
		if _, read, _ := runCommand(t, "check", dir, "-f", "csv"); !strings.Contains(read, "north,b1,filled") {
			t.Errorf("%.20q: the log that was written does not read", text)
		}
	}
}

// shown fails where a terminal would obey something of a text.
func shown(t *testing.T, about, text string) {
	t.Helper()
	for _, r := range text {
		if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)) {
			t.Errorf("%.40q: shows %q", about, r)
			return
		}
	}
}

// No name of a file in a log or beside it leads out of the job's folder.
func TestNothingReachesOutOfTheFolder(t *testing.T) {
	const secret = "known to nobody"
	for _, photo := range []string{"../secret.jpg", `..\secret.jpg`, "/etc/passwd", `C:\secret.jpg`, `\\server\share\secret.jpg`, "photos/../../secret.jpg", "../*.jpg", "*/../../*", "nul", "COM1.jpg", "secret.jpg:stream"} {
		root := t.TempDir()
		dir := filepath.Join(root, "job")
		makeFile(t, filepath.Join(root, "secret.jpg"), secret)
		makeFile(t, filepath.Join(dir, "photos", "b1.jpg"), "a picture")
		makeFile(t, filepath.Join(dir, "bays.csv"), "bay,width,depth,length,weight,photo\nb1,22.5,5.5,12,30,"+photo+"\n")
		code, _, stderr := runCommand(t, "record", dir, "--photos")
		if code != 1 || !strings.Contains(stderr, "is not a file name") {
			t.Errorf("%s: exit code %d: %s", photo, code, stderr)
		}
	}
}

// A link that leads out is not followed, whichever file it stands for; nor is a pipe waited for.
func TestNoLinkLeadsOut(t *testing.T) {
	for _, name := range []string{"bays.csv", "job.csv", "sections.csv", "cores.csv", "photos/b1.jpg", "photos"} {
		root := t.TempDir()
		dir := filepath.Join(root, "job")
		log := "bay,width,depth,length,weight,photo\nb1,22.5,5.5,12,30,*.jpg\n"
		makeFile(t, filepath.Join(dir, "bays.csv"), log)
		outside := filepath.Join(root, "outside", filepath.Base(name))
		makeFile(t, filepath.Join(root, "outside", "b1.jpg"), "known to nobody")
		if name != "photos" && name != "photos/b1.jpg" {
			makeFile(t, outside, log)
		} else if name == "photos" {
			outside = filepath.Join(root, "outside")
		}
		link := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(link), 0o755); err != nil {
			t.Fatal(err)
		}
		_ = os.Remove(link)
		if err := os.Symlink(outside, link); err != nil {
			t.Skipf("no links here: %v", err)
		}
		_, _, stderr := runCommand(t, "record", dir, "--photos", "-o", "-")
		_, checked, _ := runCommand(t, "check", dir)
		if strings.Contains(stderr+checked, "known to nobody") || name == "bays.csv" && strings.Contains(checked, "b1 ") {
			t.Errorf("%s: a link out of the folder was followed", name)
		}
		if !strings.HasPrefix(name, "photos") && !strings.Contains(stderr, "can't be read") {
			t.Errorf("%s: nothing is said about the link: %s", name, stderr)
		}
	}
}
