package cmd_test

import (
	"bufio"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"bayproof/cmd/pocket/serve"
)

// serving runs `pocket --serve` as a program of its own at an address and returns the page's, and
// how to end it by Ctrl-C, which returns all that it said.
func serving(t *testing.T, dir, at string) (address string, stop func() string) {
	t.Helper()
	program := exec.Command("bayproof", "pocket", dir, "--serve", "--listen", at)
	stdout, err := program.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	program.Stderr = os.Stderr
	if err := program.Start(); err != nil {
		t.Fatal(err)
	}
	notForever(t, program)
	t.Cleanup(func() { _ = program.Process.Kill() })
	lines := bufio.NewReader(stdout)
	said := ""
	for address == "" {
		line, err := lines.ReadString('\n')
		if err != nil {
			t.Fatalf("no address: %q, %v", said, err)
		}
		if said += line; strings.HasPrefix(line, "HTTP://") {
			address = strings.TrimSpace(line)
		}
	}
	return address, func() string {
		_ = program.Process.Signal(os.Interrupt)
		rest, _ := io.ReadAll(lines)
		if err := program.Wait(); err != nil {
			t.Errorf("Ctrl-C: %v", err)
		}
		return said + string(rest)
	}
}

// A bay that is typed on the page that the command serves is in the log once; one that is typed
// while the truck is out of reach waits on the phone, says so, and is in the log once the truck is
// back. Where this computer has a private address the browser uses that: there a page is no secure
// context, and has neither locks nor a share sheet; elsewhere the locks are taken away.
func TestPocketServed(t *testing.T) {
	t.Parallel()
	needsChecker(t)
	if runtime.GOOS == "windows" {
		t.Skip("a program cannot be interrupted from another one there: Ctrl-C was not tried")
	}
	ip := "127.0.0.1"
	if own := serve.Own(); len(own) > 0 {
		ip = own[0]
	}
	free, err := net.Listen("tcp", net.JoinHostPort(ip, "0"))
	if err != nil {
		t.Fatal(err)
	}
	at := free.Addr().String()
	free.Close()
	chromium := sharedChromium(t)
	dir := filepath.Join(t.TempDir(), "served")
	shedJob(t, dir)
	address, stop := serving(t, dir, at)
	b := openTab(t, chromium, chromedp.WithNewBrowserContext())
	if ip == "127.0.0.1" {
		before(t, b, `Object.defineProperty(navigator, "locks", {value: undefined});`)
	}
	p := onPhone(t, b, address)
	first := []string{"2", "2", "1/2", "Next figure", "5", "1/2", "Next figure", "1", "2", "Next figure", "1", "3/4", "Yes"}
	p.tap(append([]string{"roof", "Fill b1"}, first...)...)
	p.until(`bayproof.store.rows.length === 1 && bayproof.store.rows[0].sent`)
	log := filepath.Join(dir, "bays.csv")
	count := func(bay string) int { return strings.Count(readFile(t, log), "roof,"+bay+",fill,") }
	if count("b1") != 1 {
		t.Fatalf("the log is %s", readFile(t, log))
	}
	p.load() // it is in the log that the page comes with now
	if ask[bool](t, b, `bayproof.store.rows.some(r => !r.known)`) {
		t.Error("the row is not known as the log's own")
	}
	if console, _ := b.said(); len(console) > 0 {
		t.Errorf("the console has %q", console)
	}
	if said := stop(); !strings.Contains(said, "roof b1 fill") || !strings.Contains(said, "Rows taken: 1.") {
		t.Errorf("the terminal had %q", said)
	}
	p.tap("roof", "Fill b2", "1", "3/4", "Yes", "Bays")
	p.until(`document.body.innerText.includes("out of reach. 1 row waits")`)
	if count("b2") != 0 {
		t.Error("b2 is in the log while nobody serves")
	}
	// Beside it somebody types in the same section at the prompt: what b2 takes over would be b7's.
	if code, _, stderr := typeLines(t, dir, "section roof\nb7 22 5 1/2 12 1 3/4\n"); code != 0 {
		t.Fatal(stderr)
	}
	again, stop := serving(t, dir, at)
	if again != address {
		t.Errorf("the page is at %s now, was at %s", again, address)
	}
	p.until(`document.body.innerText.includes("did not take")`)
	p.shows("roof b7 was logged since")
	p.shows("There: section roof, bay b7")
	if to := os.Getenv("BAYPROOF_SCREENS"); to != "" { // to be looked at
		png, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
		if err != nil {
			t.Fatal(err)
		}
		makeFile(t, filepath.Join(to, "refused.png"), string(png))
	}
	p.tap("Hand it over all the same")
	p.until(`bayproof.store.rows.every(r => r.sent || r.known)`)
	p.load()
	if count("b1") != 1 || count("b2") != 1 || count("b7") != 1 {
		t.Errorf("the log is %s", readFile(t, log))
	}
	if code, _, stderr := typeLines(t, dir, "section roof\nb8 22 5 1/2 12 1 3/4\n"); code != 0 {
		t.Errorf("the prompt beside the server: %s", stderr)
	}
	stop()
	if err := os.Remove(log + ".serve"); err != nil { // the token of another address
		t.Fatal(err)
	}
	other, stop := serving(t, dir, at)
	if other == address {
		t.Error("the token is the old one")
	}
	p.tap("roof", "Fill", "1", "3/4", "Yes", "Bays")
	p.until(`document.body.innerText.includes("address has changed")`)
	p.file = other
	p.load()
	p.until(`bayproof.store.rows.every(r => r.sent || r.known || r.refused)`)
	stop()
	if code, stdout, stderr := runCommand(t, "check", dir); strings.Contains(stdout+stderr, "journal") || strings.Contains(stdout, "backward") || code == 1 {
		t.Errorf("check: exit code %d: %s%s", code, stdout, stderr)
	}
}
