package cmd

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"bayproof/model/joblog"
	"bayproof/report/record"
	"bayproof/report/screen"
)

const recheckHelp = `Type one of these:
  bayproof recheck record.html                does it hold?
  bayproof recheck record.html --extract DIR  gives the job's files back

Three things are looked at, in this order: the bytes (is the file as it was
written?), the figures (computed again from the files inside), the page
(written again, where the same tool on the same kind of machine wrote it).

Exit code: 0 it holds; 3 something differs; 1 it cannot be read.`

// recheckOptions are the flags of recheck.
type recheckOptions struct {
	env     *Env
	arg     string
	format  format
	output  string
	extract string
}

// newRecheck builds the command that computes a record again from what it carries.
func newRecheck(env *Env) *cobra.Command {
	o := &recheckOptions{env: env}
	cmd := &cobra.Command{
		Use:   "recheck record.html",
		Short: "recomputes a record from what it carries",
		Long:  recheckHelp,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usageErrorf("bayproof recheck record.html", "recheck takes one record, not %d", len(args))
			}
			return nil
		},
		ValidArgsFunction: completeFile(env, ".html"),
	}
	formatFlag(cmd, &o.format)
	outputFlag(cmd, &o.output, "write to `FILE` instead of the screen")
	cmd.Flags().StringVar(&o.extract, "extract", "", "write the job's files, byte for byte, into the new folder `DIR`")
	_ = cmd.MarkFlagDirname("extract")
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		o.arg = args[0]
		return o.run()
	}
	return cmd
}

func (o *recheckOptions) run() error {
	page, err := os.ReadFile(o.arg)
	if err != nil {
		return withHint(plainPath(err), "name the record, an HTML file that bayproof record wrote")
	}
	opened, err := record.Open(page)
	if err != nil {
		return withHint(fmt.Errorf("%s: %w", o.arg, err), "bayproof record JOB writes a record")
	}
	if o.extract != "" {
		if err := extract(opened, o.extract); err != nil {
			return err
		}
	}
	r, err := recheck(opened, page)
	if err != nil {
		return withHint(fmt.Errorf("%s: %w", o.arg, err), "what it carries cannot be computed again")
	}
	return writeResult(o.env, o.output, func(w io.Writer) error {
		if err := o.write(w, r); err != nil {
			return err
		}
		if !r.Holds {
			return exitStatus(exitOpen)
		}
		return nil
	})
}

func (o *recheckOptions) write(w io.Writer, r *rechecked) error {
	switch o.format {
	case formatJSON:
		var b bytes.Buffer
		e := json.NewEncoder(&b)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		if err := e.Encode(r); err != nil {
			return err
		}
		_, err := w.Write(screen.JSON(b.Bytes()))
		return err
	case formatCSV:
		c := csv.NewWriter(w)
		_ = c.Write([]string{"check", "result", "text"})
		for _, f := range r.Findings {
			_ = c.Write([]string{f.Check, f.Result, screen.Cell(f.Text)})
		}
		c.Flush()
		return c.Error()
	}
	return r.text(w)
}

// extract writes the files that a record carries into a folder that is not there yet, or is empty. Names that lead out
// of it are refused before anything is written.
func extract(opened *record.Opened, dir string) error {
	for _, f := range opened.Carried.Files {
		if !joblog.PlainPath(f.Name) {
			return withHint(fmt.Errorf("the record carries a file named %q, which is no name of a file in a job", f.Name), "nothing was written")
		}
	}
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return withHint(fmt.Errorf("%s is not empty: nothing in it is overwritten", dir), "name a new folder")
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return plainPath(err)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return plainPath(err)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return plainPath(err)
	}
	defer root.Close()
	for _, f := range opened.Carried.Files {
		if sub := filepath.Dir(filepath.FromSlash(f.Name)); sub != "." {
			if err := root.MkdirAll(sub, 0o755); err != nil {
				return plainPath(err)
			}
		}
		if err := root.WriteFile(filepath.FromSlash(f.Name), f.Raw, 0o644); err != nil {
			return plainPath(err)
		}
	}
	return nil
}
