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
	f, err := w.folder.root.OpenFile(name, os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o666)
	if err != nil {
		what, hint := why(err)
		return &Trouble{w.folder.Show(name) + ": " + what, hint}
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
