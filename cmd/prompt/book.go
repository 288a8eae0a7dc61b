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
	// Reload reads the files again and says what another program made of the log.
	Reload() (Changed, error)
}

// Changed is what another program made of the log.
type Changed struct {
	Lost []Row  // rows that stood in it and are gone
	Kept string // the file that holds the log as it was; empty where nothing is gone
	Torn string // the file that a torn last line was set aside in; empty where there was none
}

// ErrChanged says that somebody else changed the log since the last look.
var ErrChanged = errors.New("the log was changed by another program")
