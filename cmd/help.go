package cmd

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// helpWidth keeps the help readable on a small screen.
const helpWidth = 72

// firstPage opens the help: what bayproof is for and what an installer types, in the order of the work.
const firstPage = `bayproof tells which bays of a dense-pack job may be closed, from what
was blown in and how big each bay is.

A job from start to finish. Put your name for it where it says JOB: it
becomes a folder.
`

// verdictPage says what each verdict asks for.
const verdictPage = `
check gives every bay one word:
  CLOSE    enough went in, and nothing points to a void: may be closed
  ADD      short: blow more in
  MEASURE  can't tell yet: measure or count again
  PROBE    pounds look right, but there may be a hole: look into it
`

// lastPage says where to read on.
const lastPage = `
More about one of them, and its flags: bayproof help check
`

// ofTheWork are the commands of one job, in the order of the work.
func ofTheWork(c *cobra.Command) bool {
	return slices.Contains([]string{"start", "plan", "log", "check", "record"}, c.Name())
}

// printRootHelp prints the first page, which is all that bayproof says when nothing else is typed.
func printRootHelp(root *cobra.Command, list []*cobra.Command) {
	var b strings.Builder
	b.WriteString(firstPage)
	line := func(c *cobra.Command) {
		hanging(&b, fmt.Sprintf("  bayproof %-*s  ", helpColumn, c.Use), c.Short)
	}
	for _, c := range list {
		if ofTheWork(c) {
			line(c)
		}
	}
	b.WriteString(verdictPage)
	b.WriteString("\nNo job at hand? bayproof demo writes one. And the rest:\n")
	for _, c := range list {
		if !ofTheWork(c) {
			line(c)
		}
	}
	b.WriteString(lastPage)
	fmt.Fprint(root.OutOrStdout(), b.String())
}

// helpColumn is as wide as the longest that a command's first line is.
const helpColumn = len("recheck record.html")

// printHelp prints a command's help: what to type first, then its flags, then which settings may be flags too.
func printHelp(cmd *cobra.Command, _ []string) {
	var b strings.Builder
	long := cmd.Long
	if long == "" {
		long = cmd.Short
	}
	fmt.Fprintln(&b, strings.TrimSpace(long))
	helpFlags(&b, cmd)
	helpSettings(&b, cmd)
	fmt.Fprint(cmd.OutOrStdout(), b.String())
}

// helpFlags lists the flags that are no settings, where there are any.
func helpFlags(b *strings.Builder, cmd *cobra.Command) {
	var shown []*pflag.Flag
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		if !f.Hidden && f.Annotations[settingAnnotation] == nil {
			shown = append(shown, f)
		}
	})
	if len(shown) == 0 || len(shown) == 1 && shown[0].Name == "help" {
		return
	}
	fmt.Fprintln(b, "\nFlags:")
	for _, f := range shown {
		name := "    --" + f.Name
		if f.Shorthand != "" {
			name = "-" + f.Shorthand + ", --" + f.Name
		}
		what, usage := pflag.UnquoteUsage(f)
		if what != "" {
			name += " " + strings.ToUpper(what)
		}
		hanging(b, fmt.Sprintf("  %-22s ", name), usage)
	}
}

// helpSettings names the settings without explaining each: `fields` does.
func helpSettings(b *strings.Builder, cmd *cobra.Command) {
	var names []string
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		if f.Annotations[settingAnnotation] != nil {
			names = append(names, "--"+f.Name)
		}
	})
	if len(names) == 0 {
		return
	}
	fmt.Fprintln(b, "\nEvery setting of job.csv is a flag too (bayproof fields explains them):")
	hanging(b, "  ", strings.Join(names, " "))
}

// hanging writes text behind a head, wrapped under its own beginning.
func hanging(b *strings.Builder, head, text string) {
	width := helpWidth - utf8.RuneCountInString(head)
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && len(line)+1+len(word) > width {
			fmt.Fprintln(b, head+line)
			head, line = strings.Repeat(" ", utf8.RuneCountInString(head)), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	fmt.Fprintln(b, strings.TrimRight(head+line, " "))
}

// newHelp builds the command that prints another one's help.
func newHelp(_ *Env) *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "what to type, for one command",
		ValidArgsFunction: once(func(cmd *cobra.Command, _ []string, begun string) ([]string, cobra.ShellCompDirective) {
			var names []string
			for _, c := range cmd.Root().Commands() {
				if strings.HasPrefix(c.Name(), begun) {
					names = append(names, c.Name()+"\t"+c.Short)
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		}),
		RunE: func(cmd *cobra.Command, args []string) error {
			about, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				name := strings.Join(args, " ")
				return usageErrorf(commandHint(cmd.Root(), name), "unknown command %q", name)
			}
			return about.Help()
		},
	}
}
