package cmd

import (
	"fmt"
	"io"
	"slices"

	"bayproof/model"
)

// printer writes results in order and remembers what the exit code hangs on.
type printer struct {
	o       *checkOptions
	w       io.Writer
	pending []byte // goes before the first result
	printed int
	faulty  bool
	open    bool
	told    []model.Fault // printed last
	warned  warned
}

// print writes one job: its result, or on stderr why there is none.
func (p *printer) print(c checked) error {
	stderr := p.o.env.Stderr
	switch {
	case c.from.err != nil:
		p.faulty = true
		exitCode(stderr, c.from.err)
		return nil
	case c.err != nil:
		return c.err
	case len(c.faults) > 0:
		p.faulty = true
		if !slices.Equal(c.faults, p.told) { // those of the files beside a log are those of each of its jobs
			printFaults(stderr, c.from.folder, c.faults)
		}
		p.told = c.faults
		return nil
	case c.bays == 0:
		p.faulty = true
		printError(stderr, fmt.Sprintf("%s: no bay in the log", c.from.name()), "bayproof log "+c.from.arg+" takes them down one by one")
		return nil
	}
	if len(p.pending) > 0 {
		if _, err := p.w.Write(p.pending); err != nil {
			return err
		}
		p.pending = nil
	}
	if p.printed > 0 && p.o.format == formatText {
		if _, err := io.WriteString(p.w, "\n"); err != nil {
			return err
		}
	}
	p.printed++
	p.warned.tell(c.from.folder, c.warned)
	p.open = p.open || c.open
	_, err := p.w.Write(c.out)
	return err
}

// status is the exit code of the whole run.
func (p *printer) status() error {
	switch {
	case p.faulty || p.printed == 0:
		return exitStatus(exitFault)
	case p.open:
		return exitStatus(exitOpen)
	}
	return nil
}
