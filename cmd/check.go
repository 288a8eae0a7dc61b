package cmd

import (
	"fmt"
	"io"
	"sync"

	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report"
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
	checker verify.Checker
	rows    report.CSV
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
	f := d.checker.Check(job, o.wanted())
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
