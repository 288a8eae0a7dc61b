package cmd

import (
	"fmt"
	"time"
)

// progress tells someone who waits at a terminal how many jobs were read: after a second, and then ten times a second.
type progress struct {
	env         *Env
	start, last time.Time
	jobs        int
	shown       bool
}

const (
	progressAfter = time.Second
	progressEvery = 100 * time.Millisecond
)

func newProgress(env *Env) *progress {
	now := env.Now()
	return &progress{env: env, start: now, last: now}
}

// step counts one job.
func (p *progress) step() {
	p.jobs++
	if !p.env.StderrTerminal || p.jobs%16 != 0 && p.jobs > 64 {
		return
	}
	now := p.env.Now()
	if now.Sub(p.start) < progressAfter || now.Sub(p.last) < progressEvery {
		return
	}
	p.last, p.shown = now, true
	fmt.Fprintf(p.env.Stderr, "\rbayproof: %d jobs read, %.0f s ", p.jobs, now.Sub(p.start).Seconds())
}

// done wipes the line.
func (p *progress) done() {
	if p.shown {
		fmt.Fprint(p.env.Stderr, "\r\x1b[K")
	}
}
