package cmd_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"bayproof/cmd/pocket"
	"bayproof/cmd/pocket/serve"
	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/model/joblog/journal"
)

// attempt is a command under which the system is made to fail.
type attempt struct {
	name  string
	stdin string
	args  []string // JOB stands for the folder
	may   []string // files that may come about in the job, besides those that are there
	whole string   // the file that is there whole or not at all; empty for none
}

// attempts are the commands that write.
func attempts() []attempt {
	rows := "b1 22.5 5.5 12 1 3/4\nb2 22.5 5.5 12 2\nb3 22.5 5.5 12 1.5\nfinish\n"
	cores := strings.Replace(rows, "finish", "core b1 27 g diameter 2.5 depth 5.5\ncore b2 28 g diameter 2.5 depth 5.5\ncore b3 29 g diameter 2.5 depth 5.5\nundo\nfinish", 1)
	logs := []string{"bays.csv", "bays.csv.journal", "bays.csv.lock"}
	return []attempt{
		{"log", rows, []string{"log", "JOB"}, logs, ""},
		{"log, columns are added", rows, []string{"log", "JOB/few"}, []string{"few/bays.csv.journal", "few/bays.csv.lock", "few/bays.csv.before"}, ""},
		{"log, cores", cores, []string{"log", "JOB"}, append([]string{"cores.csv", "cores.csv.journal"}, logs...), ""},
		{"log --restore", "", []string{"log", "JOB/lost", "--restore"}, []string{"lost/bays.csv", "lost/bays.csv.lock"}, "lost/bays.csv"},
		{"log --accept", "", []string{"log", "JOB/lost", "--accept"}, []string{"lost/bays.csv.journal", "lost/bays.csv.lock"}, ""},
		{"record", "", []string{"record", "JOB/full"}, []string{"full/record.html"}, "full/record.html"},
		{"start", "", []string{"start", "JOB/new", "--yes", "--bag-weight", "25 lb", "--section", "n, rafter, 3"}, []string{"new/job.csv", "new/sections.csv"}, ""},
		{"plan", "", []string{"plan", "JOB/full", "--sheets", "JOB/full/sheets.html"}, []string{"full/sheets.html"}, "full/sheets.html"},
		{"recheck --extract", "", []string{"recheck", "JOB/kept.html", "--extract", "JOB/out"}, []string{"out/bays.csv", "out/job.csv", "out/sections.csv"}, ""},
		{"check -o", "", []string{"check", "JOB/full", "-f", "json", "-o", "JOB/out.json"}, []string{"out.json"}, "out.json"},
		{"pocket --serve", "", []string{"pocket", "JOB/full", "--serve", "--listen", "127.0.0.1:PORT"}, []string{"full/bays.csv", "full/bays.csv.journal", "full/bays.csv.lock", "full/bays.csv.serve", "full/bays.csv.before"}, ""},
	}
}

// failures are what the system can say to each call, and kill for the end of the process at that
// call.
func failures() map[string][]string {
	return map[string][]string{
		"write": {"ENOSPC", "EIO", "EINTR", "EDQUOT", "kill"}, "pwrite64": {"ENOSPC", "kill"}, "fsync": {"EIO", "ENOSPC", "kill"}, "ftruncate": {"EIO", "kill"},
		"openat": {"EMFILE", "ENOSPC", "EIO", "EINTR", "kill"}, "read": {"EIO", "EINTR", "kill"}, "flock": {"ENOLCK", "EINTR", "kill"}, "renameat": {"EIO", "ENOSPC", "kill"},
		"mkdirat": {"ENOSPC", "kill"}, "fchmod": {"EIO", "kill"}, "newfstatat": {"EIO", "kill"}, "fstat": {"EIO"}, "close": {"EIO", "EINTR"},
	}
}

// Each command meets each failure at each of its calls: no row that was confirmed is lost, from log
// or journal, no file is there in part, nothing is left but what has a name of its own, and the
// exit code and the message say that it was not done. The short form takes a few of the points.
func TestTheSystemFails(t *testing.T) {
	t.Parallel()
	if _, err := exec.LookPath("strace"); err != nil {
		t.Skip("no strace here: what happens where the system fails is not tried")
	}
	if out, err := exec.Command("strace", "-o", os.DevNull, "-e", "inject=fsync:error=EIO", "true").CombinedOutput(); err != nil {
		t.Skipf("strace may not trace or cannot inject here: %v: %s", err, out)
	}
	const seed = 20260514
	r := rand.New(rand.NewPCG(seed, 1))
	long := os.Getenv("BAYPROOF_TORTURE") != ""
	points, most := 4, 14 // points of each command, and calls of one kind that are tried, some of them
	wanted := 2 * len(attempts())
	if long {
		points, most, wanted = 600, 600, 2000                           // all of them, one after the other, until there are no more
		if n, _ := strconv.Atoi(os.Getenv("BAYPROOF_TORTURE")); n > 1 { // so many of each command, in any order
			points, wanted, long = n, n*len(attempts())/2, false
		}
	}
	type point struct {
		call, error string
		n           int
	}
	template := faultyJob(t)
	wants := map[string]string{}
	met, killed, tried := map[string]int{}, 0, 0
	began := time.Now()
	for _, a := range attempts() {
		t.Run(a.name, func(t *testing.T) {
			var all []point
			for _, call := range slices.Sorted(maps.Keys(failures())) {
				for _, e := range failures()[call] {
					for n := range most {
						all = append(all, point{call, e, n + 1})
					}
				}
			}
			if !long {
				r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
			}
			beyond := map[string]int{} // by call and error: the first number at which nothing was met
			for _, p := range all {
				if b := beyond[p.call+p.error]; b > 0 && p.n >= b {
					continue
				}
				if met[a.name] == points {
					break
				}
				dir := filepath.Join(t.TempDir(), "job")
				if err := os.CopyFS(dir, os.DirFS(template)); err != nil {
					t.Fatal(err)
				}
				tried++
				if !a.failsAt(t, dir, p.call, p.error, p.n, wants) {
					beyond[p.call+p.error] = p.n
					continue
				}
				met[a.name]++
				if p.error == "kill" {
					killed++
				}
				if t.Failed() {
					t.Fatalf("%s at %s number %d (seed %d)", p.error, p.call, p.n, seed)
				}
			}
			if met[a.name] == 0 {
				t.Error("strace meets nothing")
			}
		})
	}
	total := 0
	for _, n := range met {
		total += n
	}
	t.Logf("%d points, %d of them kills, in %d runs and %.0f s: %v", total, killed, tried, time.Since(began).Seconds(), met)
	if total < wanted && len(met) == len(attempts()) { // and not some of them, by -run
		t.Errorf("%d points of %d: strace meets too few to show anything", total, wanted)
	}
}

// faultyJob is the folder that every attempt begins with: an empty job, one whose log lacks
// columns, one that is full, and its record, and one of which the journal alone is left.
func faultyJob(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	job, sections := "name,value\nbag_weight,25 lb\n", "section,kind,bays\nn,rafter,3\n"
	for name, text := range map[string]string{
		"job.csv": job, "sections.csv": sections, "few/job.csv": job, "few/bays.csv": "section,bay,width,depth,length,bags\nn,b0,22.5,5.5,12,2\n", "few/sections.csv": sections,
		"full/job.csv": job, "full/sections.csv": sections, "full/bays.csv": "section,bay,width,depth,length,bags\nn,b1,22.5,5.5,12,2\nn,b2,22.5,5.5,12,1.75\n",
	} {
		if err := os.MkdirAll(filepath.Join(dir, filepath.Dir(name)), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	lost := filepath.Join(dir, "lost")
	makeFile(t, filepath.Join(lost, "job.csv"), job)
	if code, _, stderr := runCommand(t, "log", lost, "--from", filepath.Join(dir, "full", "bays.csv")); code != 0 {
		t.Fatal(stderr)
	}
	if err := os.Remove(filepath.Join(lost, "bays.csv")); err != nil {
		t.Fatal(err)
	}
	if code, _, stderr := runCommand(t, "record", filepath.Join(dir, "full"), "-o", filepath.Join(dir, "kept.html")); code != 0 {
		t.Fatal(stderr)
	}
	return dir
}

// failsAt runs the command with one failure and looks at what is left. It answers false where the
// failure was not met.
func (a *attempt) failsAt(t *testing.T, dir, call, failure string, n int, wants map[string]string) bool {
	t.Helper()
	inject := fmt.Sprintf("inject=%s:error=%s:when=%d", call, failure, n)
	if failure == "kill" {
		inject = fmt.Sprintf("inject=%s:signal=KILL:when=%d", call, n)
	}
	trace := filepath.Join(t.TempDir(), "trace")
	args := []string{"-f", "-qq", "-o", trace, "-e", "trace=" + call, "-e", inject, "bayproof"}
	for _, arg := range a.args {
		args = append(args, strings.NewReplacer("JOB", dir, "PORT", freePort(t)).Replace(arg))
	}
	before := filesIn(t, dir)
	c := exec.Command("strace", args...)
	c.Env = append(os.Environ(), "GOMAXPROCS=1", "HOME="+t.TempDir())
	var stdout, stderr bytes.Buffer
	c.Stdin, c.Stdout, c.Stderr = strings.NewReader(a.stdin), &stdout, &stderr
	served, sitting := a.args[0] == "pocket", len(a.args) == 2 && a.args[0] == "log"
	var confirmed []string
	if served {
		c.Stdout = nil
		confirmed = fromAPhone(t, c, filepath.Join(dir, "full"))
	} else {
		c.WaitDelay = time.Second // the tracer gone, what it traced may live on
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		notForever(t, c)
		_ = c.Wait()
		confirmed = confirmedIn(stdout.String())
	}
	text, err := os.ReadFile(trace)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(text, []byte("INJECTED")) && !bytes.Contains(text, []byte("killed by SIGKILL")) {
		if a.whole != "" && c.ProcessState.ExitCode() <= 3 && wants[a.whole] == "" {
			b, _ := os.ReadFile(filepath.Join(dir, a.whole))
			wants[a.whole] = string(b)
		}
		all := 3
		if a.name == "log, cores" {
			all = 5
		}
		if (served || sitting) && len(confirmed) != all {
			t.Errorf("nothing failed, and %v were confirmed", confirmed)
		}
		return false
	}
	code := c.ProcessState.ExitCode()
	dead := failure == "kill"
	switch {
	case dead || code == 0 || code == 3:
	case code == 2 && call == "newfstatat": // what is there cannot be told: nothing is written
	case code == 127 && strings.Contains(stderr.String(), "shared libraries"), code == 2 && strings.Contains(stderr.String(), "fatal error: "): // it did not come to start
	case code != 1:
		t.Errorf("exit code %d:\n%s", code, &stderr)
	case served && strings.Contains(stderr.String(), "panic"):
		t.Errorf("%s", &stderr)
	case call != "write" && !strings.Contains(stderr.String(), "bayproof: error: ") && !strings.Contains(stdout.String(), "not written"):
		t.Errorf("exit code 1, and no word why:\n%s%s", &stdout, &stderr)
	}
	after := filesIn(t, dir)
	for name, data := range after {
		had, was := before[name]
		switch {
		case was && (had == data || strings.HasSuffix(name, "few/bays.csv")):
		case slices.Contains(a.may, name):
		case dead && strings.Contains(filepath.Base(name), ".tmp"), dead && strings.HasSuffix(name, "bays.csv.new"): // swept by the next run
		default:
			t.Errorf("%s was left or changed", name)
		}
	}
	for name := range before {
		if _, there := after[name]; !there {
			t.Errorf("%s is gone", name)
		}
	}
	// A result may say in a line more what could not be read; in part it would lack its end.
	if data, there := after[a.whole]; a.whole != "" && there && wants[a.whole] != "" && !strings.HasSuffix(data, wants[a.whole][len(wants[a.whole])-8:]) {
		t.Errorf("%s is there in part: %d bytes of %d", a.whole, len(data), len(wants[a.whole]))
	}
	if a.name == "start" && (code == 0) != (after["new/job.csv"] != "" && after["new/sections.csv"] != "") && !dead {
		t.Errorf("exit code %d, and the job has %v", code, slices.Collect(maps.Keys(after)))
	}
	// The journal of the one that lost its log: whole, and its rows in it or accepted as taken out.
	if chain := journal.Read([]byte(after["lost/bays.csv.journal"])); chain.Broken > 0 || len(chain.Rows)+chain.Accepted != 2 {
		t.Errorf("the journal is left with %+v", chain)
	}
	if served || sitting {
		confirmedAreThere(t, strings.Replace(a.args[1], "JOB", dir, 1), confirmed)
		if strings.Contains(after["cores.csv"], ",29 g,") && strings.Contains(stdout.String(), "Taken back: core, 29 g") {
			t.Error("a core was taken back, and is in cores.csv")
		}
	}
	return true
}

// confirmedIn are the bays that a sitting answered, and the cores by their weight, but for the last
// one, which the undo behind them takes back. A core's answer is its density: 3.81 lb/ft³ is 27 g
// in a hole of 2.5 by 5.5 in.
func confirmedIn(stdout string) []string {
	var out []string
	for _, m := range answer.FindAllStringSubmatch(stdout, -1) {
		if !slices.Contains(out, m[1]) { // a core's bay is answered once more
			out = append(out, m[1])
		}
	}
	var cores []string
	for density, weight := range map[string]string{"3.81": "27 g", "3.95": "28 g", "4.09": "29 g"} {
		if strings.Contains(stdout, "core: "+density) {
			cores = append(cores, weight)
		}
	}
	slices.Sort(cores)
	return append(out, cores[:max(len(cores)-1, 0)]...)
}

// confirmedAreThere opens the log as the next sitting would: it reads without a fault, and what was
// confirmed stands in it, or in cores.csv, and in the file's journal.
func confirmedAreThere(t *testing.T, dir string, confirmed []string) {
	t.Helper()
	rows := map[string]bool{}
	if info, err := os.Stat(filepath.Join(dir, "bays.csv")); err == nil && info.Size() > 0 { // killed before its first byte: an empty log is none
		rows, _ = readKilled(t, dir)
	}
	kept := map[string]bool{}
	for file, by := range map[string]string{"bays.csv": "bay", "cores.csv": "weight"} {
		b, _ := os.ReadFile(filepath.Join(dir, file+".journal"))
		chain := journal.Read(b)
		if chain.Broken > 0 {
			t.Errorf("the chain of %s.journal does not hold from line %d on", file, chain.Broken)
		}
		for _, k := range chain.Rows {
			kept[k.Cells[by]] = true
		}
	}
	text, _ := os.ReadFile(filepath.Join(dir, "cores.csv"))
	for _, weight := range []string{"27 g", "28 g"} {
		rows[weight] = bytes.Contains(text, []byte(","+weight+","))
	}
	for _, bay := range confirmed {
		if !rows[bay] || !kept[bay] {
			t.Errorf("%s was confirmed; in the log %t, in the journal %t", bay, rows[bay], kept[bay])
		}
	}
	folder, err := joblog.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	job, faults := joblog.Read(folder.FS, folder.Log, joblog.Options{Journal: joblog.Journals})
	if len(faults) > 0 {
		return // an empty log, see above
	}
	for _, j := range []*model.Journal{job.Journals.Log, job.Journals.Cores} {
		if j != nil && j.Gone > 0 {
			t.Errorf("a journal has %d rows that its file lacks", j.Gone)
		}
	}
	fills := map[string]int{}
	for i := range job.Log {
		if e := &job.Log[i]; e.Kind == model.EntryFill {
			if fills[e.Bay]++; fills[e.Bay] > 1 {
				t.Errorf("%s is filled %d times", e.Bay, fills[e.Bay])
			}
		}
	}
}

// freePort is a port of loopback that nobody listens at.
func freePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, port, _ := net.SplitHostPort(l.Addr().String())
	return port
}

// fromAPhone starts the traced server, sends it three bays as the page does, each three times at
// most until it is taken, ends the server by Ctrl-C, and returns the bays that were taken.
func fromAPhone(t *testing.T, c *exec.Cmd, dir string) (taken []string) {
	t.Helper()
	stdout, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	c.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} // its group is the server and the tracer, which leaves signals to it
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	slow := time.AfterFunc(5*time.Minute, func() { _ = syscall.Kill(-c.Process.Pid, syscall.SIGKILL) })
	lines := bufio.NewReader(stdout)
	address, said := "", ""
	for address == "" && err == nil {
		var line string
		line, err = lines.ReadString('\n')
		if said += line; strings.HasPrefix(line, "HTTP://") {
			address = strings.TrimSpace(line)
		}
	}
	for i := 0; address != "" && i < 3; i++ {
		bay := fmt.Sprint("p", i)
		row := map[string]string{"section": "n", "bay": bay, "entry": "fill", "width": "22.5", "depth": "5.5", "length": "12", "bags": "2",
			"stall": "yes", "time": fmt.Sprintf("2026-03-02T14:%02d:00-05:00", 20+i)}
		for range 3 {
			a, err := handOver(dir, address, row)
			if err == nil && a.Taken {
				taken = append(taken, bay)
				break
			}
			if err == nil && a.Refused == "" {
				t.Errorf("%s is neither taken nor refused", bay)
			}
		}
	}
	_ = syscall.Kill(-c.Process.Pid, syscall.SIGINT)
	rest, _ := io.ReadAll(lines)
	_ = c.Wait()
	if !slow.Stop() {
		t.Errorf("the server did not end\n%s%s", said, rest)
	}
	return taken
}

// handOver sends a row to a server, behind the rows that stand in the log.
func handOver(dir, address string, row map[string]string) (a serve.Answer, err error) {
	folder, err := joblog.Open(dir)
	if err != nil {
		return a, err
	}
	defer folder.Close()
	job, faults := joblog.Read(folder.FS, folder.Log, joblog.Options{})
	if len(faults) > 0 {
		job = &model.Job{}
	}
	host, token, _ := strings.Cut(strings.TrimPrefix(address, "HTTP://"), "/")
	b, err := json.Marshal(map[string]any{"rows": []any{map[string]any{"id": "1", "row": row, "after": pocket.Before(job, row)}}})
	if err != nil {
		return a, err
	}
	ask, err := http.NewRequest("POST", "http://"+strings.ToLower(host)+"/"+token+"/rows", bytes.NewReader(b))
	if err != nil {
		return a, err
	}
	ask.Header.Set("Content-Type", "application/json")
	ask.Header.Set("Origin", "http://"+strings.ToLower(host))
	client := http.Client{Timeout: 30 * time.Second, Transport: &http.Transport{DisableKeepAlives: true}}
	got, err := client.Do(ask)
	if err != nil {
		return a, err
	}
	defer got.Body.Close()
	if got.StatusCode != http.StatusOK {
		return a, errors.New(got.Status)
	}
	return a, json.NewDecoder(got.Body).Decode(&a)
}

// filesIn are the files below a folder with what they hold.
func filesIn(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(name string, d os.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		b, err := os.ReadFile(name)
		rel, _ := filepath.Rel(dir, name)
		out[filepath.ToSlash(rel)] = string(b)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}
