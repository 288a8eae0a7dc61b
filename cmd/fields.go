package cmd

import "github.com/spf13/cobra"

// newFields builds the command that lists columns, settings, entries and codes.
func newFields(env *Env) *cobra.Command {
	return &cobra.Command{Use: "fields [JOB]", Short: "columns, settings, entries and codes", RunE: func(*cobra.Command, []string) error {
		return withHint(exitStatus(exitFault))
	}}
}
