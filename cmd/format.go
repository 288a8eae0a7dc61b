package cmd

import (
	"strings"

	"github.com/spf13/cobra"
)

// format is how a result is written.
type format string

const (
	formatText format = "text"
	formatJSON format = "json"
	formatCSV  format = "csv"
)

// formatFlag attaches --format, which every command with a result for reading has.
func formatFlag(cmd *cobra.Command, f *format) {
	*f = formatText
	cmd.Flags().VarP(f, "format", "f", "text, json or csv")
	_ = cmd.RegisterFlagCompletionFunc("format", cobra.FixedCompletions([]string{"text", "json", "csv"}, cobra.ShellCompDirectiveNoFileComp))
}

// String returns the format's name.
func (f *format) String() string { return string(*f) }

// Type names the value in the help.
func (f *format) Type() string { return "FORMAT" }

// Set takes one of the three names.
func (f *format) Set(s string) error {
	switch g := format(strings.ToLower(s)); g {
	case formatText, formatJSON, formatCSV:
		*f = g
		return nil
	}
	return usageErrorf("", "%q is not text, json or csv", s)
}
