package joblog

import (
	"errors"
	"os"
	"path/filepath"
	"strings"

	"github.com/gofrs/flock"
)

// maxWho is how much of a lock file is read.
const maxWho = 200

// hold takes the lock on a file of its own beside the log: Windows keeps others from reading a file that is locked. The
// name of the holder stands in it from the second byte on, since Windows locks the first.
func (w *Writer) hold(who string) error {
	name := filepath.Join(w.folder.Dir, filepath.FromSlash(w.folder.Log)+".lock")
	if info, err := os.Lstat(name); err == nil && !info.Mode().IsRegular() {
		return &Trouble{name + " is no file", "delete it"}
	}
	w.lock = flock.New(name)
	got, err := w.lock.TryLock()
	if err != nil {
		what, hint := why(err)
		return &Trouble{name + ": " + what, hint}
	}
	if !got {
		w.lock = nil
		return &Trouble{"the log is open elsewhere: " + holder(name), "close it there first"}
	}
	f, err := os.OpenFile(name, os.O_WRONLY, 0)
	if err == nil {
		_, err = f.WriteAt([]byte(" " + strings.ReplaceAll(who, "\n", " ") + "\n")[1:], 1)
		err = errors.Join(err, f.Truncate(int64(len(who)+2)), f.Close())
	}
	if err != nil {
		w.letGo()
		return &Trouble{name + ": " + plainErr(err).Error(), "may you write to the folder, and is there room on the disk?"}
	}
	return nil
}

// holder reads who holds the lock.
func holder(name string) string {
	f, err := os.Open(name)
	if err != nil {
		return "by a program that does not say its name"
	}
	defer f.Close()
	b := make([]byte, maxWho)
	n, _ := f.ReadAt(b, 1)
	if who := strings.TrimSpace(string(b[:n])); who != "" {
		return tell(who)
	}
	return "by a program that does not say its name"
}

// letGo gives the lock back. The file stays: to take it away would let two others each hold a lock of its own.
func (w *Writer) letGo() {
	if w.lock == nil {
		return
	}
	_ = os.Truncate(w.lock.Path(), 0) // a name without a holder would only mislead
	_ = w.lock.Unlock()
	w.lock = nil
}
