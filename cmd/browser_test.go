package cmd_test

import (
	"context"
	"fmt"
	"net/url"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"bayproof/cmd/pocket/serve"
)

// browser is a tab of a real Chromium without a network, and what its pages did.
type browser struct {
	ctx      context.Context
	chromium context.Context // that it is a tab of

	mu       sync.Mutex
	console  []string // lines, errors, exceptions, blocked loads
	requests []string // what was asked for besides the page itself
}

// look is what a test looks at in a tab of its own.
type look struct {
	name, file string
	look       func(t *testing.T, b *browser, file string)
}

// inTabs looks at pages beside each other.
func inTabs(t *testing.T, looks []look, how ...chromedp.ContextOption) {
	for _, x := range looks {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			x.look(t, openTab(t, sharedChromium(t), how...), x.file)
		})
	}
}

// TestInABrowser looks at the pages in one Chromium, each test in a tab of its own.
func TestInABrowser(t *testing.T) {
	t.Parallel()
	chromiumPath(t)
	record, review := demoRecord(t), programmePage(t)
	inTabs(t, []look{
		{"record", record, recordAtEveryWidth},
		{"record without scripts", record, recordWithoutScripts},
		{"record on paper", record, recordOnPaper},
		{"the part to sign", "", frontIsTwoPages},
		{"record saved by a browser", record, savedByABrowser},
		{"hostile text in the record", filepath.Join(t.TempDir(), "record.html"), hostileTextInTheRecord},
		{"review", review, reviewAtEveryWidth},
		{"review of a thousand", thousandPage(t), reviewOfAThousand},
		{"review names the cheats", review, reviewNamesTheCheats},
		{"review on paper", review, reviewOnPaper},
		{"review without scripts", review, reviewWithoutScripts},
		{"sheets on paper", planned(t), sheetsOnPaper},
		{"loud page is heard", filepath.Join(t.TempDir(), "loud.html"), loudPageIsHeard},
	})
	wrong := filepath.Join(t.TempDir(), "wrong.html")
	t.Run("is accessible", func(t *testing.T) {
		axeScript(t)
		inTabs(t, []look{
			{"record dark", record, recordIsAccessible("screen", "dark", false, 1280, 390)},
			{"record wide", record, recordIsAccessible("screen", "light", false, 1280)},
			{"record narrow", record, recordIsAccessible("screen", "light", false, 768, 390)},
			{"record on paper", record, recordIsAccessible("print", "light", false, 768)},
			{"record without scripts", record, recordIsAccessible("screen", "light", true, 768)},
			{"review", review, reviewIsAccessible},
			{"checker sees what is wrong", wrong, checkerSeesWhatIsWrong},
		})
	})
}

// tabs is the Chromium in which most tests open a tab of their own: started for the first that asks,
// ended behind the last test.
var tabs struct {
	sync.Once
	chromium context.Context
	end      func()
	err      error
}

// sharedChromium is that Chromium; where there is none the test is skipped aloud.
func sharedChromium(t *testing.T) context.Context {
	t.Helper()
	path := chromiumPath(t)
	tabs.Do(func() { tabs.chromium, tabs.end, tabs.err = newChromium(path) })
	if tabs.err != nil {
		t.Fatal(tabs.err)
	}
	return tabs.chromium
}

// chromiumPath finds Chromium.
func chromiumPath(t *testing.T) string {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed: the page was not looked at in a browser")
	}
	return path
}

// newChromium starts a Chromium that reaches no address but this computer's own. Without its own
// suggestions below the address bar, which no page shows, a tab takes a third less of a processor.
func newChromium(path string, more ...chromedp.ExecAllocatorOption) (context.Context, func(), error) {
	hosts := "MAP * ~NOTFOUND , EXCLUDE 127.0.0.1"
	for _, own := range serve.Own() {
		hosts += " , EXCLUDE " + own
	}
	options := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]),
		chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.WSURLReadTimeout(3*time.Minute),
		chromedp.Flag("disable-features", "Translate,BlinkGenPropertyTrees,WebUIOmniboxPopup,WebUIOmniboxAimPopup"),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("host-resolver-rules", hosts))
	alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), append(options, more...)...)
	ctx, stop := chromedp.NewContext(alloc)
	end := func() { stop(); stopAlloc() }
	if err := chromedp.Do(ctx); err != nil {
		end()
		return nil, nil, fmt.Errorf("chromium does not start: %w", err)
	}
	return ctx, end, nil
}

// openTab opens a tab that remembers what its pages say and ask for.
func openTab(t *testing.T, chromium context.Context, more ...chromedp.ContextOption) *browser {
	t.Helper()
	b := &browser{chromium: chromium}
	ctx, stop := chromedp.NewContext(chromium, append(more, chromedp.WithListener(b.note))...)
	ctx, cancel := context.WithTimeout(ctx, 8*time.Minute) // against one that hangs; the accessibility checker on a busy machine takes minutes
	t.Cleanup(func() { cancel(); stop() })
	b.ctx = ctx
	call(t, b, network.Enable, network.EnableParams{})
	call(t, b, log.Enable, cdp.Empty{})
	return b
}

// note keeps what a page says and asks for; it runs while messages are read.
func (b *browser) note(event any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch e := event.(type) {
	case *runtime.EventConsoleAPICalled:
		b.console = append(b.console, "console."+string(e.Type))
	case *runtime.EventExceptionThrown:
		b.console = append(b.console, e.ExceptionDetails.Text)
	case *log.EventEntryAdded:
		b.console = append(b.console, e.Entry.Text)
	case *network.EventRequestWillBeSent:
		if u := e.Request.URL; !strings.HasPrefix(u, "file://") && !strings.HasPrefix(u, "data:") {
			b.requests = append(b.requests, u)
		}
	}
}

// said returns what pages did since it was last asked, and forgets it.
func (b *browser) said() (console, requests []string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	console, requests = b.console, b.requests
	b.console, b.requests = nil, nil
	return console, requests
}

// quiet fails where a page said something to the console or asked for anything.
func (b *browser) quiet(t *testing.T) {
	t.Helper()
	console, requests := b.said()
	if len(console) > 0 {
		t.Errorf("the console has %q", console)
	}
	if len(requests) > 0 {
		t.Errorf("the page asked for %q", requests)
	}
}

// open shows a file at a width, px.
func (b *browser) open(t *testing.T, file string, width int64) {
	t.Helper()
	address := (&url.URL{Scheme: "file", Path: filepath.ToSlash(file)}).String()
	err := chromedp.Do(b.ctx, chromedp.EmulateViewport(width, 900), chromedp.Navigate(address), chromedp.WaitReady("body"))
	if err != nil {
		t.Fatal(err)
	}
}

// ask evaluates an expression in the page.
func ask[T any](t *testing.T, b *browser, expression string) T {
	t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatalf("%.60s: %v", expression, err)
	}
	return v
}

// call runs one command of the browser's protocol.
func call[P, R any](t *testing.T, b *browser, cmd cdp.Command[P, R], params P) {
	t.Helper()
	if _, err := chromedp.Call(b.ctx, cmd, params); err != nil {
		t.Fatal(err)
	}
}
