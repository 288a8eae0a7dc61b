package cmd

import (
	"bufio"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"github.com/spf13/cobra"
)

// outputFlag attaches -o, which every command with a result has.
func outputFlag(cmd *cobra.Command, file *string, what string) {
	cmd.Flags().StringVarP(file, "output", "o", "", what)
	_ = cmd.MarkFlagFilename("output")
}

// target is where a file is written: a name below a folder, out of which nothing leads.
type target struct {
	shown        string // as the user wrote it
	folder, name string
	inJob        bool // the folder is a job's, and may come from somebody else: no link in it is followed or replaced
}

// write writes a file as a whole or not at all: a temporary file in the same folder, synced, closed, renamed. Where write
// fails, nothing is left and what stood there before still does. Where it returns exitOpen or exitPart the file is whole:
// that is a result and no failure.
func (t target) write(write func(io.Writer) error) error {
	if err := t.leadsOut(); err != nil {
		return err
	}
	root, err := os.OpenRoot(t.folder)
	if err != nil {
		return writeTrouble(t.shown, err)
	}
	defer root.Close()
	stands, err := t.free(root)
	if err != nil {
		return err
	}
	temp, name, err := createTemp(root, t.name)
	if err != nil {
		return writeTrouble(t.shown, err)
	}
	done := false
	defer func() {
		if !done {
			temp.Close()
			_ = root.Remove(name)
		}
	}()
	if stands != nil {
		_ = temp.Chmod(stands.Mode().Perm()) // where the system has no such thing, its own default is right
	}
	sweep(root, t.name, temp)
	w := bufio.NewWriterSize(temp, 1<<16)
	writeErr := write(w)
	if writeErr != nil && !isStatus(writeErr, exitOpen) && !isStatus(writeErr, exitPart) {
		return writeErr
	}
	if err := errors.Join(w.Flush(), temp.Sync(), temp.Close()); err != nil {
		return writeTrouble(t.shown, err)
	}
	if err := replace(root, name, t.name); err != nil {
		return writeTrouble(t.shown, err)
	}
	done = true
	return writeErr
}

// leadsOut says it where a link in a job's folder leads out of it on the way to the file. What os.Root makes of it, should
// one be put there a moment later, stops the run too, in words that nobody understands.
func (t target) leadsOut() error {
	if !t.inJob {
		return nil
	}
	folder, err1 := filepath.EvalSymlinks(t.folder)
	dir, err2 := filepath.EvalSymlinks(filepath.Join(t.folder, filepath.Dir(t.name)))
	if err1 != nil || err2 != nil {
		return nil // not there: said when it is opened
	}
	if rel, err := filepath.Rel(folder, dir); err != nil || !filepath.IsLocal(rel) {
		return withHint(fmt.Errorf("%s: a link leads out of the job's folder: nothing is written through it", t.shown), linkHint)
	}
	return nil
}

const linkHint = "delete it, or name another file"

// free tells what stands where the file goes, nil where nothing does, and refuses what is not to be replaced.
func (t target) free(root *os.Root) (fs.FileInfo, error) {
	info, err := root.Lstat(t.name)
	switch {
	case err != nil:
		return nil, nil // nothing there, or said when the temporary file beside it cannot be made
	case info.IsDir():
		return nil, fmt.Errorf("%s is a folder", t.shown)
	case info.Mode().IsRegular():
		return info, nil
	case !t.inJob:
		return nil, nil // a link that leads nowhere
	case info.Mode()&fs.ModeSymlink != 0:
		return nil, withHint(fmt.Errorf("%s is a link: nothing is written through it", t.shown), linkHint)
	}
	return nil, withHint(fmt.Errorf("%s is no file: a pipe or a device", t.shown), linkHint)
}

// writeThrough writes into what is there and cannot be replaced: a device, a pipe.
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

// The name of a temporary file is hidden, says whose it is, and cannot be foreseen: nobody can put a link there beforehand.
const (
	tempBytes  = 8
	tempEnding = ".tmp"
	staleAfter = time.Hour // a run that still lives has written to its own since
)

func tempStart(name string) string { return "." + filepath.Base(name) + "." }

// createTemp makes a new file beside name.
func createTemp(root *os.Root, name string) (*os.File, string, error) {
	random := make([]byte, tempBytes)
	if _, err := rand.Read(random); err != nil {
		return nil, "", err
	}
	temp := filepath.Join(filepath.Dir(name), tempStart(name)+hex.EncodeToString(random)+tempEnding)
	f, err := root.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	return f, temp, err
}

// sweep takes away the temporary files of runs that were killed while they wrote the same file. Their age is told by the
// clock of the disk that they lie on, which made fresh just now.
func sweep(root *os.Root, name string, fresh *os.File) {
	dir, err := root.Open(filepath.Dir(name))
	if err != nil {
		return
	}
	defer dir.Close()
	now, err := fresh.Stat()
	entries, _ := dir.ReadDir(-1)
	for _, e := range entries {
		middle, ours := strings.CutPrefix(e.Name(), tempStart(name))
		middle, ours2 := strings.CutSuffix(middle, tempEnding)
		if b, bad := hex.DecodeString(middle); !ours || !ours2 || bad != nil || len(b) != tempBytes || err != nil {
			continue
		}
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() && now.ModTime().Sub(info.ModTime()) > staleAfter {
			_ = root.Remove(filepath.Join(filepath.Dir(name), e.Name()))
		}
	}
}

// replace renames, and tries again for a short while where Windows says that someone (a virus scanner, an indexer)
// holds the file.
func replace(root *os.Root, from, to string) error {
	var err error
	for wait := 5 * time.Millisecond; wait < 500*time.Millisecond; wait *= 2 {
		err = root.Rename(from, to)
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
