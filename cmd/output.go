package cmd

import (
	"bufio"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"github.com/spf13/cobra"
)

// outputFlag attaches -o, which every command with a result has.
func outputFlag(cmd *cobra.Command, file *string, what string) {
	cmd.Flags().StringVarP(file, "output", "o", "", what)
	_ = cmd.MarkFlagFilename("output")
}

// writeResult hands write a buffered stdout where file is empty or "-", else a file that appears under its name only
// once everything is in it. Where write fails, nothing is left and what stood there before still does.
func writeResult(env *Env, file string, write func(io.Writer) error) error {
	if file != "" && file != "-" {
		return writeFile(file, write)
	}
	w := bufio.NewWriterSize(env.Stdout, 1<<16)
	err := write(w)
	if flushErr := w.Flush(); flushErr != nil {
		return flushErr
	}
	return err
}

// writeFile writes a file as a whole or not at all: a temporary file in the same folder, synced, closed, renamed.
// An exitStatus returned by write counts as success, because it says something about the result and not about the file.
func writeFile(name string, write func(io.Writer) error) (err error) {
	temp, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+".*")
	if err != nil {
		return withHint(err, "does the folder exist, and may you write to it?")
	}
	defer func() {
		if err != nil && !isStatus(err) {
			temp.Close()
			os.Remove(temp.Name())
		}
	}()
	w := bufio.NewWriterSize(temp, 1<<16)
	writeErr := write(w)
	if writeErr != nil && !isStatus(writeErr) {
		return writeErr
	}
	if err := errors.Join(w.Flush(), temp.Chmod(filePerm(name)), temp.Sync(), temp.Close()); err != nil {
		return err
	}
	if err := replace(temp.Name(), name); err != nil {
		return err
	}
	return writeErr
}

// filePerm keeps the permissions of a file that is replaced; a new file gets the usual ones.
func filePerm(name string) os.FileMode {
	if info, err := os.Stat(name); err == nil {
		return info.Mode().Perm()
	}
	return 0o644
}

// replace renames, and tries again for a short while where Windows says that someone (a virus scanner, an indexer)
// holds the file.
func replace(from, to string) error {
	var err error
	for wait := 5 * time.Millisecond; wait < 500*time.Millisecond; wait *= 2 {
		err = os.Rename(from, to)
		if err == nil || runtime.GOOS != "windows" || !errors.Is(err, os.ErrPermission) {
			return err
		}
		time.Sleep(wait)
	}
	return err
}

func isStatus(err error) bool {
	var status exitStatus
	return errors.As(err, &status)
}
