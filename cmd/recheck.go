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
  bayproof recheck one.html two.html          several; each is told
  bayproof recheck record.html --extract DIR  gives the job's files back

Three things are looked at, in this order: the bytes (is the file as it was
written?), the figures (computed again from the files inside), the page
(written again, where the same tool on the same kind of machine wrote it).
A record names the method of its figures. Those of another method than this
version's are not compared; its bytes and files still are.

Exit code: 0 it holds; 3 something differs; 4 nothing differs, but figures
of another method were not compared; 1 it cannot be read.
Of several records 1 counts before 3, and 3 before 4.`

// recheckOptions are the flags of recheck.
type recheckOptions struct {
	env     *Env
	args    []string
	format  format
	output  string
	extract string
}

// newRecheck builds the command that computes a record again from what it carries.
func newRecheck(env *Env) *cobra.Command {
	o := &recheckOptions{env: env}
	cmd := &cobra.Command{
		Use:   "recheck record.html…",
		Short: "recomputes a record from what it carries",
		Long:  recheckHelp,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usageErrorf("bayproof recheck record.html", "recheck: which record?")
			}
			if o.extract != "" && len(args) > 1 {
				return usageErrorf("bayproof recheck record.html --extract DIR", "--extract gives back the files of one record, not of %d", len(args))
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
		o.args = args
		return o.run()
	}
	return cmd
}

// run writes what is found about each record, in their order. Of several the good ones are told though one cannot be read.
func (o *recheckOptions) run() error {
	out, results := outputs{env: o.env}, dest{flag: "-o", file: o.output}
	for _, name := range o.args {
		out.keep(name, "the record that is looked at again")
	}
	if err := out.allow(results); err != nil {
		return err
	}
	err := out.result(results, func(w io.Writer) error {
		code := exitDone
		var out []byte
		if o.format == formatCSV {
			out = append(out, "check,result,text,record\n"...)
		}
		for _, name := range o.args {
			r, err := o.recheck(name)
			if err != nil && len(o.args) == 1 {
				return err
			} else if err != nil {
				code = graver(code, exitCode(o.env.Stderr, err))
				continue
			}
			if len(out) > 0 && o.format == formatText {
				out = append(out, '\n')
			}
			if out, err = o.append(out, name, r); err != nil {
				return err
			}
			code = graver(code, r.exit())
		}
		if _, err := w.Write(out); err != nil || code == exitDone {
			return err
		}
		return exitStatus(code)
	})
	if o.output != "" && isStatus(err, exitFault) {
		printHint(o.env.Stderr, fmt.Sprintf("%s was not written; without -o the records that can be read are told", o.output))
	}
	return err
}

// recheck reads a record, computes it again, and gives its files back where that is asked for.
func (o *recheckOptions) recheck(name string) (*rechecked, error) {
	page, err := readRecord(name)
	if err != nil {
		return nil, withHint(err, "name the record, an HTML file that bayproof record wrote")
	}
	opened, err := record.Open(page)
	if err != nil {
		return nil, withHint(fmt.Errorf("%s: %w", name, err), "bayproof record JOB writes a record")
	}
	if o.extract != "" {
		if err := extract(opened, o.extract); err != nil {
			return nil, err
		}
		o.sayExtracted(&opened.Carried)
	}
	r, err := recheck(opened, page)
	if err != nil {
		return nil, withHint(fmt.Errorf("%s: %w", name, err), "what it carries cannot be computed again")
	}
	return r, nil
}

// append lays out what was found: JSON of several records one a line, text with the file's name above it.
func (o *recheckOptions) append(dst []byte, name string, r *rechecked) ([]byte, error) {
	b := bytes.NewBuffer(dst)
	switch o.format {
	case formatJSON:
		var doc bytes.Buffer
		e := json.NewEncoder(&doc)
		e.SetEscapeHTML(false)
		if len(o.args) == 1 {
			e.SetIndent("", "  ")
		}
		r.Record = name
		err := e.Encode(r)
		b.Write(screen.JSON(doc.Bytes()))
		return b.Bytes(), err
	case formatCSV:
		c := csv.NewWriter(b)
		for _, f := range r.Findings {
			_ = c.Write([]string{f.Check, f.Result, screen.Cell(f.Text), screen.Cell(name)})
		}
		c.Flush()
		return b.Bytes(), c.Error()
	}
	if len(o.args) > 1 {
		fmt.Fprintf(b, "%s: ", screen.Clean(name))
	}
	err := r.text(b)
	return b.Bytes(), err
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
