package cmd

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	_ "image/gif"  // registers its decoder
	_ "image/jpeg" // registers its decoder
	_ "image/png"  // registers its decoder
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"

	"github.com/corona10/goimagehash"
	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report"
	"bayproof/report/record"
	"bayproof/report/review"
	"bayproof/report/say"
	"bayproof/verify"
	"bayproof/verify/audit"
)

const reviewHelp = `Type one of these:
  bayproof review JOBS                 all jobs below a folder: what needs you
  bayproof review many.csv             a log with a job column
  bayproof review RECORDS              records, or a folder of them: each is
                                       rechecked; one that differs is left out
  bayproof review JOBS --compare OLD.json
                                       what changed since --format json -o OLD.json
  bayproof review JOBS --html all.html an overview with every job in it
  bayproof review JOBS --inspect 12 --seed 7
                                       which bays to open, drawn at random
  bayproof review JOBS --table findings -o findings.csv
                                       for a spreadsheet
  bayproof review JOBS --programme programme.csv
                                       judged by the program's terms

programme.csv holds name,value like job.csv. Its settings govern every job;
a job's own are shown, never used. Target, confidence, ceiling and rule are
at their usual values where it says none. It also says what evidence the
program asks for. inspections.csv, in JOBS or in a job's folder, says what
inspectors found. The evidence:
`

// reviewOptions are the flags of review, and what they lead to.
type reviewOptions struct {
	common
	terms     joblog.Terms // the programme's, and the usual ones where it says nothing
	tableName string
	table     review.Table
	html      string // the file of the page; empty for none
	compare   string // the file of an earlier review
	old       *review.Old
	audit     audit.Options
	ctx       context.Context // ends when the user stops the run
	out       outputs
	asides    []string // what was given and not read, without harm

	bays      *os.File                      // rows of --table bays until all jobs are read; nil for other tables
	inspected map[string][]model.Inspection // of the file beside all jobs, by the folded name of the job

	noting sync.Mutex
	notes  []string // what is worth knowing about what was read: jobs are read side by side
}

// newReview builds the command that sets many jobs side by side.
func newReview(env *Env) *cobra.Command {
	o := &reviewOptions{common: common{env: env}}
	var cmd *cobra.Command
	cmd = o.command("review FOLDER…", "many jobs: what needs you, crews, plausibility, which bays to open", reviewLong(), atLeastOneJob, completeJobs(env),
		func() error { return o.run(cmd.Flags().Changed("format")) })
	o.settingFlags(cmd)
	o.formatFlag(cmd)
	o.outputFlag(cmd, toFile)
	flags := cmd.Flags()
	flags.StringVar(&o.tableName, "table", "", "one `TABLE` as CSV, for a spreadsheet")
	var tables []string
	for _, t := range review.Tables() {
		tables = append(tables, t.Name+"\t"+t.Means)
	}
	_ = cmd.RegisterFlagCompletionFunc("table", cobra.FixedCompletions(tables, cobra.ShellCompDirectiveNoFileComp))
	o.programmeFlag(cmd, "judge by the program's terms in `FILE`")
	flags.StringVar(&o.programme.file, "settings", "", "the older name of --programme, `FILE`")
	_ = cmd.RegisterFlagCompletionFunc("settings", completeFile(env, ".csv"))
	_ = flags.MarkHidden("settings")
	flags.StringVar(&o.html, "html", "", "write an overview as one HTML `FILE` too")
	_ = cmd.MarkFlagFilename("html", "html")
	flags.StringVar(&o.compare, "compare", "", "say what changed since the review in `FILE`, written with --format json")
	_ = cmd.MarkFlagFilename("compare", "json")
	flags.BoolVar(&o.audit.Figures, "figures", false, "results only, no plausibility: faster")
	flags.IntVar(&o.audit.Inspect, "inspect", 0, "draw `N` bays to open")
	flags.Uint64Var(&o.audit.Seed, "seed", 1, "`NUMBER` that the draw starts from: the same draws the same")
	return cmd
}

// reviewLong is the help: what to type, what a programme can ask for, the tables, the exit codes.
func reviewLong() string {
	var b strings.Builder
	b.WriteString(reviewHelp)
	for _, d := range model.AskDefs() {
		hanging(&b, fmt.Sprintf("  %-20s ", d.Name), d.Kind+": "+d.Means)
	}
	b.WriteString("\n--table NAME gives one of these as CSV, the job first in every row:\n")
	for _, t := range review.Tables() {
		fmt.Fprintf(&b, "  %-20s %s\n", t.Name, t.Means)
	}
	b.WriteString(`
Exit code: 0 all jobs were read; 3 some could not be, the rest is reviewed;
1 no job could be read; 2 the command line makes no sense.`)
	return b.String()
}

// run reads all jobs, sets them side by side and writes the page and the result. What is wrong with
// the command line is said before the first job is read: that may take long.
func (o *reviewOptions) run(formatGiven bool) error {
	if o.audit.Inspect < 0 || o.audit.Inspect > mostInspected {
		return usageErrorf("", "--inspect %d: 1 to %d bays", o.audit.Inspect, mostInspected)
	}
	o.out.env = o.env
	o.programme.keep(&o.out)
	page := dest{flag: "--html", file: o.html}
	if err := o.out.allow(page, o.toOutput()); err != nil {
		return err
	}
	for _, step := range []func() error{o.readProgramme, o.settleTerms, o.readOld, func() error { return o.chooseTable(formatGiven) }, o.readInspections} {
		if err := step(); err != nil {
			return err
		}
	}
	o.audit.Digests = o.format == formatJSON || o.format == formatCSV && o.tableName == "" || o.tableName == review.Tables()[0].Name
	defer pileUp(o.env, memoryOfReview)()
	if o.table.Name == review.Bays { // a million rows would fill the memory, and half of them must not be written
		file, err := os.CreateTemp("", "bayproof-")
		if err != nil {
			return plainPath(err)
		}
		defer func() { file.Close(); os.Remove(file.Name()) }()
		o.bays = file
	}
	r, err := o.gather()
	if err != nil {
		return err
	}
	for _, arg := range o.args { // in a job's folder it governs that job by itself
		if name := filepath.Join(arg, joblog.ProgrammeName); o.programme.terms == nil && isFile(name) && !isFile(filepath.Join(arg, joblog.LogName)) {
			o.noted(name + " is not used; to judge by it: --programme " + inQuotes(name))
		}
	}
	slices.Sort(o.notes)
	for _, aside := range append(o.asides, o.notes...) {
		printWarning(o.env.Stderr, aside)
	}
	if len(r.Jobs) == 0 {
		o.tell(r)
		return exitStatus(exitFault)
	}
	return o.writeAll(page, r)
}

// readOld reads the earlier review that is compared with.
func (o *reviewOptions) readOld() error {
	if o.compare == "" {
		return nil
	}
	raw, err := os.ReadFile(o.compare)
	if err != nil {
		return plainPath(err)
	}
	o.out.keep(o.compare, "read by this command")
	if o.old, err = review.ReadOld(raw); err != nil {
		return withHint(fmt.Errorf("%s: %w", o.compare, err), "bayproof review JOBS --format json -o OLD.json writes one")
	}
	return nil
}

// sinceOf is what changed since the earlier review; nil where there is none.
func (o *reviewOptions) sinceOf(r *audit.Review) *review.Since {
	if o.old == nil {
		return nil
	}
	return review.NewSince(o.old, o.compare, r)
}

// writeAll writes the page and the result. Jobs that could not be read are in both; on stderr they
// are told as well where nobody sees the text. They make the exit code, and no failure.
func (o *reviewOptions) writeAll(page dest, r *audit.Review) error {
	if err := o.out.allow(page, o.toOutput()); err != nil { // once more, now that the jobs are known
		return err
	}
	if o.html != "" {
		html, err := review.AppendHTML(nil, r, o.sinceOf(r), report.Assets())
		if err == nil {
			err = o.out.result(page, whole(html))
		}
		if err != nil {
			return err
		}
	}
	if err := o.out.result(o.toOutput(), func(w io.Writer) error { return o.write(w, r) }); err != nil {
		return err
	}
	if len(r.Bad) > 0 {
		if o.format != formatText || o.output != "" {
			o.tell(r)
		}
		return exitStatus(exitOpen)
	}
	return nil
}

// mostInspected bounds the draw: nobody opens more.
const mostInspected = 10_000

// write writes the result in the format that was asked for. JSON goes out job by job: of a million
// rows it is over a hundred megabytes.
func (o *reviewOptions) write(w io.Writer, r *audit.Review) error {
	switch o.format {
	case formatJSON:
		return review.WriteJSON(w, r, o.sinceOf(r), tool())
	case formatCSV:
		if o.bays != nil {
			_, err := o.bays.Seek(0, io.SeekStart)
			if err == nil {
				_, err = w.Write(report.AppendReviewHeader(nil))
			}
			if err == nil {
				_, err = io.Copy(w, o.bays)
			}
			return err
		}
		return review.WriteTable(w, r, o.table)
	}
	return whole(review.AppendText(nil, r, o.sinceOf(r), o.output == "" && o.env.Colour()))(w)
}

// tell lists on stderr what is wrong with the jobs that could not be read, where the result has no
// place for it or there is none.
func (o *reviewOptions) tell(r *audit.Review) {
	told := map[string]bool{} // a fault of the command line is that of every job
	for _, bad := range r.Bad {
		for _, f := range bad.Faults {
			if line := f.Told(); !told[line] {
				printError(o.env.Stderr, f.String(), f.Hint)
				told[line] = true
			}
		}
	}
	if len(r.Bad) == 0 {
		printError(o.env.Stderr, "no job found", "name a folder with jobs or records in it, a job's folder, a record, or a CSV file with a column job")
	}
}

// gather reads all jobs on all cores and takes their summaries in order. Where the user stops it
// nothing is written: half of the jobs would look like all of them.
func (o *reviewOptions) gather() (*audit.Review, error) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	o.ctx = ctx
	b, made := audit.NewBuilder(o.audit), []byte(nil)
	p := &progress{env: o.env, start: o.env.Now(), last: o.env.Now()}
	err := inOrder(o.feed, o.sum, func(s summed) error {
		p.step()
		if len(s.rows) > 0 {
			if _, err := o.bays.Write(s.rows); err != nil {
				return plainPath(err)
			}
		}
		if s.job != nil && bytes.Equal(s.job.Made, made) { // as of the jobs of one file
			s.job.Made = made
		} else if s.job != nil {
			made = s.job.Made
		}
		if s.bad != nil {
			b.Fail(*s.bad)
		} else {
			b.Add(s.job)
		}
		return ctx.Err()
	})
	if p.shown {
		fmt.Fprint(o.env.Stderr, "\r\x1b[K") // wipes the line
	}
	if ctx.Err() != nil {
		return nil, withHint(fmt.Errorf("stopped before all jobs were read: nothing was written"))
	}
	if err != nil {
		return nil, err
	}
	return b.Finish(), nil
}

// feed gives the jobs of all inputs, and notes each as one whose files no result may take the place
// of.
func (o *reviewOptions) feed(give func(jobRead) bool) {
	opt := joblog.Options{Flags: o.settings, Terms: &o.terms, Photos: !o.audit.Figures, Look: lookOf, Hash: o.audit.Digests}
	if !o.audit.Figures {
		opt.Journal = joblog.Journals
	}
	found := finder{opt: opt, seen: map[string][]visit{}, more: true}
	found.give = func(in jobRead) bool {
		if in.folder != nil {
			o.out.readsJob(in.folder.Dir, in.folder.Log)
		}
		if in.record {
			o.out.keep(in.arg, "the record that is reviewed")
		}
		found.given++
		found.more = o.ctx.Err() == nil && give(in)
		return found.more
	}
	for _, arg := range o.args {
		if !found.find(arg) {
			break
		}
	}
	if found.more {
		found.giveRecords()
	}
	o.asides = found.asides
}

// summed is one job's summary, or why there is none. The findings themselves are let go: a million
// rows would fill the memory.
type summed struct {
	job  *audit.Job
	bad  *audit.Bad
	rows []byte // of --table bays
}

// sum reads one job, judges it and keeps what a review needs of it. It runs on several goroutines
// at once.
func (o *reviewOptions) sum(in jobRead) summed {
	if in.err != nil {
		return summed{bad: &audit.Bad{Place: in.arg, Faults: []model.Fault{{What: in.err.Error()}}}}
	}
	if in.record {
		return o.sumRecord(in)
	}
	defer in.rows.Done()
	job, faults := in.rows.Read()
	if job == nil {
		return summed{bad: badJob(in, faults)}
	}
	at := audit.Place{Input: in.arg, Many: in.rows.Many}
	if !in.rows.Many {
		at.Record = o.recordOf(in.folder)
	}
	return o.judge(in, job, at, in.name())
}

// judge judges a job that was read, found where at says, and keeps what a review needs of it.
func (o *reviewOptions) judge(in jobRead, job *model.Job, at audit.Place, name string) (s summed) {
	f := verify.Check(job, verify.Options{Closings: true, Codes: true})
	if f.Totals.Bays == 0 {
		return summed{bad: &audit.Bad{Place: name, Faults: []model.Fault{{What: name + ": no bay in the log"}}}}
	}
	s.job = audit.Summarize(f, at, o.inspectionsOf(in, job), o.audit)
	if o.format == formatJSON {
		made, err := review.Made(job)
		if err != nil {
			return summed{bad: &audit.Bad{Place: name, Faults: []model.Fault{{What: err.Error()}}}}
		}
		s.job.Made = made
	}
	if o.bays != nil {
		s.rows = report.AppendReviewCSV(nil, f, s.job.Crew, s.job.Date, at.Input)
	}
	return s
}

// readInspections reads the inspectors' files that stand beside the jobs: in a folder that is
// given, or beside a file that is.
func (o *reviewOptions) readInspections() error {
	o.inspected = map[string][]model.Inspection{}
	seen := map[string]bool{}
	for _, arg := range o.args {
		info, err := os.Stat(arg)
		if err != nil {
			continue // told where the jobs are looked for
		}
		dir, own := arg, false
		if !info.IsDir() {
			dir = filepath.Dir(arg)
		} else if _, err := os.Stat(filepath.Join(arg, joblog.LogName)); err == nil {
			own = true // its job reads the file itself
		}
		file := filepath.Join(dir, joblog.InspectionsName)
		if own || seen[behindLinks(file)] {
			continue
		}
		seen[behindLinks(file)] = true
		if !isFile(file) {
			continue
		}
		o.out.keep(file, "read by this command")
		rows, faults := joblog.Inspections(os.DirFS(dir), joblog.InspectionsName, false)
		if err := o.inspectionFaults(dir, faults); err != nil {
			return err
		}
		for _, row := range rows {
			key := model.Fold(row.Job)
			o.inspected[key] = append(o.inspected[key], row)
		}
	}
	return nil
}

// inspectionFaults says the first fault of an inspectors' file, and how many more there are.
func (o *reviewOptions) inspectionFaults(dir string, faults []model.Fault) error {
	if len(faults) == 0 {
		return nil
	}
	f := faults[0]
	f.Src.File = filepath.Join(dir, f.Src.File)
	text := f.String()
	if n := len(faults) - 1; n > 0 {
		text += fmt.Sprintf(" (and %s)", say.Count(n, "more fault", "more faults"))
	}
	return withHint(errors.New(text), f.Hint)
}

// inspectionsOf are the inspectors' rows of one job: of the file beside all jobs, and of one in the
// job's own folder. A fault of that is told and the file left out: it is no fault of the job's.
func (o *reviewOptions) inspectionsOf(in jobRead, job *model.Job) []model.Inspection {
	rows := o.inspected[model.Fold(job.Name)]
	if in.folder == nil || in.record || in.rows.Many {
		return rows
	}
	if !isFile(filepath.Join(in.folder.Dir, joblog.InspectionsName)) {
		return rows
	}
	own, faults := joblog.Inspections(os.DirFS(in.folder.Dir), joblog.InspectionsName, true)
	if err := o.inspectionFaults(in.folder.Dir, faults); err != nil {
		o.noted(err.Error() + ": the file is left out")
		return rows
	}
	own = slices.DeleteFunc(own, func(x model.Inspection) bool { return x.Job != "" && model.Fold(x.Job) != model.Fold(job.Name) })
	return slices.Concat(rows, own)
}

// recordOf is the way from the page to a job's record, where there is one: relative, so that page
// and jobs can be moved or sent together. One of other files than those beside it is not the job's
// any more: it is told and not linked.
func (o *reviewOptions) recordOf(folder *joblog.Folder) string {
	record := filepath.Join(folder.Dir, "record.html")
	if !isFile(record) {
		return ""
	}
	if names := changedSince(folder.Dir); len(names) > 0 { // it is another job's by now
		o.noted(record + ": not linked, since it was written " + strings.Join(names, ", ") + " changed")
		return ""
	}
	return o.wayTo(record)
}

// noted keeps a warning until all jobs are read.
func (o *reviewOptions) noted(warning string) {
	o.noting.Lock()
	defer o.noting.Unlock()
	o.notes = append(o.notes, warning)
}

// wayTo is the way from the page to a record, or from here where there is no page; empty where
// there is none.
func (o *reviewOptions) wayTo(record string) string {
	base := "."
	if o.html != "" {
		base = filepath.Dir(o.html)
	}
	base, err1 := filepath.Abs(base)
	record, err2 := filepath.Abs(record)
	way, err := filepath.Rel(base, record)
	if errors.Join(err, err1, err2) != nil { // on another drive of Windows
		return ""
	}
	return filepath.ToSlash(way)
}

// badJob keeps the first faults of a job that could not be read, and how many more there are.
func badJob(in jobRead, faults []model.Fault) *audit.Bad {
	bad := &audit.Bad{Place: in.name()}
	for i, f := range faults {
		if i == mostFaults {
			bad.More = len(faults) - i
			break
		}
		bad.Faults = append(bad.Faults, shown(in.folder, f))
	}
	return bad
}

// mostFaults is how many faults of a job are kept; check shows them all.
const mostFaults = 3

// settleTerms works out what all jobs are judged by: the programme's terms, with the usual values
// where it does not say them.
func (o *reviewOptions) settleTerms() error {
	o.terms = joblog.Terms{}
	if o.programme.terms != nil {
		o.terms = *o.programme.terms
	}
	o.audit.Asks = o.terms.Asks
	o.terms.Complete()
	st, faults := joblog.TermsOf(o.settings, &o.terms)
	if len(faults) > 0 {
		return faultAt(faults[0])
	}
	o.audit.Terms = audit.NewTerms(o.terms.File, o.terms.SHA256, &st)
	return nil
}

// chooseTable finds the table that was asked for, and refuses one that would be empty for want of a
// flag.
func (o *reviewOptions) chooseTable(formatGiven bool) error {
	tables := review.Tables()
	if o.tableName == "" {
		o.table = tables[0]
		return nil
	}
	if formatGiven && o.format != formatCSV {
		return usageErrorf("leave --format out, or say --format csv", "--table %s is CSV, not %s", o.tableName, o.format)
	}
	o.format = formatCSV
	at := slices.IndexFunc(tables, func(t review.Table) bool { return t.Name == o.tableName })
	if at < 0 {
		var names []string
		for _, t := range tables {
			names = append(names, t.Name)
		}
		return usageErrorf("", "--table %s: one of %s", o.tableName, strings.Join(names, ", "))
	}
	o.table = tables[at]
	switch needs := o.table.Needs; {
	case needs == "inspect" && o.audit.Inspect == 0:
		return usageErrorf("say --inspect N too", "--table %s: no bay is drawn", o.tableName)
	case needs == "plausibility" && o.audit.Figures:
		return usageErrorf("leave --figures out", "--table %s: plausibility is not looked at", o.tableName)
	case needs == "settings" && !o.audit.Asks.Any():
		return usageErrorf("name a program's file with ask_ rows: --programme FILE", "--table %s: no evidence is asked for", o.tableName)
	}
	return nil
}

// mostPixels bounds what is decoded of a picture: a file of a few bytes may claim a picture that
// fills the memory.
const mostPixels = 64_000_000

// lookOf takes a picture's perceptual hash: 256 signs of the lowest frequencies of its brightness,
// which a picture keeps when it is saved anew, smaller or in another quality. It is nought of what
// is no picture, of one that a record would not decode either, and of a plain one, of which the
// signs are noise.
func lookOf(photo io.Reader) (hash [4]uint64) {
	raw, err := io.ReadAll(io.LimitReader(photo, 64<<20))
	if err != nil {
		return hash
	}
	config, _, err := image.DecodeConfig(bytes.NewReader(raw))
	if err != nil || config.Width*config.Height > mostPixels || config.Width < 16 || config.Height < 16 || record.Costly(raw) != "" {
		return hash
	}
	picture, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil || plain(picture) {
		return hash
	}
	signs, err := goimagehash.ExtPerceptionHash(picture, 16, 16)
	if err != nil {
		return hash
	}
	copy(hash[:], signs.GetHash())
	return hash
}

// plain tells whether a picture is of one brightness throughout, as a lens cap is: 16 by 16 places
// of it differ by less than a twentieth of the scale.
func plain(p image.Image) bool {
	b := p.Bounds()
	least, most := uint32(1<<32-1), uint32(0)
	for y := range 16 {
		for x := range 16 {
			r, g, bl, _ := p.At(b.Min.X+b.Dx()*x/16, b.Min.Y+b.Dy()*y/16).RGBA()
			light := (r + g + bl) / 3
			least, most = min(least, light), max(most, light)
		}
	}
	return most-least < 65535/20
}
