package cmd

import (
	"io"
	"strings"

	"github.com/spf13/cobra"
)

const completionHelp = `Type the line of your shell, then open a new one:
  bayproof completion bash > ~/.local/share/bash-completion/completions/bayproof
  bayproof completion zsh > "${fpath[1]}/_bayproof"
  bayproof completion fish > ~/.config/fish/completions/bayproof.fish
  bayproof completion powershell >> $PROFILE`

// newCompletion builds the command that writes what a shell needs to complete commands, flags and jobs.
func newCompletion(env *Env) *cobra.Command {
	var file string
	shells := []string{"bash", "zsh", "fish", "powershell"}
	cmd := &cobra.Command{
		Use:       "completion SHELL",
		Short:     "let the shell complete commands, flags and jobs",
		Long:      completionHelp,
		ValidArgs: shells,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usageErrorf("bayproof completion bash", "completion: which shell? one of %s", strings.Join(shells, ", "))
			}
			return nil
		},
	}
	outputFlag(cmd, &file, "write to `FILE` instead of the screen")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		write, err := completionFor(cmd.Root(), args[0])
		if err != nil {
			return err
		}
		return (&outputs{env: env}).result(dest{flag: "-o", file: file}, write)
	}
	return cmd
}

func completionFor(root *cobra.Command, shell string) (func(io.Writer) error, error) {
	switch shell {
	case "bash":
		return func(w io.Writer) error { return root.GenBashCompletionV2(w, true) }, nil
	case "zsh":
		return root.GenZshCompletion, nil
	case "fish":
		return func(w io.Writer) error { return root.GenFishCompletion(w, true) }, nil
	case "powershell":
		return root.GenPowerShellCompletionWithDesc, nil
	}
	return nil, usageErrorf("bayproof completion --help lists them", "completion: no shell %q", shell)
}
