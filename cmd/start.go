package cmd

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
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

		ValidArgsFunction: once(completeFolder),
	}
	settings := attachSettings(cmd)
	cmd.Flags().StringArrayVar(&o.sections, "section", nil, "a section as `NAME, KIND, BAYS, FRAMING, LENGTH`; may repeat")
	_ = cmd.RegisterFlagCompletionFunc("section", cobra.NoFileCompletions)
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
