package cmd_test

import (
	"os"
	"os/exec"
	"syscall"
	"testing"
	"time"
)

// The same by the processor's time and the largest memory of the process, in the long form: other
// work on the machine moves the first a little.
func TestTwiceTheInputInTime(t *testing.T) {
	if os.Getenv("BAYPROOF_TORTURE") == "" {
		t.Skip("the long form: make torture")
	}
	for _, g := range dimensions() {
		t.Run(g.name, func(t *testing.T) {
			of := func(n int) (seconds, kb float64) {
				args := g.written(t, n)
				seconds = 1e9
				for range 3 {
					c := exec.Command("bayproof", args...)
					c.Env = append(os.Environ(), "GOGC=100", "GOMAXPROCS=1")
					_ = c.Run() // open bays give 3
					seconds = min(seconds, (c.ProcessState.UserTime() + c.ProcessState.SystemTime()).Seconds())
					if use, ok := c.ProcessState.SysUsage().(*syscall.Rusage); ok {
						kb = float64(use.Maxrss)
					}
				}
				return seconds, kb
			}
			few, fewKB := of(g.n)
			many, manyKB := of(2 * g.n)
			t.Logf("%d to %d: %.2f s to %.2f s, %.0f to %.0f MB", g.n, 2*g.n, few, many, fewKB/1024, manyKB/1024)
			const start = 0.05 // seconds: below it the process itself is measured
			if many > start && many > 2.2*max(few, start) || manyKB > 2.2*fewKB {
				t.Errorf("twice as many: %.2f times the time, %.2f times the memory", many/few, manyKB/fewKB)
			}
			if limit := 2 * time.Minute; many > limit.Seconds() {
				t.Errorf("takes %.0f s", many)
			}
		})
	}
}
