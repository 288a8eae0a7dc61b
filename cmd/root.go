package cmd

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"golang.org/x/term"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/report/screen"
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

// Env is the world as a command may see it.
type Env struct {
	Stdin          io.Reader
	Stdout, Stderr io.Writer
	Now            func() time.Time
	Getenv         func(string) string
	StdinTerminal  bool // someone types at stdin
	StdoutTerminal bool // someone looks at stdout
	StderrTerminal bool // someone looks at stderr
	ASCII          bool // the terminal shows no UTF-8
}

// System returns the Env of the running process.
func System() *Env {
	return &Env{
		Stdin:          os.Stdin,
		Stdout:         os.Stdout,
		Stderr:         os.Stderr,
		Now:            time.Now,
		Getenv:         os.Getenv,
		StdinTerminal:  term.IsTerminal(int(os.Stdin.Fd())),
		StdoutTerminal: term.IsTerminal(int(os.Stdout.Fd())),
		StderrTerminal: term.IsTerminal(int(os.Stderr.Fd())),
		ASCII:          !consoleUTF8(os.Getenv),
	}
}

// forTerminal is e with streams that show on its terminal: where that knows no UTF-8, marks and signs in ASCII. What goes into
// a file or a pipe is UTF-8 everywhere.
func (e *Env) forTerminal() *Env {
	if !e.ASCII || !e.StdoutTerminal && !e.StderrTerminal {
		return e
	}
	shown := *e
	if e.StdoutTerminal {
		shown.Stdout = screen.ASCII(e.Stdout)
	}
	if e.StderrTerminal {
		shown.Stderr = screen.ASCII(e.Stderr)
	}
	return &shown
}

// localeUTF8 tells whether a Unix locale shows UTF-8. The first of the three that is set decides, as POSIX has it; with none
// of them it is the locale C, which does not.
func localeUTF8(getenv func(string) string) bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if locale := getenv(name); locale != "" {
			charset, _, _ := strings.Cut(strings.ToUpper(locale), "@")
			if _, after, ok := strings.Cut(charset, "."); ok { // macOS has a locale that is called UTF-8 and no more
				charset = after
			}
			return charset == "UTF-8" || charset == "UTF8"
		}
	}
	return false
}

// utf8CodePage is the number that Windows gives to UTF-8.
const utf8CodePage = 65001

// codePageUTF8 tells whether a console of Windows shows the marks: by its code page, or because it is one of the newer kind,
// which takes a missing character from another font.
func codePageUTF8(page uint32, getenv func(string) string) bool {
	return page == utf8CodePage || getenv("WT_SESSION") != ""
}

// Colour tells whether text output to stdout may carry colour: only where someone looks at it, and only where neither
// NO_COLOR (https://no-color.org) nor a terminal that cannot show it says otherwise.
func (e *Env) Colour() bool {
	return e.StdoutTerminal && e.Getenv("NO_COLOR") == "" && e.Getenv("TERM") != "dumb"
}

// Exit codes, one meaning each for every command.
const (
	exitDone  = 0
	exitFault = 1 // not done: an input has a fault, a file cannot be written
	exitUsage = 2 // the command line makes no sense
	exitOpen  = 3 // done, and the answer is that something is open, or differs
	exitPart  = 4 // done, and nothing differs, but something was not compared
)

// graver returns the exit code that counts where two inputs give two: 1 before 2, 3 and 4, and 0 last.
func graver(a, b int) int {
	if a == exitDone || b == exitDone {
		return max(a, b)
	}
	return min(a, b)
}

// exitStatus is an error that prints nothing and only sets the exit code.
type exitStatus int

func (s exitStatus) Error() string { return fmt.Sprintf("exit status %d", int(s)) }

// hintedError is an error with what would cure it.
type hintedError struct {
	err   error
	hints []string
	code  int
}

func (e *hintedError) Error() string { return e.err.Error() }
func (e *hintedError) Unwrap() error { return e.err }

// withHint adds what would cure err; a nil err stays nil.
func withHint(err error, hints ...string) error {
	if err == nil {
		return nil
	}
	return &hintedError{err: err, hints: hints, code: exitFault}
}

// usageErrorf makes an error about the command line itself, with exit code 2 and a hint (which may be empty).
func usageErrorf(hint, format string, args ...any) error {
	e := &hintedError{err: fmt.Errorf(format, args...), code: exitUsage}
	if hint != "" {
		e.hints = []string{hint}
	}
	return e
}

// exitCode prints err, where it has something to say, and returns the exit code it stands for.
func exitCode(stderr io.Writer, err error) int {
	var status exitStatus
	var hinted *hintedError
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &status):
		return int(status)
	case errors.As(err, &hinted):
		printError(stderr, err.Error(), hinted.hints...)
		return hinted.code
	}
	printError(stderr, err.Error())
	return exitFault
}

// printError writes one error with its hints, each on a line of its own.
func printError(stderr io.Writer, text string, hints ...string) {
	for _, line := range strings.Split(strings.TrimRight(text, "\n"), "\n") {
		fmt.Fprintf(stderr, "bayproof: error: %s\n", screen.Clean(line))
	}
	for _, hint := range hints {
		printHint(stderr, hint)
	}
}

// printHint writes one hint; an empty one is left out.
func printHint(stderr io.Writer, hint string) {
	if hint != "" {
		fmt.Fprintf(stderr, "bayproof: hint: %s\n", screen.Clean(hint))
	}
}

// printWarning writes one thing worth knowing that stops nothing.
func printWarning(stderr io.Writer, text string) {
	fmt.Fprintf(stderr, "bayproof: warning: %s\n", screen.Clean(text))
}

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

// settingAnnotation marks the flags that are settings, so that the help lists them apart.
const settingAnnotation = "setting"

// settingFlags are the settings of job.csv as flags of one command.
type settingFlags struct{ flags *pflag.FlagSet }

// attachSettings gives the command a flag for every setting: bag_weight is --bag-weight.
func attachSettings(cmd *cobra.Command) settingFlags {
	s := settingFlags{cmd.Flags()}
	for _, def := range model.SettingDefs() {
		s.flags.String(def.Flag(), "", def.Meaning)
		_ = s.flags.SetAnnotation(def.Flag(), settingAnnotation, []string{def.Name})
		_ = cmd.RegisterFlagCompletionFunc(def.Flag(), completeSetting(def))
	}
	return s
}

// given returns the settings that stand on the command line, by their name in job.csv.
func (s settingFlags) given() map[string]string {
	given := map[string]string{}
	s.flags.Visit(func(f *pflag.Flag) {
		if names := f.Annotations[settingAnnotation]; len(names) == 1 {
			given[names[0]] = f.Value.String()
		}
	})
	return given
}

// Version is what this build calls itself.
const Version = "0.1.0"

// newVersion builds the command that says which bayproof this is.
func newVersion(env *Env) *cobra.Command {
	var file string
	cmd := &cobra.Command{
		Use:   "version",
		Short: "which bayproof this is",
		Args:  noArgs,
		RunE: func(*cobra.Command, []string) error {
			return (&outputs{env: env}).result(dest{flag: "-o", file: file}, func(w io.Writer) error {
				_, err := fmt.Fprintf(w, "bayproof %s%s (%s, %s/%s)\n", Version, revision(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
				return err
			})
		},
	}
	outputFlag(cmd, &file, "write to `FILE` instead of the screen")
	return cmd
}

// revision returns the commit this was built from, where the build says so.
func revision() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return ""
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			return "+" + s.Value[:12]
		}
	}
	return ""
}

// family names the processor family, and the level of it that this was built for where that is not the first: from it hang
// the last bits of a sum (whether a product is rounded before it is added).
func family() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return runtime.GOARCH
	}
	for _, s := range info.Settings {
		if s.Key == "GO"+strings.ToUpper(runtime.GOARCH) && s.Value != "v1" && s.Value != "v8.0" {
			return runtime.GOARCH + " " + s.Value
		}
	}
	return runtime.GOARCH
}

// A run over many jobs keeps little and throws away much: with Go's own settings it would collect garbage after every
// few megabytes, with all the cost of marking. Letting nine times the live memory pile up, and less from a gibibyte on,
// halves the time of a million rows for some 50 MB.
const (
	garbagePercent = 800
	garbageLimit   = 1 << 30 // bytes
)

// letGarbagePile sets the collector for a run over jobs, unless the user has set it, and returns what sets it back.
func letGarbagePile(env *Env) (restore func()) {
	if !mayPile(env) {
		return func() {}
	}
	percent, limit := debug.SetGCPercent(garbagePercent), debug.SetMemoryLimit(garbageLimit)
	return func() {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(limit)
	}
}

func mayPile(env *Env) bool { return env.Getenv("GOGC") == "" && env.Getenv("GOMEMLIMIT") == "" }

// A review keeps its jobs' summaries and so has ever more to live with. With the pile beside them it stays within mostHeap,
// or has half as much again as what lives where that comes near to it: with less the collector would run all the time.
// A limit in bytes stands beside the percentage, as what is thrown away while a collection runs counts as kept in it.
const (
	mostHeap     = 176 << 20 // bytes
	leastPercent = 50
	mostPercent  = 100 * mostHeap / (4 << 20) // with it Go first collects at mostHeap
)

// fitPile sets how much garbage a review may pile up beside what was alive after the last collection.
func fitPile(env *Env) {
	if !mayPile(env) {
		return
	}
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(live)
	bytes := max(int64(live[0].Value.Uint64()), 4<<20)
	debug.SetGCPercent(int(min(max(100*(mostHeap-bytes)/bytes, leastPercent), mostPercent)))
	debug.SetMemoryLimit(max(mostHeap, bytes*3/2))
}
