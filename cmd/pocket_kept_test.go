package cmd_test

import (
	"context"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	script "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// before has a script run in the tab before any page's own.
func before(t *testing.T, b *browser, source string) {
	t.Helper()
	call(t, b, script.AddScriptToEvaluateOnNewDocument, script.AddScriptToEvaluateOnNewDocumentParams{Source: source})
}

// What is typed outlives a reload, the half of a bay too, and a clock that is set back; photos are
// kept by bay and number.
func pocketKeepsWhatIsTyped(t *testing.T, b *browser, _ string) {
	dir := filepath.Join(t.TempDir(), "kept")
	shedJob(t, dir)
	p := onPhone(t, b, pocketOf(t, dir))
	p.tap("roof", "Fill b1", "2", "2", "1/2", "Next figure", "5")
	p.load()
	p.tap("1/2", "Next figure", "1", "2", "Next figure", "1", "3/4", "Yes")
	p.load()
	p.tap("roof")
	p.shows("CLOSE")
	ask[bool](t, b, `(() => { const D = Date; Date = class extends D { constructor(...a) { a.length ? super(...a) : super(D.now() - 864e5); } static now() { return D.now() - 864e5; } }; return true; })()`)
	p.tap("Fill b2", "1", "3/4", "Yes", "Undo", "Fill b2", "1", "3/4", "Yes")
	p.tap("Bays", "b2", "Looked", "hand firm", "Photo")
	ask[bool](t, b, `(() => { const d = new DataTransfer(); d.items.add(new File(["jpeg"], "IMG_1.jpg", {type: "image/jpeg"})); const i = document.querySelector("input[type=file]"); i.files = d.files; i.dispatchEvent(new Event("change")); return true; })()`)
	p.until(`!bayproof.busy && document.body.innerText.includes("b2-1.jpg")`)
	p.tap("Log it")
	p.load()
	log := p.log()
	rows := strings.Split(strings.TrimSpace(log), "\n")
	if len(rows) != 6 || !strings.Contains(rows[5], "hand firm") || !strings.Contains(rows[5], "b2-1.jpg") {
		t.Fatalf("the log is %s", log)
	}
	var last time.Time
	for _, row := range rows[1:] {
		at, err := time.Parse(time.RFC3339, row[strings.LastIndexByte(row, ',')+1:])
		if err != nil || !at.After(last) {
			t.Errorf("%v: the time of %s is not after %s", err, row, last)
		}
		last = at
	}
	// A page that is written anew, its log holding what was shared, goes on from there.
	shared := filepath.Join(t.TempDir(), "bays.csv")
	makeFile(t, shared, strings.Join(rows[:5], "\n")+"\n")
	if code, _, stderr := runCommand(t, "log", dir, "--from", shared); code != 0 {
		t.Fatal(stderr)
	}
	pocketOf(t, dir)
	p.load()
	if got := p.log(); got != log {
		t.Errorf("on the new page the log is\n%s\nit was\n%s", got, log)
	}
	p.tap("roof", "Undo") // entries of before can be taken back
	if got := strings.Count(p.log(), "\n"); got != 7 {
		t.Errorf("after one row was taken back there are %d lines", got)
	}
	p.quiet(t)
}

// Where the disk is full nothing is shown as kept, and what was typed can be tried again; where a
// browser keeps nothing the page says so on opening.
func pocketWhereNothingIsKept(t *testing.T, b *browser, _ string) {
	dir := filepath.Join(t.TempDir(), "full")
	shedJob(t, dir)
	p := onPhone(t, b, pocketOf(t, dir))
	ask[bool](t, b, `(() => { window.add = IDBObjectStore.prototype.add; IDBObjectStore.prototype.add = function () { throw new DOMException("full", "QuotaExceededError"); }; return true; })()`)
	p.tap("roof", "Fill b1", "2", "2", "1/2", "Next figure", "5", "1/2", "Next figure", "1", "2", "Next figure", "1", "3/4", "Yes")
	p.shows("NOT KEPT")
	p.tap("Try again")
	p.shows("NOT KEPT")
	ask[bool](t, b, `IDBObjectStore.prototype.add = window.add; true`)
	p.tap("Try again")
	p.shows("CLOSE")
	p.load()
	if log := p.log(); strings.Count(log, "\n") != 2 {
		t.Errorf("the log is %s", log)
	}
	before(t, b, `Object.defineProperty(window, "indexedDB", {get() { throw new DOMException("no", "SecurityError"); }});`)
	makeFile(t, filepath.Join(dir, "job.csv"), "name,value\njob,nothing\nbag_weight,25 lb\n")
	pocketOf(t, dir)
	p.load()
	p.shows("keeps nothing")
	p.tap("roof", "Fill b1", "2", "2", "1/2", "Next figure", "5", "1/2", "Next figure", "1", "2", "Next figure", "1", "3/4", "Yes", "Bays", "Back")
	p.shows("1 of 1 rows are on this phone alone")
	p.quiet(t)
}

// Of two tabs one writes: the other one only shows, and shows what the first wrote; with the
// browser's locks, and without.
func pocketInTwoTabs(t *testing.T, b *browser, _ string) {
	for _, without := range []string{"", `Object.defineProperty(navigator, "locks", {value: undefined});`} {
		dir := filepath.Join(t.TempDir(), "two")
		shedJob(t, dir)
		file := pocketOf(t, dir)
		other := openTab(t, b.ctx)
		if without != "" {
			before(t, b, without)
			before(t, other, without)
		}
		first := onPhone(t, b, file)
		second := onPhone(t, other, file)
		second.shows("Open in another tab")
		second.tap("roof")
		if ask[bool](t, other, `[...document.querySelectorAll("button")].some(b => b.innerText.startsWith("Fill") && !b.disabled)`) {
			t.Error("the second tab offers to log")
		}
		first.tap("roof", "Fill b1", "2", "2", "1/2", "Next figure", "5", "1/2", "Next figure", "1", "2", "Next figure", "1", "3/4", "Yes")
		second.until(`window.bayproof && bayproof.store.rows.length === 1 && document.documentElement.dataset.ready`)
		second.shows("Open in another tab")
		first.quiet(t)
		ask[bool](t, b, `new Promise(ok => { const q = indexedDB.open("bayproof"); q.onsuccess = () => { const tx = q.result.transaction(["rows", "jobs", "holders"], "readwrite"); for (const s of ["rows", "jobs", "holders"]) tx.objectStore(s).clear(); tx.oncomplete = () => ok(true); }; })`)
		if err := chromedp.Do(b.ctx, chromedp.Navigate("about:blank")); err != nil {
			t.Fatal(err)
		}
		if err := chromedp.Do(other.ctx, chromedp.Navigate("about:blank")); err != nil {
			t.Fatal(err)
		}
	}
}

// TestPocketKilled kills a tab, or the whole browser, at random moments while bays are typed: no
// row whose verdict was shown is lost, none is there twice. BAYPROOF_KILLS says how often; `make
// kills` kills 500 times.
func TestPocketKilled(t *testing.T) {
	t.Parallel()
	needsChecker(t)
	kills := 4
	if n, err := strconv.Atoi(os.Getenv("BAYPROOF_KILLS")); err == nil {
		kills = min(n, 500)
	}
	dir, profile := filepath.Join(t.TempDir(), "killed"), t.TempDir()
	shedJob(t, dir)
	file := pocketOf(t, dir)
	rng := rand.New(rand.NewPCG(18, 2026))
	told := 0
	chromium, stop := startChromiumIn(t, profile)
	defer func() { stop() }()
	for n := range kills {
		b := openTab(t, chromium)
		p := onPhone(t, b, file)
		rows := ask[[]string](t, b, `bayproof.store.rows.map(r => r.row.bay)`)
		if len(rows) < told || len(rows) > told+1 {
			t.Fatalf("after %d kills %d rows are kept, %d were told", n, len(rows), told)
		}
		slices.Sort(rows)
		if len(slices.Compact(slices.Clone(rows))) != len(rows) {
			t.Fatalf("after %d kills a bay is there twice: %q", n, rows)
		}
		told = len(rows)
		if ask[bool](t, b, `document.body.className === "form"`) { // the half of a bay: it is typed anew
			p.tap("Back")
		} else {
			p.tap("roof")
		}
		whole, after := rng.IntN(2) == 0, time.Duration(rng.IntN(3000))*time.Millisecond
		typing, end := context.WithCancel(b.ctx)
		ended := make(chan struct{})
		go func() {
			defer close(ended)
			time.Sleep(after)
			if whole {
				_ = chromedp.FromContext(chromium).Browser.Process().Kill()
			} else {
				crash, cancel := context.WithTimeout(b.ctx, time.Second)
				_, _ = chromedp.Call(crash, script.Crash, cdp.Empty{}) // the tab never answers
				cancel()
			}
			end()
		}()
		for typing.Err() == nil {
			// One bay by the page's own buttons; the verdict is on the screen when it is counted.
			if bays, err := chromedp.Run(typing, chromedp.Evaluate[int](typeOneBay, chromedp.EvalAwaitPromise)); err == nil {
				told = bays
			} else if typing.Err() == nil && !strings.Contains(err.Error(), "crash") && !whole {
				time.Sleep(10 * time.Millisecond)
			}
		}
		<-ended
		if whole {
			stop()
			chromium, stop = startChromiumIn(t, profile)
		}
	}
	t.Logf("%d kills, %d rows told, none lost, none twice", kills, told)
}

// typeOneBay types the next bay with sizes of its own and answers with how many rows are told.
const typeOneBay = `(async () => {
	const press = async text => {
		for (let n = 0; n < 400; n++) {
			const b = [...document.querySelectorAll("button:not(:disabled)")].find(b => b.innerText.trim().startsWith(text) || b.getAttribute("aria-label") === text);
			if (b && !bayproof.busy) { b.click(); await new Promise(r => setTimeout(r, 5)); return; }
			await new Promise(r => setTimeout(r, 10));
		}
		throw new Error("no " + text + ": " + document.body.innerText);
	};
	if (document.body.className === "bays") await press(document.body.innerText.includes("One more") ? "One more" : "Fill");
	else await press(document.body.innerText.includes("One more") ? "One more" : "Next: ");
	for (const text of ["Width", "2", "2", "1/2", "Depth", "5", "1/2", "Length", "1", "2", "Bags", "1", "3/4", "Yes"]) await press(text);
	for (let n = 0; n < 400 && !(document.body.className === "verdict" && !bayproof.busy); n++) await new Promise(r => setTimeout(r, 10));
	return bayproof.store.rows.length;
})()`

// startChromiumIn starts a Chromium of its own whose profile lives on; stop ends it.
func startChromiumIn(t *testing.T, profile string) (context.Context, func()) {
	t.Helper()
	for _, name := range []string{"SingletonLock", "SingletonCookie", "SingletonSocket"} { // of one that was killed
		_ = os.Remove(filepath.Join(profile, name))
	}
	ctx, stop, err := newChromium(chromiumPath(t), chromedp.UserDataDir(profile))
	if err != nil {
		t.Fatal(err)
	}
	return ctx, stop
}

// The page as a site: opened once, it opens again with its server gone and the browser started
// anew, and keeps its rows; its worker, manifest and icons are all that it asks for.
func TestPocketAsSite(t *testing.T) {
	t.Parallel()
	needsChecker(t)
	dir, site, profile := filepath.Join(t.TempDir(), "site"), filepath.Join(t.TempDir(), "www"), t.TempDir()
	shedJob(t, dir)
	if code, _, stderr := runCommand(t, "pocket", dir, "--folder", site); code != 0 {
		t.Fatalf("pocket: exit code %d: %s", code, stderr)
	}
	server := httptest.NewServer(http.FileServer(http.Dir(site)))
	defer server.Close()
	chromium, stop := startChromiumIn(t, profile)
	b := openTab(t, chromium)
	p := onPhone(t, b, server.URL+"/")
	p.until(`navigator.serviceWorker.controller`)
	p.tap("roof", "Fill b1", "2", "2", "1/2", "Next figure", "5", "1/2", "Next figure", "1", "2", "Next figure", "1", "3/4", "Yes")
	p.shows("CLOSE")
	console, requests := b.said()
	for _, u := range requests {
		if !strings.HasPrefix(u, server.URL) {
			t.Errorf("the page asked for %s", u)
		}
	}
	if len(console) > 0 {
		t.Errorf("the console has %q", console)
	}
	stop()
	server.CloseClientConnections()
	server.Close()
	chromium, stop = startChromiumIn(t, profile)
	defer stop()
	p = onPhone(t, openTab(t, chromium), server.URL+"/")
	p.tap("roof")
	p.shows("CLOSE")
}
