package prompt

import (
	"errors"

	"bayproof/model"
)

// Row is one row of the log to be: column to text as the file shall hold it. The driver adds the time.
type Row map[string]string

// Book is the log on disk.
type Book interface {
	// Job returns the job as its files stand, without anything of this session that is not in them.
	Job() (*model.Job, []model.Fault)
	// Try puts the job together as it would be with the rows after its log. It writes nothing.
	Try(rows ...Row) (*model.Job, []model.Fault)
	// Append writes one row and returns once it is on disk. ErrChanged means that nothing was written because the file
	// is no longer what this session last saw; Reload makes it known again.
	Append(row Row) error
	// Reload reads the files again and returns the rows that this session wrote and that are no longer in the log.
	Reload() (lost []Row, err error)
}

// ErrChanged says that somebody else changed the log since the last look.
var ErrChanged = errors.New("the log was changed by another program")
