package cmd

import (
	"bayproof/model/joblog"
)

// jobRead is one job as it was found in an input: its rows, or why there are none.
type jobRead struct {
	arg    string
	folder *joblog.Folder // for names; it may be closed
	rows   *joblog.Unread
	err    error // the input could not be opened
}

// name is how the job is named in messages.
func (j jobRead) name() string {
	if j.rows.Many {
		return j.arg + ": " + j.rows.Name
	}
	return j.arg
}

// eachJob finds the jobs of one input and gives them one by one; it answers false when give wants no more.
func eachJob(arg string, opt joblog.Options, give func(jobRead) bool) bool {
	folder, err := openJob(arg)
	if err != nil {
		return give(jobRead{arg: arg, err: err})
	}
	defer folder.Close()
	opt.Name = folder.Name
	more := true
	joblog.Scan(folder.FS, folder.Log, opt, func(rows *joblog.Unread) bool {
		more = give(jobRead{arg: arg, folder: folder, rows: rows})
		return more
	})
	return more
}
