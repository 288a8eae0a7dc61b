package cmd

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"bayproof/model"
	"bayproof/model/joblog"
)

// jobPath is what a user names: a job's folder, or a log in it.
type jobPath struct {
	arg  string
	dir  string
	log  string // file name of the log in dir; empty where a folder was named
	root *os.Root
}

// openJob finds the folder that arg names, or that holds the file that it names. Nothing outside that folder can be
// read through it. The caller closes it.
func openJob(arg string) (*jobPath, error) {
	info, err := os.Stat(arg)
	if err != nil {
		return nil, withHint(plainPath(err), "name a job's folder, or the CSV file with its bays")
	}
	p := &jobPath{arg: arg, dir: arg}
	if !info.IsDir() {
		p.dir, p.log = filepath.Split(arg)
		if p.dir == "" {
			p.dir = "."
		}
	}
	if p.root, err = os.OpenRoot(p.dir); err != nil {
		return nil, plainPath(err)
	}
	return p, nil
}

// FS returns the job's folder.
func (p *jobPath) FS() fs.FS { return p.root.FS() }

// Close lets go of the folder.
func (p *jobPath) Close() error { return p.root.Close() }

// shown is how a file of the job is named in messages: as the user would open it.
func (p *jobPath) shown(file string) string {
	if file == "" {
		return p.arg
	}
	return filepath.Join(p.dir, file)
}

// readJob reads the one job that arg names. Its faults are printed, and the error then only carries the exit code.
func readJob(env *Env, arg string, opt joblog.Options) (*model.Job, error) {
	p, err := openJob(arg)
	if err != nil {
		return nil, err
	}
	defer p.Close()
	job, faults := joblog.Read(p.FS(), p.log, opt)
	if len(faults) > 0 {
		printFaults(env.Stderr, p, faults)
		return nil, exitStatus(exitFault)
	}
	return job, nil
}

// printFaults lists the faults of a job as file:line:column. A hint that holds for several in a row is printed once,
// after the last of them.
func printFaults(stderr io.Writer, p *jobPath, faults []model.Fault) {
	for i, f := range faults {
		fmt.Fprintf(stderr, "bayproof: error: %s%s\n", p.place(f.Src), f.What)
		if i+1 == len(faults) || faults[i+1].Hint != f.Hint {
			printHint(stderr, f.Hint)
		}
	}
}

// place writes where a fault stands, with a colon and a space behind it.
func (p *jobPath) place(src model.Source) string {
	if len(src.File) > 2 && src.File[:2] == "--" {
		return src.File + ": " // a flag
	}
	text := p.shown(src.File)
	if src.Line > 0 {
		text += fmt.Sprintf(":%d", src.Line)
		if src.Col > 0 {
			text += fmt.Sprintf(":%d", src.Col)
		}
	}
	return text + ": "
}

// plainPath says what is wrong with a path without naming the call that found out.
func plainPath(err error) error {
	var pathErr *fs.PathError
	if !errors.As(err, &pathErr) {
		return err
	}
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: there is no such file or folder", pathErr.Path)
	}
	return fmt.Errorf("%s: %w", pathErr.Path, pathErr.Err)
}
