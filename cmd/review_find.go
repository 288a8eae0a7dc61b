package cmd

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"bayproof/model/joblog"
)

// eachJobBelow gives the jobs of a log, of a job's folder, or of every job's folder below a folder, in the order of their
// paths.
func eachJobBelow(arg string, opt joblog.Options, give func(jobRead) bool) bool {
	info, err := os.Stat(arg)
	if err != nil || !info.IsDir() || hasLog(arg) {
		return eachJob(arg, opt, give)
	}
	more, found := true, false
	err = filepath.WalkDir(arg, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			found = true
			more = give(jobRead{arg: path, err: plainPath(err)})
			return stopOr(more, fs.SkipDir)
		case !d.IsDir():
			return nil
		case path != arg && strings.HasPrefix(d.Name(), "."):
			return fs.SkipDir
		case !hasLog(path):
			return nil
		}
		found = true
		more = eachJob(path, opt, give)
		return stopOr(more, fs.SkipDir)
	})
	if err != nil && more {
		more = give(jobRead{arg: arg, err: plainPath(err)})
	}
	if !found && more {
		return give(jobRead{arg: arg, err: noJobBelow(arg)})
	}
	return more
}

func stopOr(more bool, otherwise error) error {
	if !more {
		return fs.SkipAll
	}
	return otherwise
}

func hasLog(dir string) bool {
	info, err := os.Stat(filepath.Join(dir, joblog.LogName))
	return err == nil && !info.IsDir()
}

func noJobBelow(arg string) error {
	return withHint(errors.New(arg+": no job in this folder or below it"), "a job is a folder with bays.csv in it")
}
