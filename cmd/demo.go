package cmd

import (
	"github.com/spf13/cobra"

	"bayproof/cmd/demo"
)

const demoHelp = `Type one of these:
  bayproof demo             writes the demo job and its record to
                            ./bayproof-demo
  bayproof demo FOLDER      the same somewhere else

The demo is an old boathouse turned into a home: good bays and bad ones,
one forgotten, every kind of entry. People and figures are invented. Open
its bays.csv in a spreadsheet to see what a log looks like.`

// demoFolder is where the demo goes when nobody says where.
const demoFolder = "bayproof-demo"

// newDemo builds the command that writes the demo job, its verdicts and its record.
func newDemo(env *Env) *cobra.Command {
	return &cobra.Command{
		Use:   "demo [FOLDER]",
		Short: "writes the demo job and its record",
		Long:  demoHelp,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usageErrorf("", "demo takes one folder, not %d", len(args))
			}
			return nil
		},
		ValidArgsFunction: once(completeFolder),
		RunE: func(_ *cobra.Command, args []string) error {
			return runDemo(env, append(args, demoFolder)[0])
		},
	}
}

// runDemo writes the job, prints its verdicts and writes its record. Open bays are no failure here.
func runDemo(env *Env, dir string) error {
	if err := copyJob(demo.Job(), dir); err != nil {
		return err
	}
	check := &checkOptions{env: env, args: []string{dir}, format: formatText}
	if err := check.run(); err != nil && !isStatus(err, exitOpen) {
		return err
	}
	record := &recordOptions{env: env, arg: dir}
	return record.run()
}
