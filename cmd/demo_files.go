package cmd

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// copyJob writes every file of a job folder into dir, or none. A file that is already there and says the same is left
// alone; one that says something else stops everything before the first write: it may be somebody's work.
func copyJob(job fs.FS, dir string) error {
	missing, err := missingFiles(job, dir)
	if err != nil {
		return err
	}
	var m made
	for _, name := range missing {
		if err := copyFile(job, name, dir, &m); err != nil {
			m.undo()
			return err
		}
	}
	return nil
}

// copyFile writes one file of a job folder into dir.
func copyFile(job fs.FS, name, dir string, m *made) error {
	data, err := fs.ReadFile(job, name)
	if err != nil {
		return err
	}
	to := target{shown: filepath.Join(dir, filepath.FromSlash(name)), folder: dir, name: filepath.FromSlash(name), inJob: true}
	if err := m.folder(filepath.Dir(to.shown)); err != nil {
		return err
	}
	err = to.write(func(w io.Writer) error { _, err := w.Write(data); return err })
	if err == nil {
		m.add(to.shown)
	}
	return err
}

// missingFiles lists the job's files that dir does not have yet, in a fixed order.
func missingFiles(job fs.FS, dir string) ([]string, error) {
	var missing []string
	err := fs.WalkDir(job, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		want, err := fs.ReadFile(job, name)
		if err != nil {
			return err
		}
		target := filepath.Join(dir, filepath.FromSlash(name))
		switch have, err := os.ReadFile(target); {
		case errors.Is(err, fs.ErrNotExist):
			missing = append(missing, name)
		case err != nil:
			return err
		case !bytes.Equal(have, want):
			return withHint(fmt.Errorf("%s is there already and was changed: it is not overwritten", target),
				"name another folder: bayproof demo FOLDER")
		}
		return nil
	})
	return missing, err
}
