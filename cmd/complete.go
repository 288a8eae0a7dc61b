package cmd

import (
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/joblog"
)

// completer is what cobra asks for the words that may follow.
type completer = func(cmd *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective)

// completeJobs offers jobs: folders with a log in them, logs, and folders on the way there.
func completeJobs(env *Env) completer {
	return func(_ *cobra.Command, _ []string, begun string) ([]string, cobra.ShellCompDirective) {
		return offered(env, begun, ".csv")
	}
}

// completeJob offers one job and no second.
func completeJob(env *Env) completer {
	return once(completeJobs(env))
}

// completeFile offers files with that ending, and folders on the way there.
func completeFile(env *Env, ending string) completer {
	return func(_ *cobra.Command, _ []string, begun string) ([]string, cobra.ShellCompDirective) {
		return offered(env, begun, ending)
	}
}

// completeFolder leaves it to the shell to offer one folder.
func completeFolder(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveFilterDirs
}

// once offers nothing more after the first argument.
func once(c completer) completer {
	return func(cmd *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return c(cmd, args, begun)
	}
}

// offered lists what goes on from the path begun. Where something in it is only on the way, no space follows, so that the
// next key goes into it.
func offered(env *Env, begun, ending string) ([]string, cobra.ShellCompDirective) {
	at, part := filepath.Split(begun)
	entries, err := os.ReadDir(folderOf(env, at))
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	directive := cobra.ShellCompDirectiveNoFileComp
	var words []string
	for _, e := range entries {
		name := e.Name()
		if !strings.HasPrefix(name, part) || part == "" && strings.HasPrefix(name, ".") {
			continue
		}
		info, err := os.Stat(filepath.Join(folderOf(env, at), name)) // a link counts as what it leads to
		switch {
		case err != nil:
		case info.IsDir() && ending == ".csv" && isJob(filepath.Join(folderOf(env, at), name)):
			words = append(words, at+name+"\ta job")
		case info.IsDir():
			words = append(words, at+name+string(filepath.Separator))
			directive |= cobra.ShellCompDirectiveNoSpace
		case strings.EqualFold(filepath.Ext(name), ending):
			words = append(words, at+name)
		}
	}
	return words, directive
}

// isJob tells whether a folder is a job's, be it that its log is still to come.
func isJob(dir string) bool {
	for _, name := range []string{joblog.LogName, "job.csv"} {
		if info, err := os.Stat(filepath.Join(dir, name)); err == nil && info.Mode().IsRegular() {
			return true
		}
	}
	return false
}

// folderOf is the folder that a begun path lies in; the shell has not put the home folder in place of ~ yet.
func folderOf(env *Env, at string) string {
	if home := env.Getenv("HOME"); home != "" && len(at) > 1 && at[0] == '~' && os.IsPathSeparator(at[1]) {
		return filepath.Join(home, at[1:])
	}
	if at == "" {
		return "."
	}
	return at
}

// completeSetting offers a setting's values: all of them where they are words, the default else.
func completeSetting(def model.SettingDef) completer {
	words := def.Choices
	if def.Kind == model.SettingYesNo {
		words = []string{"yes", "no"}
	}
	if len(words) == 0 && def.Default != "" {
		words = []string{def.Default + "\tthe default"}
	}
	return cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)
}
