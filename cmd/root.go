package cmd

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/signal"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"
	"unicode"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"golang.org/x/term"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/model/joblog"
	"bayproof/report/screen"
)

// commands returns every command in the order in which the help lists them: those of one job in the
// order of the work, then those of many jobs, then what belongs to the program itself. Where the
// command line begins with the name of one, it is that one alone: no other is looked at then, and
// to build the flags of all takes longer than to read a small job.
func commands(env *Env, args []string) []*cobra.Command {
	all := []struct {
		name  string
		build func(*Env) *cobra.Command
	}{
		{"start", newStart}, {"plan", newPlan}, {"log", newLog}, {"pocket", newPocket},
		{"check", newCheck},
		{"record", newRecord}, {"recheck", newRecheck},
		{"review", newReview},
		{"demo", newDemo},
		{"fields", newFields},
		{"completion", newCompletion},
		{"version", newVersion},
	}
	for i, c := range all {
		if len(args) > 0 && args[0] == c.name {
			all = all[i : i+1]
			break
		}
	}
	var list []*cobra.Command
	for _, c := range all {
		list = append(list, c.build(env))
	}
	return list
}

// Run runs bayproof with the arguments after the program's name and returns its exit code; that of
// a fault of its own, which is told with what whoever mends it needs, is exitCrash.
func Run(args []string, env *Env) (code int) {
	env = env.forTerminal()
	defer func() {
		if p := recover(); p != nil {
			stack := debug.Stack()
			if c, other := p.(*crashed); other {
				p, stack = c.what, c.stack
			}
			printError(env.Stderr, fmt.Sprintf("this is a fault of bayproof and not of your files: %v", p), "keep the files as they are, and report it with these lines")
			env.Stderr.Write(stack)
			code = exitCrash
		}
	}()
	root := newRoot(env, args)
	root.SetArgs(args)
	if err := unknownCommand(root, args); err != nil {
		return exitCode(env.Stderr, err)
	}
	return exitCode(env.Stderr, root.Execute())
}

// newRoot builds the command tree for the arguments, anew for every run: there is no state between
// two runs in one process, as tests have them. cobra's own messages are off, so that exitCode is
// the one place that prints an error.
func newRoot(env *Env, args []string) *cobra.Command {
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
	list := commands(env, args)
	root.SetHelpFunc(func(cmd *cobra.Command, args []string) {
		if cmd == root {
			printRootHelp(root, list)
		} else {
			printHelp(cmd, args)
		}
	})
	root.SetHelpCommand(newHelp())
	root.CompletionOptions.DisableDefaultCmd = true
	root.CompletionOptions.SetDefaultShellCompDirective(cobra.ShellCompDirectiveNoFileComp)
	root.SetFlagErrorFunc(flagError)
	root.AddCommand(list...)
	return root
}

// flagError turns pflag's complaint about a flag into a usage error that guesses what was meant, or
// says where to look.
func flagError(cmd *cobra.Command, err error) error {
	hint := "see " + cmd.CommandPath() + " --help"
	if name, unknown := strings.CutPrefix(err.Error(), "unknown flag: --"); unknown {
		var known []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) { known = append(known, f.Name) })
		if near := cell.Nearest(name, known); near != "" {
			hint = "did you mean --" + near + "?"
		}
	}
	text := err.Error() // never empty
	return usageErrorf(hint, "%s", strings.ToLower(text[:1])+text[1:])
}

// unknownCommand returns a usage error where args name a command that is not there. cobra would
// hand such a word to the root command as its argument, and the root would answer with its help.
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

// commandHint guesses what was meant by a command that is not there. Who names a folder or a file
// forgot the command, and most want to check a job; a slip of two letters is taken for one.
func commandHint(root *cobra.Command, name string) string {
	if _, err := os.Stat(name); err == nil {
		return "did you mean: bayproof check " + inQuotes(name)
	}
	root.SuggestionsMinimumDistance = 2
	if near := root.SuggestionsFor(name); len(near) > 0 {
		return "did you mean: bayproof " + strings.Join(near, ", bayproof ")
	}
	return "bayproof --help lists the commands"
}

// Env is the world as a command may see it. Nothing in the package reaches for the process's own
// streams, clock or environment: a test hands in others and sees all that a command says.
type Env struct {
	Stdin          io.Reader
	Stdout, Stderr io.Writer
	Now            func() time.Time
	Getenv         func(string) string
	StdinTerminal  bool // someone types at stdin
	StdoutTerminal bool // someone looks at stdout
	StderrTerminal bool // someone looks at stderr
	ASCII          bool // the terminal shows no UTF-8
	Columns        int  // of that terminal; 0 where nobody looks
}

// width is how many columns a line may take: those of the screen, within what can be read.
func (e *Env) width() int {
	if e.Columns == 0 {
		return 80
	}
	return min(max(e.Columns, 40), 120)
}

// System returns the Env of the running process: the only place that looks at it.
func System() *Env {
	columns, _, _ := term.GetSize(int(os.Stdout.Fd()))
	return &Env{
		Columns:        columns,
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

// forTerminal is e with streams that show on its terminal: where that knows no UTF-8, marks and
// signs in ASCII. What goes into a file or a pipe is UTF-8 everywhere.
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

// locale is what holds of a Unix locale for a category, as POSIX has it: the first of the three that
// is set; empty where none is, which is the locale C.
func locale(getenv func(string) string, category string) string {
	return cmp.Or(getenv("LC_ALL"), getenv(category), getenv("LANG"))
}

// localeLanguage is the language of messages, "es" of es_MX.UTF-8.
func localeLanguage(getenv func(string) string) string {
	language := locale(getenv, "LC_MESSAGES")
	if at := strings.IndexAny(language, "_-.@"); at >= 0 {
		language = language[:at]
	}
	return strings.ToLower(language)
}

// localeUTF8 tells whether a Unix locale shows UTF-8.
func localeUTF8(getenv func(string) string) bool {
	charset, _, _ := strings.Cut(strings.ToUpper(locale(getenv, "LC_CTYPE")), "@")
	if _, after, ok := strings.Cut(charset, "."); ok { // macOS has a locale that is called UTF-8 and no more
		charset = after
	}
	return charset == "UTF-8" || charset == "UTF8"
}

// codePageUTF8 tells whether a console of Windows shows the marks: by its code page, 65001 for
// UTF-8, or because it is one of the newer kind, which takes a missing character from another font.
func codePageUTF8(page uint32, getenv func(string) string) bool {
	return page == 65001 || getenv("WT_SESSION") != ""
}

// Colour tells whether text output to stdout may carry colour: only where someone looks at it, and
// only where neither NO_COLOR (https://no-color.org) nor a terminal that cannot show it says
// otherwise.
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

	exitCrash = 70 // a fault of the program itself
)

// graver returns the exit code that counts where two inputs give two: 1 before 2, 3 and 4, and 0
// last.
func graver(a, b int) int {
	if a == exitDone || b == exitDone {
		return max(a, b)
	}
	return min(a, b)
}

// crashed is a panic of another goroutine than the one that can tell of it.
type crashed struct {
	what  any
	stack []byte
}

// inQuotes is a name as it can be typed again: in quotes where the shell would take it for
// something else.
func inQuotes(name string) string {
	plain := func(r rune) bool {
		return unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("._-+,:@%/\\", r)
	}
	switch {
	case name != "" && strings.IndexFunc(name, func(r rune) bool { return !plain(r) }) < 0 && (runtime.GOOS == "windows" || !strings.Contains(name, "\\")):
		return name
	case runtime.GOOS == "windows":
		return `"` + name + `"`
	}
	return "'" + strings.ReplaceAll(name, "'", `'\''`) + "'"
}

// untilDone sees to it that a signal that ends the process undoes first what must not be left
// behind: a terminal whose lines are edited, a hidden file. What it returns ends that. A signal
// that is ignored stays so.
func untilDone(undo func()) (done func()) {
	got, ended := make(chan os.Signal, 1), make(chan struct{})
	for _, s := range []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP} {
		if !signal.Ignored(s) {
			signal.Notify(got, s)
		}
	}
	go func() {
		select {
		case s := <-got:
			undo()
			signal.Stop(got)
			if p, err := os.FindProcess(os.Getpid()); err == nil && p.Signal(s) != nil { // now as if nobody had listened; Windows knows no such thing
				_ = p.Kill()
			}
		case <-ended:
		}
	}()
	return sync.OnceFunc(func() { signal.Stop(got); close(ended) })
}

// exitStatus is an error that prints nothing and only sets the exit code: all there is to say was
// said when it was found.
type exitStatus int

func (s exitStatus) Error() string { return fmt.Sprintf("exit status %d", int(s)) }

// hintedError is an error with what would cure it. It may be wrapped further: the hints and the
// code are found all the same.
type hintedError struct {
	err   error
	hints []string // each a line of its own; an empty one is left out
	code  int      // exitFault, or exitUsage where the command line is at fault
}

// Error is the error alone: hints are printed below it.
func (e *hintedError) Error() string { return e.err.Error() }
func (e *hintedError) Unwrap() error { return e.err }

// withHint adds what would cure err, in the order in which it is to be tried; a nil err stays nil.
func withHint(err error, hints ...string) error {
	if err == nil {
		return nil
	}
	return &hintedError{err: err, hints: hints, code: exitFault}
}

// usageErrorf makes an error about the command line itself, with exit code 2 and a hint (which may
// be empty).
func usageErrorf(hint, format string, args ...any) error {
	e := &hintedError{err: fmt.Errorf(format, args...), code: exitUsage}
	if hint != "" {
		e.hints = []string{hint}
	}
	return e
}

// exitCode prints err, where it has something to say, and returns the exit code it stands for: that
// of an exitStatus or of a hintedError anywhere in it, else 1.
func exitCode(stderr io.Writer, err error) int {
	var status exitStatus
	var hinted *hintedError
	var trouble *joblog.Trouble
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &status):
		return int(status)
	case errors.As(err, &hinted):
		printError(stderr, err.Error(), hinted.hints...)
		return hinted.code
	case errors.As(err, &trouble):
		printError(stderr, err.Error(), trouble.Hint)
	default:
		printError(stderr, err.Error())
	}
	return exitFault
}

// note writes one line that says what was done or found. Text from a file may stand in it, so that
// nothing is left for a terminal to obey.
func note(stderr io.Writer, format string, args ...any) {
	fmt.Fprintln(stderr, "bayproof: "+screen.Clean(fmt.Sprintf(format, args...)))
}

// printError writes one error with its hints, each on a line of its own. An error of many lines, as
// two joined ones are, gets the prefix on each.
func printError(stderr io.Writer, text string, hints ...string) {
	for _, line := range strings.Split(strings.TrimRight(text, "\n"), "\n") {
		note(stderr, "error: %s", line)
	}
	for _, hint := range hints {
		printHint(stderr, hint)
	}
}

// printHint writes one hint; an empty one is left out.
func printHint(stderr io.Writer, hint string) {
	if hint != "" {
		note(stderr, "hint: %s", hint)
	}
}

// printWarning writes one thing worth knowing that stops nothing and moves no exit code.
func printWarning(stderr io.Writer, text string) {
	note(stderr, "warning: %s", text)
}

// oneJob refuses a command line that does not name exactly one job. The usual cause of a second one
// is a name with a space in it that was not put in quotes.
func oneJob(cmd *cobra.Command, args []string) error {
	switch {
	case len(args) == 0:
		return usageErrorf("bayproof "+cmd.Name()+" JOB, where JOB is the job's folder", "%s: which job?", cmd.Name())
	case len(args) > 1:
		return usageErrorf("", "%s takes one job, not %d", cmd.Name(), len(args))
	}
	return nil
}

// atMostOne refuses a second argument; complaint says so, with the number of them.
func atMostOne(complaint string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) > 1 {
			return usageErrorf("", complaint, len(args))
		}
		return nil
	}
}

// atLeastOneJob refuses a command line without a job: nothing is guessed from the folder that one
// happens to be in.
func atLeastOneJob(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return usageErrorf("bayproof "+cmd.Name()+" JOB, where JOB is a folder with bays.csv in it", "%s: which job?", cmd.Name())
	}
	return nil
}

// common is what most commands have in common: their surroundings, and what the command line gave
// them.
type common struct {
	env       *Env
	args      []string          // what stands on the command line besides flags
	settings  map[string]string // settings given as flags, by their names in job.csv
	programme programme
	format    format
	output    string // -o: empty or "-" for the screen
}

// command builds a command around its run, which finds the command line in c. Errors that run
// returns become the exit code.
func (c *common) command(use, short, long string, args cobra.PositionalArgs, complete completer, run func() error) *cobra.Command {
	return &cobra.Command{
		Use:               use,
		Short:             short,
		Long:              long,
		Args:              args,
		ValidArgsFunction: complete,
		RunE: func(cmd *cobra.Command, args []string) error {
			c.args, c.settings = args, map[string]string{}
			cmd.Flags().Visit(func(f *pflag.Flag) {
				if names := f.Annotations[settingAnnotation]; len(names) == 1 {
					c.settings[names[0]] = f.Value.String()
				}
			})
			return run()
		},
	}
}

// settingAnnotation marks the flags that are settings, and holds their names: the help lists them
// apart.
const settingAnnotation = "setting"

// settingFlags gives the command a flag for every setting of job.csv: bag_weight is --bag-weight.
func (c *common) settingFlags(cmd *cobra.Command) {
	for _, def := range model.SettingDefs() {
		cmd.Flags().String(def.Flag(), "", def.Meaning)
		_ = cmd.Flags().SetAnnotation(def.Flag(), settingAnnotation, []string{def.Name})
		_ = cmd.RegisterFlagCompletionFunc(def.Flag(), completeSetting(def))
	}
}

// programme is the file of a programme's terms that was named on the command line.
type programme struct {
	file  string // empty for none
	raw   []byte
	terms *joblog.Terms
}

// programmeFlag attaches --programme.
func (c *common) programmeFlag(cmd *cobra.Command, what string) {
	cmd.Flags().StringVar(&c.programme.file, "programme", "", what)
	_ = cmd.RegisterFlagCompletionFunc("programme", completeFile(c.env, ".csv"))
}

// judgedBy is what --programme does for one job.
const judgedBy = "judge by the program's terms in `FILE`, not by those in the job"

// keep sees to it that no result takes the file's place.
func (p *programme) keep(out *outputs) {
	if p.file != "" {
		out.keep(p.file, "read by this command")
	}
}

// readProgramme reads the file. All that is wrong with it is told before any job is looked at.
func (c *common) readProgramme() error {
	p := &c.programme
	if p.file == "" || p.terms != nil {
		return nil
	}
	raw, err := os.ReadFile(p.file)
	if err != nil {
		return plainPath(err)
	}
	terms, faults := joblog.ReadTerms(p.file, raw)
	_, unfit := joblog.TermsOf(nil, terms)
	faults = append(faults, unfit...)
	if len(faults) > 0 {
		slices.SortStableFunc(faults, func(a, b model.Fault) int { return cmp.Compare(a.Src.Line, b.Src.Line) })
		printFaults(c.env.Stderr, nil, faults)
		return exitStatus(exitFault)
	}
	p.raw, p.terms = raw, terms
	return nil
}

// openJob opens the one job of a command line, under the terms that it names.
func (c *common) openJob() (*joblog.Folder, error) {
	if err := c.readProgramme(); err != nil {
		return nil, err
	}
	folder, err := openJob(c.args[0])
	if err == nil {
		c.programme.over(folder)
	}
	return folder, err
}

// over puts the terms over those that a job's folder may have.
func (p *programme) over(folder *joblog.Folder) {
	if p.terms != nil {
		folder.FS = joblog.Overlay(folder.FS, joblog.ProgrammeName, p.raw)
	}
}

// faultAt is a fault as what keeps a command from being done, with its place.
func faultAt(f model.Fault) error {
	return withHint(errors.New(f.String()), f.Hint)
}

// formatFlag attaches --format, which every command with a result for reading has.
func (c *common) formatFlag(cmd *cobra.Command) {
	c.format = formatText
	cmd.Flags().VarP(&c.format, "format", "f", "text, json or csv")
	_ = cmd.RegisterFlagCompletionFunc("format", cobra.FixedCompletions([]string{"text", "json", "csv"}, cobra.ShellCompDirectiveNoFileComp))
}

// toFile is what -o does for most commands.
const toFile = "write to `FILE` instead of the screen"

// outputFlag attaches -o, which every command with a result has.
func (c *common) outputFlag(cmd *cobra.Command, what string) {
	cmd.Flags().StringVarP(&c.output, "output", "o", "", what)
	_ = cmd.MarkFlagFilename("output")
}

// format is how a result is written.
type format string

const (
	formatText format = "text"
	formatJSON format = "json"
	formatCSV  format = "csv"
)

// String returns the format's name.
func (f *format) String() string { return string(*f) }

// Type names the value in the help.
func (f *format) Type() string { return "FORMAT" }

// Set takes one of the three names, in any case.
func (f *format) Set(s string) error {
	switch g := format(strings.ToLower(s)); g {
	case formatText, formatJSON, formatCSV:
		*f = g
		return nil
	}
	return usageErrorf("", "%q is not text, json or csv", s)
}

// Version is what this build calls itself. Records carry it: recheck writes a page again only where
// version and family are those that wrote it.
const Version = "0.1.0"

// newVersion builds the command that says which bayproof this is.
func newVersion(env *Env) *cobra.Command {
	c := &common{env: env}
	flagsOnly := func(_ *cobra.Command, args []string) error {
		if len(args) > 0 {
			return usageErrorf("bayproof version takes flags only", "version: %q is too much", args[0])
		}
		return nil
	}
	cmd := c.command("version", "which bayproof this is", "", flagsOnly, nil, func() error {
		revision := ""
		if commit := buildSetting("vcs.revision"); len(commit) >= 12 { // where the build knows it
			revision = "+" + commit[:12]
		}
		return (&outputs{env: env}).result(c.toOutput(), func(w io.Writer) error {
			_, err := fmt.Fprintf(w, "bayproof %s%s (%s, %s/%s)\n", Version, revision, runtime.Version(), runtime.GOOS, runtime.GOARCH)
			return err
		})
	})
	c.outputFlag(cmd, toFile)
	return cmd
}

// buildSetting returns what the build noted under a key; empty where it noted nothing.
func buildSetting(key string) string {
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == key {
				return s.Value
			}
		}
	}
	return ""
}

// family names the processor family, and the level of it that this was built for where that is not
// the first: from it hang the last bits of a sum (whether a product is rounded before it is added).
func family() string {
	level := buildSetting("GO" + strings.ToUpper(runtime.GOARCH))
	if level == "" || level == "v1" || level == "v8.0" {
		return runtime.GOARCH
	}
	return runtime.GOARCH + " " + level
}

// A run over many jobs keeps little and throws away much. With Go's own setting, garbage as large
// as what lives, it collects every few megabytes and spends a third of its time on that. A share of
// what lives is no good measure for a review either: it keeps a summary of each job, some 75 MB for
// a million rows, and would collect too often first and need too much memory last.
const (
	memoryOfCheck  = 64 << 20 // bytes that are in use before garbage is collected
	memoryOfReview = 256 << 20
)

// pileUp has garbage collected when so many bytes are in use, or twice what lives where that is more,
// until done is called and Go's own setting holds again; unless the user has said otherwise for the
// process.
func pileUp(env *Env, size int64) (done func()) {
	if env.Getenv("GOGC")+env.Getenv("GOMEMLIMIT") != "" {
		return func() {}
	}
	var lock sync.Mutex
	over := false
	debug.SetGCPercent(-1)
	var settle func(int64)
	settle = func(size int64) {
		lock.Lock()
		defer lock.Unlock()
		if over {
			return
		}
		// What the last collection left. The limit follows it: a run that keeps more than the size
		// would be collected at every step.
		live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
		metrics.Read(live)
		debug.SetMemoryLimit(max(size, 2*int64(live[0].Value.Uint64())))
		runtime.AddCleanup(new([4]int), settle, size) // again once the next collection finds that nobody holds this
	}
	settle(size)
	return func() {
		lock.Lock()
		defer lock.Unlock()
		over = true
		debug.SetMemoryLimit(math.MaxInt64)
		debug.SetGCPercent(100)
	}
}
