package joblog

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Folder is a job's folder on disk, from which nothing leads out.
type Folder struct {
	FS   fs.FS
	Log  string // name of the log in it
	Name string // the folder's name, or that of a log given by itself, without .csv
	Dir  string // as the user wrote it
	root *os.Root
}

// Open opens a job folder, or the folder of a log: JOB and JOB/bays.csv are the same job. Links and `..` that lead out of
// the folder are refused when a file is read.
func Open(at string) (*Folder, error) {
	info, err := os.Stat(at)
	if err != nil {
		return nil, err
	}
	f := &Folder{Dir: at, Log: LogName}
	if !info.IsDir() {
		f.Dir, f.Log = filepath.Dir(at), filepath.Base(at)
	}
	if f.root, err = os.OpenRoot(f.Dir); err != nil {
		return nil, err
	}
	f.FS = plainFiles{f.root}
	f.Name = folderName(f.Dir, f.Log)
	return f, nil
}

// folderName is what a job is called that does not say its name.
func folderName(dir, log string) string {
	if log != LogName {
		return log[:len(log)-len(filepath.Ext(log))]
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		return filepath.Base(dir)
	}
	return filepath.Base(abs)
}

// Close gives the folder back.
func (f *Folder) Close() error { return f.root.Close() }

// Show is the path of a file of the folder as the user would write it.
func (f *Folder) Show(file string) string {
	if f.Dir == "." || len(file) > 1 && file[:2] == "--" {
		return file
	}
	return filepath.Join(f.Dir, filepath.FromSlash(file))
}

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

// What fs.File and fs.FileInfo ask of a file that is not on disk.
func (f *overlaid) Stat() (fs.FileInfo, error) { return f, nil }
func (f *overlaid) Close() error               { return nil }
func (f *overlaid) Name() string               { return f.name }
func (f *overlaid) Mode() fs.FileMode          { return 0o444 }
func (f *overlaid) ModTime() time.Time         { return time.Time{} }
func (f *overlaid) IsDir() bool                { return false }
func (f *overlaid) Sys() any                   { return nil }

// errNoFile says that something else than a file stands under a name: opening a pipe would wait for someone to write
// into it.
var errNoFile = errors.New("not a file: a pipe or a device")

// plainFiles is a folder of which only files and folders open.
type plainFiles struct{ root *os.Root }

// Open opens a file or a folder of the folder, and nothing else: to open a pipe would wait for a writer, to read a device
// might never end.
func (p plainFiles) Open(name string) (fs.File, error) {
	info, err := p.Stat(name)
	if err != nil {
		return nil, err
	}
	if mode := info.Mode(); !mode.IsRegular() && !mode.IsDir() {
		return nil, &fs.PathError{Op: "open", Path: name, Err: errNoFile}
	}
	return p.root.FS().Open(name)
}

// Stat describes a file or a folder, and opens nothing.
func (p plainFiles) Stat(name string) (fs.FileInfo, error) { return fs.Stat(p.root.FS(), name) }

// Photos is the folder of a job's photos.
const Photos = "photos"

// OwnFiles are the names of the files beside its photos that a job's folder has or may come to have, its log by that name
// first: what is read, what is made from it, and what stands beside the log while somebody writes to it.
func OwnFiles(log string) []string {
	return []string{
		log, "job.csv", "sections.csv", "cores.csv", "inspections.csv", "programme.csv",
		"record.html", "record.html.minisig", "sheets.html", "pocket.html",
		log + ".lock", log + ".torn", log + ".before", log + ".journal",
	}
}

// PlainName tells whether a name can be that of a file in a folder and of nothing else, on every system: no path, no
// drive or stream (the colon), no device of Windows, nothing that Windows cuts off the end, no control character. It does not
// depend on the system it runs on, since a log and a record travel.
func PlainName(name string) bool {
	switch {
	case name == "", name == ".", name == "..", len(name) > 255, strings.ContainsAny(name, `/\:`), device(name):
		return false
	case name[len(name)-1] == '.', name[len(name)-1] == ' ':
		return false
	}
	return strings.IndexFunc(name, func(r rune) bool { return r < ' ' || r == 0x7f }) < 0
}

// device tells whether Windows opens a device by this name, with whatever ending. Source: Microsoft, "Naming Files, Paths,
// and Namespaces".
func device(name string) bool {
	base, _, _ := strings.Cut(name, ".")
	base = strings.ToUpper(strings.TrimRight(base, " "))
	switch base {
	case "CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$":
		return true
	}
	port := strings.TrimPrefix(strings.TrimPrefix(base, "COM"), "LPT")
	if len(port) == len(base) {
		return false
	}
	switch port {
	case "0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "¹", "²", "³":
		return true
	}
	return false
}

// PlainPath tells whether a slash-separated name leads to a file in a folder or in one below it, and nowhere else.
func PlainPath(name string) bool {
	for part := range strings.SplitSeq(name, "/") {
		if !PlainName(part) {
			return false
		}
	}
	return true
}
