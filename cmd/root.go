package cmd

import (
	"os"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"bayproof/model/cell"
)

// commands returns every command in the order in which the help lists them.
func commands(env *Env) []*cobra.Command {
	return []*cobra.Command{
		newStart(env), newPlan(env), newLog(env),
		newCheck(env),
		newRecord(env), newRecheck(env),
		newReview(env),
		newDemo(env),
		newFields(env),
		newCompletion(env),
		newVersion(env),
	}
}

// Run runs bayproof with the arguments after the program's name and returns its exit code.
func Run(args []string, env *Env) int {
	env = env.forTerminal()
	root := newRoot(env)
	root.SetArgs(args)
	if err := unknownCommand(root, args); err != nil {
		return exitCode(env.Stderr, err)
	}
	return exitCode(env.Stderr, root.Execute())
}

// newRoot builds the command tree.
func newRoot(env *Env) *cobra.Command {
	root := &cobra.Command{
		Use:           "bayproof",
		Short:         "which bays of a dense-pack job may be closed",
		Args:          cobra.ArbitraryArgs,
		SilenceErrors: true,
		SilenceUsage:  true,
		RunE:          func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.SetIn(env.Stdin)
	root.SetOut(env.Stdout)
	root.SetErr(env.Stderr)
	list := commands(env)
	root.SetHelpFunc(func(cmd *cobra.Command, args []string) {
		if cmd == root {
			printRootHelp(root, list)
		} else {
			printHelp(cmd, args)
		}
	})
	root.SetHelpCommand(newHelp(env))
	root.CompletionOptions.DisableDefaultCmd = true
	root.CompletionOptions.SetDefaultShellCompDirective(cobra.ShellCompDirectiveNoFileComp)
	root.SetFlagErrorFunc(flagError)
	root.AddCommand(list...)
	return root
}

// flagError turns a complaint about a flag into a usage error that guesses what was meant, or says where to look.
func flagError(cmd *cobra.Command, err error) error {
	hint := "see " + cmd.CommandPath() + " --help"
	if name, unknown := strings.CutPrefix(err.Error(), "unknown flag: --"); unknown {
		var known []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) { known = append(known, f.Name) })
		if near := cell.Nearest(name, known); near != "" {
			hint = "did you mean --" + near + "?"
		}
	}
	return usageErrorf(hint, "%s", lowerFirst(err.Error()))
}

// unknownCommand returns a usage error where args name a command that is not there.
func unknownCommand(root *cobra.Command, args []string) error {
	found, rest, err := root.Find(args)
	if err != nil || found != root || len(rest) == 0 || strings.HasPrefix(rest[0], "-") {
		return nil
	}
	name := rest[0]
	if name == "help" || strings.HasPrefix(name, cobra.ShellCompRequestCmd) {
		return nil
	}
	return usageErrorf(commandHint(root, name), "unknown command %q", name)
}

// commandHint guesses what was meant by a command that is not there.
func commandHint(root *cobra.Command, name string) string {
	if _, err := os.Stat(name); err == nil {
		return "did you mean: bayproof check " + name
	}
	root.SuggestionsMinimumDistance = 2
	if near := root.SuggestionsFor(name); len(near) > 0 {
		return "did you mean: bayproof " + strings.Join(near, ", bayproof ")
	}
	return "bayproof --help lists the commands"
}

func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}
