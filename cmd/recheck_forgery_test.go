package cmd_test

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"bayproof/report/record"
)

// resealed puts a new digest into a page that somebody changed, as one would who knows how. A page
// that shows no digest stays as it is.
func resealed(page string) string {
	out, err := record.Seal([]byte(page))
	if err != nil {
		return page
	}
	return string(out)
}

// forgery is one change to a record that leaves its inputs, figures, page and digest at odds.
type forgery struct {
	name   string
	change func(page string) string
	code   int    // 3 or 4; 1 where the file cannot be opened any more
	says   string // what is told, white space taken out; a regular expression
}

// once replaces a text where it stands first; where it does not stand nothing changes, which the
// test refuses.
func once(old, new string) func(string) string {
	return func(page string) string { return strings.Replace(page, old, new, 1) }
}

// matched replaces what a pattern finds first.
func matched(pattern, new string) func(string) string {
	p := regexp.MustCompile(pattern)
	return func(page string) string {
		m := p.FindStringSubmatchIndex(page)
		if m == nil {
			return page
		}
		return page[:m[0]] + string(p.ExpandString(nil, new, page, m)) + page[m[1]:]
	}
}

// both makes one change after the other.
func both(changes ...func(string) string) func(string) string {
	return func(page string) string {
		for _, change := range changes {
			before := page
			if page = change(page); page == before {
				return before
			}
		}
		return page
	}
}

// forgeries are the changes that recheck must not be talked round by; other is the record of
// another job, to be spliced.
func forgeries(t *testing.T, other string) []forgery {
	in := func(id string, change func(string) string) func(string) string {
		return func(page string) string { return inCarried(t, page, id, change) }
	}
	block := func(page, id string) string {
		_, rest, _ := strings.Cut(page, `id="`+id+`">`)
		text, _, _ := strings.Cut(rest, "</script>")
		return text
	}
	raw := func(change func(*record.Carried)) func(string) string {
		return in("sources", func(doc string) string {
			var c record.Carried
			if err := json.Unmarshal([]byte(doc), &c); err != nil {
				t.Fatal(err)
			}
			change(&c)
			out, err := json.Marshal(c)
			if err != nil {
				t.Fatal(err)
			}
			return string(out)
		})
	}
	headline := matched(`(class="headline"[^>]*>)[^<]*`, "${1}All 40 bays may be closed")
	rowVerdict := matched(`(?s)(<section id="bays".*?<tr class="v-add".*?)ADD(</span>)`, "${1}CLOSE${2}")
	elsewhere := in("sources", matched(`"arch":"[^"]*"`, `"arch":"riscv64"`))
	version := func(page string) string { return strings.ReplaceAll(page, `"version":"0.1.0"`, `"version":"0.0.9"`) }
	method := in("findings", matched(`"method":[0-9]+`, `"method":99`))
	otherText := matched(`"text":"[0-9a-f]{16}"`, `"text":"0123456789abcdef"`)
	row := regexp.MustCompile(`<tr class="v-[a-z]+" data-of=.*?</tr>\n`)
	return []forgery{
		{"headline", headline, 3, `the record says “All 40 bays may be closed”, it is “Not done: \d+ of 40 bays`},
		{"count of a tile", matched(`(data-is="count:add"[^>]*>)\d+`, "${1}0"), 3, `the record says “0`},
		{"verdict of a closing", matched(`(<table class="against">.*\n.*?<tr class="v-)[a-z]+("[^>]*>.*?</svg>)[A-Z]+`, "${1}close${2}CLOSE"), 3, `“CLOSE`},
		{"verdict in a row", rowVerdict, 3, `verdict bay .*the record says “CLOSE”, it is “ADD”`},
		{"verdict in a card", matched(`(?s)(<article class="card v-add".*?)ADD(</span>)`, "${1}CLOSE${2}"), 3, `verdict bay .*“CLOSE`},
		{"density in a row", matched(`(data-is="density">)\d\.\d\d`, "${1}9.99"), 3, `the record says “9\.99`},
		{"sureness", matched(`(data-is="density">[^<]*</td><td class="n">)[^<]*`, "${1}99 %"), 3, `the record says “99 %”`},
		{"what it could hide", matched(`(<dt>Could hide</dt><dd>)a gap of [^<]*`, "${1}a gap of 0.1 ft"), 3, `“a gap of 0\.1 ft”`},
		{"what to do", matched(`(<span class="do"><bdi>)[^<]*`, "${1}nothing to do"), 3, `nothing to do”`},
		{"a reason gone", matched(`<li><code>[a-z-]+</code> <bdi>[^<]*</bdi></li>`, ""), 3, `the record says nothing, it is “`},
		{"a setting", matched(`(<bdi>target</bdi></th><td><bdi>)[^<]*`, "${1}3 lb/ft³"), 3, `the settings and the method: the record says “3 lb/ft³”`},
		{"a row of the log", matched(`(<ol class="rows"><li><span class="line">\d+</span><bdi>)[^<]*`, "${1}x,y,z"), 3, `“x,y,z|x,y,z”`},
		{"a struck row made to stand", matched(`<s>(<bdi>.*?</bdi>)</s>`, "${1}"), 3, "the markup differs"},
		{"certificate", matched(`(Where in the building</dt><dd><bdi>)[^<]*`, "${1}whole house"), 3, `the paperwork: the record says “whole house”`},
		{"a caution gone", matched(`(<ul class="cautions">)<li>.*?</li>`, "${1}"), 3, `the cautions: the record says nothing`},
		{"a warning gone", matched(`(<ul class="warnings">)<li>.*?</li>`, "${1}"), 3, `the record says nothing`},
		{"a row gone", func(page string) string { return strings.Replace(page, row.FindString(page), "", 1) }, 3, `the record says nothing`},
		{"two rows turned round", func(page string) string {
			two := row.FindAllString(page, 2)
			return strings.Replace(page, two[0]+two[1], two[1]+two[0], 1)
		}, 3, `the record says`},
		{"a card gone", matched(`(?s)<article class="card v-add".*?</article>`, ""), 3, `the record says nothing, it is “ADD`},
		{"verdict carried", in("findings", once(`"verdict":"ADD"`, `"verdict":"CLOSE"`)), 3, `verdict bays\[.*\]\.verdict: the record says “CLOSE”, it is “ADD”`},
		{"density carried", in("findings", matched(`"density":[0-9.]+`, `"density":3.99`)), 3, `\.density: the record says “3\.99”`},
		{"a key twice", in("findings", once(`"verdict":"ADD"`, `"verdict":"CLOSE","verdict":"ADD"`)), 3, "carries as data"},
		{"a sentence carried", in("findings", matched(`"text":"[^"]{20,}"`, `"text":"all is well"`)), 3, `“all is well”`},
		{"the log", raw(func(c *record.Carried) {
			c.Files[0].Raw = bytes.Replace(c.Files[0].Raw, []byte("26 3/4"), []byte("26 1/4"), 1)
		}), 3, `files differs .*inputs\[bays\.csv\]\.sha256`},
		{"the log made unreadable", raw(func(c *record.Carried) {
			c.Files[0].Raw = bytes.Replace(c.Files[0].Raw, []byte("26 3/4"), []byte("wide"), 1)
		}), 3, "the files inside make no record: 2 faults, first bays"},
		{"the job's settings", raw(func(c *record.Carried) { c.Files[1].Raw = append(c.Files[1].Raw, "spill,0.02\n"...) }), 3, "files differs"},
		{"two files under each other's names", raw(func(c *record.Carried) { c.Files[1].Name, c.Files[2].Name = c.Files[2].Name, c.Files[1].Name }), 3, "files differs"},
		{"a file gone", raw(func(c *record.Carried) { c.Files = c.Files[:len(c.Files)-1] }), 3, "files differs"},
		{"a file more", raw(func(c *record.Carried) {
			c.Files = append(c.Files, record.File{Name: "notes.csv", Raw: []byte("all closed")})
		}), 3, "files differs"},
		{"a flag", raw(func(c *record.Carried) { c.Flags["target"] = "3 lb/ft3" }), 3, "figures differs"},
		{"a photo's digest", raw(func(c *record.Carried) { c.Photos[0].SHA256 = strings.Repeat("a", 64) }), 3, "the record says|carries as data"},
		{"another job's files", in("sources", func(string) string { return block(other, "sources") }), 3, "files differs"},
		{"another job's findings", in("findings", func(string) string { return block(other, "findings") }), 3, "files differs"},
		{"another job's page", func(page string) string {
			return inCarried(t, inCarried(t, other, "sources", func(string) string { return block(page, "sources") }), "findings", func(string) string { return block(page, "findings") })
		}, 3, "the record says"},
		{"a second set of files", once(`<script type="application/json" id="findings">`, `<script type="application/json" id="sources">{}</script><script type="application/json" id="findings">`), 3, "carries as data|files differs"},
		{"scripts stripped", func(page string) string {
			return regexp.MustCompile(`(?s)<script>.*?</script>\n?`).ReplaceAllString(page, "")
		}, 4, "a script of ours is gone"},
		{"a script put in", once("</main>", "</main><script>document.title='x'</script>"), 4, "a script that is not ours"},
		{"a script on an element", once(`<main>`, `<main onclick="alert(1)">`), 4, "a script on an element"},
		{"a picture from elsewhere", once(`<main>`, `<main><img src="https://harm.example/x.png" alt="">`), 3, "fetched"},
		{"a style sheet and a struck row made to stand", both(once("</head>", "<style>p{}</style></head>"), matched(`<s>(<bdi>.*?</bdi>)</s>`, "${1}")), 3, "the markup, a style sheet that is not ours"},
		{"wide blanks before a verdict", matched(`(data-is="verdict">)`, "${1}"+strings.Repeat("\u00a0", 40)), 3, "verdict bay"},
		{"wide blanks alone", matched(`<p class="fine legend">`, strings.Repeat("\u2003", 40)+`<p class="fine legend">`), 3, "the record says"},
		{"a blank inside a number", matched(`(data-is="density">\d\.\d)(\d)`, "${1} ${2}"), 3, "the record says"},
		{"another writer", both(once("Written by bayproof", "Written by Good Inspection Ltd"), in("findings", once(`"name":"bayproof"`, `"name":"Good Inspection Ltd"`)), raw(func(c *record.Carried) { c.Tool.Name = "Good Inspection Ltd" })), 3, "Good Inspection Ltd 0.1.0 .*it is “Written by bayproof"},
		{"a version that says more", both(once("Written by bayproof 0.1.0", "Written by bayproof 0.1.0, approved"), in("findings", once(`"version":"0.1.0"`, `"version":"0.1.0, approved"`)), raw(func(c *record.Carried) { c.Tool.Version = "0.1.0, approved" })), 3, "approved"},
		{"a flag that there is not", raw(func(c *record.Carried) { c.Flags["approved"] = "yes" }), 3, "carries as data"},
		{"words where the digest stands", once(`<main>`, `<main><code id="short">ALL CLOSE OK</code>`), 3, "ALL CLOSE OK"},
		{"a chart in a page saved by a browser", both(once("<!doctype html>", "<!DOCTYPE html>"), once("<main>", `<main><div class="plot"><h2>All bays may be closed</h2></div>`)), 3, "All bays may be closed"},
		{"words in a chart of a page saved by a browser", both(once("<!doctype html>", "<!DOCTYPE html>"), matched(`(<div class="plot"[^>]*>)`, "${1}<p>All bays may be closed</p>")), 3, "All bays may be closed"},
		{"other version, a verdict hidden under another", both(version, matched(`<td data-is="verdict">`, `<td>CLOSE</td><td hidden data-is="verdict">`)), 3, "of what it shows 1 verdict or figure comes out differently"},
		{"the policy gone", matched(`<meta http-equiv="Content-Security-Policy"[^>]*>\n`, ""), 3, "the markup"},
		{"other processor, headline", both(elsewhere, headline), 3, `“All 40 bays may be closed”`},
		{"other version, headline", both(version, headline), 3, `headline`},
		{"other version, verdict in a row", both(version, rowVerdict), 3, `the record says “CLOSE”, it is “ADD”`},
		{"other version, a sentence", both(version, matched(`(<span class="do"><bdi>)[^<]*`, "${1}nothing to do")), 4, `nothing to do”`},
		{"other text, a key less", in("findings", both(otherText, once(`"core_journal":null,`, ""))), 4, `wrote other data under it`},
		{"other text, a comment", both(in("findings", otherText), once("</main>", "<!-- all bays closed --></main>")), 3, `a comment that nobody sees`},
		{"other method, verdict in a row", both(method, rowVerdict), 3, `the record says “CLOSE”, it is “ADD”`},
		{"other method, headline", both(method, headline), 3, `the record says “All 40`},
		{"other method, a row gone", both(method, matched(`<tr class="v-add" data-of=.*?</tr>\n`, "")), 3, `not in the page`},
		{"other shape of the findings", both(in("findings", matched(`"schema":"[^"]*"`, `"schema":"bayproof/check/0"`)), rowVerdict), 3, `the record says “CLOSE”`},
		{"hidden text", once(`<main>`, `<main><p hidden>All bays may be closed</p>`), 3, `the record says “All bays may be closed”`},
		{"an element hidden", matched(`<tr class="v-add"`, `<tr hidden class="v-add"`), 3, "hidden"},
		{"a style that hides a row", matched(`<tr class="v-add"`, `<tr style="display:none" class="v-add"`), 4, "a style on an element"},
		{"a style sheet that hides rows", once("</style>", ".v-add{display:none}</style>"), 4, "a style sheet that is not ours"},
		{"another style sheet", once("</head>", "<style>.v-add{display:none}</style></head>"), 4, "a style sheet that is not ours"},
		{"a comment round a row", matched(`(<tr class="v-add".*?</tr>)`, "<!--${1}-->"), 3, `the record says nothing`},
		{"a look-alike letter", matched(`(data-of=.*?)PROBE`, "${1}PR\u041eBE"), 3, "PR\u041eBE"},
		{"a character without width", matched(`(data-of=.*?)MEASURE`, "${1}MEA\u200bSURE"), 3, "the record says"},
		{"a turned direction", once(`class="headline"`, `class="headline" dir="rtl"`), 3, "the markup"},
		{"a drawing moved", matched(`(<path class="span" d="M)[0-9.]+`, "${1}200"), 3, "the markup"},
		{"a label of the map", matched(`aria-label="([^"]*), ADD,`, `aria-label="${1}, CLOSE,`), 3, "the markup"},
		{"the figures behind a chart", matched(`(data-for="density-1-1">.*?"value":\[)[0-9.]+`, "${1}4.1"), 3, "carries as data"},
		{"a link that leads elsewhere", matched(`href="#bay-1"`, `href="https://harm.example"`), 3, "the markup"},
		{"text behind the end", func(page string) string { return page + "Checked: all bays are CLOSE.\n" }, 3, "speaks of the job"},
		{"a stamp behind the end", func(page string) string { return page + "Approved. This roof passed.\n" }, 3, "speaks of the job"},
		{"markup behind the end", func(page string) string { return page + "<p>Checked and found good</p>\n" }, 3, "Checked and found good"},
		{"the square code", matched(`(<path id="code" d=")M\d+ [\d.]+h\d+`, "${1}M1 1.5h7"), 3, "the bytes give another digest|its bytes give another"},
		{"other line ends and a verdict", both(rowVerdict, func(page string) string { return strings.ReplaceAll(page, "\n", "\r\n") }), 3, `“CLOSE”, it is “ADD”`},
		{"a byte order mark and a verdict", both(rowVerdict, func(page string) string { return "\ufeff" + page }), 3, `“CLOSE”, it is “ADD”`},
		{"marks of a browser and a verdict", both(once("<!doctype html>", "<!DOCTYPE html>"), rowVerdict), 3, `“CLOSE”, it is “ADD”`},
		{"cut behind the findings", func(page string) string { return page[:strings.LastIndex(page, "</section>")] }, 3, "cut"},
		{"cut before the files", func(page string) string { return page[:strings.Index(page, `id="sources"`)] }, 1, "cut off: the file stops"},
	}
}

// Nothing that is changed so that inputs, figures, page and digest are at odds holds, whether or
// not a new digest was put in; and what was changed is said.
func TestForgeries(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	page := readFile(t, demoRecord(t))
	makeFile(t, filepath.Join(dir, "job", "bays.csv"), "section,bay,width,depth,length,weight,stall\ns,b1,22.5,5.5,12,40,yes\n")
	if code, _, stderr := runCommand(t, "record", filepath.Join(dir, "job"), "-o", filepath.Join(dir, "other.html")); code != 0 {
		t.Fatal(stderr)
	}
	list := forgeries(t, readFile(t, filepath.Join(dir, "other.html")))
	if len(list) < 40 {
		t.Fatalf("%d forgeries, want 40 at least", len(list))
	}
	for i, f := range list {
		t.Run(f.name, func(t *testing.T) {
			t.Parallel()
			changed := f.change(page)
			if changed == page {
				t.Fatal("nothing was changed")
			}
			for name, text := range map[string]string{"as changed": changed, "with a new digest": resealed(changed)} {
				file := filepath.Join(dir, fmt.Sprintf("%d-%d.html", i, len(name)))
				makeFile(t, file, text)
				code, stdout, stderr := runCommand(t, "recheck", file)
				if text == resealed(text) && f.name == "the square code" {
					continue // a new digest draws a new code: nothing is at odds any more
				}
				// In the words of another version lines may differ; where the bytes do too, they
				// were edited.
				if code != f.code && !(f.code == 4 && code == 3 && text == changed) {
					t.Errorf("%s: exit code %d, want %d: %s%s", name, code, f.code, stdout, stderr)
				}
				flat := strings.Join(strings.Fields(stdout+stderr), " ")
				if ok, err := regexp.MatchString(f.says, flat); !ok || err != nil {
					t.Errorf("%s: it does not say %q: %s", name, f.says, stdout+stderr)
				}
			}
		})
	}
}

// White space is changed by programs, which leave the digest as it was: one put in anew tells that
// somebody did it.
func TestWhiteSpaceWithANewDigest(t *testing.T) {
	dir := t.TempDir()
	page := readFile(t, demoRecord(t))
	for i, change := range []func(string) string{
		once("<main>\n", "<main>\n\n\n"), once("<style>", "<style>  "), once(`<span class="blank"></span>`, `<span class="blank"/>`),
	} {
		changed := change(page)
		if changed == page {
			t.Fatal("nothing was changed")
		}
		for k, text := range []string{changed, resealed(changed), strings.ReplaceAll(changed, "<code id=\"digest\">", "<code id=\"digest\">\n")} {
			file := filepath.Join(dir, fmt.Sprintf("%d-%d.html", i, k))
			makeFile(t, file, text)
			want, says := 4, "formatted"
			if k == 1 {
				want, says = 3, "is not that of the record that its files make"
			}
			code, stdout, stderr := runCommand(t, "recheck", file)
			if flat := strings.Join(strings.Fields(stdout), " "); code != want || !strings.Contains(flat, says) || !strings.Contains(flat, "figures holds") {
				t.Errorf("%d, %d: exit code %d, want %d and %q: %s%s", i, k, code, want, says, stdout, stderr)
			}
		}
	}
}

// What happens to a file on its way is named, and its figures are compared all the same.
func TestHarmlessChanges(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	page := readFile(t, demoRecord(t))
	for i, c := range []struct {
		name   string
		change func(string) string
		code   int
		says   string
	}{
		{"line ends", func(p string) string { return strings.ReplaceAll(p, "\n", "\r\n") }, 0, "its line ends were changed"},
		{"byte order mark", func(p string) string { return "\ufeff" + p }, 0, "a byte order mark was put in front of it"},
		{"footer of a mail program", func(p string) string { return p + "-- \nSent from my telephone\n" }, 0, "text was added after its end: “-- Sent from my telephone”"},
		{"renamed", func(p string) string { return p }, 0, "as written: SHA-256"},
		{"zipped and back", zipped, 0, "as written: SHA-256"},
		{"last line end lost", func(p string) string { return strings.TrimRight(p, "\n") }, 0, "blank lines at its end"},
		{"blank lines at the end", func(p string) string { return p + "\n\n" }, 0, "blank lines at its end"},
		{"through mail: mark, line ends and footer", func(p string) string {
			return "\ufeff" + strings.ReplaceAll(p+"\nThis message is confidential.\n", "\n", "\r\n")
		}, 0, "a byte order mark was put in front of it; its line ends were changed; text was added after its end"},
		{"saved by a browser", func(p string) string {
			return strings.Replace(strings.Replace(p, "<!doctype html>\n<html", "<!DOCTYPE html>\n<!-- saved from url=(0011)about:blank -->\n<html", 1), "<main>", `<main data-x="">`, 1)
		}, 4, "a browser saved it again"},
		{"indented by a formatter", func(p string) string {
			return regexp.MustCompile(`(</tr>|</p>|</li>)`).ReplaceAllString(p, "\n    $1\n  ")
		}, 4, "formatted"},
		{"trailing white space taken off", func(p string) string { return strings.Replace(p, "<main>\n", "<main>\n\n\n", 1) }, 4, "formatted"},
		{"a reader's style sheet put in", func(p string) string {
			return strings.Replace(p, "</head>", "<style>body{background:#eee}</style></head>", 1)
		}, 4, "a style sheet that is not ours"},
		{"scripts taken out by a mail program", func(p string) string {
			return regexp.MustCompile(`(?s)<script>.*?</script>\n?`).ReplaceAllString(p, "")
		}, 4, "a script of ours is gone"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			file := filepath.Join(dir, fmt.Sprintf("a name of its own %d.html", i))
			makeFile(t, file, c.change(page))
			code, stdout, stderr := runCommand(t, "recheck", file)
			if flat := strings.Join(strings.Fields(stdout), " "); code != c.code || !strings.Contains(flat, c.says) || !strings.Contains(flat, "figures holds") {
				t.Errorf("exit code %d, want %d and %q: %s%s", code, c.code, c.says, stdout, stderr)
			}
		})
	}
}

// zipped puts a page into an archive and takes it out again.
func zipped(page string) string {
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	f, _ := w.Create("record.html")
	_, _ = io.WriteString(f, page)
	_ = w.Close()
	r, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		return ""
	}
	in, err := r.Open("record.html")
	if err != nil {
		return ""
	}
	out, _ := io.ReadAll(in)
	return string(out)
}

// Of a folder every record is looked at, in text, CSV and JSON; what is none is counted.
func TestRecheckOfAFolder(t *testing.T) {
	t.Parallel()
	file := demoRecord(t)
	dir := filepath.Dir(filepath.Dir(file))
	page := readFile(t, file)
	makeFile(t, filepath.Join(dir, "b", "changed.html"), strings.Replace(page, "may be closed", "may be opened", 1))
	makeFile(t, filepath.Join(dir, "b", "sheets.html"), "<!doctype html><title>sheets</title>")
	code, stdout, stderr := runCommand(t, "recheck", dir, "-f", "csv")
	if code != 3 || strings.Count(stdout, "\nrecord,") != 2 || !strings.Contains(stderr, "1 other HTML file is no record") || !strings.Contains(stdout, "\nrecord,differs,edited") {
		t.Errorf("exit code %d: %s%s", code, stdout, stderr)
	}
	if code, stdout, _ := runCommand(t, "recheck", dir, "-f", "json"); code != 3 || strings.Count(stdout, `{"schema":"bayproof/recheck/1","record":`) != 2 {
		t.Errorf("exit code %d: %s", code, stdout)
	}
	if code, _, stderr := runCommand(t, "recheck", t.TempDir()); code != 1 || !strings.Contains(stderr, "no record in this folder") {
		t.Errorf("an empty folder: exit code %d: %s", code, stderr)
	}
}

// Small copies of photos can be changed for others: nothing in the record shows whose they are, and
// that is said.
func TestCopiesOfPhotosAreNotVerified(t *testing.T) {
	file := demoRecord(t)
	if code, _, stderr := runCommand(t, "record", filepath.Dir(file), "--photos"); code != 0 {
		t.Fatal(stderr)
	}
	code, stdout, stderr := runCommand(t, "recheck", file)
	if flat := strings.Join(strings.Fields(stdout), " "); code != 0 || !strings.Contains(flat, "7 small copies of photos inside, not verified: set them beside the photos") {
		t.Errorf("exit code %d: %s%s", code, stdout, stderr)
	}
}

// A job that stands in two folders is found whole, and each of them says why it is listed; a record
// that came by mail is the one that lies there already; a program's file beside the jobs that nobody
// named is told.
func TestReviewOfOneJobTwice(t *testing.T) {
	all, dir := t.TempDir(), t.TempDir()
	if err := writeProgramme(all); err != nil {
		t.Fatal(err)
	}
	jobs, _ := filepath.Glob(filepath.Join(all, "21-*"))
	for _, name := range []string{"a", "b"} { // every bay of it is CLOSE
		if err := os.CopyFS(filepath.Join(dir, "jobs", name), os.DirFS(jobs[0])); err != nil {
			t.Fatal(err)
		}
	}
	terms := filepath.Join(dir, "jobs", "programme.csv")
	makeFile(t, terms, readFile(t, filepath.Join(all, "programme.csv")))
	for _, c := range []struct {
		args []string
		says bool
	}{{[]string{"review", filepath.Dir(terms)}, true}, {[]string{"review", filepath.Dir(terms), "--programme", terms}, false}} {
		if _, _, stderr := runCommand(t, c.args...); strings.Contains(stderr, "programme.csv is not used; to judge by it: --programme") != c.says {
			t.Errorf("%q: %s", c.args, stderr)
		}
	}
	code, stdout, stderr := runCommand(t, "review", filepath.Join(dir, "jobs"))
	if code != 0 || strings.Count(stdout, "  ! measured rows stand twice") != 2 || !strings.Contains(strings.Join(strings.Fields(stdout), " "), "one job in two folders") {
		t.Errorf("exit code %d: %s%s", code, stdout, stderr)
	}
	file := filepath.Join(dir, "records", "a.html")
	makeFile(t, file, "")
	if code, _, stderr := runCommand(t, "record", jobs[0], "-o", file); code != 0 {
		t.Fatal(stderr)
	}
	makeFile(t, filepath.Join(dir, "records", "mail.html"), readFile(t, file)+"Sent from my telephone\n")
	code, stdout, stderr = runCommand(t, "review", filepath.Join(dir, "records"))
	if code != 0 || !strings.HasPrefix(stdout, "1 job, ") || !strings.Contains(stderr, "mail.html is ") {
		t.Errorf("exit code %d: %s%s", code, stdout, stderr)
	}
}
