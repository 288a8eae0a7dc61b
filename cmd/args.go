package cmd

import (
	"fmt"

	"github.com/spf13/cobra"
)

// noArgs refuses anything but flags.
func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return usageErrorf(fmt.Sprintf("bayproof %s takes flags only", cmd.Name()), "%s: %q is too much", cmd.Name(), args[0])
	}
	return nil
}

// oneJob refuses a command line that does not name exactly one job.
func oneJob(cmd *cobra.Command, args []string) error {
	switch {
	case len(args) == 0:
		return usageErrorf("bayproof "+cmd.Name()+" JOB, where JOB is the job's folder", "%s: which job?", cmd.Name())
	case len(args) > 1:
		return usageErrorf("", "%s takes one job, not %d", cmd.Name(), len(args))
	}
	return nil
}

// atLeastOneJob refuses a command line without a job.
func atLeastOneJob(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return usageErrorf("bayproof "+cmd.Name()+" JOB, where JOB is a folder with bays.csv in it", "%s: which job?", cmd.Name())
	}
	return nil
}
