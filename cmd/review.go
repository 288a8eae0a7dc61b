package cmd

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"sync"
	"syscall"

	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report"
	"bayproof/report/review"
	"bayproof/verify"
	"bayproof/verify/audit"
)

const reviewHelp = `Type one of these:
  bayproof review JOBS                 all jobs below a folder: what needs you
  bayproof review many.csv             a log with a job column
  bayproof review JOBS --html all.html an overview with every job in it
  bayproof review JOBS --inspect 12 --seed 7
                                       which bays to open, drawn at random
  bayproof review JOBS --table findings -o findings.csv
                                       for a spreadsheet
  bayproof review JOBS --settings programme.csv
                                       recomputed with the programme's settings

programme.csv holds name,value like job.csv: any setting of a job, which
then holds for all, and what evidence the programme asks for:
`

// reviewOptions are the flags of review.
type reviewOptions struct {
	env       *Env
	args      []string
	settings  map[string]string
	programme string
	format    format
	tableName string
	table     review.Table
	output    string
	html      string
	figures   bool
	inspect   int
	seed      uint64
	audit     audit.Options
	ctx       context.Context
	checkers  sync.Pool // of *verify.Checker
	out       outputs
	asides    []string // what was given and not read, without harm
}

// newReview builds the command that sets many jobs side by side.
func newReview(env *Env) *cobra.Command {
	o := &reviewOptions{env: env}
	cmd := &cobra.Command{
		Use:   "review FOLDER…",
		Short: "many jobs: what needs you, crews, plausibility, which bays to open",
		Long:  reviewHelp + askHelp() + tableHelp() + reviewExit,
		Args:  atLeastOneJob,

		ValidArgsFunction: completeJobs(env),
	}
	settings := attachSettings(cmd)
	formatFlag(cmd, &o.format)
	tableFlag(cmd, &o.tableName)
	cmd.Flags().StringVar(&o.programme, "settings", "", "recompute with the settings in `FILE`")
	_ = cmd.RegisterFlagCompletionFunc("settings", completeFile(env, ".csv"))
	cmd.Flags().StringVar(&o.html, "html", "", "write an overview as one HTML `FILE` too")
	_ = cmd.MarkFlagFilename("html", "html")
	cmd.Flags().BoolVar(&o.figures, "figures", false, "results only, no plausibility: faster")
	cmd.Flags().IntVar(&o.inspect, "inspect", 0, "draw `N` bays to open")
	cmd.Flags().Uint64Var(&o.seed, "seed", 1, "`NUMBER` that the draw starts from: the same draws the same")
	outputFlag(cmd, &o.output, "write to `FILE` instead of the screen")
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		o.args, o.settings = args, settings.given()
		return o.run(cmd.Flags().Changed("format"))
	}
	return cmd
}

const reviewExit = `
Exit code: 0 all jobs were read; 3 some could not be, the rest is reviewed;
1 no job could be read; 2 the command line makes no sense.`

func (o *reviewOptions) run(formatGiven bool) error {
	if o.inspect < 0 || o.inspect > mostInspected {
		return usageErrorf("", "--inspect %d: 1 to %d bays", o.inspect, mostInspected)
	}
	o.out.env = o.env
	if o.programme != "" {
		o.out.keep(o.programme, "read by this command")
	}
	if err := o.out.allow(o.dests()...); err != nil { // once more when the jobs are known: reading them may take long
		return err
	}
	if err := o.readProgramme(); err != nil {
		return err
	}
	if err := o.chooseTable(formatGiven); err != nil {
		return err
	}
	o.audit.Figures, o.audit.Inspect, o.audit.Seed = o.figures, o.inspect, o.seed
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	o.ctx = ctx
	defer letGarbagePile(o.env)()
	fitPile(o.env)
	r, err := o.gather()
	if err != nil {
		return err
	}
	for _, aside := range o.asides {
		printWarning(o.env.Stderr, aside)
	}
	if len(r.Jobs) == 0 {
		o.tell(r)
		return exitStatus(exitFault)
	}
	return o.writeAll(r)
}

// mostInspected bounds the draw: nobody opens more.
const mostInspected = 10_000

// dests are where the page and the result go.
func (o *reviewOptions) dests() []dest {
	return []dest{{flag: "--html", file: o.html}, {flag: "-o", file: o.output}}
}

// writeAll writes the page and the result.
func (o *reviewOptions) writeAll(r *audit.Review) error {
	dests := o.dests()
	if err := o.out.allow(dests...); err != nil {
		return err
	}
	if o.html != "" {
		if err := o.out.result(dests[0], func(w io.Writer) error { return o.page(w, r) }); err != nil {
			return err
		}
	}
	if err := o.out.result(dests[1], func(w io.Writer) error { return o.write(w, r) }); err != nil {
		return err
	}
	if len(r.Bad) > 0 {
		if o.format != formatText || o.output != "" {
			o.tell(r)
		}
		return exitStatus(exitOpen)
	}
	return nil
}

func (o *reviewOptions) page(w io.Writer, r *audit.Review) error {
	out, err := review.AppendHTML(nil, r, report.Assets())
	if err != nil {
		return err
	}
	_, err = w.Write(out)
	return err
}

func (o *reviewOptions) write(w io.Writer, r *audit.Review) error {
	var out []byte
	var err error
	switch o.format {
	case formatJSON:
		return review.WriteJSON(w, r, tool())
	case formatCSV:
		out, err = review.AppendTable(nil, r, o.table)
	default:
		out = review.AppendText(nil, r, o.output == "" && o.env.Colour())
	}
	if err != nil {
		return err
	}
	_, err = w.Write(out)
	return err
}

// tell lists on stderr what is wrong with the jobs that could not be read.
func (o *reviewOptions) tell(r *audit.Review) {
	told := map[string]bool{} // a fault of the command line is that of every job
	for _, bad := range r.Bad {
		for _, line := range bad.Faults {
			if !told[line] {
				printError(o.env.Stderr, line)
				told[line] = true
			}
		}
	}
	if len(r.Bad) == 0 {
		printError(o.env.Stderr, "no job found", "name a folder with jobs in it, a job's folder, or a CSV file with a column job")
	}
}

// gather reads all jobs on all cores and takes their summaries in order.
func (o *reviewOptions) gather() (*audit.Review, error) {
	b := audit.NewBuilder(o.audit)
	p := newProgress(o.env)
	defer p.done()
	take := func(s summed) error {
		p.step()
		if p.jobs%1000 == 0 {
			fitPile(o.env)
		}
		if s.bad != nil {
			b.Fail(*s.bad)
		} else {
			b.Add(s.job)
		}
		return o.ctx.Err()
	}
	err := inOrder(o.feed, o.sum, take)
	if o.ctx.Err() != nil {
		return nil, withHint(fmt.Errorf("stopped before all jobs were read: nothing was written"))
	}
	if err != nil {
		return nil, err
	}
	return b.Finish(), nil
}

// feed gives the jobs of all inputs.
func (o *reviewOptions) feed(give func(jobRead) bool) {
	opt := joblog.Options{Flags: o.settings, Photos: !o.figures}
	found := newFinder(opt, func(in jobRead) bool {
		if in.folder != nil {
			o.out.readsJob(in.folder.Dir, in.folder.Log)
		}
		return o.ctx.Err() == nil && give(in)
	})
	defer func() { o.asides = found.asides }()
	for _, arg := range o.args {
		if !found.find(arg) {
			return
		}
	}
}

// summed is one job's summary, or why there is none.
type summed struct {
	job *audit.Job
	bad *audit.Bad
}

// sum reads and judges one job.
func (o *reviewOptions) sum(in jobRead, _ summed) summed {
	if in.err != nil {
		return summed{bad: &audit.Bad{Place: in.arg, Faults: []string{in.err.Error()}}}
	}
	defer in.rows.Done()
	job, faults := in.rows.Read()
	if job == nil {
		return summed{bad: badJob(in, faults)}
	}
	checker, used := o.checkers.Get().(*verify.Checker)
	if !used {
		checker = new(verify.Checker)
	}
	defer o.checkers.Put(checker)
	f := checker.Check(job, verify.Options{Closings: true})
	if f.Totals.Bays == 0 {
		return summed{bad: &audit.Bad{Place: in.name(), Faults: []string{in.name() + ": no bay in the log"}}}
	}
	at := audit.Place{Input: in.arg, Many: in.rows.Many}
	if !in.rows.Many {
		at.Record = o.recordOf(in.folder)
	}
	return summed{job: audit.Summarize(f, at, o.audit)}
}

// recordOf is the way from the page to a job's record, where there is one.
func (o *reviewOptions) recordOf(folder *joblog.Folder) string {
	record := filepath.Join(folder.Dir, "record.html")
	if info, err := os.Stat(record); err != nil || !info.Mode().IsRegular() {
		return ""
	}
	base := "."
	if o.html != "" {
		base = filepath.Dir(o.html)
	}
	absBase, err1 := filepath.Abs(base)
	absRecord, err2 := filepath.Abs(record)
	if rel, err := filepath.Rel(absBase, absRecord); err == nil && err1 == nil && err2 == nil {
		return filepath.ToSlash(rel)
	}
	return ""
}

// badJob keeps the first faults of a job that could not be read.
func badJob(in jobRead, faults []model.Fault) *audit.Bad {
	bad := &audit.Bad{Place: in.name()}
	for i, f := range faults {
		if i == mostFaults {
			bad.More = len(faults) - i
			break
		}
		bad.Faults = append(bad.Faults, place(in.folder, f.Src)+f.What)
	}
	return bad
}

// mostFaults is how many faults of a job are kept; check shows them all.
const mostFaults = 3
