package joblog

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/gofrs/flock"
)

// maxWho is how much of a lock file is read.
const maxWho = 200

// lock is a lock on a file of its own beside the log: Windows keeps others from reading a file that is locked.
type lock struct {
	flock *flock.Flock
	file  *os.File // the same file, open to be written to
}

// hold takes the lock. The name of the holder stands in its file from the second byte on, since Windows locks the first.
func (w *Writer) hold(who string) error {
	name := w.folder.Log + ".lock"
	f, openErr := w.folder.openToWrite(name, os.O_RDWR|os.O_CREATE)
	if openErr != nil && !errors.Is(openErr, fs.ErrPermission) {
		return w.folder.trouble(name, openErr)
	}
	l := &lock{flock: flock.New(filepath.Join(w.folder.Dir, filepath.FromSlash(name))), file: f}
	if f != nil {
		shareWithFolder(f, w.folder.root)
	}
	got, err := l.flock.TryLock()
	switch {
	case err == nil && !got:
		l.letGo()
		return &Trouble{"the log is open elsewhere: " + w.folder.holder(name), "close it there first"}
	case openErr != nil: // it may be looked at and not held
		l.letGo()
		return w.folder.trouble(name, openErr)
	case err == nil && !l.oneFile():
		err = errLink
	}
	if err == nil {
		_, err = f.WriteAt([]byte(strings.ReplaceAll(who, "\n", " ")+"\n"), 1)
		err = errors.Join(err, f.Truncate(int64(len(who)+2)))
	}
	if err != nil {
		l.letGo()
		return w.folder.trouble(name, err)
	}
	w.lock = l
	return nil
}

// oneFile tells whether what was locked, by its path, is what was opened, within the folder.
func (l *lock) oneFile() bool {
	locked, err1 := l.flock.Stat()
	opened, err2 := l.file.Stat()
	return err1 == nil && err2 == nil && os.SameFile(locked, opened)
}

// holder reads who holds the lock.
func (f *Folder) holder(name string) string {
	b := make([]byte, maxWho)
	n := 0
	if file, err := f.root.Open(name); err == nil {
		n, _ = file.ReadAt(b, 1)
		file.Close()
	}
	if who := strings.TrimSpace(string(b[:n])); who != "" {
		return tell(who)
	}
	return "by a program that does not say its name"
}

// letGo gives the lock back. The file stays: to take it away would let two others each hold a lock of its own.
func (l *lock) letGo() {
	if l.file != nil {
		if l.flock.Locked() {
			_ = l.file.Truncate(0) // a name without a holder would only mislead
		}
		defer l.file.Close()
	}
	_ = l.flock.Unlock()
}

// shareWithFolder lets those who may write into the folder hold the lock, and those who may read the folder see who does,
// whatever the umask of the one who came first. Where the system has no groups, or the file is somebody else's, it stays
// as it is.
func shareWithFolder(f *os.File, root *os.Root) {
	folder, err := root.Stat(".")
	if err != nil {
		return
	}
	const readWrite = 0o066 // of group and others
	want := 0o600 | folder.Mode().Perm()&readWrite
	if group := groupOf(folder); group >= 0 {
		_ = f.Chown(-1, group)
	}
	if info, err := f.Stat(); err == nil && info.Mode().Perm() != want {
		_ = f.Chmod(want)
	}
}
