package cmd

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// helpWidth keeps the help readable on a small screen.
const helpWidth = 72

// printRootHelp opens with what an installer types, in the order of the work.
func printRootHelp(root *cobra.Command, list []*cobra.Command) {
	var b strings.Builder
	fmt.Fprintln(&b, "Type one of these:")
	for _, c := range list {
		hanging(&b, fmt.Sprintf("  bayproof %-17s ", c.Use), c.Short)
	}
	fmt.Fprintln(&b, "\nJOB is a folder with bays.csv in it, or that file itself. What a command")
	fmt.Fprintln(&b, "takes: bayproof check --help. No job at hand: bayproof demo writes one.")
	fmt.Fprint(root.OutOrStdout(), b.String())
}

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

// helpFlags lists the flags that are no settings.
func helpFlags(b *strings.Builder, cmd *cobra.Command) {
	fmt.Fprintln(b, "\nFlags:")
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		if f.Hidden || f.Annotations[settingAnnotation] != nil {
			return
		}
		name := "    --" + f.Name
		if f.Shorthand != "" {
			name = "-" + f.Shorthand + ", --" + f.Name
		}
		what, usage := pflag.UnquoteUsage(f)
		if what != "" {
			name += " " + strings.ToUpper(what)
		}
		hanging(b, fmt.Sprintf("  %-22s ", name), usage)
	})
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
			printHelp(about, nil)
			return nil
		},
	}
}
