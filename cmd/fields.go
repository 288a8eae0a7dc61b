package cmd

import (
	"io"

	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report/fields"
)

const fieldsHelp = `Type one of these:
  bayproof fields          columns, settings, entries and codes
  bayproof fields JOB      the settings of a job, and where each comes from`

// newFields builds the command that lists columns, settings, entries and codes.
func newFields(env *Env) *cobra.Command {
	var form format
	var file string
	cmd := &cobra.Command{
		Use:               "fields [JOB]",
		Short:             "columns, settings, entries and codes",
		Long:              fieldsHelp,
		Args:              atMostOneJob,
		ValidArgsFunction: completeJob(env),
	}
	settings := attachSettings(cmd)
	formatFlag(cmd, &form)
	outputFlag(cmd, &file, "write to `FILE` instead of the screen")
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		var job *model.Job
		out := outputs{env: env}
		if len(args) == 1 {
			out.reads(args[0])
			var err error
			if job, err = readJob(env, args[0], joblog.Options{Flags: settings.given()}); err != nil {
				return err
			}
		} else if len(settings.given()) > 0 {
			return usageErrorf("bayproof fields JOB shows a job's settings with that one in place", "fields: a setting without a job")
		}
		return out.result(dest{flag: "-o", file: file}, func(w io.Writer) error { return writeFields(w, form, job) })
	}
	return cmd
}

func writeFields(w io.Writer, form format, job *model.Job) error {
	manual := fields.New(job)
	var out []byte
	var err error
	switch form {
	case formatJSON:
		out, err = manual.AppendJSON(nil)
	case formatCSV:
		out = manual.AppendCSV(nil)
	default:
		out = manual.AppendText(nil)
	}
	if err != nil {
		return err
	}
	_, err = w.Write(out)
	return err
}

// atMostOneJob refuses a second job.
func atMostOneJob(cmd *cobra.Command, args []string) error {
	if len(args) > 1 {
		return usageErrorf("", "%s: one job at a time, not %d", cmd.Name(), len(args))
	}
	return nil
}
