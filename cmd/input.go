package cmd

import (
	"errors"
	"fmt"
	"io"
	"io/fs"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report/say"
	"bayproof/report/screen"
)

// openJob opens the folder that arg names, or that holds the log that it names. The caller closes it.
func openJob(arg string) (*joblog.Folder, error) {
	folder, err := joblog.Open(arg)
	if err != nil {
		return nil, withHint(plainPath(err), "name a job's folder, or the CSV file with its bays")
	}
	return folder, nil
}

// readJob reads the one job that arg names. Its faults are printed, and the error then only carries the exit code; of its
// warnings those that no row alone is meant by.
func readJob(env *Env, arg string, opt joblog.Options) (*model.Job, error) {
	folder, err := openJob(arg)
	if err != nil {
		return nil, err
	}
	defer folder.Close()
	opt.Name = folder.Name
	job, faults := joblog.Read(folder.FS, folder.Log, opt)
	if len(faults) > 0 {
		printFaults(env.Stderr, folder, faults)
		return nil, exitStatus(exitFault)
	}
	tellWarnings(env.Stderr, folder, ofFiles(job.Warnings))
	return job, nil
}

// printFaults lists the faults of a job as file:line:column. A hint that holds for several in a row is printed once,
// after the last of them.
func printFaults(stderr io.Writer, folder *joblog.Folder, faults []model.Fault) {
	for i, f := range faults {
		fmt.Fprintf(stderr, "bayproof: error: %s\n", screen.Clean(place(folder, f.Src)+f.What))
		if i+1 == len(faults) || faults[i+1].Hint != f.Hint {
			printHint(stderr, f.Hint)
		}
	}
}

// place writes where a fault stands, as the user would open it, with a colon and a space behind it.
func place(folder *joblog.Folder, src model.Source) string {
	if src.File == "" {
		return folder.Dir + ": "
	}
	src.File = folder.Show(src.File)
	return say.Place(src) + ": "
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
