package cmd

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime"
	"sync"

	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

const checkHelp = `Type one of these:
  bayproof check JOB                which bays may be closed, and what to do
  bayproof check JOB --summary      pounds in and required, by section
  bayproof check JOB --format csv   a row for every bay
  bayproof check many.csv -f csv    a log with a job column, job by job

JOB is a folder with bays.csv in it, or that file itself.

Exit code: 0 every bay is filled and may be closed; 3 something is open;
1 an input has a fault or no bay; 2 the command line makes no sense.`

// checkOptions are the flags of check.
type checkOptions struct {
	env      *Env
	args     []string
	settings map[string]string
	format   format
	summary  bool
	output   string
	desks    sync.Pool // of *desk
}

// desk is the memory that a job is checked and written with: it is taken again for the next one.
type desk struct {
	rows report.CSV
}

// newCheck builds the command that gives the verdict for every bay.
func newCheck(env *Env) *cobra.Command {
	o := &checkOptions{env: env}
	cmd := &cobra.Command{
		Use:               "check JOB…",
		Short:             "which bays may be closed, what to do about the rest",
		Long:              checkHelp,
		Args:              atLeastOneJob,
		ValidArgsFunction: completeJobs(env),
	}
	settings := attachSettings(cmd)
	formatFlag(cmd, &o.format)
	cmd.Flags().BoolVar(&o.summary, "summary", false, "pounds by section instead of bay by bay")
	outputFlag(cmd, &o.output, "write to `FILE` instead of the screen")
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		o.args, o.settings = args, settings.given()
		if o.summary && o.format != formatText {
			return usageErrorf("json and csv carry all figures", "--summary is for text only, not %s", o.format)
		}
		return o.run()
	}
	return cmd
}

// run checks every job and writes the results in the order of the inputs.
func (o *checkOptions) run() error {
	defer letGarbagePile(o.env)()
	out := outputs{env: o.env}
	for _, arg := range o.args {
		out.reads(arg)
	}
	err := out.result(dest{flag: "-o", file: o.output}, o.write)
	if o.output != "" && isStatus(err, exitFault) {
		printHint(o.env.Stderr, fmt.Sprintf("%s was not written; without -o the good jobs are printed", o.output))
	}
	return err
}

// write streams the jobs through all cores; what it returns is the exit code.
func (o *checkOptions) write(w io.Writer) error {
	p := &printer{o: o, w: w, warned: warned{stderr: o.env.Stderr}}
	if o.format == formatCSV {
		p.pending = report.AppendCSVHeader(nil)
	}
	if err := inOrder(o.feed, o.judge, p.print); err != nil {
		return err
	}
	return p.status()
}

// feed opens the inputs one after the other and gives their jobs.
func (o *checkOptions) feed(give func(jobRead) bool) {
	opt := joblog.Options{Flags: o.settings, Hash: o.format == formatJSON} // the other formats do not show it
	for _, arg := range o.args {
		if !eachJob(arg, opt, give) {
			return
		}
	}
}

// checked is one job's result, ready to print.
type checked struct {
	from   jobRead
	out    []byte
	faults []model.Fault
	warned []model.Warning // that the format has no place for
	bays   int             // that count: filled, closed or waiting
	open   bool            // something is left to do
	err    error
}

// judge reads one job, finds out about it and writes it into the buffer of an earlier result.
func (o *checkOptions) judge(in jobRead, last checked) checked {
	c := checked{from: in, out: last.out[:0], err: in.err}
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
	d, used := o.desks.Get().(*desk)
	if !used {
		d = new(desk)
	}
	defer o.desks.Put(d)
	f := verify.Check(job, o.wanted())
	if c.bays, c.open = f.Totals.Bays, isOpen(f.Totals); c.bays > 0 {
		c.out, c.err = o.append(c.out, f, in.rows.Many, d)
	}
	return c
}

// append writes the findings in the format that was asked for. Documents stand on one line each where several may come.
func (o *checkOptions) append(dst []byte, f *verify.Findings, many bool, d *desk) ([]byte, error) {
	switch {
	case o.format == formatCSV:
		return d.rows.Append(dst, f), nil
	case o.format == formatJSON:
		return report.AppendJSON(dst, f, tool(), !many && len(o.args) == 1)
	case o.summary:
		return report.AppendSummary(dst, f, o.colour()), nil
	}
	return report.AppendText(dst, f, o.colour()), nil
}

// wanted asks verify for what the format shows and no more.
func (o *checkOptions) wanted() verify.Options {
	switch {
	case o.format == formatJSON:
		return verify.All()
	case o.format == formatText && !o.summary:
		return verify.Options{Advice: true, Closings: true}
	}
	return verify.Options{Closings: true}
}

func (o *checkOptions) colour() bool { return o.output == "" && o.env.Colour() }

// isOpen tells whether any bay is not filled, not CLOSE or not in the log.
func isOpen(t verify.Totals) bool {
	return t.Add+t.Measure+t.Probe+t.NotFilled+t.NotInLog > 0
}

func tool() report.Tool { return report.Tool{Name: "bayproof", Version: Version} }

// jobRead is one job as it was found in an input: its rows, or why there are none.
type jobRead struct {
	arg    string
	folder *joblog.Folder // for names; it may be closed
	rows   *joblog.Unread
	err    error // the input could not be opened
}

// name is how the job is named in messages.
func (j jobRead) name() string {
	if j.rows.Many {
		return j.arg + ": " + j.rows.Name
	}
	return j.arg
}

// eachJob finds the jobs of one input and gives them one by one; it answers false when give wants no more.
func eachJob(arg string, opt joblog.Options, give func(jobRead) bool) bool {
	folder, err := openJob(arg)
	if err != nil {
		return give(jobRead{arg: arg, err: err})
	}
	defer folder.Close()
	opt.Name = folder.Name
	more := true
	joblog.Scan(folder.FS, folder.Log, opt, func(rows *joblog.Unread) bool {
		more = give(jobRead{arg: arg, folder: folder, rows: rows})
		return more
	})
	return more
}

// openJob opens the folder that arg names, or that holds the log that it names. The caller closes it.
func openJob(arg string) (*joblog.Folder, error) {
	folder, err := joblog.Open(arg)
	if err != nil {
		return nil, withHint(plainPath(err), "name a job's folder, or the CSV file with its bays")
	}
	return folder, nil
}

// readJob reads the one job that arg names. Its faults are printed, and the error then only carries the exit code; of its
// warnings those that no row alone is meant by.
func readJob(env *Env, arg string, opt joblog.Options) (*model.Job, error) {
	folder, err := openJob(arg)
	if err != nil {
		return nil, err
	}
	defer folder.Close()
	opt.Name = folder.Name
	job, faults := joblog.Read(folder.FS, folder.Log, opt)
	if len(faults) > 0 {
		printFaults(env.Stderr, folder, faults)
		return nil, exitStatus(exitFault)
	}
	tellWarnings(env.Stderr, folder, ofFiles(job.Warnings))
	return job, nil
}

// printFaults lists the faults of a job as file:line:column. A hint that holds for several in a row is printed once,
// after the last of them.
func printFaults(stderr io.Writer, folder *joblog.Folder, faults []model.Fault) {
	for i, f := range faults {
		fmt.Fprintf(stderr, "bayproof: error: %s\n", screen.Clean(place(folder, f.Src)+f.What))
		if i+1 == len(faults) || faults[i+1].Hint != f.Hint {
			printHint(stderr, f.Hint)
		}
	}
}

// place writes where a fault stands, as the user would open it, with a colon and a space behind it.
func place(folder *joblog.Folder, src model.Source) string {
	if src.File == "" {
		return folder.Dir + ": "
	}
	src.File = folder.Show(src.File)
	return say.Place(src) + ": "
}

// plainPath says what is wrong with a path without naming the call that found out.
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

// Handing over a small job costs a part of reading it, so that jobs go together once there are many. A few go alone: they
// keep all cores busy.
const (
	aloneAtFirst = 64
	mostTogether = 8
)

// inOrder calls work for every item that feed gives, on all cores, and done for every result in the order of the items.
// At most some dozens of items are in flight, so memory does not grow with their number; with only a few a core would wait
// for the one that feeds or for the one that takes. An error of done ends it early; feed then gets false and should stop. A
// result that has been done goes back to work as its third argument, so that buffers are used again.
func inOrder[T, R any](feed func(give func(T) bool), work func(T, R) R, done func(R) error) error {
	all := func(items []T, results []R) []R {
		for len(results) < len(items) {
			results = append(results, *new(R))
		}
		for i, item := range items {
			results[i] = work(item, results[i])
		}
		return results[:len(items)]
	}
	return bunchesInOrder(bunched(feed), all, func(results []R) error {
		for _, r := range results {
			if err := done(r); err != nil {
				return err
			}
		}
		return nil
	})
}

// bunched gives items together, the first ones alone.
func bunched[T any](feed func(give func(T) bool)) func(give func([]T) bool) {
	return func(give func([]T) bool) {
		var open []T
		given := 0
		feed(func(item T) bool {
			if given++; given <= aloneAtFirst {
				return give([]T{item})
			}
			if open = append(open, item); len(open) < mostTogether {
				return true
			}
			full := open
			open = make([]T, 0, mostTogether)
			return give(full)
		})
		if len(open) > 0 {
			give(open)
		}
	}
}

// bunchesInOrder is inOrder for items that are each worth handing over.
func bunchesInOrder[T, R any](feed func(give func(T) bool), work func(T, R) R, done func(R) error) error {
	type slot struct {
		item   T
		result R
		ready  chan struct{}
	}
	workers := runtime.GOMAXPROCS(0)
	free := make(chan *slot, 8*workers)
	for range cap(free) {
		free <- &slot{ready: make(chan struct{}, 1)}
	}
	todo := make(chan *slot, cap(free))
	queue := make(chan *slot, cap(free)) // the same slots, in order
	stop := make(chan struct{})

	go func() {
		defer close(queue)
		defer close(todo)
		feed(func(item T) bool {
			select {
			case <-stop:
				return false
			case s := <-free:
				s.item = item
				todo <- s
				queue <- s
				return true
			}
		})
	}()
	var group sync.WaitGroup
	for range workers {
		group.Go(func() {
			for s := range todo {
				s.result = work(s.item, s.result)
				s.ready <- struct{}{}
			}
		})
	}
	var failed error
	for s := range queue {
		<-s.ready
		if failed == nil {
			if failed = done(s.result); failed != nil {
				close(stop)
			}
		}
		free <- s
	}
	group.Wait()
	return failed
}
