package cmd_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
)

// programmePage writes the review of the invented programme as a page and returns its path.
func programmePage(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	jobs, page := filepath.Join(dir, "jobs"), filepath.Join(dir, "review.html")
	if err := writeProgramme(jobs); err != nil {
		t.Fatal(err)
	}
	code, _, stderr := runCommand(t, "review", jobs, "--settings", filepath.Join(jobs, "programme.csv"), "--inspect", "12", "--html", page)
	if code != 3 { // one job is not readable
		t.Fatalf("review: exit code %d: %s", code, stderr)
	}
	return page
}

// A thousand jobs: the table is folded until it is wanted, a filter or a search takes no more than
// a tenth of a second, layout included.
func reviewOfAThousand(t *testing.T, b *browser, file string) {
	b.open(t, file, 1280)
	if high := ask[int](t, b, `document.documentElement.scrollHeight`); high > 5000 {
		t.Errorf("the page is %d px high", high)
	}
	const fastest = `(() => { document.getElementById("alljobs").open = true; const s = document.querySelector(".tools input"); let best = 1e9; for (let n = 0; n < 50 && best > 100; n++) for (const word of ["7", "17", "", "job 99"]) { const t0 = performance.now(); s.value = word; s.oninput(); document.body.offsetHeight; best = Math.min(best, performance.now() - t0) } return best })()`
	took := ask[float64](t, b, fastest)
	t.Logf("filtered in %.1f ms at best", took)
	if took > 100 { // the least of several: the machine may be busy
		t.Errorf("a search takes %.0f ms", took)
	}
	if n := ask[int](t, b, `[...document.querySelectorAll(".jobs tbody tr")].filter(e => !e.hidden).length`); n == 0 || n > 100 {
		t.Errorf("%d rows shown", n)
	}
}

// thousandPage writes the review of a thousand jobs as a page and returns its path.
func thousandPage(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	var log strings.Builder
	log.WriteString("job,crew,bay,width,depth,length,bags\n")
	for i := range 1000 {
		for k := range 4 {
			fmt.Fprintf(&log, "job %03d,crew %d,b%d,22.5,5.5,%d,%d.%d\n", i, i%10, k+1, 9+3*k, 1+k/2, 25+50*(k%2))
		}
	}
	file, page := filepath.Join(dir, "many.csv"), filepath.Join(dir, "thousand.html")
	if err := os.WriteFile(file, []byte(log.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, _, stderr := runCommand(t, "review", file, "--bag-weight", "25 lb", "--figures", "--html", page); code != 0 {
		t.Fatalf("review: exit code %d: %s", code, stderr)
	}
	return page
}

// At the width of a desk, a tablet and a phone nothing hangs over the edge, at a desk and on a
// tablet no table has to be scrolled, nothing is said to the console and nothing leaves the page.
func reviewAtEveryWidth(t *testing.T, b *browser, file string) {
	for _, width := range []int64{1280, 768, 390} {
		t.Run(fmt.Sprint(width), func(t *testing.T) {
			b.open(t, file, width)
			if over := ask[int](t, b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				t.Errorf("the page is %d px wider than the screen", over)
			}
			const scrolled = `document.querySelectorAll("details.fold").forEach(e => e.open = true); [...document.querySelectorAll("main > section:not(#jobcards) .wide")].filter(e => e.scrollWidth > e.clientWidth + 1).map(e => e.closest("section").id)`
			if width >= 768 {
				if hidden := ask[[]string](t, b, scrolled); len(hidden) > 0 {
					t.Errorf("tables that do not fit: %q", hidden)
				}
			}
			b.quiet(t)
		})
	}
}

// The first two screens of a desk, 1600 px, name every crew and job of the invented program that
// cheats with what it does, and accuse no other crew of anything.
func reviewNamesTheCheats(t *testing.T, b *browser, file string) {
	b.open(t, file, 1280)
	const shown = `[...document.querySelectorAll("#glance li, .first-jobs > li, .suspects > li")].filter(e => { const r = e.getBoundingClientRect(); return r.height > 0 && r.bottom <= 1600 }).map(e => e.innerText)`
	items := ask[[]string](t, b, shown)
	for _, cheat := range [][2]string{
		{"Ash", "short and closed"}, {"Elm", "short and closed"},
		{"crew Ash", "erms of its own"}, {"crew Cedar", "fit one density"}, {"crew Larch", "eights follow the tape"}, {"crew Linden", "more than its empties"},
		{"15 ", "ows copied and changed"}, {"25 ", "aster than a machine"}, {"35 ", "photo saved anew"}, {"45 ", "easured rows stand twice"},
	} {
		if !slices.ContainsFunc(items, func(x string) bool { return strings.Contains(x, cheat[0]) && strings.Contains(x, cheat[1]) }) {
			t.Errorf("nothing on the first two screens says of %q %q", cheat[0], cheat[1])
		}
	}
	const accused = `[...document.querySelectorAll(".suspects > li")].map(e => e.querySelector(".of").innerText)`
	for _, of := range ask[[]string](t, b, accused) {
		for _, honest := range []string{"Alder", "Maple", "Hazel", "crew Birch"} { // a job of Birch's has a picture of another one's
			if strings.Contains(of, honest) {
				t.Errorf("%q is accused", of)
			}
		}
	}
}

// On paper the review of sixty jobs takes ten pages at most, and no table is wider than the sheet:
// Letter and A4 less the margins of 13 mm are 718 and 695 px wide.
func reviewOnPaper(t *testing.T, b *browser, file string) {
	for name, paper := range papers() {
		if n := printed(t, b, file, paper); n < 2 || n > 10 {
			t.Errorf("%s: %d pages, want 10 at most", name, n)
		}
	}
	// Chromium repeats the head of a table on every sheet only where no button stands in it.
	b.open(t, file, 1280)
	const buttons = `(() => { const n = () => [document.querySelectorAll(".jobs thead button").length, document.querySelector(".jobs thead").innerText.replace(/\s+/g, "").length], at = n(); dispatchEvent(new Event("beforeprint")); const on = n(); dispatchEvent(new Event("afterprint")); return [at, on, n()].flat(); })()`
	if n := ask[[]int](t, b, buttons); n[0] == 0 || n[2] != 0 || n[4] != n[0] || n[1] != n[3] || n[1] != n[5] {
		t.Errorf("buttons in the head and its letters, on the screen, on paper, and after: %v", n)
	}
	call(t, b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
	for _, width := range []int64{718, 695} {
		b.open(t, file, width)
		const wide = `[...document.querySelectorAll("table")].filter(e => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1).map(e => e.closest("section").id)`
		if over := ask[[]string](t, b, wide); len(over) > 0 {
			t.Errorf("%d px: tables wider than the paper: %q", width, over)
		}
		const unfolded = `[...document.querySelectorAll("#jobcards details.job")].filter(e => e.getBoundingClientRect().height > 0).length`
		if n := ask[int](t, b, unfolded); n != 0 {
			t.Errorf("%d jobs that nobody unfolded are printed", n)
		}
		if n := ask[int](t, b, `document.querySelectorAll("#jobcards details.job").forEach((e, i) => e.open = i < 3); `+unfolded); n != 3 {
			t.Errorf("%d jobs are printed, three are unfolded", n)
		}
	}
}

// The script adds tools and no facts: with scripts blocked the page says the same. With it every
// crew and state can be chosen, what does not fit is hidden, a head sorts, and a link unfolds what
// it leads to.
func reviewWithoutScripts(t *testing.T, b *browser, file string) {
	b.open(t, file, 1280)
	with := visible(t, b)
	const shown = `[...document.querySelectorAll(".jobs tbody tr")].filter(e => !e.hidden)`
	if bad := ask[[]string](t, b, `(() => { const crew = document.querySelectorAll(".tools select")[0]; crew.value = "Elm"; crew.onchange(); return `+shown+`.map(e => e.cells[1].textContent).filter(x => x !== "Elm") })()`); len(bad) > 0 {
		t.Errorf("of other crews: %q", bad)
	}
	if n := ask[int](t, b, `(() => { document.querySelectorAll(".tools select")[0].value = ""; const s = document.querySelector(".tools input"); s.value = "mill bank"; s.oninput(); return `+shown+`.length })()`); n == 0 || n > 6 {
		t.Errorf("%d jobs called Mill Bank", n)
	}
	if ok := ask[bool](t, b, `(() => { const s = document.querySelector(".tools input"); s.value = ""; s.oninput(); document.querySelector(".jobs thead button").onclick(); const names = `+shown+`.map(e => e.cells[0].textContent); return names.length > 20 && names.every((x, i) => i === 0 || names[i-1] <= x) })()`); !ok {
		t.Error("not sorted by name")
	}
	if high := ask[int](t, b, `document.getElementById("jobs").offsetTop`); high > 3*800 {
		t.Errorf("details begin at %d px, three screens are 2400", high)
	}
	call(t, b, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	b.open(t, file, 1280)
	if high := ask[float64](t, b, `(() => { const e = document.querySelector('.first-jobs a'); const to = document.getElementById(e.hash.slice(1)); e.click(); return to.getBoundingClientRect().height })()`); high < 20 {
		t.Errorf("a link without the script unfolds %v px", high)
	}
	if without := visible(t, b); without != with || len(with) < 5000 {
		t.Errorf("%d characters with scripts, %d without", len(with), len(without))
	}
	for _, fact := range []string{"jobs need you", "is the same picture as", "cell for cell", "bays counted from outside", ", drawn with seed 1", "width -22.5 is negative"} {
		if !strings.Contains(with, fact) {
			t.Errorf("the page does not say %q", fact)
		}
	}
}

// Nothing in the review keeps anyone out: the accessibility checker finds no violation at a desk
// and on a phone, light and dark, jobs unfolded; and it finds one where there is one. Every link
// leads somewhere, and the keyboard reaches it.
func reviewIsAccessible(t *testing.T, b *browser, file string) {
	axe := axeScript(t)
	for _, scheme := range []string{"light", "dark"} {
		call(t, b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
		for _, width := range []int64{1280, 390} {
			b.open(t, file, width)
			ask[bool](t, b, `document.querySelectorAll("details").forEach((e, i) => e.open = i < 6); true`)
			for _, v := range violations(t, b, axe) {
				t.Errorf("%s, %d px: %s", scheme, width, v)
			}
		}
	}
	const astray = `[...document.querySelectorAll('a[href^="#"]')].filter(a => !document.getElementById(a.hash.slice(1))).map(a => a.hash)`
	if links := ask[[]string](t, b, astray); len(links) > 0 {
		t.Errorf("links that lead nowhere: %q", links)
	}
	const unreached = `[...document.querySelectorAll("a, summary, .wide")].filter(e => e.tabIndex < 0).length`
	if n := ask[int](t, b, unreached); n > 0 {
		t.Errorf("%d links or tables are out of the keyboard's reach", n)
	}
	ask[bool](t, b, `document.querySelector("h2").style.color = "var(--paper)"; document.body.append(new Image()); true`)
	if found := violations(t, b, axe); len(found) < 2 {
		t.Errorf("a title in the colour of the paper and a picture without a text gave %q", found)
	}
}
