package cmd

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// made are the files and folders that a command has made so far, so that one that fails can take them away again.
type made []string

// folder makes a folder and those above it.
func (m *made) folder(dir string) error {
	var missing []string
	for at := filepath.Clean(dir); ; at = filepath.Dir(at) {
		if _, err := os.Stat(at); !errors.Is(err, fs.ErrNotExist) || at == filepath.Dir(at) {
			break
		}
		missing = append(missing, at)
	}
	err := os.MkdirAll(dir, 0o777)
	for i := len(missing) - 1; i >= 0; i-- {
		m.add(missing[i])
	}
	return writeTrouble(dir, err)
}

// add notes what was made.
func (m *made) add(name string) { *m = append(*m, name) }

// undo takes everything away again, the last one first. A folder in which somebody else put something stays.
func (m *made) undo() {
	for i := len(*m) - 1; i >= 0; i-- {
		_ = os.Remove((*m)[i])
	}
	*m = nil
}
