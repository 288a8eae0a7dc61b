package cmd

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report"
	"bayproof/verify"
)

const checkHelp = `Type one of these:
  bayproof check JOB                which bays may be closed, and what to do
  bayproof check JOB --why          with figures, reasons, whole orders and notes
  bayproof check JOB --summary      pounds in and required, by section
  bayproof check JOB --format csv   a row for every bay
  bayproof check many.csv -f csv    a log with a job column, job by job

JOB is a folder with bays.csv in it, or that file itself.

A fault in a file is told as file, row and column as a spreadsheet shows
them, then what to type.

Exit code: 0 every bay is filled and CLOSE; 3 something is open; 1 a file
has a fault, or there is no bay; 2 the command line makes no sense.`

// checkOptions are the flags of check.
type checkOptions struct {
	common
	summary, why bool
	laid         sync.Pool // rows of CSV that were printed, whose memory the next ones take: *[]byte
}

// newCheck builds the command that gives the verdict for every bay.
func newCheck(env *Env) *cobra.Command {
	o := &checkOptions{common: common{env: env}}
	cmd := o.command("check JOB…", "which bays may be closed, what to do about the rest", checkHelp, atLeastOneJob, completeJobs(env), o.run)
	o.settingFlags(cmd)
	o.programmeFlag(cmd, judgedBy)
	o.formatFlag(cmd)
	o.outputFlag(cmd, toFile)
	cmd.Flags().BoolVar(&o.why, "why", false, "with figures, reasons and whole orders, and what a bay could still hide")
	cmd.Flags().BoolVar(&o.summary, "summary", false, "pounds by section instead of bay by bay")
	return cmd
}

// run checks every job and writes the results in the order of the inputs, as they come: a log may
// hold more jobs than would go into memory. Its error carries the exit code.
func (o *checkOptions) run() error {
	switch {
	case o.summary && o.why:
		return usageErrorf("--why is bay by bay", "--summary and --why can't go together")
	case o.summary && o.format != formatText:
		return usageErrorf("json and csv carry all figures", "--summary is for text only, not %s", o.format)
	case o.why && o.format != formatText:
		return usageErrorf("json and csv carry all figures", "--why is for text only, not %s", o.format)
	}
	defer pileUp(o.env, memoryOfCheck)()
	if err := o.readProgramme(); err != nil {
		return err
	}
	out := outputs{env: o.env}
	o.programme.keep(&out)
	for _, arg := range o.args {
		out.reads(arg)
	}
	err := out.result(o.toOutput(), func(w io.Writer) error {
		p := &printer{o: o, w: w, warned: warned{stderr: o.env.Stderr}}
		if o.format == formatCSV {
			p.pending = report.AppendCSVHeader(nil)
		}
		if err := inOrder(o.feed, o.judge, p.print); err != nil {
			return err
		}
		// A job without a result weighs more than one with an open bay: nobody knows about its
		// bays. A run without any job is a fault too, as an empty log is.
		switch {
		case p.faulty || p.printed == 0:
			return exitStatus(exitFault)
		case p.open:
			return exitStatus(exitOpen)
		}
		return nil
	})
	return o.unwritten(err, "the good jobs are printed")
}

// feed opens the inputs one after the other and gives their jobs, until give wants no more.
func (o *checkOptions) feed(give func(jobRead) bool) {
	opt := joblog.Options{Flags: o.settings, Hash: o.format == formatJSON, Journal: joblog.Journals} // the other formats show no digests
	for _, arg := range o.args {
		if !eachJob(arg, &o.programme, opt, give) {
			return
		}
	}
}

// checked is one job's result, ready to print: it is laid out where it was judged, so that only the
// writing itself has to be in order.
type checked struct {
	from   jobRead
	out    []byte
	faults []model.Fault
	warned []model.Warning // that the format has no place for
	bays   int             // that count: filled, closed or waiting
	open   bool            // something is left to do
	err    error
}

// judge reads one job, finds out about it and lays the result out. It runs on several goroutines at
// once.
func (o *checkOptions) judge(in jobRead) checked {
	c := checked{from: in, err: in.err}
	if in.err != nil {
		return c
	}
	defer in.rows.Done()
	job, faults := in.rows.Read()
	if c.faults = faults; job == nil {
		return c
	}
	if o.format == formatCSV {
		c.warned = job.Warnings
	}
	f := verify.Check(job, o.wanted())
	t := f.Totals
	c.bays, c.open = t.Bays, t.Add+t.Measure+t.Probe+t.NotFilled+t.NotInLog > 0
	if c.bays > 0 {
		c.out, c.err = o.lay(f, in.rows.Many)
	}
	return c
}

// lay writes the findings in the format that was asked for. JSON documents stand on one line each
// where several may come, so that every line of the output is a document.
func (o *checkOptions) lay(f *verify.Findings, many bool) ([]byte, error) {
	colour := o.output == "" && o.env.Colour()
	switch {
	case o.format == formatCSV:
		if printed, ok := o.laid.Get().(*[]byte); ok {
			return report.AppendCSV((*printed)[:0], f), nil
		}
		return report.AppendCSV(nil, f), nil
	case o.format == formatJSON:
		return report.AppendJSON(nil, f, tool(), !many && len(o.args) == 1)
	case o.summary:
		return report.AppendSummary(nil, f, colour), nil
	case o.why:
		return report.AppendWhy(nil, f, colour), nil
	}
	return report.AppendText(nil, f, colour), nil
}

// wanted asks verify for what the format shows and no more: advice is found by recomputing the job
// and costs most.
func (o *checkOptions) wanted() verify.Options {
	switch {
	case o.format == formatJSON:
		return verify.All()
	case o.format == formatText && !o.summary:
		return verify.Options{Advice: true, Closings: true}
	}
	return verify.Options{Closings: true, Codes: o.format == formatCSV}
}

// printer writes results in order and remembers what the exit code hangs on.
type printer struct {
	o       *checkOptions
	w       io.Writer
	pending []byte        // goes before the first result: a header alone would look like jobs without bays
	printed int           // jobs that had a result
	faulty  bool          // some job or input had none
	open    bool          // some bay of some job is not done with
	told    []model.Fault // printed last
	warned  warned
}

// print writes one job: its result, or on stderr why there is none. Only an error of writing or of
// the program stops the run; a job that cannot be read is told, counted in faulty, and the next
// ones are printed all the same.
func (p *printer) print(c checked) error {
	stderr := p.o.env.Stderr
	switch {
	case c.from.err != nil:
		p.faulty = true
		exitCode(stderr, c.from.err)
		return nil
	case c.err != nil:
		return c.err
	case len(c.faults) > 0:
		p.faulty = true
		if !slices.Equal(c.faults, p.told) { // those of the files beside a log are those of each of its jobs
			printFaults(stderr, c.from.folder, c.faults)
		}
		p.told = c.faults
		return nil
	case c.bays == 0:
		p.faulty = true
		printError(stderr, fmt.Sprintf("%s: no bay in the log", c.from.name()), "bayproof log "+inQuotes(c.from.arg)+" logs them one by one")
		return nil
	}
	if len(p.pending) > 0 {
		if _, err := p.w.Write(p.pending); err != nil {
			return err
		}
		p.pending = nil
	}
	if p.printed > 0 && p.o.format == formatText {
		if _, err := io.WriteString(p.w, "\n"); err != nil {
			return err
		}
	}
	if p.o.format == formatText && !c.from.rows.Many {
		if names := changedSince(c.from.folder.Dir); len(names) > 0 {
			record := filepath.Join(c.from.folder.Dir, "record.html")
			note(stderr, "%s is of other files: since then %s changed; bayproof record %s writes it anew", record, strings.Join(names, ", "), inQuotes(c.from.folder.Dir))
		}
	}
	p.printed++
	p.warned.tell(c.from.folder, c.warned)
	p.open = p.open || c.open
	_, err := p.w.Write(c.out)
	if p.o.format == formatCSV { // a writer keeps nothing of what it was given
		p.o.laid.Put(&c.out)
	}
	return err
}

// tool is how this build names itself in JSON.
func tool() report.Tool {
	return report.Tool{Name: "bayproof", Version: Version, Text: textDigest()}
}

// textDigest is worked out once, as a document a job carries it.
var textDigest = sync.OnceValue(report.TextDigest)

// jobRead is one job as it was found in an input: its rows, or why there are none. Finding jobs is
// done by one goroutine in the order of the input; reading the cells of rows is most of the work
// and is left to whoever takes the job.
type jobRead struct {
	arg    string
	folder *joblog.Folder // for names; it may be closed
	rows   *joblog.Unread
	err    error // the input could not be opened
	record bool  // arg is a record, which holds one
}

// name is how the job is named in messages: as it was given, and by its name in the log where that
// holds several.
func (j jobRead) name() string {
	if j.rows.Many {
		return j.arg + ": " + j.rows.Name
	}
	return j.arg
}

// eachJob finds the jobs of one input and gives them one by one; it answers false when give wants
// no more. A log without a column job is one job; one with it holds a job for every name, whose
// rows follow one another.
func eachJob(arg string, terms *programme, opt joblog.Options, give func(jobRead) bool) bool {
	folder, err := openJob(arg)
	if err != nil {
		return give(jobRead{arg: arg, err: err})
	}
	defer folder.Close()
	if terms != nil {
		terms.over(folder)
	}
	opt.Name = folder.Name
	more := true
	joblog.Scan(folder.FS, folder.Log, opt, func(rows *joblog.Unread) bool {
		more = give(jobRead{arg: arg, folder: folder, rows: rows})
		return more
	})
	return more
}

// openJob opens the folder that arg names, or that holds the log that it names, for reading files
// in it and nowhere else. The caller closes it.
func openJob(arg string) (*joblog.Folder, error) {
	folder, err := joblog.Open(arg)
	if err != nil {
		return nil, withHint(plainPath(err), "name a job's folder, or the CSV file with its bays")
	}
	return folder, nil
}

// readJob reads the one job of an open folder from files: the folder's own, or others laid over
// them. Its faults are printed, and the error then only carries the exit code.
func readJob(env *Env, folder *joblog.Folder, files fs.FS, opt joblog.Options) (*model.Job, error) {
	opt.Name = folder.Name
	job, faults := joblog.Read(files, folder.Log, opt)
	if len(faults) > 0 {
		printFaults(env.Stderr, folder, faults)
		return nil, exitStatus(exitFault)
	}
	return job, nil
}

// printFaults lists the faults of a job, or of a file in no folder (nil). A hint that holds for several in a row is printed once,
// after the last of them.
func printFaults(stderr io.Writer, folder *joblog.Folder, faults []model.Fault) {
	for i, f := range faults {
		note(stderr, "error: %s", shown(folder, f))
		if i+1 == len(faults) || faults[i+1].Hint != f.Hint {
			printHint(stderr, f.Hint)
		}
	}
}

// shown is a fault with its file as the user would open it. A fault of no file is the folder's; what
// is in no folder was named as it is.
func shown(folder *joblog.Folder, f model.Fault) model.Fault {
	switch {
	case folder == nil:
	case f.Src.File == "":
		f.Src.File = folder.Dir
	default:
		f.Src.File = folder.Show(f.Src.File)
	}
	return f
}

// plainPath says what is wrong with a path without naming the call that found out: "lstat jobs:
// permission denied" means nothing to who typed jobs.
func plainPath(err error) error {
	var pathErr *fs.PathError
	if !errors.As(err, &pathErr) {
		return err
	}
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: there is no such file or folder", pathErr.Path)
	}
	return fmt.Errorf("%s: %w", pathErr.Path, pathErr.Err)
}

// A small job is read and judged in some 50 µs, of which handing it to another goroutine would be a
// good part: so jobs go to work in bunches. The first ones go alone, so that with a few large jobs
// no core waits for the other.
const (
	aloneAtFirst = 64
	inABunch     = 8
	bunchesAhead = 8 // for each core: how far reading may run ahead of printing, which bounds the memory of a long run
)

// inOrder calls work for every item that feed gives, on all cores at once, and done for every
// result in the order of the items, in the caller's goroutine. An error of done ends the run: feed
// gets false from then on and should stop. Where feed or work crashes, the caller does, once
// nothing is under way any more.
//
// Every bunch of items gets a goroutine and a channel for its results. The channels wait in one
// queue in the order of the items, so that taking them one after the other is all that order needs;
// the queue's length bounds how many are under way.
func inOrder[T, R any](feed func(give func(T) bool), work func(T) R, done func(R) error) error {
	queue := make(chan chan []R, bunchesAhead*runtime.GOMAXPROCS(0))
	stop := make(chan struct{})
	var crash atomic.Pointer[crashed]
	caught := func() { // goes on where Run can tell of it
		if p := recover(); p != nil {
			crash.Store(&crashed{p, debug.Stack()})
		}
	}
	go func() {
		defer close(queue)
		defer caught()
		given := 0
		var bunch []T
		send := func() bool {
			items, results := bunch, make(chan []R, 1)
			bunch = nil
			select {
			case <-stop:
				return false
			case queue <- results:
			}
			go func() {
				var out []R
				defer func() { results <- out }()
				defer caught()
				for _, item := range items {
					out = append(out, work(item))
				}
			}()
			return true
		}
		feed(func(item T) bool {
			given++
			bunch = append(bunch, item)
			return given > aloneAtFirst && len(bunch) < inABunch || send()
		})
		if len(bunch) > 0 {
			send()
		}
	}()
	var failed error
	defer func() {
		if c := crash.Load(); c != nil {
			panic(c)
		}
	}()
	for results := range queue { // to its end in any case: then the goroutines are done as well
		for _, r := range <-results {
			if failed == nil && crash.Load() == nil {
				if failed = done(r); failed != nil {
					close(stop)
				}
			}
		}
	}
	return failed
}
