package cmd_test

import (
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// openTerminal opens a pair of ends: what is written to the first is typed at the second, which is
// a terminal.
func openTerminal(t *testing.T) (keys, screen *os.File) {
	t.Helper()
	keys, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skipf("no terminals here: %v", err)
	}
	t.Cleanup(func() { keys.Close() })
	if err := unix.IoctlSetPointerInt(int(keys.Fd()), unix.TIOCSPTLCK, 0); err != nil {
		t.Fatal(err)
	}
	n, err := unix.IoctlGetInt(int(keys.Fd()), unix.TIOCGPTN)
	if err != nil {
		t.Fatal(err)
	}
	if screen, err = os.OpenFile(fmt.Sprint("/dev/pts/", n), os.O_RDWR|syscall.O_NOCTTY, 0); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { screen.Close() })
	if err := unix.IoctlSetWinsize(int(screen.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Row: 24, Col: 80}); err != nil {
		t.Fatal(err)
	}
	return keys, screen
}

// A signal that ends the prompt leaves the terminal as it was: who types there next sees what is
// typed.
func TestASignalLeavesTheTerminal(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for name, text := range map[string]string{"job.csv": "name,value\nbag_weight,25 lb\n", "sections.csv": "section\nn\n"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	keys, screen := openTerminal(t)
	before, err := unix.IoctlGetTermios(int(screen.Fd()), unix.TCGETS)
	if err != nil {
		t.Fatal(err)
	}
	round := func(s syscall.Signal, edited bool) {
		if signal.Ignored(s) {
			t.Skipf("%v is ignored here, as nohup has it: nothing to try", s)
		}
		c := exec.Command("bayproof", "log", dir)
		c.Env = append(os.Environ(), "TERM=xterm")
		c.Stdin, c.Stdout, c.Stderr = screen, screen, screen
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		notForever(t, c)
		shown := make(chan error, 1)
		go func() {
			b := make([]byte, 4096)
			for seen := ""; ; {
				n, err := keys.Read(b)
				if seen += string(b[:n]); err != nil || strings.Contains(seen, "b1>") {
					shown <- err
					return
				}
			}
		}()
		select {
		case err := <-shown:
			if err != nil {
				t.Fatal(err)
			}
		case <-time.After(2 * time.Minute):
			t.Fatal("no prompt within 2 minutes")
		}
		for late := time.Now().Add(2 * time.Minute); edited; time.Sleep(time.Millisecond) { // the editor takes Ctrl-C itself once it reads
			now, err := unix.IoctlGetTermios(int(screen.Fd()), unix.TCGETS)
			if err != nil {
				t.Fatal(err)
			}
			if now.Lflag&(unix.ISIG|unix.ICANON|unix.ECHO) == 0 {
				break
			}
			if time.Now().After(late) {
				t.Fatalf("%v: the prompt left the terminal at %x, and it was to edit its line", s, now.Lflag)
			}
		}
		_ = c.Process.Signal(s)
		_ = c.Wait()
		if status, ok := c.ProcessState.Sys().(syscall.WaitStatus); !ok || !status.Signaled() || status.Signal() != s {
			t.Errorf("%v: ended with %v", s, c.ProcessState)
		}
		after, err := unix.IoctlGetTermios(int(screen.Fd()), unix.TCGETS)
		if err != nil {
			t.Fatal(err)
		}
		if *after != *before {
			t.Errorf("%v, edited %t: the terminal was left at %x, was %x", s, edited, after.Lflag, before.Lflag)
		}
	}
	for _, s := range []syscall.Signal{syscall.SIGTERM, syscall.SIGHUP} {
		round(s, true)
		for range 10 { // at the very moment when the editor sets the terminal to its own way
			round(s, false)
		}
	}
}
