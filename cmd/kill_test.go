package cmd_test

import (
	"bufio"
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
)

// Kills of the log command at random moments: as many as BAYPROOF_KILLS says, a few else. An entry
// is confirmed once its answer came out; every confirmed entry must be in the log afterwards, and
// the log must read without a fault.
func TestNoConfirmedEntryIsLost(t *testing.T) {
	kills, _ := strconv.Atoi(os.Getenv("BAYPROOF_KILLS"))
	if kills == 0 {
		kills = 25
	}
	const seed = 20260302
	r := rand.New(rand.NewPCG(seed, 1))
	confirmed, torn, inside := map[string]bool{}, 0, 0
	dir := ""
	for kill := range kills {
		if kill%40 == 0 { // a new job now and then, so that the log stays as short as on a real one
			dir, confirmed = newKillJob(t), map[string]bool{}
		}
		before := len(confirmed)
		sitAndKill(t, dir, r, confirmed)
		rows, wasTorn := readKilled(t, dir)
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
	t.Logf("%d kills, %d of them after at least one confirmed entry, %d left a torn line", kills, inside, torn)
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

// sitAndKill types bays and kills the program at a random moment; what was confirmed by then is
// added.
func sitAndKill(t *testing.T, dir string, r *rand.Rand, confirmed map[string]bool) {
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
	go func() { // as fast as the program takes them
		for i := 0; ; i++ {
			if _, err := fmt.Fprintf(stdin, "%s 5.5 12 1 3/4\n", []string{"22.5", "22.25", "22 3/8"}[i%3]); err != nil {
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
	deadline := time.After(30 * time.Second)
	for killed := false; ; {
		select {
		case line, open := <-lines:
			if !open {
				_ = log.Wait() // killed: its error says so
				return
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
			t.Fatal("no answer within half a minute")
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
