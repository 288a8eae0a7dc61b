package joblog

import (
	"bytes"
	"io/fs"
	"time"
)

// Overlay is a folder in which one file holds data, whatever stands on disk: a log as it would be.
func Overlay(fsys fs.FS, name string, data []byte) fs.FS { return overlay{fsys, name, data} }

type overlay struct {
	fs.FS
	name string
	data []byte
}

// Open gives the file that is laid over, or one of the folder.
func (o overlay) Open(name string) (fs.File, error) {
	if name == o.name {
		return &overlaid{Reader: bytes.NewReader(o.data), name: name}, nil
	}
	return o.FS.Open(name)
}

// overlaid is the one file, open, and what is known about it.
type overlaid struct {
	*bytes.Reader
	name string
}

func (f *overlaid) Stat() (fs.FileInfo, error) { return f, nil }
func (f *overlaid) Close() error               { return nil }
func (f *overlaid) Name() string               { return f.name }
func (f *overlaid) Mode() fs.FileMode          { return 0o444 }
func (f *overlaid) ModTime() time.Time         { return time.Time{} }
func (f *overlaid) IsDir() bool                { return false }
func (f *overlaid) Sys() any                   { return nil }
