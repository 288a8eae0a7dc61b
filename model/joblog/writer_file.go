package joblog

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
)

// write adds bytes to the log in one write. What a full disk took of them is taken off again.
func (w *Writer) write(b []byte) (err error) {
	name := w.folder.Log
	f, err := w.folder.openToWrite(name, os.O_WRONLY|os.O_APPEND|os.O_CREATE)
	if err != nil {
		return w.folder.trouble(name, err)
	}
	_, err = f.Write(b)
	if err == nil {
		err = f.Sync()
	}
	if err != nil {
		err = errors.Join(err, f.Truncate(int64(len(w.seen))))
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return &Trouble{fmt.Sprintf("%s: the row is not on disk: %v", w.folder.Show(name), plainErr(err)), "is the disk full?"}
	}
	if len(w.seen) == 0 {
		w.syncFolder()
	}
	return nil
}

// errLink says that a file is one elsewhere too: what is written to it would be written there.
var errLink = errors.New("a link to another file: nothing is written through it")

// openToWrite opens a file of the folder to write to, or makes it; never a link, a pipe, or a file that goes by another name
// too, since what is written would change something that is not the job's.
func (f *Folder) openToWrite(name string, flag int) (*os.File, error) {
	stands, err := f.root.Lstat(name)
	if err == nil {
		if mode := stands.Mode(); mode&fs.ModeSymlink != 0 {
			return nil, errLink
		} else if !mode.IsRegular() {
			return nil, errNoFile
		}
	}
	file, err := f.root.OpenFile(name, flag, 0o666)
	if err != nil {
		return nil, err
	}
	opened, err := file.Stat()
	if err == nil && (stands != nil && !os.SameFile(stands, opened) || namesOf(file, opened) > 1) {
		err = errLink
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	return file, nil
}

// trouble says why a file of the folder cannot be written to.
func (f *Folder) trouble(name string, err error) *Trouble {
	switch {
	case errors.Is(err, errLink) && name == f.Log:
		return &Trouble{f.Show(name) + ": " + errLink.Error(), "copy it, delete it, and give the copy its name"}
	case errors.Is(err, errLink):
		return &Trouble{f.Show(name) + ": " + errLink.Error(), "delete it"}
	case errors.Is(err, errNoFile):
		return &Trouble{f.Show(name) + ": " + errNoFile.Error(), "delete it"}
	case errors.Is(err, fs.ErrPermission):
		return &Trouble{f.Show(name) + ": " + plainErr(err).Error(), "may you write to the folder and to this file?"}
	}
	return &Trouble{f.Show(name) + ": " + plainErr(err).Error(), "may you write to the folder, and is there room on the disk?"}
}

// syncFolder makes a new file's name last through a power cut, where the system can.
func (w *Writer) syncFolder() {
	if d, err := w.folder.root.Open(path.Dir(w.folder.Log)); err == nil {
		_ = d.Sync() // Windows does not sync folders
		d.Close()
	}
}

// plainErr leaves out the path, which the message has already.
func plainErr(err error) error {
	var perr *fs.PathError
	if errors.As(err, &perr) {
		return perr.Err
	}
	return err
}
