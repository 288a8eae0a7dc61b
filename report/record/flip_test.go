package record

import (
	"io/fs"

	"bayproof/report"
)

func (in Input) assets() fs.FS {
	if in.Assets != nil {
		return in.Assets
	}
	return report.Assets()
}

// withoutLibrary is the assets without the chart script.
type withoutLibrary struct{ fs.FS }

func (w withoutLibrary) Open(name string) (fs.File, error) {
	if name == chartScript {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return w.FS.Open(name)
}
