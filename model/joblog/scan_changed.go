package joblog

import (
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

// changed is the fault of a log that is not as it was when it was opened; nil where it is.
func (c *jobCutter) changed() *model.Fault {
	if now := stampOf(c.in); now.bytes == c.opened.bytes && now.at.Equal(c.opened.at) {
		return nil
	}
	return &model.Fault{Src: model.Source{File: c.shared.reader.log}, What: "was written to while it was read", Hint: "type the command again"}
}
