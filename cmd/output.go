package cmd

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
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

// writeFile writes a file as a whole or not at all: a temporary file in the same folder, synced, closed, renamed. Where
// write returns exitOpen or exitPart the file is whole: that is a result and no failure.
func writeFile(name string, write func(io.Writer) error) (err error) {
	name, special := target(name)
	if special {
		return writeThrough(name, write)
	}
	temp, err := createTemp(name)
	if err != nil {
		return writeTrouble(name, err)
	}
	done := false
	defer func() {
		if !done {
			temp.Close()
			os.Remove(temp.Name())
		}
	}()
	w := bufio.NewWriterSize(temp, 1<<16)
	writeErr := write(w)
	if writeErr != nil && !isStatus(writeErr, exitOpen) && !isStatus(writeErr, exitPart) {
		return writeErr
	}
	if err := errors.Join(w.Flush(), temp.Sync(), temp.Close()); err != nil {
		return writeTrouble(name, err)
	}
	if err := replace(temp.Name(), name); err != nil {
		return writeTrouble(name, err)
	}
	done = true
	return writeErr
}

// target follows links, so that the file behind one is replaced and not the link. It tells whether something stands
// there that cannot be replaced: a device, a pipe.
func target(name string) (file string, special bool) {
	if real, err := filepath.EvalSymlinks(name); err == nil {
		name = real
	}
	info, err := os.Stat(name)
	return name, err == nil && !info.Mode().IsRegular() && !info.IsDir()
}

// writeThrough writes into what is there.
func writeThrough(name string, write func(io.Writer) error) error {
	f, err := os.OpenFile(name, os.O_WRONLY, 0)
	if err != nil {
		return plainPath(err)
	}
	w := bufio.NewWriterSize(f, 1<<16)
	writeErr := write(w)
	if err := errors.Join(w.Flush(), f.Close()); err != nil {
		return writeTrouble(name, err)
	}
	return writeErr
}

// writeTrouble says why a file could not be written, under the name that was asked for and not that of the temporary file
// or of the call that found out; a nil err stays nil.
func writeTrouble(name string, err error) error {
	const hint = "does the folder exist, may you write to it, and is there room on the disk?"
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrNotExist):
		return withHint(fmt.Errorf("%s: there is no such file or folder", name), hint)
	case errors.As(err, &path):
		return withHint(fmt.Errorf("%s: %w", name, path.Err), hint)
	case errors.As(err, &link):
		return withHint(fmt.Errorf("%s: %w", name, link.Err), hint)
	}
	return withHint(err, hint)
}

// createTemp makes a hidden file beside name, with the permissions of the file that it will replace.
func createTemp(name string) (*os.File, error) {
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		return nil, fmt.Errorf("%s is a folder", name)
	}
	temp := filepath.Join(filepath.Dir(name), fmt.Sprintf(".%s.%d.tmp", filepath.Base(name), os.Getpid()))
	f, err := os.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o666)
	if err != nil {
		return nil, err
	}
	if info, err := os.Stat(name); err == nil {
		_ = f.Chmod(info.Mode().Perm()) // where the system has no such thing, its own default is right
	}
	return f, nil
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

// isStatus tells whether err only carries that exit code.
func isStatus(err error, code int) bool {
	var status exitStatus
	return errors.As(err, &status) && int(status) == code
}
