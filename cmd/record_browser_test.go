package cmd_test

import (
	"fmt"
	"html"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	printing "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"bayproof/report"
)

// demoRecord writes the demo's record and returns its path.
func demoRecord(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "job")
	if code, _, stderr := runCommand(t, "demo", dir); code != 0 {
		t.Fatalf("demo: exit code %d: %s", code, stderr)
	}
	return filepath.Join(dir, "record.html")
}

// hasLibrary tells whether the chart script was built in; without it no chart is drawn.
func hasLibrary() bool {
	_, err := fs.Stat(report.Assets(), "npm/echarts.common.min.js")
	return err == nil
}

// At the width of a desk, a tablet and a phone: every chart is drawn, nothing hangs over the edge,
// nothing is said to the console, nothing leaves the page.
func recordAtEveryWidth(t *testing.T, b *browser, file string) {
	if !hasLibrary() {
		t.Skip("the chart script is not built in (make script): no chart was drawn")
	}
	for _, width := range []int64{1280, 768, 390} {
		t.Run(fmt.Sprint(width), func(t *testing.T) {
			b.open(t, file, width)
			plots, drawn := ask[int](t, b, `document.querySelectorAll(".plot").length`), ask[int](t, b, `document.querySelectorAll(".plot svg path").length && document.querySelectorAll(".plot svg").length`)
			if plots < 5 || drawn != plots {
				t.Errorf("%d of %d charts are drawn, want all of at least 5", drawn, plots)
			}
			// Where the pointer comes to a chart it is drawn anew, as high as it was; before the
			// page is printed the drawings stand again.
			const enter = `(() => { const all = [...document.querySelectorAll("script[data-for]")].map(e => document.getElementById(e.dataset.for)), high = () => all.map(e => Math.round(e.getBoundingClientRect().height));
				const before = high(), still = document.querySelectorAll(".plot > svg").length;
				all.forEach(e => e.dispatchEvent(new PointerEvent("pointerenter")));
				const drawn = document.querySelectorAll(".plot div > svg path").length && +document.documentElement.dataset.drawn, moved = high().filter((h, i) => Math.abs(h - before[i]) > 1).length;
				dispatchEvent(new Event("beforeprint"));
				return [all.length, drawn, moved, still, document.querySelectorAll(".plot > svg").length]; })()`
			if n := ask[[]int](t, b, enter); n[0] < 4 || n[1] != n[0] || n[2] != 0 || n[3] != n[4] {
				t.Errorf("of %d charts %d are drawn under the pointer, %d of another height; %d stand as drawings before and %d on paper", n[0], n[1], n[2], n[3], n[4])
			}
			if over := ask[int](t, b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				t.Errorf("the page is %d px wider than the screen", over)
			}
			b.quiet(t)
		})
	}
}

// The checks above must be able to fail: a page that talks and asks is heard.
func loudPageIsHeard(t *testing.T, b *browser, file string) {
	makeFile(t, file, `<!doctype html><title>x</title><body><img src="http://harm.example/x.png"><script>console.log("x")</script>`)
	b.open(t, file, 390)
	console, requests := b.said()
	if len(console) == 0 || len(requests) == 0 {
		t.Errorf("a page that talks and asks was heard to say %q and to ask for %q", console, requests)
	}
}

// With scripts blocked every verdict, figure and reason is still text, every bay is on the drawn
// map, and each chart is drawn.
func recordWithoutScripts(t *testing.T, b *browser, file string) {
	b.open(t, file, 1280)
	bays := ask[int](t, b, `document.querySelectorAll("article.card").length`)
	with := visible(t, b)
	call(t, b, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	b.open(t, file, 1280)
	without := visible(t, b)
	for line := range strings.Lines(with) {
		if line = strings.TrimSpace(line); !strings.Contains(without, line) {
			t.Errorf("with scripts blocked the page does not say %q", line)
		}
	}
	if shapes := ask[int](t, b, `document.querySelectorAll("#map polygon").length`); bays < 30 || shapes < bays {
		t.Errorf("with scripts blocked %d shapes of %d bays are on the map", shapes, bays)
	}
	plots := ask[int](t, b, `document.querySelectorAll(".plot").length`)
	if drawn := ask[int](t, b, `document.querySelectorAll(".plot > svg .sym, .plot > svg .mean").length`); plots < 5 || drawn < plots {
		t.Errorf("with scripts blocked %d charts hold %d drawn marks and lines", plots, drawn)
	}
}

// visible returns the text of the page outside the charts, which only repeat the tables.
func visible(t *testing.T, b *browser) string {
	t.Helper()
	return ask[string](t, b, `(() => {
		const page = document.body.cloneNode(true);
		page.querySelectorAll(".plot, .tools, script").forEach(e => e.remove());
		return page.textContent;
	})()`)
}

// papers are the two sizes that a record is printed on, in.
func papers() map[string][2]float64 {
	return map[string][2]float64{"Letter": {8.5, 11}, "A4": {8.27, 11.69}}
}

// printed counts the pages that a file takes on paper.
func printed(t *testing.T, b *browser, file string, paper [2]float64) int {
	t.Helper()
	b.open(t, file, 1280)
	r, err := chromedp.Call(b.ctx, printing.PrintToPDF, printing.PrintToPDFParams{PaperWidth: paper[0], PaperHeight: paper[1]})
	if err != nil {
		t.Fatal(err)
	}
	return len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(r.Data, -1))
}

// On paper the first two pages are those to sign, and the demo takes twelve at most: on Letter and
// on A4.
func recordOnPaper(t *testing.T, b *browser, file string) {
	front := filepath.Join(t.TempDir(), "front.html")
	if code, _, stderr := runCommand(t, "record", filepath.Dir(file), "--front", "-o", front); code != 0 {
		t.Fatal(stderr)
	}
	for name, paper := range papers() {
		if n := printed(t, b, file, paper); n < 3 || n > 12 {
			t.Errorf("%s: %d pages, want 12 at most", name, n)
		}
		if n := printed(t, b, front, paper); n != 2 {
			t.Errorf("%s: the first part takes %d pages, want 2", name, n)
		}
	}
}

// What is signed stays on two pages: with a row of bays more than fits a line, with many open bays of
// one order, with a list of each kind, with more sections than the table has room for on the first
// page.
func frontIsTwoPages(t *testing.T, b *browser, _ string) {
	jobs := map[string]func(row func(format string, args ...any)){}
	plainly := func(sections, bays int, pounds float64) func(row func(format string, args ...any)) {
		return func(row func(format string, args ...any)) {
			for s := range sections {
				for k := range bays {
					row("slope %02d,b%d,fill,22.5,5.5; 5.5,%d,%g,,,ro,,yes,2026-04-02 %02d:%02d", s+1, k+1, 10+k%5, pounds*float64(10+k%5)/12, 8+s/6, s%6*10+k%10)
				}
			}
		}
	}
	jobs["four sections of sixteen"] = plainly(4, 16, 40)
	jobs["sixty bays want the same"] = plainly(4, 15, 36)
	jobs["thirty sections of eight"] = plainly(30, 8, 40)
	jobs["twenty sections of three"] = plainly(20, 3, 40)
	jobs["a list of each kind"] = func(row func(format string, args ...any)) {
		plainly(3, 12, 38)(row)
		for k := range 4 {
			row("slope 01,b%d,closed,,,,,,,ro,,,2026-04-02 18:0%d", k+1, k)
			row("slope 01,b%d,seen,,,,,rod empty,5,sv,,,2026-04-02 18:1%d", k+1, k)
			row("slope 02,b%d,decided,,,,,,,A. Supervisor,\"opened from inside and looked, the bay is open to the next; the owner agreed\",,2026-04-02 18:2%d", k+1, k)
			row("slope 03,x%d,leave,,,,,,,ro,flue of the wood stove,,2026-04-02 18:3%d", k+1, k)
		}
	}
	for name, write := range jobs {
		dir := t.TempDir()
		log := "section,bay,entry,width,depth,length,weight,probe,at,by,note,stall,time\n"
		write(func(format string, args ...any) { log += fmt.Sprintf(format, args...) + "\n" })
		makeFile(t, filepath.Join(dir, "bays.csv"), log)
		if code, _, stderr := runCommand(t, "record", dir, "--front"); code != 0 {
			t.Fatal(name, stderr)
		}
		for paper, size := range papers() {
			if n := printed(t, b, filepath.Join(dir, "front.html"), size); n != 2 {
				t.Errorf("%s, %s: the first part takes %d pages, want 2", name, paper, n)
			}
		}
	}
}

// closedJob writes a job of 500 bays in 20 sections, all closed, one in fifty of them light, and
// returns its folder.
func closedJob(t *testing.T) string {
	t.Helper()
	dir, random := t.TempDir(), rand.New(rand.NewPCG(5, 5))
	var sections, log strings.Builder
	sections.WriteString("section,kind,bays\n")
	log.WriteString("section,bay,entry,width,depth,length,bags,by,time\n")
	row := 0
	for s := range 20 {
		fmt.Fprintf(&sections, "sec %d,rafter,25\n", s+1)
		for i := range 25 {
			width, depth, length := 22.5-float64(random.IntN(3))/8, 9.25+float64(random.IntN(3)-1)/8, 12+float64(random.IntN(3))/2
			density := 3.85 + 0.12*random.NormFloat64()
			if random.IntN(50) == 0 {
				density *= 0.8
			}
			bags := math.Round(width/12*depth/12*length*density/25*8) / 8
			at := fmt.Sprintf("2026-05-%02d %02d:%02d", 4+row/80, 8+row%80/10, row%10*6)
			fmt.Fprintf(&log, "sec %d,b%d,fill,%g,%g; %g,%g,%g,rm,%s\nsec %d,b%d,closed,,,,,rm,%s\n", s+1, i+1, width, depth, depth-0.125, length, bags, at, s+1, i+1, at)
			row++
		}
	}
	makeFile(t, filepath.Join(dir, "job.csv"), "name,value\njob,Five hundred\ndate,2026-05-04\ncrew,alder\nbag_weight,25 lb\nbag_step,1/8\nto_stall,yes\n")
	makeFile(t, filepath.Join(dir, "sections.csv"), sections.String())
	makeFile(t, filepath.Join(dir, "bays.csv"), log.String())
	return dir
}

// A record of 500 bays in 20 sections is 3.5 MB at most and takes sixty pages at most, the first
// part two of them. Printing it takes a minute on a busy machine, so that it is left out, aloud, as
// the accessibility runs are.
func TestRecordOf500Bays(t *testing.T) {
	t.Parallel()
	dir := closedJob(t)
	if code, _, stderr := runCommand(t, "record", dir); code != 0 {
		t.Fatal(stderr)
	}
	file := filepath.Join(dir, "record.html")
	if info, err := os.Stat(file); err != nil || info.Size() > 3_500_000 {
		t.Errorf("%d bytes, want 3.5 MB at most: %v", info.Size(), err)
	}
	if code, _, stderr := runCommand(t, "record", dir, "--front"); code != 0 {
		t.Fatal(stderr)
	}
	if os.Getenv("BAYPROOF_ACCESSIBILITY") == "" {
		t.Skip("a long run, only with BAYPROOF_ACCESSIBILITY=1, as .ci/run does: 500 bays were not printed")
	}
	b := openTab(t, sharedChromium(t))
	for name, paper := range papers() {
		if n := printed(t, b, file, paper); n < 10 || n > 60 {
			t.Errorf("%s: %d pages, want 60 at most", name, n)
		}
		if n := printed(t, b, filepath.Join(dir, "front.html"), paper); n != 2 {
			t.Errorf("%s: the first part takes %d pages, want 2", name, n)
		}
	}
}

// Nothing in the record keeps anyone out: the accessibility checker finds no violation at some
// widths, light or dark, on the screen or as the page stands on paper, and with its scripts
// blocked.
func recordIsAccessible(media, scheme string, blocked bool, widths ...int64) func(*testing.T, *browser, string) {
	return func(t *testing.T, b *browser, file string) {
		axe := axeScript(t)
		call(t, b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: media, Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
		for _, width := range widths {
			call(t, b, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: blocked})
			b.open(t, file, width)
			call(t, b, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: false}) // for the checker: the page's own are past
			for _, v := range violations(t, b, axe) {
				t.Errorf("%d px: %s", width, v)
			}
		}
	}
}

// The checker finds something where there is something.
func checkerSeesWhatIsWrong(t *testing.T, b *browser, file string) {
	axe := axeScript(t)
	makeFile(t, file, `<!doctype html><html lang="en"><title>x</title><main><h1>x</h1><p style="color:#eee;background:#fff">A line in the color of the paper</p><img src="data:image/gif;base64,R0lGODlhAQABAAAAACw="></main>`)
	b.open(t, file, 390)
	if found := violations(t, b, axe); len(found) < 2 {
		t.Errorf("a line in the color of the paper and a picture without a text gave %q", found)
	}
}

// axeScript returns the accessibility checker. A run of it over a long page takes a minute of a
// processor or more, so that it is left out, aloud, where BAYPROOF_ACCESSIBILITY is not set;
// .ci/run sets it.
func axeScript(t *testing.T) string {
	t.Helper()
	if os.Getenv("BAYPROOF_ACCESSIBILITY") == "" {
		t.Skip("a long run, only with BAYPROOF_ACCESSIBILITY=1, as .ci/run does: accessibility was not checked")
	}
	axe, err := os.ReadFile("../node_modules/axe-core/axe.min.js")
	if err != nil {
		t.Skip("axe-core is not installed (npm ci): accessibility was not checked")
	}
	return string(axe)
}

func violations(t *testing.T, b *browser, axe string) []string {
	t.Helper()
	ask[bool](t, b, axe+";true")
	return ask[[]string](t, b, `axe.run().then(r => r.violations.map(v => v.id + " at " + v.nodes.slice(0, 3).map(n => n.target.join(" ")).join(", ")))`)
}

// What a log says cannot run in the record, nor in what a browser makes of it.
func hostileTextInTheRecord(t *testing.T, b *browser, file string) {
	dir := filepath.Dir(file)
	evil := `</script><script>document.title="ran"</script><img src=x onerror="document.title='ran'">"'&=1+1` + "\u202egnp.exe" + strings.Repeat("x", 10_000)
	quoted := `"` + strings.ReplaceAll(evil, `"`, `""`) + `"`
	makeFile(t, filepath.Join(dir, "job.csv"), "name,value\njob,"+quoted+"\nsite,"+quoted+"\ncrew,"+quoted+"\n")
	row := []string{quoted, quoted, "22.5", "5.5", "12", "40", quoted, quoted}
	makeFile(t, filepath.Join(dir, "bays.csv"), "section,bay,width,depth,length,weight,by,note\n"+strings.Join(row, ",")+"\n")
	if code, _, stderr := runCommand(t, "record", dir); code != 0 {
		t.Fatalf("record: exit code %d: %s", code, stderr)
	}
	for _, width := range []int64{1280, 390} {
		b.open(t, file, width)
		if title := ask[string](t, b, `document.title`); strings.TrimSpace(title) == "ran" {
			t.Error("hostile text ran")
		}
		if text := ask[string](t, b, `document.body.innerText`); !strings.Contains(text, `onerror="document.title='ran'"`) {
			t.Error("hostile text is not readable in the page")
		}
		if over := ask[int](t, b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
			t.Errorf("at %d the page is %d px wider than the screen", width, over)
		}
		b.quiet(t)
	}
}

// One job of 40 bays: at most 1 MB with the chart script inside, with room for what comes.
func TestRecordSize(t *testing.T) {
	if !hasLibrary() {
		t.Skip("the chart script is not built in (make script): the record is smaller than it will be")
	}
	info, err := os.Stat(demoRecord(t))
	if err != nil {
		t.Fatal(err)
	}
	if info.Size() > 985_000 { // 15 kB to spare
		t.Errorf("the demo's record has %d bytes, more than 985 kB", info.Size())
	}
}

// A page that a browser wrote anew, charts and all, no longer has its bytes: recheck says what
// happened, compares the figures and every line, and is not content.
func savedByABrowser(t *testing.T, b *browser, file string) {
	b.open(t, file, 1280)
	const as = `new XMLSerializer().serializeToString(document.doctype) + "\n" + document.documentElement.outerHTML`
	const drawn = `(() => { document.querySelectorAll("script[data-for]").forEach(e => document.getElementById(e.dataset.for).dispatchEvent(new PointerEvent("pointerenter"))); return ` + as + `; })()`
	for i, how := range []string{as, drawn} { // as it stands, and with every chart as the script draws it
		saved := filepath.Join(t.TempDir(), fmt.Sprintf("saved-%d.html", i))
		makeFile(t, saved, ask[string](t, b, how))
		code, stdout, stderr := runCommand(t, "recheck", saved)
		if flat := strings.Join(strings.Fields(stdout), " "); code != 4 || !strings.Contains(flat, "a browser saved it again") || !strings.Contains(flat, "figures holds") {
			t.Errorf("exit code %d: %s%s", code, stdout, stderr)
		}
	}
}

// The first pages of a job with everything that asks for a person: a bay closed on CLOSE in which
// something was found since, a bay that somebody decided, one that is left, sections whose empties
// do not fit.
func TestFrontSaysWhoDecidedWhat(t *testing.T) {
	dir := t.TempDir()
	makeFile(t, filepath.Join(dir, "job.csv"), "name,value\nbag_weight,25 lb\ndate,2026-03-02\n")
	makeFile(t, filepath.Join(dir, "sections.csv"), "section,bays,bags_used\nnorth,8,14\nsouth,3,2\n")
	var log strings.Builder
	log.WriteString("section,bay,entry,width,depth,length,weight,probe,at,by,note,time\n")
	for i := range 7 {
		fmt.Fprintf(&log, "north,n%d,,22.5,5.5; 5.5,12,40,,,ab,,08:1%d\nnorth,n%d,closed,,,,,,,ab,,08:1%d\n", i+1, i, i+1, i)
	}
	log.WriteString("north,n2,seen,,,,,rod empty,3,cd,,09:00\nnorth,n8,leave,,,,,,,ab,a flue,09:02\n")
	for i := range 3 {
		fmt.Fprintf(&log, "south,s%d,,22.5,5.5,12,%d,,,ab,,10:1%d\n", i+1, 32+2*i, i)
	}
	log.WriteString("south,s1,decided,,,,,,,cd,a second layer,10:30\n")
	makeFile(t, filepath.Join(dir, "bays.csv"), log.String())
	if code, _, stderr := runCommand(t, "record", dir); code != 0 {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	page := readFile(t, filepath.Join(dir, "record.html"))
	from, to := strings.Index(page, `<section id="front"`), strings.Index(page, `<section id="bays"`)
	text := strings.Join(strings.Fields(html.UnescapeString(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(page[from:to], " "))), " ")
	at := 0
	for _, want := range []string{
		"Not done: 6 of 10 bays may be closed, 1 is decided by a person; 3 want something first",
		"1 DECIDED", "1 LEFT",
		"Closed, and open again", "north n2 PROBE over 99 % ab 2026-03-02 08:11 a look found something since: rod empty at 3'; closed on CLOSE at over 99 %",
		"Decided by a person", "south s1 ADD under 1 % cd 2026-03-02 10:30 a second layer",
		"Open, and what to do", "south Count the empties again of south.", "ADD s2",
		"Not filled on purpose north n8 a flue, ab, 2026-03-02 09:02",
		"Is the material accounted for? Can the counts be trusted? ", "south: ", "north: 14 bags emptied, 11.20 logged",
	} {
		i := strings.Index(text[at:], want)
		if i < 0 {
			t.Errorf("after %q the first pages do not say %q: %s", text[max(0, at-40):at], want, text[at:min(len(text), at+1500)])
			continue
		}
		at += i + len(want)
	}
	if strings.Count(text, "s1 ADD") != 2 { // in the list of decisions and on the map
		t.Errorf("a decided bay is asked for again: %s", text)
	}
}
