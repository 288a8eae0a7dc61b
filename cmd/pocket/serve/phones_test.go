package serve_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"bayproof/cmd"
	"bayproof/cmd/pocket"
	"bayproof/cmd/pocket/serve"
	"bayproof/cmd/prompt"
	"bayproof/model/joblog"
)

// long is how often something is done in a long run, which BAYPROOF_SERVED=1 asks for.
func long(short, long int) int {
	if os.Getenv("BAYPROOF_SERVED") != "" {
		return long
	}
	return short
}

// newJob sets up a job of three sections that nobody has logged a bay of. Its rule is the quick
// one: the log is looked at here, no verdict.
func newJob(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "shed")
	for name, text := range map[string]string{
		"job.csv":      "name,value\njob,shed\nbag_weight,25 lb\ndate,2026-03-02\nrule,guarded\n",
		"sections.csv": "section,kind,bays,width,depth,length\nroof,rafter,400,22.5,5.5,12\nloft,rafter,400,22.5,5.5,12\nporch,rafter,400,22.5,5.5,12\n",
	} {
		if err := os.MkdirAll(dir, 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// pack takes what a page would carry of a job.
func pack(t *testing.T, folder *joblog.Folder) pocket.Data {
	t.Helper()
	data, err := pocket.Pack(folder, nil)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// running is a server that answers.
type running struct {
	address string // of the page
	own     string // its origin
	told    []string
	stop    func() serve.Counts
}

// start serves a job at an address, a free one of loopback where none is said.
func start(t *testing.T, dir, at string) *running {
	t.Helper()
	folder, err := joblog.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	token, err := folder.Token()
	if err != nil {
		t.Fatal(err)
	}
	if at == "" {
		at = "127.0.0.1:0"
	}
	l, err := net.Listen("tcp", at)
	if err != nil {
		t.Fatal(err)
	}
	r := &running{}
	s := &serve.Server{Folder: folder, Token: token, Told: func(line string) { r.told = append(r.told, line) },
		Page: func(path string) ([]byte, error) { return []byte("the page; rows go to " + path), nil }}
	r.own = "http://" + l.Addr().String()
	r.address = r.own + "/" + token
	if want := "HTTP://" + l.Addr().String() + "/" + token; s.URL(l.Addr()) != want {
		t.Errorf("the address is %s, not %s", s.URL(l.Addr()), want)
	}
	ctx, end := context.WithCancel(context.Background())
	ended := make(chan serve.Counts, 1)
	go func() {
		counts, err := s.Serve(ctx, l)
		if err != nil {
			t.Error(err)
		}
		ended <- counts
	}()
	r.stop = sync.OnceValue(func() serve.Counts { end(); n := <-ended; folder.Close(); return n })
	t.Cleanup(func() { r.stop() })
	return r
}

// phone is the page's script without a screen: the same checker, the same protocol.
type phone struct {
	t      *testing.T
	engine *pocket.Engine
	server string
	rng    *rand.Rand
	lossy  bool // every third answer does not arrive
	queue  []*queued
	again  int // entries that were refused and offered again
}

// queued is a row that the phone keeps until the truck has it.
type queued struct {
	pocket.Kept
	id      string
	sent    bool
	refused *serve.Answer
}

// newPhone opens the page of a job.
func newPhone(t *testing.T, dir, server string, seed uint64) *phone {
	t.Helper()
	folder, err := joblog.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	p := &phone{t: t, server: server, rng: rand.New(rand.NewPCG(seed, 18))}
	keep := func(rows []pocket.Kept) error {
		for _, k := range rows {
			p.queue = append(p.queue, &queued{Kept: k, id: fmt.Sprintf("%x", p.rng.Uint64())})
		}
		return nil
	}
	if p.engine, _, err = pocket.New(pack(t, folder), nil, time.Now, keep); err != nil {
		t.Fatal(err)
	}
	return p
}

// fill types a bay and hands it over.
func (p *phone) fill(section, machine, bay string, said prompt.Row) {
	before := len(p.queue)
	r, err := p.engine.Call("enter", pocket.Ask{Section: section, Machine: machine, Bay: bay, Action: "fill", Said: said})
	if err != nil || len(p.queue) == before {
		p.t.Errorf("%s %s: %v %+v", section, bay, err, r)
		return
	}
	p.connect()
}

// post sends the rows of one entry.
func (p *phone) post(rows []*queued) (*serve.Answer, error) {
	type sent struct {
		ID    string     `json:"id"`
		Row   prompt.Row `json:"row"`
		After string     `json:"after,omitempty"`
	}
	var all []sent
	for _, q := range rows {
		all = append(all, sent{q.id, q.Row, q.After})
	}
	b, _ := json.Marshal(map[string]any{"rows": all})
	req, err := http.NewRequest("POST", p.server+"/rows", bytes.NewReader(b))
	if err != nil {
		return nil, err
	}
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Origin", p.server[:strings.LastIndexByte(p.server, '/')])
	answer, err := http.DefaultClient.Do(req)
	if err != nil {
		return nil, err
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		return nil, errors.New(answer.Status)
	}
	var a serve.Answer
	if err := json.NewDecoder(answer.Body).Decode(&a); err != nil {
		return nil, err
	}
	if p.lossy && p.rng.IntN(3) == 0 {
		return nil, io.ErrUnexpectedEOF // it was taken, and the phone does not know
	}
	return &a, nil
}

// connect is the script's connect: entry by entry, until the first that does not arrive.
func (p *phone) connect() {
	for {
		at := slices.IndexFunc(p.queue, func(q *queued) bool { return !q.sent && q.refused == nil })
		if at < 0 {
			return
		}
		var entry []*queued
		for _, q := range p.queue {
			if q.Entry == p.queue[at].Entry {
				entry = append(entry, q)
			}
		}
		a, err := p.post(entry)
		if err != nil {
			return
		}
		for _, q := range entry {
			if q.sent = a.Taken; !q.sent {
				q.refused = a
			}
		}
	}
}

// offer is a tap on "Hand it over all the same".
func (p *phone) offer() bool {
	at := slices.IndexFunc(p.queue, func(q *queued) bool { return q.refused != nil })
	if at < 0 {
		return false
	}
	p.again++
	r := p.queue[at]
	if len(r.refused.Here) == 0 || !strings.Contains(r.refused.Refused, r.Row["bay"]) {
		p.t.Errorf("%s was refused without a name: %+v", r.Row["bay"], r.refused)
	}
	r.After = r.refused.After
	when := r.refused.Time
	for _, q := range p.queue {
		if q.Entry == r.Entry && when != "" {
			q.Row["time"] = when
		}
		if q.Entry >= r.Entry {
			q.refused = nil
		}
	}
	p.connect()
	return true
}

// finish hands over what waits, and offers again what was refused, until the truck has all.
func (p *phone) finish() {
	for range 100000 {
		p.connect()
		if !p.offer() && !slices.ContainsFunc(p.queue, func(q *queued) bool { return !q.sent }) {
			return
		}
	}
	p.t.Error("rows still wait on the phone")
}

// sitAt types lines at the prompt of a job, one after the other, while phones log beside it.
func sitAt(t *testing.T, dir string, lines []string) {
	in, typed := io.Pipe()
	go func() {
		for _, line := range lines {
			fmt.Fprintln(typed, line)
			time.Sleep(time.Millisecond)
		}
		typed.Close()
	}()
	var out, errs bytes.Buffer
	if code := cmd.Run([]string{"log", dir}, &cmd.Env{Stdin: in, Stdout: &out, Stderr: &errs, Now: time.Now, Getenv: func(string) string { return "" }}); code != 0 {
		t.Errorf("log: exit code %d: %s%s", code, out.String(), errs.String())
	}
}

// bays counts the rows of a log by section, bay and what was filled, and wants the job to read
// without a fault and its journal to agree.
func bays(t *testing.T, dir string) map[string]int {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, "bays.csv"))
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(text), "\ufeff"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := func(row []string, name string) string {
		if i := slices.Index(rows[0], name); i >= 0 {
			return row[i]
		}
		return ""
	}
	n := map[string]int{}
	for _, row := range rows[1:] {
		n[strings.Join([]string{at(row, "section"), at(row, "bay"), at(row, "machine"), at(row, "bags") + at(row, "counter")}, " ")]++
	}
	folder, err := joblog.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	if _, faults := joblog.Read(folder.FS, folder.Log, joblog.Options{Name: folder.Name}); len(faults) > 0 {
		t.Errorf("the log does not read: %v", faults)
	}
	w, err := joblog.OpenWriter(folder, "the test")
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	if c, _ := w.Compared(); !c.Agrees() {
		t.Errorf("log and journal differ: %+v", c.Differences)
	}
	return n
}

// Two phones and the prompt at once, each on its own section and machine, one phone on a counter,
// answers lost now and then: every row is in the log once, and nothing was refused.
func TestTwoPhonesAndThePrompt(t *testing.T) {
	t.Parallel()
	dir, each := newJob(t), long(6, 334)
	r := start(t, dir, "")
	want := map[string]int{}
	var all sync.WaitGroup
	first, second := newPhone(t, dir, r.address, 1), newPhone(t, dir, r.address, 2)
	first.lossy = true
	var lines []string
	lines = append(lines, "section porch")
	for i := range each {
		want[fmt.Sprintf("roof a%d one %s", i, bags(i))]++
		want[fmt.Sprintf("loft c%d two %d", i, 101+i)]++
		want[fmt.Sprintf("porch p%d  %s", i, bags(i))]++
		lines = append(lines, fmt.Sprintf("p%d %s%s", i, sizes(i), bags(i)))
	}
	all.Go(func() {
		for i := range each {
			first.fill("roof", "one", fmt.Sprintf("a%d", i), sized(i, "bags", bags(i)))
		}
		first.finish()
	})
	all.Go(func() {
		if _, err := second.engine.Call("enter", pocket.Ask{Section: "loft", Machine: "two", Action: "count", Said: prompt.Row{"counter": "100"}}); err != nil {
			t.Error(err)
		}
		for i := range each {
			second.fill("loft", "two", fmt.Sprintf("c%d", i), sized(i, "counter", strconv.Itoa(101+i)))
		}
		second.finish()
	})
	all.Go(func() { sitAt(t, dir, lines) })
	all.Wait()
	n := r.stop()
	got := bays(t, dir)
	delete(got, "  two 100") // the counter's start
	for row, times := range want {
		if got[row] != times {
			t.Errorf("%q is there %d times", row, got[row])
		}
	}
	if len(got) != len(want) || first.again+second.again+n.Refused > 0 {
		t.Errorf("%d rows, want %d; %d refused; %v", len(got), len(want), n.Refused, r.told)
	}
	t.Logf("%d rows of each, none lost, none twice, none refused", each)
}

// The same on one section: a row whose section has moved on is refused by name and offered again;
// every row is there once.
func TestOneSection(t *testing.T) {
	t.Parallel()
	dir, each := newJob(t), long(5, 100)
	r := start(t, dir, "")
	want := map[string]int{}
	var all sync.WaitGroup
	var phones []*phone
	for k, name := range []string{"a", "b"} {
		p := newPhone(t, dir, r.address, uint64(k))
		p.lossy = true
		phones = append(phones, p)
		for i := range each {
			want[fmt.Sprintf("roof %s%d  %s", name, i, bags(i))]++
		}
		all.Go(func() {
			for i := range each {
				p.fill("roof", "", fmt.Sprintf("%s%d", name, i), sized(i, "bags", bags(i)))
				if i%4 == 3 {
					for p.offer() {
					}
				}
			}
			p.finish()
		})
	}
	lines := []string{"section roof"}
	for i := range each {
		want[fmt.Sprintf("roof p%d  %s", i, bags(i))]++
		lines = append(lines, fmt.Sprintf("p%d %s%s", i, sizes(0), bags(i)))
	}
	all.Go(func() { sitAt(t, dir, lines) })
	all.Wait()
	r.stop()
	got := bays(t, dir)
	for row, times := range want {
		if got[row] != times {
			t.Errorf("%q is there %d times", row, got[row])
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d rows, want %d: %v", len(got), len(want), got)
	}
	if n := phones[0].again + phones[1].again; n == 0 {
		t.Error("nothing was refused: the test shows nothing")
	} else {
		t.Logf("%d rows of each, %d entries refused and offered again, none lost, none twice", each, n)
	}
}

// What was handed over before a server ended is there already for the next one; what the phone
// could not hand over, it hands over then.
func TestAnotherRun(t *testing.T) {
	t.Parallel()
	dir := newJob(t)
	r := start(t, dir, "")
	p := newPhone(t, dir, r.address, 3)
	p.fill("roof", "", "a0", sized(0, "bags", "1.75"))
	r.stop()
	p.fill("roof", "", "a1", sized(1, "bags", "1.75"))
	if p.queue[1].sent {
		t.Error("a row was taken by a server that had ended")
	}
	again := start(t, dir, strings.TrimPrefix(r.own, "http://"))
	if again.address != r.address {
		t.Errorf("the page is at %s now, was at %s", again.address, r.address)
	}
	p.queue[0].sent = false // its answer was lost
	p.finish()
	if n := again.stop(); n.Rows != 1 || n.Refused != 0 {
		t.Errorf("%v", n)
	}
	if got := bays(t, dir); len(got) != 2 || got["roof a0  1.75"] != 1 || got["roof a1  1.75"] != 1 {
		t.Errorf("the log holds %v", got)
	}
}

// bags is a count of the ith bay.
func bags(i int) string { return []string{"1.75", "1.5", "2"}[i%3] }

// sized are the answers of a form: sizes for the first bay, then dittos.
func sized(i int, column, text string) prompt.Row {
	row := prompt.Row{column: text, "stall": "yes"}
	if i == 0 {
		row["width"], row["depth"], row["length"] = "22.5", "5.5", "12"
	}
	return row
}

// sizes are what is typed of them.
func sizes(i int) string {
	if i == 0 {
		return "22.5 5.5 12 "
	}
	return ""
}
