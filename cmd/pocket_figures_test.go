package cmd_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp"

	"bayproof/cmd/pocket"
	"bayproof/model/joblog"
)

// alike sets a document of the page beside that of check: every text the same, every number within
// 1e-8 + 1e-8·|a| (the browser's processor and this one's differ in the last digits of exponentials
// and fused products; measured up to 4e-13).
func alike(path string, a, b any) []string {
	switch a := a.(type) {
	case map[string]any:
		other, ok := b.(map[string]any)
		if !ok || len(a) != len(other) {
			return []string{path + ": other keys"}
		}
		var out []string
		for k, v := range a {
			out = append(out, alike(path+"."+k, v, other[k])...)
		}
		return out
	case []any:
		other, ok := b.([]any)
		if !ok || len(a) != len(other) {
			return []string{path + ": another length"}
		}
		var out []string
		for i := range a {
			out = append(out, alike(fmt.Sprintf("%s[%d]", path, i), a[i], other[i])...)
		}
		return out
	case float64:
		if x, ok := b.(float64); ok && math.Abs(a-x) <= 1e-8+1e-8*math.Abs(a) {
			return nil
		}
	}
	if a == b {
		return nil
	}
	return []string{fmt.Sprintf("%s: %v in the command, %v on the page", path, a, b)}
}

// checked is what check says about a job, as JSON.
func checked(t *testing.T, dir string) map[string]any {
	t.Helper()
	code, stdout, stderr := runCommand(t, "check", dir, "--format", "json")
	var doc map[string]any
	if err := json.Unmarshal([]byte(stdout), &doc); err != nil {
		t.Fatalf("check: exit code %d: %v: %s", code, err, stderr)
	}
	return doc
}

// Once settled the page says of the demo's every bay what check says: the document, and what the
// lists show.
func pocketFiguresOfTheDemo(t *testing.T, b *browser, _ string) {
	dir := filepath.Join(t.TempDir(), "demo")
	if code, _, stderr := runCommand(t, "demo", dir); code != 0 {
		t.Fatal(stderr)
	}
	p := onPhone(t, b, pocketOf(t, dir))
	want := checked(t, dir)
	for _, complaint := range alike("", want, ask[any](t, b, `bayproof.call("check")`)) {
		t.Error(complaint)
	}
	p.settled()
	orders := 0
	for _, x := range want["bays"].([]any) {
		bay := x.(map[string]any)
		if bay["state"] == "struck" || bay["state"] == "left" {
			continue
		}
		shown := ask[map[string]any](t, b, fmt.Sprintf(`bayproof.call("state", {section: %q}).then(s => s.bays.find(b => b.bay === %q))`, bay["section"], bay["bay"]))
		if bay["state"] != "not-filled" && shown["word"] != bay["verdict"] {
			t.Errorf("%v %v is %v on the page, %v in the command", bay["section"], bay["bay"], shown["word"], bay["verdict"])
		}
		if text, ok := bay["now"].(map[string]any)["text"].(string); ok {
			if orders++; shown["order"] != text {
				t.Errorf("%v %v: %q on the page, %q in the command", bay["section"], bay["bay"], shown["order"], text)
			}
		}
	}
	if orders < 3 {
		t.Errorf("only %d orders were compared", orders)
	}
	p.quiet(t)
}

// The same of jobs made by chance; BAYPROOF_POCKET_JOBS says how many, 200 before a release.
func pocketFiguresOfOtherJobs(t *testing.T, b *browser, _ string) {
	jobs := 4
	if n, err := strconv.Atoi(os.Getenv("BAYPROOF_POCKET_JOBS")); err == nil {
		jobs = n
	}
	dir := filepath.Join(t.TempDir(), "any")
	shedJob(t, dir)
	file := pocketOf(t, dir)
	onPhone(t, b, file) // its checker is started again for every job
	rng := rand.New(rand.NewPCG(200, 18))
	for n := range jobs {
		if n%20 == 19 { // a tab has some minutes
			b = openTab(t, b.chromium)
			onPhone(t, b, file)
		}
		dir := filepath.Join(t.TempDir(), fmt.Sprintf("job%d", n))
		chanceJob(t, dir, rng)
		want := checked(t, dir)
		folder, err := joblog.Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		data, err := pocket.Pack(folder, nil)
		folder.Close()
		if err != nil {
			t.Fatal(err)
		}
		tool := want["tool"].(map[string]any)
		data.Tool.Name, data.Tool.Version, data.Text = tool["name"].(string), tool["version"].(string), want["text"].(string)
		text, err := json.Marshal(map[string]any{"data": data, "kept": []string{}, "earlier": []string{}})
		if err != nil {
			t.Fatal(err)
		}
		got := ask[any](t, b, fmt.Sprintf(`bayproofStart(%q, async () => {}).then(() => bayproofCall("check", "{}")).then(JSON.parse)`, text))
		if complaints := alike("", want, got); len(complaints) > 0 {
			t.Errorf("job %d: %s\n%s", n, strings.Join(complaints[:min(5, len(complaints))], "\n"), readFile(t, filepath.Join(dir, "bays.csv")))
		}
	}
	t.Logf("%d jobs are the same", jobs)
}

// chanceJob writes a job by chance: one to three sections, each counted in its own way, good bays
// and bad ones, with looks, top-ups, closings and empties.
func chanceJob(t *testing.T, dir string, rng *rand.Rand) {
	t.Helper()
	sections, log := "section,kind,bays,face\n", "section,bay,entry,width,depth,length,bulge,bags,counter,weight,reach,stall,probe,at,by,note,time\n"
	at := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	row := func(format string, args ...any) {
		at = at.Add(time.Duration(1+rng.IntN(9)) * time.Minute)
		log += fmt.Sprintf(format, args...) + "," + at.Format("2006-01-02 15:04") + "\n"
	}
	counter := 0.0
	for s := range 1 + rng.IntN(3) {
		face := []string{"rigid", "netting"}[rng.IntN(2)]
		n, way, mean := 2+rng.IntN(9), rng.IntN(3), 3.6+0.4*rng.Float64()
		sections += fmt.Sprintf("s%d,rafter,%d,%s\n", s, n+rng.IntN(2), face)
		for i := range n {
			width, depth, length := 22.5+float64(rng.IntN(3))/8, 5.5+float64(rng.IntN(5)-2)/8, 10+float64(rng.IntN(5))
			density := mean + 0.12*rng.NormFloat64()
			if rng.IntN(8) == 0 {
				density *= 0.75
			}
			bags := width * depth / 144 * length * density / 25
			read := math.Round(4*bags) / 4
			counter += read
			material := []string{fmt.Sprintf("%g,,", read), fmt.Sprintf(",%g,", counter), fmt.Sprintf(",,%.1f", 25*bags)}[way]
			if way != 1 {
				counter -= read
			}
			bulge := ""
			if face == "netting" && rng.IntN(5) > 0 {
				bulge = "0.5"
			}
			sizes := fmt.Sprintf("%g,%g; %g,%g", width, depth, depth+0.125, length)
			if i > 0 && rng.IntN(4) == 0 {
				sizes, bulge = ",,", ""
			}
			row("s%d,b%d,fill,%s,%s,%s,%s,%s,,,ab,", s, i, sizes, bulge, material, []string{"", "9.5"}[rng.IntN(2)], []string{"yes", "yes", "no", "?", ""}[rng.IntN(5)])
			switch rng.IntN(7) {
			case 0:
				row("s%d,b%d,seen,,,,,,,,,,rod firm along,9,cd,", s, i)
			case 1:
				row("s%d,b%d,seen,,,,,,,,,,rod soft,4,cd,", s, i)
			case 2:
				row("s%d,b%d,topup,,,,,,,6,,yes,,,ab,", s, i)
				if way == 1 {
					log = log[:strings.LastIndex(log[:len(log)-1], "\n")+1] // a counter would have to go on from it
				}
			case 3:
				row("s%d,b%d,closed,,,,,,,,,,,,ab,", s, i)
			}
		}
	}
	if rng.IntN(2) == 0 {
		row(",,empties,,,,,%d,,,,,,,ab,", 10+rng.IntN(20))
	}
	makeFile(t, filepath.Join(dir, "job.csv"), "name,value\njob,by chance\nbag_weight,25 lb\ndate,2026-03-02\nto_stall,"+[]string{"yes", ""}[rng.IntN(2)]+"\nrule,"+[]string{"process", "process", "guarded"}[rng.IntN(3)]+"\n")
	makeFile(t, filepath.Join(dir, "sections.csv"), sections)
	makeFile(t, filepath.Join(dir, "bays.csv"), log)
}

// manyBays writes a job of n bays of sections of 25, counted by the bay or on one counter.
func manyBays(t *testing.T, dir string, n int, counter bool) {
	t.Helper()
	rng := rand.New(rand.NewPCG(5, uint64(n)))
	log, total := "section,bay,entry,width,depth,length,bags,counter,reach,stall,by,note,time\n", 0.0
	at := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	for i := range n {
		width, length := 22.5+float64(rng.IntN(3))/8, 11.5+float64(rng.IntN(9))/8
		read := math.Round(4*width*5.5/144*length*(3.85+0.12*rng.NormFloat64())/25) / 4
		total += read
		material := fmt.Sprintf("%g,", read)
		if counter {
			material = fmt.Sprintf(",%g", total)
		}
		at = at.Add(7 * time.Minute)
		log += fmt.Sprintf("s%d,b%d,fill,%g,5.5; 5.625,%g,%s,11,yes,ab,,%s\n", i/25, i%25, width, length, material, at.Format("2006-01-02 15:04"))
	}
	makeFile(t, filepath.Join(dir, "job.csv"), fmt.Sprintf("name,value\njob,%s\nbag_weight,25 lb\nto_stall,yes\n", filepath.Base(dir)))
	makeFile(t, filepath.Join(dir, "bays.csv"), log)
}

// How long the page takes here, and how much it holds. Beside the time on the wall stands the
// processor's own, of the tab's process with all of its threads: on a machine that others use too
// only that says something. Neither fails the test.
func pocketSpeed(t *testing.T, b *browser, _ string) {
	for _, x := range []struct {
		name    string
		bays    int
		counter bool
	}{{"b40", 40, false}, {"b500", 500, false}, {"c500", 500, true}} {
		if x.bays > 40 && os.Getenv("BAYPROOF_POCKET_JOBS") == "" {
			t.Logf("%s: a long run, only with BAYPROOF_POCKET_JOBS: not timed", x.name)
			continue
		}
		dir := filepath.Join(t.TempDir(), x.name)
		manyBays(t, dir, x.bays, x.counter)
		p := onPhone(t, b, pocketOf(t, dir))
		ready, opened := ask[string](t, b, `document.documentElement.dataset.ready`), processTime(t, b)
		p.settled()
		if x.bays > 25 {
			p.tap(fmt.Sprintf("s%d", (x.bays-1)/25))
		}
		took := []string{}
		for n := range 5 {
			next := []string{"Fill ", "Next: "}[min(n, 1)]
			p.tap(next, "1", "3/4")
			if x.counter {
				p.tap("Delete", "Delete")
				for _, digit := range fmt.Sprint(math.Ceil(float64(x.bays)*1.85) + float64(2*n)) {
					p.tap(string(digit))
				}
			}
			from := processTime(t, b)
			p.tap("Yes")
			took = append(took, fmt.Sprintf("%s (%.0f)", ask[string](t, b, `document.documentElement.dataset.verdict`), processTime(t, b)-from))
		}
		memory := ask[float64](t, b, `bayproof.memory`) / (1 << 20)
		t.Logf("%s: open to first tap %s (%.0f) ms, row to verdict %s ms, memory %.0f MB", x.name, ready, opened, strings.Join(took, ", "), memory)
		if memory > 96 {
			t.Errorf("%s: %.0f MB, more than 96", x.name, memory)
		}
	}
}

// processTime is how much of a processor the tab's process has had, ms.
func processTime(t *testing.T, b *browser) float64 {
	t.Helper()
	call(t, b, performance.Enable, performance.EnableParams{})
	r, err := chromedp.Call(b.ctx, performance.GetMetrics, cdp.Empty{})
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range r.Metrics {
		if m.Name == "ProcessTime" {
			return 1000 * m.Value
		}
	}
	return math.NaN()
}

// The page of the demo has at most 3.5 MB.
func TestPocketSize(t *testing.T) {
	t.Parallel()
	needsChecker(t)
	dir := filepath.Join(t.TempDir(), "demo")
	if code, _, stderr := runCommand(t, "demo", dir); code != 0 {
		t.Fatal(stderr)
	}
	info, err := os.Stat(pocketOf(t, dir))
	if err != nil {
		t.Fatal(err)
	}
	if info.Size() > 3_500_000 {
		t.Errorf("the page has %d bytes, more than 3.5 MB", info.Size())
	}
}
