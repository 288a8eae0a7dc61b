package joblog

import (
	"io/fs"
	"os"
	"path/filepath"
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
