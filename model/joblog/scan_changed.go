package joblog

import (
	"bytes"
	"errors"
	"io/fs"
	"time"

	"bayproof/model"
)

// stamp shows that a file was written to while it was read. A file that was replaced or deleted meanwhile is read to its
// end as it was: that is no harm.
type stamp struct {
	bytes int64
	at    time.Time
}

func stampOf(f fs.File) stamp {
	info, err := f.Stat()
	if err != nil {
		return stamp{} // what keeps it from being read says so itself
	}
	return stamp{info.Size(), info.ModTime()}
}

// errChanged says that a file is not as it was when it was opened: what was read may be part old and part new.
var errChanged = errors.New("was written to while it was read")

// steady tells whether the open file is as it was.
func (s stamp) steady(f fs.File) bool {
	now := stampOf(f)
	return now.bytes == s.bytes && now.at.Equal(s.at)
}

// changed is the fault of a log that is not as it was when it was opened; nil where it is.
func (c *jobCutter) changed() *model.Fault {
	if c.opened.steady(c.in) {
		return nil
	}
	what, hint := why(errChanged)
	return &model.Fault{Src: model.Source{File: c.shared.reader.log}, What: what, Hint: hint}
}

// readSteady reads a file whole; it answers errChanged where the file was written to meanwhile.
func readSteady(fsys fs.FS, name string) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	opened := stampOf(f)
	var b bytes.Buffer
	b.Grow(int(min(max(opened.bytes, 0), 1<<30)) + bytes.MinRead)
	if _, err := b.ReadFrom(f); err != nil {
		return nil, err
	}
	if !opened.steady(f) {
		return nil, errChanged
	}
	return b.Bytes(), nil
}
