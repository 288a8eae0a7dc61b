package cmd

import (
	"bytes"
	"io/fs"
	"time"
)

// overlay is a folder in which one file says something else than on disk, or is there at all: a log as it would be.
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

// overlaid is the one file, open.
type overlaid struct {
	*bytes.Reader
	name string
}

func (f *overlaid) Stat() (fs.FileInfo, error) { return overlaidInfo{f.name, f.Reader.Size()}, nil }
func (f *overlaid) Close() error               { return nil }

type overlaidInfo struct {
	name string
	size int64
}

func (i overlaidInfo) Name() string       { return i.name }
func (i overlaidInfo) Size() int64        { return i.size }
func (i overlaidInfo) Mode() fs.FileMode  { return 0o444 }
func (i overlaidInfo) ModTime() time.Time { return time.Time{} }
func (i overlaidInfo) IsDir() bool        { return false }
func (i overlaidInfo) Sys() any           { return nil }

// emptyLog is the header of a log, in the order of the format.
const emptyLog = "section,bay,entry,shape,width,width2,depth,depth2,length,length2,bulge,bags,counter,weight,reach,hole,stall,probe,at,photo,by,note,time\n"

// withLog returns the folder, with an empty log where it has none yet.
func withLog(fsys fs.FS, log string) fs.FS {
	if _, err := fs.Stat(fsys, log); err == nil {
		return fsys
	}
	return overlay{fsys, log, []byte(emptyLog)}
}
