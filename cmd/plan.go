package cmd

import (
	"fmt"
	"io"
	"io/fs"
	"path/filepath"

	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report/sheets"
	"bayproof/verify"
	"bayproof/verify/plan"
)

const planHelp = `Type one of these:
  bayproof plan JOB                    bags per bay, what to load; writes the
                                       two tally sheets, JOB/sheets.html
  bayproof plan JOB --sheets FILE      the sheets under another name
  bayproof plan JOB --format csv       a row for every bay, no sheets
  bayproof plan JOB --hold 3 --seed 7  and the bays that an inspector wants open

Open the sheets in a browser and print them, Letter or A4. The plan starts
from sections.csv and from whatever bays are in the log by now.

short<  fewer bags than this are short of the target, shown by this count
fine>=  from this many on the count shows the target by itself
look>=  more than the bay can hold: stop, look at the face and the ducts
blind   an empty length below this would not show`

// planOptions are the flags of plan.
type planOptions struct {
	env      *Env
	arg      string
	settings map[string]string
	format   format
	output   string
	sheets   string
	hold     int
	seed     uint64
}

// newPlan builds the command that says what a job will take.
func newPlan(env *Env) *cobra.Command {
	o := &planOptions{env: env}
	cmd := &cobra.Command{
		Use:               "plan JOB",
		Short:             "bags per bay, what to load, the two tally sheets",
		Long:              planHelp,
		Args:              oneJob,
		ValidArgsFunction: completeJob(env),
	}
	settings := attachSettings(cmd)
	formatFlag(cmd, &o.format)
	outputFlag(cmd, &o.output, "write the plan to `FILE` instead of the screen")
	cmd.Flags().StringVar(&o.sheets, "sheets", "", "write the tally sheets to `FILE`; - for none")
	_ = cmd.MarkFlagFilename("sheets", "html")
	holdFlags(cmd, &o.hold, &o.seed)
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		o.arg, o.settings = args[0], settings.given()
		return o.run()
	}
	return cmd
}

// holdFlags attach the two flags that name bays to be left open.
func holdFlags(cmd *cobra.Command, hold *int, seed *uint64) {
	cmd.Flags().IntVar(hold, "hold", 0, "how many bays are left open for an inspector, `N`")
	cmd.Flags().Uint64Var(seed, "seed", 1, "which ones: the same `S` gives the same bays")
}

func (o *planOptions) run() error {
	if o.hold < 0 {
		return usageErrorf("", "--hold %d: from 0 on", o.hold)
	}
	folder, err := openJob(o.arg)
	if err != nil {
		return err
	}
	defer folder.Close()
	out, results, paper := outputs{env: o.env}, dest{flag: "-o", file: o.output}, o.paper(folder)
	out.readsJob(folder.Dir, folder.Log)
	if err := out.allow(results, paper); err != nil {
		return err
	}
	job, faults := joblog.Read(withLog(folder), folder.Log, joblog.Options{Name: folder.Name, Flags: o.settings})
	if len(faults) > 0 {
		printFaults(o.env.Stderr, folder, faults)
		return exitStatus(exitFault)
	}
	tellWarnings(o.env.Stderr, folder, job.Warnings)
	p := planOf(job, plan.Options{Hold: o.hold, Seed: o.seed})
	if len(p.Sections) == 0 {
		return withHint(fmt.Errorf("%s: nothing to plan: no bay is measured and sections.csv gives no typical bay", o.arg),
			"give bays, width, depth and length for each section: bayproof start asks for them")
	}
	if err := out.result(results, func(w io.Writer) error { return o.write(w, p) }); err != nil {
		return err
	}
	return o.writeSheets(&out, paper, p)
}

// planOf plans a job.
func planOf(job *model.Job, opt plan.Options) *plan.Plan {
	return plan.Make(verify.Check(job, verify.Options{}), opt)
}

// write writes the plan in the format that was asked for.
func (o *planOptions) write(w io.Writer, p *plan.Plan) error {
	var out []byte
	var err error
	switch o.format {
	case formatJSON:
		out, err = sheets.AppendJSON(nil, p, tool(), verify.Cautions(p.Job))
	case formatCSV:
		out = sheets.AppendCSV(nil, p)
	default:
		out = sheets.AppendText(nil, p)
	}
	if err != nil {
		return err
	}
	_, err = w.Write(out)
	return err
}

// paper is where the two tally sheets go: into the job beside the text plan as a matter of course, beside the machine formats
// only where a file is named.
func (o *planOptions) paper(folder *joblog.Folder) dest {
	d := dest{flag: "--sheets", file: o.sheets, own: "sheets.html"}
	if d.file == "" && o.format == formatText {
		d.file = filepath.Join(folder.Dir, d.own)
	}
	return d
}

// writeSheets writes the two tally sheets; they never go to the screen.
func (o *planOptions) writeSheets(out *outputs, d dest, p *plan.Plan) error {
	if d.screen() {
		return nil
	}
	err := out.result(d, func(w io.Writer) error { return sheets.WriteHTML(w, p, verify.Cautions(p.Job)) })
	if err != nil {
		return err
	}
	fmt.Fprintf(o.env.Stderr, "bayproof: wrote %s: open it in a browser and print it\n", d.file)
	return nil
}

// emptyLog is a log without a row.
const emptyLog = "section,bay,entry,time\n"

// withLog returns the job's folder, with an empty log where it has none yet.
func withLog(folder *joblog.Folder) fs.FS {
	if _, err := fs.Stat(folder.FS, folder.Log); err == nil {
		return folder.FS
	}
	return joblog.Overlay(folder.FS, folder.Log, []byte(emptyLog))
}
