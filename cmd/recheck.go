package cmd

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

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
	page, err := readRecord(o.arg)
	if err != nil {
		return withHint(err, "name the record, an HTML file that bayproof record wrote")
	}
	opened, err := record.Open(page)
	if err != nil {
		return withHint(fmt.Errorf("%s: %w", o.arg, err), "bayproof record JOB writes a record")
	}
	if o.extract != "" {
		if err := extract(opened, o.extract); err != nil {
			return err
		}
		o.sayExtracted(&opened.Carried)
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

// readRecord reads a file, and no more of it than any record has.
func readRecord(name string) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, plainPath(err)
	}
	defer f.Close()
	page, err := record.ReadFile(f)
	var path *fs.PathError
	if err != nil && !errors.As(err, &path) {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return page, plainPath(err)
}

func (o *recheckOptions) sayExtracted(c *record.Carried) {
	text := fmt.Sprintf("wrote %s to %s", counted(len(c.Files), "file"), o.extract)
	if n := len(c.Photos); n > 0 {
		text += fmt.Sprintf("; of %s only the name and the SHA-256 are inside", counted(n, "photo"))
	}
	if len(c.Flags) > 0 { // without them the files give other verdicts
		text += "; the record was taken with"
		for _, name := range slices.Sorted(maps.Keys(c.Flags)) {
			text += fmt.Sprintf(" --%s %q", strings.ReplaceAll(name, "_", "-"), c.Flags[name])
		}
	}
	fmt.Fprintf(o.env.Stderr, "bayproof: %s\n", screen.Clean(text))
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
