package cmd_test

import (
	"bytes"
	"encoding/base64"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"bayproof/cmd"
	layout "bayproof/report/pocket"
	"bayproof/report/say/lang"
)

// phone is a page of a job on a screen of 360 by 740 that is touched.
type phone struct {
	*browser
	t    *testing.T
	file string
	taps int
}

// needsChecker skips aloud where this build has no checker for the phone.
func needsChecker(t *testing.T) {
	t.Helper()
	if !layout.Built() {
		t.Skip("the checker for the phone is not built in (make script): its page was not looked at")
	}
}

// pocketOf writes the page of a job and returns its path.
func pocketOf(t *testing.T, dir string) string {
	t.Helper()
	needsChecker(t)
	if code, _, stderr := runCommand(t, "pocket", dir); code != 0 {
		t.Fatalf("pocket: exit code %d: %s", code, stderr)
	}
	return filepath.Join(dir, "pocket.html")
}

// shedJob sets up a job of two sections, the second behind netting, that nobody has logged a bay
// of.
func shedJob(t *testing.T, dir string) {
	t.Helper()
	makeFile(t, filepath.Join(dir, "job.csv"), "name,value\njob,"+filepath.Base(dir)+"\nsite,by the lake\nbag_weight,25 lb\ndate,2026-03-02\nto_stall,yes\n")
	makeFile(t, filepath.Join(dir, "sections.csv"), "section,kind,bays,width,depth,length,face\nroof,rafter,6,22.5,5.5,12,\nloft,rafter,3,22.5,5.5,12,netting\n")
}

// TestPocketOfAJobThatLostItsLog: a page that would go on without rows that are in the journal says
// so where it is written.
func TestPocketOfAJobThatLostItsLog(t *testing.T) {
	needsChecker(t)
	dir := filepath.Join(t.TempDir(), "lost")
	shedJob(t, dir)
	makeFile(t, filepath.Join(dir, "phone.csv"), "section,bay,width,depth,length,bags\nroof,b1,22.5,5.5,12,1.75\nroof,b2,22.5,5.5,12,1.75\n")
	if code, _, stderr := runCommand(t, "log", dir, "--from", filepath.Join(dir, "phone.csv")); code != 0 || stderr != "" {
		t.Fatalf("log: exit code %d: %s", code, stderr)
	}
	if code, _, stderr := runCommand(t, "pocket", dir); code != 0 || strings.Contains(stderr, "journal") {
		t.Errorf("exit code %d: %s", code, stderr)
	}
	if err := os.Remove(filepath.Join(dir, "bays.csv")); err != nil {
		t.Fatal(err)
	}
	const want = "bays.csv: none of the 2 rows in the journal is in bays.csv: bayproof log JOB --restore brings them back"
	if code, _, stderr := runCommand(t, "pocket", dir); code != 0 || !strings.Contains(stderr, want) {
		t.Errorf("exit code %d: %s", code, stderr)
	}
}

// onPhone opens a page in a tab.
func onPhone(t *testing.T, b *browser, file string) *phone {
	t.Helper()
	p := &phone{browser: b, t: t, file: file}
	call(t, b, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true})
	p.load()
	return p
}

// load opens the page, anew too, and waits until it can be tapped.
func (p *phone) load() {
	p.t.Helper()
	address := p.file
	if !strings.Contains(address, "://") {
		address = (&url.URL{Scheme: "file", Path: filepath.ToSlash(p.file)}).String()
	}
	if err := chromedp.Do(p.ctx, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile), chromedp.Navigate(address)); err != nil {
		p.t.Fatal(err)
	}
	p.until(`document.documentElement.dataset.ready || document.querySelector("h1 + p.fine")`)
}

// until waits for an expression to hold.
func (p *phone) until(expression string) {
	p.t.Helper()
	for late := time.Now().Add(3 * time.Minute); time.Now().Before(late); time.Sleep(10 * time.Millisecond) {
		if ask[bool](p.t, p.browser, "!!("+expression+")") {
			return
		}
	}
	p.t.Fatalf("never: %s; the page shows %q", expression, ask[string](p.t, p.browser, `document.body.innerText`))
}

// spot finds a button by what it says, or is called, where nothing else covers it: a finger must
// meet it.
const spot = `(text => {
	const all = [...document.querySelectorAll("button:not(:disabled)")], said = b => b.getAttribute("aria-label") || b.innerText.trim();
	const b = all.find(b => said(b) === text) || all.find(b => said(b).startsWith(text)) || all.find(b => b.innerText.trim().startsWith(text)) || all.find(b => b.innerText.split("\n").some(l => l.trim() === text));
	if (!b) return ["there is no " + text + " among " + all.map(said).join(" | "), 0, 0];
	b.scrollIntoView({block: "nearest"});
	const r = b.getBoundingClientRect(), x = r.x + r.width / 2, y = r.y + r.height / 2;
	return [b.contains(document.elementFromPoint(x, y)) ? "" : text + " is covered at " + x + ", " + y, x, y];
})`

// tap touches buttons, one after the other, and waits each time until the page has answered.
func (p *phone) tap(texts ...string) {
	p.t.Helper()
	for _, text := range texts {
		name, _ := json.Marshal(text)
		at := ask[[]any](p.t, p.browser, spot+"("+string(name)+")")
		if at[0] != "" {
			p.t.Fatal(at[0])
		}
		p.touch(at[1].(float64), at[2].(float64))
		p.taps++
		p.until(`!bayproof.busy`)
	}
}

// touch touches the screen.
func (p *phone) touch(x, y float64) {
	p.t.Helper()
	call(p.t, p.browser, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: "touchStart", TouchPoints: []*input.TouchPoint{{X: x, Y: y}}})
	call(p.t, p.browser, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: "touchEnd", TouchPoints: []*input.TouchPoint{}})
	ask[bool](p.t, p.browser, `new Promise(ok => requestAnimationFrame(() => setTimeout(() => ok(true), 0)))`)
}

// text is what the page shows.
func (p *phone) text() string { return ask[string](p.t, p.browser, `document.body.innerText`) }

// shows fails where the page does not show a text.
func (p *phone) shows(want string) {
	p.t.Helper()
	if got := p.text(); !strings.Contains(got, want) {
		p.t.Errorf("the page does not show %q: %s", want, got)
	}
}

// log is the log as the page would share it.
func (p *phone) log() string {
	p.t.Helper()
	b, err := base64.StdEncoding.DecodeString(ask[string](p.t, p.browser, `bayproof.call("share")`))
	if err != nil {
		p.t.Fatal(err)
	}
	return string(b)
}

// settled waits until the page has found all that check does.
func (p *phone) settled() {
	p.t.Helper()
	p.until(`document.documentElement.dataset.settled === String(bayproof.store.next)`)
}

// A job is typed on the page from the first bay to the last, shared, and taken over: its record is
// that of the same rows typed at the prompt, but for the times, which are set alike.
func pocketFromPlanToLastBay(t *testing.T, b *browser, _ string) {
	dir := filepath.Join(t.TempDir(), "shed")
	shedJob(t, dir)
	p := onPhone(t, b, pocketOf(t, dir))
	p.tap("roof", "Fill b1", "2", "2", "1/2", "Next", "5", "1/2", "and another", "5", "5/8", "Next figure", "1", "2", "Next figure", "1", "3/4", "Next figure", "1", "1", "1/2", "Yes")
	p.shows("CLOSE")
	p.tap("Close b1", "Next: b2", "1", "3/4", "Yes")
	from := p.taps
	p.tap("Next: b3", "1", "3/4", "Yes")
	if n := p.taps - from; n > 5 {
		t.Errorf("a bay where only the count changes takes %d taps, more than 5", n)
	}
	p.tap("Next: b4", "1", "Yes") // short
	p.shows("ADD")
	p.tap("Done: log it", "1", "8", "Yes", "Next: b5", "Length", "8", "Next figure", "1", "1/4", "Don't know", "Next: b6", "2", "Yes", "Undo", "Fill b6", "1", "3/4", "Yes", "Bays")
	p.shows("MEASURE")
	p.tap("b5", "Looked", "rod firm", "along", "Where", "7", "1/2", "Log it", "Bays", "Back", "loft")
	p.tap("Fill b1", "2", "2", "1/2", "Next figure", "5", "1/2", "Next figure", "1", "2", "Bulge", "3/4", "Next figure", "1", "3/4", "Yes")
	p.tap("Next: b2", "Bulge", "1/2", "More …", "Weight", "4", "4", "Yes")
	p.quiet(t)
	shared := filepath.Join(t.TempDir(), "bays.csv")
	makeFile(t, shared, p.log())
	if code, _, stderr := runCommand(t, "log", dir, "--from", shared); code != 0 {
		t.Fatalf("log --from: exit code %d: %s", code, stderr)
	}
	if code, stdout, _ := runCommand(t, "log", dir, "--from", shared); code != 0 || !strings.HasPrefix(stdout, "no rows added") {
		t.Errorf("taken over twice: exit code %d, %q", code, stdout)
	}
	typed := filepath.Join(t.TempDir(), "shed")
	shedJob(t, typed)
	lines := []string{
		"section roof", "b1 22 1/2, 5 1/2; 5 5/8, 12, 1 3/4 reach 11 1/2 stall", "close b1", "1 3/4 stall", "1 3/4 stall", "1 stall",
		"top b4 weight 18 hole _ stall", "b5 length 8 bags 1 1/4 stall ?", "2 stall", "undo", "1 3/4 stall", "probe b5 rod firm along at 7 1/2",
		"section loft", "b1 22 1/2, 5 1/2, 12, 1 3/4 bulge 3/4 stall", "b2 weight 44 bulge 1/2 stall",
	}
	rows := readRows(t, filepath.Join(dir, "bays.csv"))
	hole := ""
	for _, row := range rows[1:] {
		if at := column(rows[0], "entry"); row[at] == "topup" {
			hole = row[column(rows[0], "hole")]
		}
	}
	if hole == "" {
		t.Errorf("the order's new hole is in no row")
	}
	stdin := strings.ReplaceAll(strings.Join(lines, "\n"), "hole _", "hole "+hole) + "\n"
	if code, _, stderr := typeLines(t, typed, stdin); code != 0 {
		t.Fatalf("log: exit code %d: %s", code, stderr)
	}
	setTimes(t, filepath.Join(typed, "bays.csv"), rows)
	if got, want := readFile(t, filepath.Join(dir, "bays.csv")), readFile(t, filepath.Join(typed, "bays.csv")); got != want {
		t.Fatalf("the phone's log is\n%s\nthe prompt's is\n%s", got, want)
	}
	for _, at := range []string{dir, typed} {
		_ = os.Remove(filepath.Join(at, "bays.csv.journal")) // it holds the times that were set alike
		if code, _, stderr := runCommand(t, "record", at); code != 0 {
			t.Fatalf("record: exit code %d: %s", code, stderr)
		}
	}
	if readFile(t, filepath.Join(dir, "record.html")) != readFile(t, filepath.Join(typed, "record.html")) {
		t.Error("the two records are not the same")
	}
}

// typeLines types lines at the prompt of a job.
func typeLines(t *testing.T, dir, stdin string) (code int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	code = cmd.Run([]string{"log", dir}, &cmd.Env{Stdin: strings.NewReader(stdin), Stdout: &out, Stderr: &errs, Now: time.Now, Getenv: func(string) string { return "" }})
	return code, out.String(), errs.String()
}

// readRows reads a log as a spreadsheet would.
func readRows(t *testing.T, file string) [][]string {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(readFile(t, file), "\ufeff"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// column is the place of a column.
func column(header []string, name string) int { return slices.Index(header, name) }

// setTimes writes the times of other rows into the rows of a log, which has as many.
func setTimes(t *testing.T, file string, like [][]string) {
	t.Helper()
	text := readFile(t, file)
	rows := readRows(t, file)
	if len(rows) != len(like) {
		t.Fatalf("%d rows were typed, %d on the phone:\n%s", len(rows), len(like), text)
	}
	lines := strings.SplitAfter(text, "\n")
	for i := 1; i < len(rows); i++ {
		at := len(rows[i]) - 1
		lines[i] = strings.Replace(lines[i], rows[i][at], like[i][at], 1)
	}
	makeFile(t, file, strings.Join(lines, ""))
}

// pocketScreens are the taps that lead from one screen of the shed's page to the next.
var pocketScreens = []struct {
	name string
	taps []string
}{
	{"sections", nil}, {"who", []string{"Who, which machine"}}, {"more", []string{"Back", "Counter, empties, setting"}}, {"empties", []string{"Empty bags counted"}},
	{"bays", []string{"Back", "Back", "roof"}}, {"name", []string{"Another name"}}, {"fill", []string{"Back", "Fill b1"}}, {"feed", []string{"More …", "Feed time", "Start"}},
	{"rod stop", []string{"Stop", "Clear", "Rod stopped at"}}, {"photo", []string{"Photo"}}, {"note", []string{"Note"}},
	{"refused", []string{"Yes"}},
	{"close", []string{"Width", "2", "2", "1/2", "Depth", "5", "1/2", "Length", "1", "2", "Bags", "1", "3/4", "Yes"}}, {"why", []string{"Why"}},
	{"dittos", []string{"Back", "Next: b2"}}, {"add", []string{"1", "Yes"}}, {"order", []string{"Done: log it"}}, {"bays", []string{"Back"}}, {"bay", []string{"b2"}}, {"look", []string{"Looked", "rod firm"}},
	{"decide", []string{"Back", "Decide by name"}}, {"share", []string{"Back", "Back", "Back", "Share"}},
}

// Every screen, light and dark: what is tapped is at least 48 px high and wide, text stands out 7
// to 1, nothing hangs over the edge, and the console is silent. With text twice as large nothing is
// cut off, and every button can still be reached.
func pocketInGloveAndSun(t *testing.T, b *browser, _ string) {
	dir := filepath.Join(t.TempDir(), "sun")
	shedJob(t, dir)
	file := pocketOf(t, dir)
	spanish := filepath.Join(t.TempDir(), "sol")
	shedJob(t, spanish)
	makeFile(t, filepath.Join(spanish, "job.csv"), readFile(t, filepath.Join(spanish, "job.csv"))+"lang,es\n")
	files := map[lang.Language]string{lang.English: file, lang.Spanish: pocketOf(t, spanish)}
	axe := ""
	if text, err := os.ReadFile("../node_modules/axe-core/axe.min.js"); err == nil && os.Getenv("BAYPROOF_ACCESSIBILITY") != "" {
		axe = string(text)
	}
	for _, x := range []struct {
		scheme, size string
		lang.Language
	}{{"light", "", ""}, {"dark", "", ""}, {"light", "200%", ""}, {"light", "", lang.Spanish}, {"light", "200%", lang.Spanish}} {
		call(t, b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: x.scheme}}})
		p := onPhone(t, b, files[x.Language])
		ask[bool](t, b, fmt.Sprintf(`document.documentElement.style.fontSize = %q; true`, x.size))
		for _, s := range pocketScreens {
			for _, tap := range s.taps {
				p.tap(inLanguage(x.Language, tap))
			}
			for _, complaint := range ask[[]string](t, b, glove) {
				t.Errorf("%s %s %s %s: %s", s.name, x.scheme, x.size, x.Language, complaint)
			}
			for _, said := range ask[[]string](t, b, everyText) {
				if own := x.Language.S(said); own != said && !slices.Contains([]string{"CLOSE", "ADD", "MEASURE", "PROBE"}, said) { // these stand beside their own
					t.Errorf("%s: in a job in Spanish the page says %q, not %q", s.name, said, own)
				}
			}
			if axe != "" {
				for _, v := range violations(t, b, axe) {
					t.Errorf("%s %s %s: axe: %s", s.name, x.scheme, x.size, v)
				}
			}
			if to := os.Getenv("BAYPROOF_SCREENS"); to != "" { // to be looked at
				png, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
				if err != nil {
					t.Fatal(err)
				}
				makeFile(t, filepath.Join(to, strings.ReplaceAll(s.name+" "+x.scheme+strings.TrimSuffix(x.size, "%")+string(x.Language), " ", "-")+".png"), string(png))
			}
		}
		p.quiet(t)
		if got := ask[string](t, b, `document.documentElement.lang`); got != x.Tag() {
			t.Errorf("the page says that it is in %q, not %q", got, x.Tag())
		}
		ask[bool](t, b, `new Promise(ok => { const q = indexedDB.open("bayproof"); q.onsuccess = () => { const tx = q.result.transaction(["rows", "jobs"], "readwrite"); tx.objectStore("rows").clear(); tx.objectStore("jobs").clear(); tx.oncomplete = () => ok(true); }; })`)
	}
	// It finds what it looks for.
	ask[bool](t, b, `(() => { const b = document.createElement("button"); b.style.cssText = "min-height:0;min-width:0;padding:0;color:#777;background:#888;font-size:9px"; b.textContent = "x"; document.querySelector("main").append(b); return true; })()`)
	if found := ask[[]string](t, b, glove); len(found) < 2 {
		t.Errorf("a small, dim button gave %q", found)
	}
	if axe == "" {
		t.Log("a long run, only with BAYPROOF_ACCESSIBILITY=1 and axe-core: the accessibility checker did not run")
	}
}

// inLanguage is a button's text in a language, a bay's name at its end.
func inLanguage(l lang.Language, text string) string {
	if said, name, ok := strings.Cut(text, " b"); ok && !strings.Contains(name, " ") {
		return l.F(said+" %s", "b"+name)
	}
	return l.S(text)
}

// everyText are the texts and names that somebody reads or hears.
const everyText = `(() => {
	const out = [...document.querySelectorAll("[aria-label]")].map(el => el.getAttribute("aria-label")), walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	for (let n; (n = walk.nextNode());) if (!n.parentElement.closest("script, style, noscript")) out.push(n.data.trim());
	return out;
})()`

// glove lists what a glove or an eye in the sun would miss: small targets, dim text (WCAG 2.2,
// 1.4.6: 7 to 1), text that is cut off, a page wider than the screen.
const glove = `(() => {
	const out = [], seen = el => { const r = el.getBoundingClientRect(); return r.width > 0 && r.height > 0 && getComputedStyle(el).visibility !== "hidden"; };
	const said = el => (el.getAttribute("aria-label") || el.textContent || el.id || el.tagName).trim().slice(0, 30);
	for (const el of document.querySelectorAll("button, input:not([type=file]), .camera")) {
		if (!seen(el)) continue;
		const r = el.getBoundingClientRect();
		if (r.width < 47.9 || r.height < 47.9) out.push(said(el) + " is " + Math.round(r.width) + " by " + Math.round(r.height));
		if (el.scrollWidth > el.clientWidth + 1 || el.scrollHeight > el.clientHeight + 1) out.push(said(el) + " is cut off");
	}
	const rgb = c => { const m = c.match(/[\d.]+/g).map(Number); return m.length < 4 ? [...m, 1] : m; };
	const light = c => { const [r, g, b] = c.map(v => { v /= 255; return v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4; }); return .2126 * r + .7152 * g + .0722 * b; };
	const ground = el => { for (; el; el = el.parentElement) { const c = rgb(getComputedStyle(el).backgroundColor); if (c[3] > .99) return c; } return [255, 255, 255, 1]; };
	const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	for (let n; (n = walk.nextNode());) {
		const el = n.parentElement;
		if (!n.data.trim() || !seen(el) || el.closest("script, style, noscript")) continue;
		const a = light(rgb(getComputedStyle(el).color)), b = light(ground(el)), ratio = (Math.max(a, b) + .05) / (Math.min(a, b) + .05);
		if (ratio < 7) out.push(n.data.trim().slice(0, 30) + " stands out " + ratio.toFixed(1) + " to 1");
	}
	if (document.documentElement.scrollWidth > innerWidth) out.push("the page is " + document.documentElement.scrollWidth + " px wide");
	return out;
})()`

// TestPocket looks at the phone's page in one Chromium, each test in a tab of its own that keeps its
// rows apart from the others'.
func TestPocket(t *testing.T) {
	t.Parallel()
	needsChecker(t)
	chromiumPath(t)
	inTabs(t, []look{
		{"glove and sun", "", pocketInGloveAndSun},
		{"from plan to last bay", "", pocketFromPlanToLastBay},
		{"two tabs", "", pocketInTwoTabs},
		{"kept", "", pocketKeepsWhatIsTyped},
		{"storage fails", "", pocketWhereNothingIsKept},
		{"figures of the demo", "", pocketFiguresOfTheDemo},
		{"figures of other jobs", "", pocketFiguresOfOtherJobs},
		{"speed", "", pocketSpeed},
	}, chromedp.WithNewBrowserContext())
}
