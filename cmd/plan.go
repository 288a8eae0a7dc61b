package cmd

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/netip"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"bayproof/cmd/pocket"
	"bayproof/cmd/pocket/serve"
	"bayproof/model"
	"bayproof/model/joblog"
	page "bayproof/report/pocket"
	"bayproof/report/say/lang"
	"bayproof/report/screen"
	"bayproof/report/sheets"
	"bayproof/verify"
	"bayproof/verify/plan"
)

const planHelp = `Type one of these:
  bayproof plan JOB                    bags per bay, what to load; writes the
                                       two tally sheets, JOB/sheets.html
  bayproof plan JOB --sheets FILE      the sheets under another name
  bayproof plan JOB --format csv       a row for every bay, no sheets
  bayproof plan JOB --todo             the open bays with their orders, for the
                                       roof; on paper in JOB/sheets.html
  bayproof plan JOB --hold 3 --seed 7  and the bays that an inspector wants open

Open the sheets in a browser and print them, Letter or A4. The plan uses
sections.csv and the bays that are in the log by now.

at aim  what the bay should take. Blow to the stall, whatever it takes
look>=  more than the bay can hold: stop, check the face and the ducts
hides   a gap this long keeps the bay open; a shorter one could hide`

// planOptions are the flags of plan.
type planOptions struct {
	common
	sheets string // the file of the two tally sheets; empty for the usual place, "-" for none
	todo   bool   // the open bays with their orders, instead of a plan
	hold   int    // bays to be left open for an inspector
	seed   uint64 // which ones they are
}

// newPlan builds the command that says what a job will take.
func newPlan(env *Env) *cobra.Command {
	o := &planOptions{common: common{env: env}}
	cmd := o.command("plan JOB", "bags per bay, what to load, the two tally sheets", planHelp, oneJob, completeJob(env), o.run)
	o.settingFlags(cmd)
	o.formatFlag(cmd)
	o.outputFlag(cmd, "write the plan to `FILE` instead of the screen")
	o.programmeFlag(cmd, judgedBy)
	cmd.Flags().BoolVar(&o.todo, "todo", false, "the open bays with their orders, for the roof")
	cmd.Flags().StringVar(&o.sheets, "sheets", "", "write the tally sheets to `FILE`; - for none")
	_ = cmd.MarkFlagFilename("sheets", "html")
	holdFlags(cmd, &o.hold, &o.seed)
	return cmd
}

// holdFlags attach the two flags that name bays to be left open.
func holdFlags(cmd *cobra.Command, hold *int, seed *uint64) {
	cmd.Flags().IntVar(hold, "hold", 0, "how many bays are left open for an inspector, `N`")
	cmd.Flags().Uint64Var(seed, "seed", 1, "which ones: the same `S` gives the same bays")
}

// run plans the job from sections.csv and from whatever is in its log by now; neither a log nor a
// bay is needed yet.
func (o *planOptions) run() error {
	if o.hold < 0 {
		return usageErrorf("", "--hold %d: from 0 on", o.hold)
	}
	folder, err := o.openJob()
	if err != nil {
		return err
	}
	defer folder.Close()
	// The sheets go into the job beside the text plan as a matter of course, beside the machine
	// formats only where a file is named.
	paper := dest{flag: "--sheets", file: o.sheets, own: "sheets.html"}
	if paper.file == "" && o.format == formatText {
		paper.file = filepath.Join(folder.Dir, paper.own)
	}
	out := o.outputsOf(folder)
	if err := out.allow(o.toOutput(), paper); err != nil {
		return err
	}
	files := fs.FS(folder.FS)
	if _, err := fs.Stat(files, folder.Log); err != nil {
		files = joblog.Overlay(files, folder.Log, []byte(emptyLog))
	}
	job, err := readJob(o.env, folder, files, joblog.Options{Flags: o.settings})
	if err != nil {
		return err
	}
	tellWarnings(o.env.Stderr, folder, job.Warnings)
	if o.todo {
		if o.format != formatText {
			return usageErrorf("bayproof check JOB --format json has the orders", "--todo with --format")
		}
		f := verify.Check(job, verify.Options{Advice: true, Closings: true})
		if err := out.result(o.toOutput(), o.laidOut(func(dst []byte) []byte { return sheets.AppendTodo(dst, f) }, nil, nil)); err != nil || paper.screen() {
			return err
		}
		return out.result(paper, func(w io.Writer) error { return sheets.WriteTodo(w, f) })
	}
	p := planOf(job, plan.Options{Hold: o.hold, Seed: o.seed})
	if len(p.Sections) == 0 {
		return withHint(fmt.Errorf("%s: nothing to plan: no bay is measured and sections.csv gives no typical bay", o.args[0]),
			"give bays, width, depth and length for each section: bayproof start asks for them")
	}
	return o.write(out, paper, p)
}

const pocketHelp = `Type one of these:
  bayproof pocket JOB                  the job as one page for a phone, checking
                                       offline: JOB/pocket.html
  bayproof pocket JOB --folder DIR     the same as a site: put it on an https
                                       host, open it once on the phone, add it
                                       to the home screen
  bayproof pocket JOB --serve          hands the page to a browser on this
                                       computer, and takes its rows
  bayproof pocket JOB --serve --listen 192.168.1.20
                                       the same for phones on the truck's own
                                       network; a code in the terminal has the
                                       address. Ctrl-C ends it
  bayproof log JOB --from bays.csv     takes the rows that the phone shared

The page holds the job, the log so far and the checker. It sends nothing.
Rows stay on the phone until you share them. One phone a section and a
machine: a ditto means the bay above it on that phone.

It needs a browser with WebAssembly and DecompressionStream. No real phone was
tried. Some phones open no page from a file: use --folder or --serve there.

With --serve rows go into the log as you type them. Out of the truck's reach
they wait on the phone: keep the page open, it can't be opened again out there.
It is plain http: use a private network of your own. Whoever has the address
can read the job and add rows. The address stays, so that waiting rows find it;
delete bays.csv.serve for a new one. The prompt may run beside it. Photos are
not sent: put them into JOB/photos as files.`

// pocketOptions are the flags of pocket.
type pocketOptions struct {
	common
	folder string // where the page goes as a site; empty for one file
	serve  bool   // hand it out and take rows
	listen string // at this address
	told   bool   // what the journals say
}

// newPocket builds the command that writes the job for a phone.
func newPocket(env *Env) *cobra.Command {
	o := &pocketOptions{common: common{env: env}}
	cmd := o.command("pocket JOB", "the job as a page for a phone, checking offline", pocketHelp, oneJob, completeJob(env), o.run)
	o.settingFlags(cmd)
	o.outputFlag(cmd, "write the page to `FILE` instead of JOB/pocket.html")
	cmd.Flags().StringVar(&o.folder, "folder", "", "write it as a site into `DIR`")
	_ = cmd.MarkFlagDirname("folder")
	cmd.Flags().BoolVar(&o.serve, "serve", false, "hand it out over the network and take its rows")
	cmd.Flags().StringVar(&o.listen, "listen", "", "with --serve: at this `ADDRESS` of yours")
	return cmd
}

// run writes the page of a job that reads without a fault: the phone could do nothing with another.
func (o *pocketOptions) run() error {
	if o.folder != "" && o.output != "" {
		return usageErrorf("one of them", "--folder with -o")
	}
	at, bad := serve.Address(o.listen)
	switch {
	case o.serve && (o.folder != "" || o.output != ""):
		return usageErrorf("--serve writes no page: it hands it out", "--serve with --folder or -o")
	case o.listen != "" && !o.serve:
		return usageErrorf("bayproof pocket "+o.args[0]+" --serve --listen "+o.listen, "--listen without --serve")
	case bad != nil:
		return usageErrorf(ownAddresses(), "--listen %v", bad)
	}
	if !page.Built() {
		return withHint(errors.New("this build has no checker for the phone"), "make build puts it in; a release has it")
	}
	folder, err := openJob(o.args[0])
	if err != nil {
		return withHint(err, "bayproof start "+o.args[0]+" sets up a job")
	}
	defer folder.Close()
	job, err := o.pack(folder)
	if err != nil {
		return err
	}
	if o.serve {
		return o.handOut(folder, at, job.Name)
	}
	out := o.outputsOf(folder)
	if o.folder != "" {
		return o.site(out, job)
	}
	to := dest{flag: "-o", file: o.output, own: "pocket.html"}
	if to.file == "" {
		to.file = filepath.Join(folder.Dir, to.own)
	}
	html, err := page.Append(nil, job)
	if err != nil {
		return err
	}
	if err := out.result(to, whole(html)); err != nil || to.screen() {
		return err
	}
	note(o.env.Stderr, "wrote %s: open it on the phone", to.file)
	return nil
}

// pack takes the job as a page carries it, with the faults of its files told.
func (o *pocketOptions) pack(folder *joblog.Folder) (page.Job, error) {
	data, err := pocket.Pack(folder, o.settings)
	if err != nil {
		return page.Job{}, plainPath(err)
	}
	files := folder.FS
	if data.Files[folder.Log] == nil {
		files = joblog.Overlay(files, folder.Log, []byte(emptyLog))
	}
	job, err := readJob(o.env, folder, files, joblog.Options{Flags: o.settings, Journal: joblog.Journals})
	if err != nil {
		return page.Job{}, err
	}
	if !o.told { // the page of a log that lost rows would go on without them
		tellWarnings(o.env.Stderr, folder, slices.DeleteFunc(slices.Clone(job.Warnings), func(w model.Warning) bool { return !strings.HasPrefix(w.Code, "journal") }))
		o.told = true
	}
	data.Of(job)
	data.Tool, data.Text, data.Wrote = tool(), textDigest(), o.env.Now()
	if _, _, err := pocket.New(data, nil, o.env.Now, nil); err != nil {
		return page.Job{}, err
	}
	b, err := json.Marshal(data)
	return page.Job{Name: job.Name, Data: b, Lang: lang.Of(job.Settings.Lang)}, err
}

// ownAddresses is what --listen could be here.
func ownAddresses() string {
	if own := serve.Own(); len(own) > 0 {
		return "this computer's own: " + strings.Join(own, ", ")
	}
	return "this computer is on no private network now"
}

// handOut serves the page and takes rows until Ctrl-C.
func (o *pocketOptions) handOut(folder *joblog.Folder, at netip.AddrPort, name string) error {
	token, err := folder.Token()
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	listener, err := net.Listen("tcp", at.String())
	if err != nil {
		return withHint(fmt.Errorf("%s: can't listen there: %w", at, plainNet(err)), ownAddresses())
	}
	say := func(text string) {
		for _, line := range screen.Fill("", "  ", screen.Clean(text), o.env.width()-1) {
			fmt.Fprintln(o.env.Stdout, line)
		}
	}
	s := &serve.Server{Folder: folder, Flags: o.settings, Token: token, Told: func(line string) { say(o.env.Now().Format("15:04 ") + line) },
		Page: func(path string) ([]byte, error) {
			job, err := o.pack(folder)
			if err != nil {
				return nil, err
			}
			job.Path = path
			return page.Append(nil, job)
		}}
	address := s.URL(listener.Addr())
	say(name + " is handed out at")
	if _, err := fmt.Fprintln(o.env.Stdout, address); err != nil { // nobody would find the page
		listener.Close()
		return fmt.Errorf("the page's address can't be shown: %w", plainPath(err))
	}
	if at.Addr().IsLoopback() {
		say("to browsers on this computer. For a phone: --listen with an address of the truck's network; " + ownAddresses() + ".")
	} else {
		if o.env.StdoutTerminal && !o.env.ASCII {
			code, err := serve.Code(address)
			if err != nil {
				return err
			}
			fmt.Fprint(o.env.Stdout, "\n"+code+"\n")
		}
		say("Plain http on a private network: whoever is on it can read along. Keep it to your own crew.")
	}
	say("One phone a section and machine. Keep the page open on the phone. Photos stay there until they are shared. Ctrl-C ends this.")
	counts, err := s.Serve(ctx, listener)
	say(counts.String())
	return plainNet(err)
}

// plainNet leaves out of a network's error what was being done.
func plainNet(err error) error {
	var op *net.OpError
	if errors.As(err, &op) {
		return op.Err
	}
	return err
}

// site writes the page as a site into a folder, which is made where there is none.
func (o *pocketOptions) site(out *outputs, job page.Job) error {
	files, err := page.Site(job)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(o.folder, 0o777); err != nil {
		return plainPath(err)
	}
	for _, f := range files {
		if err := out.result(dest{flag: "--folder", file: filepath.Join(o.folder, f.Name)}, whole(f.Data)); err != nil {
			return err
		}
	}
	note(o.env.Stderr, "wrote %s: put it on an https host, and open it once on the phone", filepath.Join(o.folder, "index.html"))
	return nil
}

// emptyLog is a log without a row, for a job whose log is still to come.
const emptyLog = "section,bay,entry,time\n"

// planOf plans a job. What its log holds counts as it stands: a plan needs no advice and no
// history.
func planOf(job *model.Job, opt plan.Options) *plan.Plan {
	return plan.Make(verify.Check(job, verify.Options{}), opt)
}

// write writes the plan in the format that was asked for, then the two tally sheets, which never go
// to the screen.
func (o *planOptions) write(out *outputs, paper dest, p *plan.Plan) error {
	cautions := verify.Cautions(p.Job)
	text := func(dst []byte) []byte { return sheets.AppendText(dst, p) }
	table := func(dst []byte) []byte { return sheets.AppendCSV(dst, p) }
	document := func(dst []byte) ([]byte, error) { return sheets.AppendJSON(dst, p, tool(), cautions) }
	if err := out.result(o.toOutput(), o.laidOut(text, table, document)); err != nil || paper.screen() {
		return err
	}
	if err := out.result(paper, func(w io.Writer) error { return sheets.WriteHTML(w, p, cautions) }); err != nil {
		return err
	}
	note(o.env.Stderr, "wrote %s: open it in a browser and print it", paper.file)
	return nil
}
