package cmd_test

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"bayproof/model/joblog"
	"bayproof/model/joblog/journal"
)

// Kills of the log command at random moments: as many as BAYPROOF_KILLS says, a few else. An entry
// is confirmed once its answer came out; every confirmed entry must be in the log afterwards, every
// confirmed core in cores.csv, both in their journals, and the log must read without a fault.
func TestNoConfirmedEntryIsLost(t *testing.T) {
	t.Parallel()
	kills, _ := strconv.Atoi(os.Getenv("BAYPROOF_KILLS"))
	if kills == 0 {
		kills = 25
	}
	const seed = 20260302
	r := rand.New(rand.NewPCG(seed, 1))
	confirmed, cores, torn, inside := map[string]bool{}, 0, 0, 0
	dir := ""
	for kill := range kills {
		if kill%40 == 0 { // a new job now and then, so that the log stays as short as on a real one
			dir, confirmed, cores = newKillJob(t), map[string]bool{}, 0
		}
		before := len(confirmed)
		cores += sitAndKill(t, dir, r, confirmed)
		rows, wasTorn := readKilled(t, dir)
		for file, want := range map[string]int{"bays.csv": len(confirmed), "cores.csv": cores} {
			text, _ := os.ReadFile(filepath.Join(dir, file+".journal"))
			data, _ := os.ReadFile(filepath.Join(dir, file))
			rows := max(bytes.Count(data, []byte{'\n'})-1, 0)
			if chain := journal.Read(text); len(chain.Rows) < want || chain.Broken > 0 || rows < len(chain.Rows) {
				t.Fatalf("kill %d (seed %d): %d rows of %s were confirmed, its journal has %d and the file %d", kill, seed, want, file, len(chain.Rows), rows)
			}
		}
		if wasTorn {
			torn++
		}
		for bay := range confirmed {
			if !rows[bay] {
				t.Fatalf("kill %d (seed %d): %s was confirmed and is not in the log", kill, seed, bay)
			}
		}
		if len(confirmed) > before {
			inside++
		}
	}
	t.Logf("%d kills, %d of them after at least one confirmed entry, %d left a torn line; %d cores in the last job", kills, inside, torn, cores)
	if inside < kills/4 {
		t.Errorf("only %d of %d kills came after a confirmed entry: the test kills too early to show anything", inside, kills)
	}
}

// newKillJob sets up a job to be killed at.
func newKillJob(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{
		"job.csv":      "name,value\nbag_weight,25 lb\ndate,2026-03-02\n",
		"sections.csv": "section,kind,bays,width,depth,length\nnorth slope,rafter,400,22.5,5.5,12\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// answer is the line that confirms a bay.
var answer = regexp.MustCompile(`(?m)^[■▲◆○] [A-Z]+ +(b\d+)\b`)

// sitAndKill types bays, a core of every third, and kills the program at a random moment; the bays
// that were confirmed by then are added, the cores counted.
func sitAndKill(t *testing.T, dir string, r *rand.Rand, confirmed map[string]bool) (cores int) {
	t.Helper()
	log := exec.Command("bayproof", "log", dir)
	stdin, err := log.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	stdout, err := log.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := log.Start(); err != nil {
		t.Fatal(err)
	}
	data, _ := os.ReadFile(filepath.Join(dir, "bays.csv"))
	bays := max(bytes.Count(data, []byte{'\n'})-1, 0)
	go func() { // as fast as the program takes them
		for i := 0; ; i++ {
			core := ""
			if i%3 == 0 {
				core = fmt.Sprintf("core b%d 27 g diameter 2.5 depth 5.5\n", bays+i+1)
			}
			if _, err := fmt.Fprintf(stdin, "%s 5.5 12 1 3/4\n%s", []string{"22.5", "22.25", "22 3/8"}[i%3], core); err != nil {
				return
			}
		}
	}()
	lines := make(chan string, 1000)
	go func() {
		defer close(lines)
		for s := bufio.NewScanner(stdout); s.Scan(); {
			lines <- s.Text()
		}
	}()
	// From the first answer on: the start of the program takes longer than many entries.
	wait := time.Duration(r.IntN(12_000)) * time.Microsecond
	deadline := time.After(3 * time.Minute)
	for killed := false; ; {
		select {
		case line, open := <-lines:
			if !open {
				_ = log.Wait() // killed: its error says so
				return cores
			}
			if strings.HasPrefix(line, "core: ") {
				cores++
			}
			if m := answer.FindStringSubmatch(line); m != nil {
				confirmed[m[1]] = true
				if !killed {
					killed = true
					time.AfterFunc(wait, func() { _ = log.Process.Kill() })
				}
			}
		case <-deadline:
			_ = log.Process.Kill()
			t.Fatal("no answer within 3 minutes")
		}
	}
}

// readKilled opens the log as the next sitting would and returns the bays that are in it.
func readKilled(t *testing.T, dir string) (rows map[string]bool, torn bool) {
	t.Helper()
	folder, err := joblog.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	w, err := joblog.OpenWriter(folder, "by the test")
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	job, faults := joblog.Read(folder.FS, folder.Log, joblog.Options{})
	if len(faults) > 0 {
		data, _ := os.ReadFile(filepath.Join(dir, "bays.csv"))
		t.Fatalf("the log does not read: %v\n%s", faults, data[max(0, len(data)-300):])
	}
	rows = map[string]bool{}
	for i := range job.Log {
		rows[job.Log[i].Bay] = true
	}
	return rows, w.Torn() != ""
}

// The check above must be able to fail: a log that lost its last row is seen.
func TestALostEntryIsSeen(t *testing.T) {
	dir := newKillJob(t)
	log := exec.Command("bayproof", "log", dir)
	log.Stdin = strings.NewReader("22.5 5.5 12 1 3/4\n1 3/4\n")
	out, err := log.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := log.Start(); err != nil {
		t.Fatal(err)
	}
	notForever(t, log)
	_, _ = io.Copy(io.Discard, out)
	if err := log.Wait(); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "bays.csv")
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	rows := strings.SplitAfter(strings.TrimSuffix(string(data), "\n"), "\n")
	if err := os.WriteFile(name, []byte(strings.Join(rows[:len(rows)-1], "")), 0o644); err != nil {
		t.Fatal(err)
	}
	if left, _ := readKilled(t, dir); left["b2"] || !left["b1"] {
		t.Errorf("bays in the cut log: %v, want b1 alone", left)
	}
}
