package disk

import (
	"errors"
	"io/fs"
	"os"
)

// ErrNoFile says that something else than a file stands under a name: opening a pipe would wait for
// someone to write into it.
var ErrNoFile = errors.New("not a file: a pipe or a device")

// ErrLink says that a file is one elsewhere too: what is written to it would be written there.
var ErrLink = errors.New("a link to another file: nothing is written through it")

// OpenToWrite opens a file of the folder to write to, or makes it; never a link, a pipe, or a file
// that goes by another name too, since what is written would change something that is not the
// job's.
func OpenToWrite(root *os.Root, name string, flag int) (*os.File, error) {
	stands, err := root.Lstat(name)
	if err == nil {
		if mode := stands.Mode(); mode&fs.ModeSymlink != 0 {
			return nil, ErrLink
		} else if !mode.IsRegular() {
			return nil, ErrNoFile
		}
	}
	file, err := root.OpenFile(name, flag, 0o666)
	if err != nil {
		return nil, err
	}
	opened, err := file.Stat()
	if err == nil && (stands != nil && !os.SameFile(stands, opened) || namesOf(file, opened) > 1) {
		err = ErrLink
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	return file, nil
}

// Share lets those who may write into the folder hold the lock, and those who may read
// the folder see who does, whatever the umask of the one who came first; where readers may not see
// it, nobody but those who may write. Where the system has no groups, or the file is somebody
// else's, it stays as it is.
func Share(f *os.File, root *os.Root, readers bool) {
	folder, err := root.Stat(".")
	if err != nil {
		return
	}
	const readWrite = 0o066 // of group and others
	want := 0o600 | folder.Mode().Perm()&readWrite
	if write := folder.Mode().Perm() & 0o022; !readers {
		want = 0o600 | write | write<<1
	}
	if group := groupOf(folder); group >= 0 {
		_ = f.Chown(-1, group)
	}
	if info, err := f.Stat(); err == nil && info.Mode().Perm() != want {
		_ = f.Chmod(want)
	}
}
