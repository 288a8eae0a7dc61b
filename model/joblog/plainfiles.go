package joblog

import (
	"errors"
	"io/fs"
	"os"
)

// errNoFile says that something else than a file stands under a name: opening a pipe would wait for someone to write
// into it.
var errNoFile = errors.New("not a file: a pipe or a device")

// plainFiles is a folder of which only files and folders open.
type plainFiles struct{ root *os.Root }

// Open opens a file or a folder of the folder.
func (p plainFiles) Open(name string) (fs.File, error) {
	if err := p.refuse("open", name); err != nil {
		return nil, err
	}
	return p.root.FS().Open(name)
}

// ReadFile reads a file whole.
func (p plainFiles) ReadFile(name string) ([]byte, error) {
	if err := p.refuse("read", name); err != nil {
		return nil, err
	}
	return fs.ReadFile(p.root.FS(), name)
}

// ReadDir lists a folder.
func (p plainFiles) ReadDir(name string) ([]fs.DirEntry, error) { return fs.ReadDir(p.root.FS(), name) }

// Stat describes a file or a folder.
func (p plainFiles) Stat(name string) (fs.FileInfo, error) { return fs.Stat(p.root.FS(), name) }

func (p plainFiles) refuse(op, name string) error {
	info, err := p.Stat(name)
	if err != nil {
		return err
	}
	if mode := info.Mode(); !mode.IsRegular() && !mode.IsDir() {
		return &fs.PathError{Op: op, Path: name, Err: errNoFile}
	}
	return nil
}
