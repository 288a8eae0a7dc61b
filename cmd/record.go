package cmd

import (
	"fmt"
	"io"
	"path/filepath"

	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report"
	"bayproof/report/record"
	"bayproof/report/screen"
	"bayproof/verify"
)

const recordHelp = `Type one of these:
  bayproof record JOB               writes JOB/record.html
  bayproof record JOB -o FILE       the record under another name
  bayproof record JOB --photos      with small copies of the photos inside

The record is one file. It opens in any browser without a network, prints
on Letter and A4, and carries the job's files inside, so that anyone can
compute it again: bayproof recheck record.html`

// recordOptions are the flags of record.
type recordOptions struct {
	env      *Env
	arg      string
	settings map[string]string
	output   string
	photos   bool
}

// newRecord builds the command that writes the quality record.
func newRecord(env *Env) *cobra.Command {
	o := &recordOptions{env: env}
	cmd := &cobra.Command{
		Use:               "record JOB",
		Short:             "the quality record, one HTML file",
		Long:              recordHelp,
		Args:              oneJob,
		ValidArgsFunction: completeJob(env),
	}
	settings := attachSettings(cmd)
	outputFlag(cmd, &o.output, "write the record to `FILE` instead of JOB/record.html; - for the screen")
	cmd.Flags().BoolVar(&o.photos, "photos", false, "put small copies of the photos into the record")
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		o.arg, o.settings = args[0], settings.given()
		return o.run()
	}
	return cmd
}

func (o *recordOptions) run() error {
	folder, err := openJob(o.arg)
	if err != nil {
		return err
	}
	defer folder.Close()
	out := outputs{env: o.env}
	out.readsJob(folder.Dir, folder.Log)
	if err := out.allow(o.dest(folder)); err != nil {
		return err
	}
	opt := recordReading(folder.Name, o.settings)
	job, faults := joblog.Read(folder.FS, folder.Log, opt)
	if len(faults) > 0 {
		printFaults(o.env.Stderr, folder, faults)
		return exitStatus(exitFault)
	}
	if len(job.Bays) == 0 {
		return withHint(fmt.Errorf("%s: no bay in the log: there is nothing to record", o.arg), "bayproof log "+o.arg+" asks for the first one")
	}
	in, err := recordInput(job, o.settings)
	if err != nil {
		return err
	}
	in.Places = record.Places(folder.FS, job)
	if o.photos {
		var left []string
		if in.Pictures, left = record.Pictures(folder.FS, job); len(left) > 0 {
			o.warnPhotos(left)
		}
	}
	return o.writeRecord(&out, o.dest(folder), in)
}

// recordReading says how a job is read for its record, and read again by recheck.
func recordReading(name string, flags map[string]string) joblog.Options {
	return joblog.Options{Name: name, Flags: flags, KeepRaw: true, Photos: true, Taken: record.Taken, Hash: true}
}

// recordInput is all that a record of a job is made from.
func recordInput(job *model.Job, flags map[string]string) (record.Input, error) {
	opt := verify.All()
	opt.Logged = true
	f := verify.Check(job, opt)
	doc, err := report.AppendJSON(nil, f, tool(), false)
	if err != nil {
		return record.Input{}, err
	}
	return record.Input{Findings: f, JSON: doc, Flags: flags, Tool: record.Tool{Name: tool().Name, Version: Version, Arch: family()}}, nil
}

func (o *recordOptions) warnPhotos(left []string) {
	for _, what := range left {
		fmt.Fprintf(o.env.Stderr, "bayproof: not in the record: %s\n", screen.Clean(what))
	}
}

// dest is where the record goes: into its job unless another file was named.
func (o *recordOptions) dest(folder *joblog.Folder) dest {
	const own = "record.html"
	if o.output == "" {
		return dest{flag: "-o", file: filepath.Join(folder.Dir, own), own: own}
	}
	return dest{flag: "-o", file: o.output, own: own}
}

// writeRecord writes the file and says where it is.
func (o *recordOptions) writeRecord(out *outputs, d dest, in record.Input) error {
	if err := out.result(d, func(w io.Writer) error { return record.Write(w, in) }); err != nil {
		return err
	}
	if !d.screen() {
		fmt.Fprintf(o.env.Stderr, "bayproof: wrote %s: open it in a browser\n", d.file)
	}
	return nil
}
