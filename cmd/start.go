package cmd

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report/say"
)

const startHelp = `Type one of these:
  bayproof start JOB                        asks a few questions, Enter takes
                                            what stands in brackets
  bayproof start JOB --bag-weight "25 lb"   answers one ahead
  bayproof start JOB --section "north slope, rafter, 14, 2x6 at 24, 12"
                                            a section: name, kind, how many
                                            bays, framing, length; may repeat

It makes the folder JOB with job.csv and sections.csv, which any spreadsheet
opens, and never writes over a file that is there. What your jobs have in
common can be kept as your defaults; only start reads them.

Then: bayproof plan JOB, and bayproof log JOB at the truck.`

// startOptions are the flags of start.
type startOptions struct {
	env      *Env
	dir      string
	settings map[string]string
	sections []string
	yes      bool
}

// newStart builds the command that sets up a job's folder.
func newStart(env *Env) *cobra.Command {
	o := &startOptions{env: env}
	cmd := &cobra.Command{
		Use:   "start JOB",
		Short: "sets up a job folder by asking",
		Long:  startHelp,
		Args:  oneJob,
	}
	settings := attachSettings(cmd)
	cmd.Flags().StringArrayVar(&o.sections, "section", nil, "a section as `NAME, KIND, BAYS, FRAMING, LENGTH`; may repeat")
	cmd.Flags().BoolVarP(&o.yes, "yes", "y", false, "ask nothing: flags and defaults only")
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		o.dir, o.settings = args[0], settings.given()
		return o.run()
	}
	return cmd
}

func (o *startOptions) run() error {
	if err := o.free(); err != nil {
		return err
	}
	q := &questions{o: o, values: map[string]string{}}
	if err := q.defaults(); err != nil {
		return err
	}
	for name, text := range o.settings {
		if bad := q.refused(name, text); bad != nil {
			return withHint(fmt.Errorf("--%s: %s", strings.ReplaceAll(name, "_", "-"), bad.What), bad.Hint)
		}
	}
	for name, text := range o.settings {
		q.values[name] = text
	}
	for _, text := range o.sections {
		row, err := parseSection(strings.Split(text, ","), q.units())
		if err != nil {
			return withHint(fmt.Errorf("--section %q: %w", text, err), `as in --section "north slope, rafter, 14, 2x6 at 24, 12"`)
		}
		q.sections = append(q.sections, row)
	}
	if !o.yes {
		q.from = newAsking(o.env)
		defer q.from.Close()
		q.ask()
	}
	return o.write(q)
}

// free makes sure that nothing would be written over.
func (o *startOptions) free() error {
	for _, name := range []string{"job.csv", "sections.csv"} {
		_, err := os.Lstat(filepath.Join(o.dir, name))
		if err == nil {
			return withHint(fmt.Errorf("%s is there already, and start writes over nothing", filepath.Join(o.dir, name)),
				"edit it in a spreadsheet, or name another folder; bayproof log "+o.dir+" goes on with the job")
		}
		if !errors.Is(err, fs.ErrNotExist) {
			return plainPath(err)
		}
	}
	return nil
}

// write makes the folder and its files once they are known to read without a fault.
func (o *startOptions) write(q *questions) error {
	job, sections := q.jobTable(), q.sectionTable()
	if faults := q.check(job, sections); len(faults) > 0 {
		for _, f := range faults {
			printError(o.env.Stderr, f.Src.File+": "+f.What, f.Hint)
		}
		return exitStatus(exitFault)
	}
	if err := os.MkdirAll(o.dir, 0o777); err != nil {
		return plainPath(err)
	}
	files := []struct {
		name string
		data []byte
	}{{"job.csv", job}, {"sections.csv", sections}}
	for i, f := range files {
		if err := writeNew(filepath.Join(o.dir, f.name), f.data); err != nil {
			if i > 0 {
				os.Remove(filepath.Join(o.dir, files[0].name))
			}
			return plainPath(err)
		}
	}
	fmt.Fprintf(o.env.Stdout, "%s is set up: job.csv with %s, sections.csv with %s.\n", o.dir,
		say.Count(len(q.values), "setting", "settings"), say.Count(len(q.sections), "section", "sections"))
	fmt.Fprintf(o.env.Stdout, "Next: bayproof plan %s, and at the truck bayproof log %s\n", o.dir, o.dir)
	return nil
}

// writeNew writes a file that is not there yet, as a whole or not at all.
func writeNew(name string, data []byte) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		os.Remove(name)
	}
	return err
}

// check reads what would be written as check will.
func (q *questions) check(job, sections []byte) []model.Fault {
	files := joblog.Overlay(joblog.Overlay(joblog.Overlay(nothing{}, "job.csv", job), "sections.csv", sections), joblog.LogName, []byte(emptyLog))
	_, faults := joblog.Read(files, "", joblog.Options{})
	return faults
}

// nothing is an empty folder.
type nothing struct{}

func (nothing) Open(name string) (fs.File, error) {
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// table writes a table for a spreadsheet: a byte order mark, so that it is taken for UTF-8, and guarded text.
func table(rows [][]string) []byte {
	var b bytes.Buffer
	io.WriteString(&b, "\ufeff")
	for _, row := range rows {
		for i, c := range row {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(csvCell(c))
		}
		b.WriteString("\r\n")
	}
	return b.Bytes()
}

// csvCell quotes a cell that needs it.
func csvCell(s string) string {
	if strings.ContainsAny(s, ",\"\r\n;") || strings.TrimSpace(s) != s {
		return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
	}
	return s
}
