package cmd

import (
	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/joblog"
)

// jobRead is one job as it came from the reader: the job, or why there is none.
type jobRead struct {
	arg    string
	folder *joblog.Folder // closed; for names
	job    *model.Job     // nil where there are faults
	faults []model.Fault
	err    error // the input could not be opened
	many   bool  // it came from a file that may hold many jobs
}

// name is how the job is named in messages.
func (j jobRead) name() string {
	if j.many && j.job != nil {
		return j.arg + ": " + j.job.Name
	}
	return j.arg
}

// eachJob reads the jobs of one input and gives them one by one; it answers false when give wants no more.
func eachJob(arg string, opt joblog.Options, give func(jobRead) bool) bool {
	folder, err := openJob(arg)
	if err != nil {
		return give(jobRead{arg: arg, err: err})
	}
	defer folder.Close()
	opt.Name = folder.Name
	job, faults := joblog.Read(folder.FS, folder.Log, opt)
	return give(jobRead{arg: arg, folder: folder, job: job, faults: faults})
}

// atLeastOneJob refuses a command line without a job.
func atLeastOneJob(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return usageErrorf("bayproof "+cmd.Name()+" JOB, where JOB is a folder with bays.csv in it", "%s: which job?", cmd.Name())
	}
	return nil
}

// completeJobs offers folders and CSV files.
func completeJobs(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return []string{"csv"}, cobra.ShellCompDirectiveFilterFileExt
}
