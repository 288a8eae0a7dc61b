package cmd

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report"
	"bayproof/report/fields"
	"bayproof/report/screen"
)

// helpWidth keeps the help readable on a small screen.
const helpWidth = 72

// firstPage opens the help: what bayproof is for and what an installer types, in the order of the
// work.
const firstPage = `bayproof tells which bays of a dense-pack job you may close, from what
went in and how big each bay is.

A job from start to finish. Put your name for it where it says JOB: it
becomes a folder.
`

// verdictPage says what each verdict asks for.
const verdictPage = `
check gives every bay one word:
  CLOSE    enough went in, and nothing points to a void: close it
  ADD      short: blow more in
  MEASURE  can't tell yet: measure or count again
  PROBE    pounds look right, but there may be a hole: look into it
`

// lastPage says where to read on.
const lastPage = `
More about one of them, and its flags: bayproof help check
What the words mean: bayproof help words
`

// wordsHelp explains the words that screens and records use without a word about them.
const wordsHelp = `On the roof
  low end       the eave of a roof bay, the bottom plate of a wall bay: every
                place in a bay is measured up from there
  to the stall  blown until nothing moves in the clear tube, at each
                pull-back and last at the hole, and the tube blows free. A
                plug, a kink or an empty hopper is a jam, not a stall
  reach         how many feet of the bay the tube's tip passed
  ditto         " or blank: size as the bay above, not measured here
  top up        more material after the fill; log the pounds, even 0
  void, hole    a part of the bay with nothing in it

Verdicts
  CLOSE         enough went in, and nothing points to a void: close it
  ADD           short: the numbers prove it
  MEASURE       can't tell yet: do what settles it
  PROBE         pounds look right, but there may be a hole: look into it
  decided       a person closed the bay as it stands, and said why

Figures
  reads 3.62 ± 0.27   pounds a cubic foot, by the bay's own count and sizes.
                ± is the 95 % interval: 19 times in 20 the true figure is in
                it. It means that everywhere
  97 % sure     of what stands beside it. A bay closes at 95 %. From 10 to
                90 % no figure is said: can't tell yet
  own           sure by the bay's own count and sizes
  crew, job     sure with help from the section's other bays; from the job's
                other sections
  target        the least density that passes: 3.5
  aim           what to pack to, to prove the target by counting bags: 3.85
  ceiling       above it some went elsewhere, or a size is wrong: 4.5
  could hide    a longer void would have read lower, 19 times in 20. Closed
                bays hide one more often than that
  step          the smallest part of a bag that the crew tells apart
  fill order    bays in the order they were filled; drift is a density that
                moves along it

Local code, the code official and licensed practice decide; bayproof does not.
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

// printHelp prints a command's help: what to type first, then its flags, then which settings may be
// flags too. cobra's own form, usage line first, is not for people who open it once a month.
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

// helpFlags lists the flags that are no settings, where there are any: --help alone is none worth a
// heading.
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

// helpSettings names the settings without explaining each: there are three dozen, and fields
// explains them.
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
	for _, line := range screen.Hang(head, utf8.RuneCountInString(head), helpWidth, text) {
		fmt.Fprintln(b, line)
	}
}

// wordsPage is what help explains besides the commands.
const wordsPage = "words"

// newHelp builds the command that prints another one's help: bayproof help check is bayproof check
// --help.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "what to type, for one command; help words: what the words mean",
		ValidArgsFunction: once(func(cmd *cobra.Command, _ []string, begun string) ([]string, cobra.ShellCompDirective) {
			var names []string
			if strings.HasPrefix(wordsPage, begun) {
				names = append(names, wordsPage+"\twhat the words mean")
			}
			for _, c := range cmd.Root().Commands() {
				if strings.HasPrefix(c.Name(), begun) {
					names = append(names, c.Name()+"\t"+c.Short)
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		}),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 1 && args[0] == wordsPage {
				fmt.Fprint(cmd.OutOrStdout(), wordsHelp)
				return nil
			}
			about, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				name := strings.Join(args, " ")
				return usageErrorf(commandHint(cmd.Root(), name), "unknown command %q", name)
			}
			return about.Help()
		},
	}
}

const fieldsHelp = `Type one of these:
  bayproof fields          columns, settings, entries and codes
  bayproof fields JOB      the settings of a job, and where each comes from
  bayproof fields --constants
                           what figures rest on besides the files, with
                           units and sources
  bayproof fields --schema check
                           the JSON Schema of a document; with -f csv its
                           keys, types and meanings as a table`

// newFields builds the command that lists columns, settings, entries and codes: the manual, or a
// job's own settings.
func newFields(env *Env) *cobra.Command {
	o := &common{env: env}
	constants, schema := false, ""
	cmd := o.command("fields [JOB]", "columns, settings, entries and codes", fieldsHelp, atMostOne("fields: one job at a time, not %d"), completeJob(env), func() error {
		if schema != "" {
			return o.schema(schema)
		}
		return o.fields(constants)
	})
	o.settingFlags(cmd)
	o.formatFlag(cmd)
	o.outputFlag(cmd, toFile)
	cmd.Flags().BoolVar(&constants, "constants", false, "what figures rest on besides the files")
	cmd.Flags().StringVar(&schema, "schema", "", "the JSON Schema of the document `NAME`: "+strings.Join(report.Schemas(), ", "))
	return cmd
}

// schema writes the schema of a JSON document.
func (c *common) schema(name string) error {
	text, err := report.AppendSchema(nil, name)
	if c.format == formatCSV {
		text, err = report.AppendDictionary(nil, name)
	}
	if err != nil {
		return usageErrorf("bayproof fields --schema "+report.Schemas()[0], "fields: %v", err)
	}
	out := outputs{env: c.env}
	return out.result(c.toOutput(), whole(text))
}

// manual is what fields prints: the manual of the files, or the table of constants.
type manual interface {
	AppendText(dst []byte) []byte
	AppendCSV(dst []byte) []byte
	AppendJSON(dst []byte) ([]byte, error)
}

// fields writes the manual, with a job's settings and where each comes from where one is named; or
// the table of constants, which are the same for every job.
func (c *common) fields(constants bool) error {
	var job *model.Job // nil for the manual alone
	out := outputs{env: c.env}
	if constants && len(c.args)+len(c.settings) > 0 {
		return usageErrorf("they are the same for every job: bayproof fields --constants", "fields: --constants with a job or a setting")
	}
	if len(c.args) == 0 && len(c.settings) > 0 {
		return usageErrorf("bayproof fields JOB shows a job's settings with that one in place", "fields: a setting without a job")
	}
	for _, arg := range c.args { // one at most
		out.reads(arg)
		folder, err := openJob(arg)
		if err != nil {
			return err
		}
		defer folder.Close()
		if job, err = readJob(c.env, folder, folder.FS, joblog.Options{Flags: c.settings}); err != nil {
			return err
		}
		tellWarnings(c.env.Stderr, folder, slices.DeleteFunc(job.Warnings, func(x model.Warning) bool { return x.Bay != "" }))
	}
	var m manual = fields.New(job)
	if constants {
		m = fields.NewConstants()
	}
	return out.result(c.toOutput(), c.laidOut(m.AppendText, m.AppendCSV, m.AppendJSON))
}

const completionHelp = `Type the line of your shell, then open a new one:
  bayproof completion bash > ~/.local/share/bash-completion/completions/bayproof
  bayproof completion zsh > "${fpath[1]}/_bayproof"
  bayproof completion fish > ~/.config/fish/completions/bayproof.fish
  bayproof completion powershell >> $PROFILE`

// newCompletion builds the command that writes what a shell needs to complete commands, flags and
// jobs. cobra writes it; the script then asks bayproof itself, through the completers below.
func newCompletion(env *Env) *cobra.Command {
	c := &common{env: env}
	shells := []string{"bash", "zsh", "fish", "powershell"}
	var cmd *cobra.Command
	cmd = c.command("completion SHELL", "let the shell complete commands, flags and jobs", completionHelp, func(_ *cobra.Command, args []string) error {
		if len(args) != 1 {
			return usageErrorf("bayproof completion bash", "completion: which shell? one of %s", strings.Join(shells, ", "))
		}
		return nil
	}, nil, func() error {
		root := cmd.Root()
		write := map[string]func(io.Writer) error{
			"bash":       func(w io.Writer) error { return root.GenBashCompletionV2(w, true) },
			"zsh":        root.GenZshCompletion,
			"fish":       func(w io.Writer) error { return root.GenFishCompletion(w, true) },
			"powershell": root.GenPowerShellCompletionWithDesc,
		}[c.args[0]]
		if write == nil {
			return usageErrorf("bayproof completion --help lists them", "completion: no shell %q", c.args[0])
		}
		return (&outputs{env: env}).result(c.toOutput(), write)
	})
	cmd.ValidArgs = shells
	c.outputFlag(cmd, toFile)
	return cmd
}

// completer is what cobra asks for the words that may follow, each with an explanation behind a tab
// where it has one. The directive says what the shell does with them.
type completer = func(cmd *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective)

// completeJobs offers jobs: folders with a log in them, logs, and folders on the way there.
func completeJobs(env *Env) completer { return completeFile(env, ".csv") }

// completeJob offers one job and no second.
func completeJob(env *Env) completer { return once(completeJobs(env)) }

// completeFile offers files with that ending, and folders on the way there. Where something offered
// is only on the way, no space follows, so that the next key goes into it.
func completeFile(env *Env, ending string) completer {
	return func(_ *cobra.Command, _ []string, begun string) ([]string, cobra.ShellCompDirective) {
		at, part := filepath.Split(begun)
		folder := at
		if home := env.Getenv("HOME"); home != "" && len(at) > 1 && at[0] == '~' && os.IsPathSeparator(at[1]) {
			folder = filepath.Join(home, at[1:]) // the shell has not put the home folder in place of ~ yet
		} else if at == "" {
			folder = "."
		}
		directive := cobra.ShellCompDirectiveNoFileComp
		var words []string
		entries, _ := os.ReadDir(folder) // none where it cannot be read
		for _, e := range entries {
			name := e.Name()
			if !strings.HasPrefix(name, part) || part == "" && strings.HasPrefix(name, ".") {
				continue
			}
			info, err := os.Stat(filepath.Join(folder, name)) // a link counts as what it leads to
			switch {
			case err != nil:
			case info.IsDir() && ending == ".csv" && isJob(filepath.Join(folder, name)):
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
}

// completeFolder leaves it to the shell to offer one folder.
func completeFolder(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveFilterDirs
}

// once offers nothing more after the first argument: the command takes one.
func once(c completer) completer {
	return func(cmd *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return c(cmd, args, begun)
	}
}

// isJob tells whether a folder is a job's, be it that its log is still to come. Names alone decide:
// nothing is read, as this is asked at every key in a shell and for every file that is written.
func isJob(dir string) bool {
	return isFile(filepath.Join(dir, joblog.LogName)) || isFile(filepath.Join(dir, "job.csv"))
}

// isFile tells whether a name leads to a file: no folder, pipe or device.
func isFile(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.Mode().IsRegular()
}

// completeSetting offers a setting's values: all of them where they are words, the default else. Of
// a figure the default shows how it is written, unit included.
func completeSetting(def model.SettingDef) completer {
	words := def.Choices
	if len(words) == 0 && def.Default != "" {
		words = []string{def.Default + "\tthe default"}
	}
	return cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)
}
