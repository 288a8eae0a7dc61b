package cmd

import (
	"fmt"
	"io"
	"os"
	"os/user"
	"slices"

	"github.com/spf13/cobra"

	"bayproof/cmd/prompt"
	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/verify/plan"
)

const logHelp = `Type one of these:
  bayproof log JOB            type the bays in the order they were filled
  bayproof log JOB --truck    the truck sheet: the counter at each stop
  bayproof log JOB --roof     the roof sheet: sizes, reach, rod

At the prompt:
  b8 14.5 2 1/4;2 1/2 11'6 1 3/4   name, width, depth, length, bags
  1 3/4                            the next bay, sizes as the one above
  Enter                            be asked, one figure at a time
  top b7 8 lb stall                and help lists the other words
  finish                           a summary, and back

Each entry is on disk before the next is asked for, and is answered with the
verdict. Nothing that was written is ever changed; undo adds a row.`

// logOptions are the flags of log.
type logOptions struct {
	env         *Env
	arg         string
	settings    map[string]string
	truck, roof bool
	by          string
	hold        int
	seed        uint64
}

// newLog builds the command that logs bays at a prompt.
func newLog(env *Env) *cobra.Command {
	o := &logOptions{env: env}
	cmd := &cobra.Command{
		Use:               "log JOB",
		Short:             "type bays at the prompt, verdict after each",
		Long:              logHelp,
		Args:              oneJob,
		ValidArgsFunction: completeJob(env),
	}
	settings := attachSettings(cmd)
	cmd.Flags().BoolVar(&o.truck, "truck", false, "type in the truck sheet")
	cmd.Flags().BoolVar(&o.roof, "roof", false, "type in the roof sheet")
	cmd.Flags().StringVar(&o.by, "by", "", "`INITIALS` that every row gets")
	holdFlags(cmd, &o.hold, &o.seed)
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		o.arg, o.settings = args[0], settings.given()
		if o.truck && o.roof {
			return usageErrorf("type in one after the other: both go to the same bays", "--truck and --roof at once")
		}
		return o.run()
	}
	return cmd
}

func (o *logOptions) run() error {
	folder, err := openJob(o.arg)
	if err != nil {
		return withHint(err, "bayproof start "+o.arg+" sets up a job")
	}
	defer folder.Close()
	writer, err := joblog.OpenWriter(folder, o.who())
	if err != nil {
		return troubled(err)
	}
	defer writer.Close()
	if torn := writer.Torn(); torn != "" {
		printWarning(o.env.Stderr, "the last line of the log was torn off while it was written; it is set aside in "+torn+": type that bay again")
	}
	book := &logBook{env: o.env, folder: folder, writer: writer, flags: o.settings}
	if job, _ := book.Job(); job != nil { // the first row that is added ends the line
		tellWarnings(o.env.Stderr, folder, slices.DeleteFunc(job.Warnings, func(w model.Warning) bool { return w.Code != "line-unended" }))
	}
	return o.sit(book)
}

// sit runs one sitting at the prompt.
func (o *logOptions) sit(book *logBook) error {
	opt, err := o.prompt(book)
	if err != nil {
		return err
	}
	s, faults := prompt.New(book, opt)
	if len(faults) > 0 {
		printFaults(o.env.Stderr, book.folder, faults)
		return exitStatus(exitFault)
	}
	from := newAsking(o.env)
	defer from.Close()
	if t, ok := from.(*typing); ok {
		t.line.SetCompleter(s.Complete)
	}
	say := func(text string) { io.WriteString(o.env.Stdout, text) }
	say(s.Opening())
	for !s.Done() {
		line, err := from.Ask(s.Prompt())
		if err != nil {
			say(s.Close())
			break
		}
		say(s.Feed(line))
	}
	return nil
}

// prompt draws the bays that are left open for an inspector and says which sheet is typed in.
func (o *logOptions) prompt(book *logBook) (prompt.Options, error) {
	opt := prompt.Options{By: o.by}
	switch {
	case o.truck:
		opt.Sheet = prompt.Truck
	case o.roof:
		opt.Sheet = prompt.Roof
	}
	if o.hold <= 0 {
		return opt, nil
	}
	job, faults := book.Job()
	if len(faults) > 0 {
		printFaults(o.env.Stderr, book.folder, faults)
		return opt, exitStatus(exitFault)
	}
	opt.Hold = planOf(job, plan.Options{Hold: o.hold, Seed: o.seed}).Hold
	return opt, nil
}

// who says to others who holds the log.
func (o *logOptions) who() string {
	name := o.by
	if u, err := user.Current(); err == nil && name == "" {
		name = u.Username
	}
	where, _ := os.Hostname()
	return fmt.Sprintf("by %s on %s since %s (process %d)", name, where, o.env.Now().Format("15:04"), os.Getpid())
}
