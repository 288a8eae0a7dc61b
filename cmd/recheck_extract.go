package cmd

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"bayproof/model/joblog"
	"bayproof/report/record"
)

// extract writes the files that a record carries into a folder that is not there yet, or is empty. Names that lead out
// of it, or to one file twice, are refused before anything is written.
func extract(opened *record.Opened, dir string) error {
	if err := plainFiles(opened.Carried.Files); err != nil {
		return withHint(err, "nothing was written")
	}
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return withHint(fmt.Errorf("%s is not empty: nothing in it is overwritten", dir), "name a new folder")
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return plainPath(err)
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return plainPath(err)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return plainPath(err)
	}
	defer root.Close()
	for _, f := range opened.Carried.Files {
		if err := extractFile(root, filepath.FromSlash(f.Name), f.Raw); err != nil {
			return writeTrouble(filepath.Join(dir, f.Name), err)
		}
	}
	return nil
}

// plainFiles refuses names that are none of a file in a job, and those that a folder could not hold beside each other: two
// that differ in case alone, and one that is another's folder.
func plainFiles(files []record.File) error {
	seen, folders := map[string]bool{}, map[string]bool{}
	for _, f := range files {
		if !joblog.PlainPath(f.Name) {
			return fmt.Errorf("the record carries a file named %q, which is no name of a file in a job", f.Name)
		}
		name := strings.ToLower(f.Name)
		if seen[name] {
			return fmt.Errorf("the record carries two files named %q", f.Name)
		}
		seen[name] = true
		for above := path.Dir(name); above != "."; above = path.Dir(above) {
			folders[above] = true
		}
	}
	for _, f := range files {
		if folders[strings.ToLower(f.Name)] {
			return fmt.Errorf("the record carries %q as a file and as a folder", f.Name)
		}
	}
	return nil
}

// extractFile writes one file where none is.
func extractFile(root *os.Root, name string, raw []byte) error {
	if sub := filepath.Dir(name); sub != "." {
		if err := root.MkdirAll(sub, 0o777); err != nil {
			return err
		}
	}
	f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(raw)
	return errors.Join(err, f.Close())
}
