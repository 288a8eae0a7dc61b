package cmd

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/user"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"time"
	"unicode/utf8"

	"github.com/peterh/liner"
	"github.com/spf13/cobra"
	"golang.org/x/term"

	"bayproof/cmd/prompt"
	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify/plan"
)

const logHelp = `Type one of these:
  bayproof log JOB            type the bays in the order they were filled
  bayproof log JOB --truck    the truck sheet: the counter at each stop
  bayproof log JOB --roof     the roof sheet: sizes, reach, rod
  bayproof log JOB --from F   adds rows logged elsewhere, on a phone or in a
                              spreadsheet; a row that contradicts the log is
                              named and left out
  bayproof log JOB --restore  brings back rows that are gone from the log
                              or cores.csv: the journals keep every
                              confirmed row
  bayproof log JOB --accept   says both are right: the journals note what
                              was changed or taken out

At the prompt:
  b8 14.5 2 1/4;2 1/2 11'6 1 3/4   name, width, depth, length, bags
  1 3/4                            the next bay, sizes as the one above
  Enter                            be asked, one figure at a time
  fix width 22.5                   a slip of the last bay;  undo
  top b7 8 lb stall                and help lists the other words
  finish                           a summary, and back

Every entry is on disk before the next one, and gets its verdict. A written
row is never changed; undo adds one. Type either sheet first. Columns that the
log lacks are added, once.`

// logOptions are the flags of log.
type logOptions struct {
	common
	truck, roof bool   // which of the two sheets is typed in; both at once is refused
	from        string // a file of rows that were logged elsewhere
	restore     bool   // bring back what the journal has and the log lacks
	accept      bool   // note in the journal that the log is meant as it stands
	by          string // initials that every row gets
	hold        int    // bays left open for an inspector, as in plan
	seed        uint64
}

// newLog builds the command that logs bays at a prompt.
func newLog(env *Env) *cobra.Command {
	o := &logOptions{common: common{env: env}}
	cmd := o.command("log JOB", "type bays at the prompt, verdict after each", logHelp, oneJob, completeJob(env), o.run)
	o.settingFlags(cmd)
	o.programmeFlag(cmd, judgedBy)
	cmd.Flags().BoolVar(&o.truck, "truck", false, "type in the truck sheet")
	cmd.Flags().BoolVar(&o.roof, "roof", false, "type in the roof sheet")
	cmd.Flags().StringVar(&o.from, "from", "", "add the rows of `FILE` that the log lacks")
	cmd.Flags().BoolVar(&o.restore, "restore", false, "bring back rows that are gone from log or cores")
	cmd.Flags().BoolVar(&o.accept, "accept", false, "note in the journals that log and cores are right as they stand")
	cmd.Flags().StringVar(&o.by, "by", "", "`INITIALS` that every row gets")
	holdFlags(cmd, &o.hold, &o.seed)
	return cmd
}

// run opens the job's log for writing, which locks it against a second prompt, and holds one
// sitting.
func (o *logOptions) run() error {
	switch {
	case o.truck && o.roof:
		return usageErrorf("type in one after the other: both go to the same bays", "--truck and --roof at once")
	case o.from != "" && (o.truck || o.roof):
		return usageErrorf("--from asks nothing: the file says what is on it", "--from with --truck or --roof")
	case o.restore && o.accept:
		return usageErrorf("--restore brings rows back, --accept says that they were taken out on purpose", "--restore and --accept at once")
	case (o.restore || o.accept) && (o.from != "" || o.truck || o.roof):
		return usageErrorf("--restore and --accept ask nothing: they do it and are done", "--restore or --accept with --from, --truck or --roof")
	}
	if err := o.readProgramme(); err != nil {
		return err
	}
	folder, err := o.openJob()
	if err != nil {
		return withHint(err, "bayproof start "+inQuotes(o.args[0])+" sets up a job")
	}
	defer folder.Close()
	writer, err := joblog.OpenWriter(folder, o.who())
	if err != nil {
		return err
	}
	defer writer.Close()
	for _, file := range writer.Files() {
		if torn := file.Torn(); torn != "" {
			cure := ": type it again"
			if c, _ := file.Compared(); c.Gone() > 0 && !o.restore {
				cure = ". First bayproof log JOB --restore, then type what is still missing"
			}
			printWarning(o.env.Stderr, "the last line of "+file.What()+" was torn off while it was written; it is set aside in "+torn+cure)
		}
	}
	switch {
	case o.restore:
		return o.bringBackAll(folder, writer)
	case o.accept:
		return o.acceptChanges(writer)
	}
	book := &logBook{env: o.env, folder: folder, writer: writer, flags: o.settings}
	files, err := writer.With() // there may be no log yet
	if err != nil {
		return err
	}
	job, faults := joblog.Read(files, folder.Log, joblog.Options{Name: folder.Name, Flags: o.settings, Journal: joblog.Journals})
	if len(faults) > 0 {
		printFaults(o.env.Stderr, folder, faults)
		return exitStatus(exitFault)
	}
	// What is wrong in the files themselves: the first row that is added ends the last line.
	tellWarnings(o.env.Stderr, folder, slices.DeleteFunc(job.Warnings, func(w model.Warning) bool {
		return w.Code != "line-unended" && !strings.HasPrefix(w.Code, "journal")
	}))
	if o.from != "" {
		return o.take(book)
	}
	return o.sit(book)
}

// bringBackAll brings rows back into the log, then into cores.csv.
func (o *logOptions) bringBackAll(folder *joblog.Folder, writer *joblog.Writer) error {
	back := 0
	for _, file := range writer.Files() {
		n, err := o.bringBack(folder, file)
		if err != nil {
			return err
		}
		back += n
	}
	if back == 0 {
		fmt.Fprintln(o.env.Stdout, "Nothing to bring back: no row is gone.")
	}
	return nil
}

// bringBack writes rows into a file that its journal has and it lacks, each at its place. A job
// that would not be read with them, and is read without, stays as it is.
func (o *logOptions) bringBack(folder *joblog.Folder, file *joblog.Writer) (int, error) {
	would, n, err := file.Restored()
	if err != nil || n == 0 {
		return 0, err
	}
	opt := joblog.Options{Name: folder.Name, Flags: o.settings}
	_, with := joblog.Read(would, folder.Log, opt)
	if _, without := joblog.Read(folder.FS, folder.Log, opt); len(with) > 0 && len(without) == 0 {
		printFaults(o.env.Stderr, folder, with)
		return 0, withHint(fmt.Errorf("%s: the rows that are gone do not fit the job as it is now: it stays as it is", file.Name()), "--accept says that they were taken out on purpose")
	}
	c, _ := file.Compared()
	kept, err := file.Restore()
	if err != nil {
		return 0, err
	}
	for _, d := range c.Differences {
		if d.Now == nil {
			fmt.Fprintln(o.env.Stdout, screen.Clean("Back: "+d.Kept.Told()+"."))
		}
	}
	if line := file.Broken(); line > 0 {
		printWarning(o.env.Stderr, fmt.Sprintf("the journal of %s breaks at line %d: nothing proves the rows from there on; look at what came back", file.What(), line))
	}
	if kept != "" {
		fmt.Fprintln(o.env.Stdout, screen.Clean("The file as it was is kept in "+kept+"."))
	}
	return n, nil
}

// acceptChanges notes in the journals that the files are meant as they stand, and says what was
// accepted.
func (o *logOptions) acceptChanges(writer *joblog.Writer) error {
	var told []string
	for _, file := range writer.Files() {
		accepted, err := file.Accept(o.by, timeOfRow(o.env))
		if err != nil {
			return err
		}
		told = append(told, accepted...)
	}
	if len(told) == 0 {
		fmt.Fprintln(o.env.Stdout, "Nothing to accept: all stands as it was logged.")
	}
	for _, what := range told {
		fmt.Fprintln(o.env.Stdout, screen.Clean("Accepted: "+what+"."))
	}
	return nil
}

// take adds the rows of another file that the log lacks. A row that contradicts the log, that it
// cannot hold, or that cannot be read is named and left out; the others are added all the same.
func (o *logOptions) take(book *logBook) error {
	data, err := os.ReadFile(o.from)
	if err != nil {
		return plainPath(err)
	}
	from, err := book.writer.Compare(filepath.Base(o.from), data)
	if err != nil {
		return err
	}
	for _, w := range from.Warnings {
		if w.Src.File = o.from; w.Code == "encoding" || w.Code == "line-unended" {
			printWarning(o.env.Stderr, w.Src.String()+": "+w.Text)
		}
	}
	for i := range from.Faults {
		from.Faults[i].Src.File = o.from
	}
	printFaults(o.env.Stderr, nil, from.Faults)
	added, here, refused := 0, 0, len(from.Faults)
	for _, x := range from.Rows {
		name := strings.Join(strings.Fields(x.Row["section"]+" "+x.Row["bay"]+" "+x.Row["entry"]+" "+x.Row["time"]), " ")
		refuse := func(what, hint string) {
			refused++
			printError(o.env.Stderr, o.from+": "+name+": "+what, hint)
		}
		switch {
		case x.Here:
			here++
			continue
		case x.Against != "":
			refuse(x.Against, x.Hint)
			continue
		}
		if _, faults := book.Try(x.Row); len(faults) > 0 {
			refuse(faults[0].What, faults[0].Hint)
			continue
		}
		if err := book.Append(x.Row); err != nil {
			return withHint(err, "type the command again: rows that are there by then are not added twice")
		}
		added++
	}
	text := say.Count(added, "row", "rows") + " added"
	if here > 0 {
		text += fmt.Sprintf(", %d there already", here)
	}
	if refused > 0 {
		text += fmt.Sprintf(", %d refused", refused)
	}
	fmt.Fprintln(o.env.Stdout, text+".")
	if refused > 0 {
		return exitStatus(exitFault)
	}
	return nil
}

// sit runs one sitting at the prompt, until finish is typed or no more lines come.
func (o *logOptions) sit(book *logBook) error {
	opt := prompt.Options{By: o.by, Width: o.env.width()}
	switch {
	case o.truck:
		opt.Sheet = prompt.Truck
	case o.roof:
		opt.Sheet = prompt.Roof
	}
	if o.hold > 0 { // the bays are drawn from the job as it stands now, as plan draws them
		job, faults := book.Job()
		if len(faults) > 0 {
			printFaults(o.env.Stderr, book.folder, faults)
			return exitStatus(exitFault)
		}
		opt.Hold = planOf(job, plan.Options{Hold: o.hold, Seed: o.seed}).Hold
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
	show := func(text string) { io.WriteString(o.env.Stdout, text) }
	show(s.Opening())
	for !s.Done() {
		line, err := from.Ask(s.Prompt())
		if err != nil {
			show(s.Close())
			if !errors.Is(err, io.EOF) {
				return err
			}
			break
		}
		show(s.Feed(line))
	}
	if _, file := from.(*piped); file && !o.env.StdinTerminal && s.Refused() > 0 { // at a terminal whoever typed them saw it
		return exitStatus(exitFault)
	}
	return nil
}

// who says to others who holds the log: it stands in the lock's file for the time of the sitting.
func (o *logOptions) who() string {
	name := o.by
	if u, err := user.Current(); err == nil && name == "" {
		name = u.Username
	}
	where, _ := os.Hostname()
	return fmt.Sprintf("by %s on %s since %s (process %d)", name, where, o.env.Now().Format("15:04"), os.Getpid())
}

// logBook is a job's log on disk as the prompt sees it; it adds the time to each row. The prompt is
// a state machine that knows neither files nor a clock: this is all of both that it gets.
type logBook struct {
	env    *Env
	folder *joblog.Folder
	writer *joblog.Writer
	flags  map[string]string
}

// Job returns the job as its files stand, or the faults that keep it from being read.
func (b *logBook) Job() (*model.Job, []model.Fault) { return b.Try() }

// Try puts the job together as it would be with the rows after its log, and writes nothing: what
// the prompt then writes is known to read back without a fault. The whole job is read each time,
// some milliseconds for 500 bays.
func (b *logBook) Try(rows ...prompt.Row) (*model.Job, []model.Fault) {
	var stamped []map[string]string
	for _, row := range rows {
		stamped = append(stamped, b.stamp(row))
	}
	fsys, err := b.writer.With(stamped...)
	if err != nil {
		return nil, []model.Fault{joblog.FaultOf(err)}
	}
	return joblog.Read(fsys, b.folder.Log, joblog.Options{Name: b.folder.Name, Flags: b.flags})
}

// Append writes one row and returns once it is on disk, synced: a truck's power may go at any time.
func (b *logBook) Append(row prompt.Row) error {
	return b.append(b.writer, row)
}

// append writes a row into one of the files, and says which columns that needed.
func (b *logBook) append(file *joblog.Writer, row prompt.Row) error {
	err := file.Append(b.stamp(row))
	if added := file.Added(); len(added.Columns) > 0 {
		b.warn(fmt.Sprintf("%s lacked columns, and they are added: %s; as it was it is kept in %s", file.What(), strings.Join(added.Columns, ", "), added.Kept))
	}
	return toldAtPrompt(err)
}

// toldAtPrompt is why a file was not written, with its hint, which is not said again.
func toldAtPrompt(err error) error {
	if errors.Is(err, joblog.ErrChanged) {
		return prompt.ErrChanged
	}
	if err != nil && joblog.FaultOf(err).Hint != "" {
		return fmt.Errorf("%v; %s", err, joblog.FaultOf(err).Hint)
	}
	return err
}

// warn says what happened to a file beside the sitting's answers.
func (b *logBook) warn(text string) {
	for _, line := range screen.Fill("", "  ", screen.Clean("bayproof: warning: "+text), b.env.width()-1) {
		fmt.Fprintln(b.env.Stderr, line)
	}
}

// AppendCore writes a row into cores.csv, once the job is known to read with it.
func (b *logBook) AppendCore(row prompt.Row) error {
	row = b.stamp(row)
	return b.inCores(func(cores *joblog.Writer) error {
		fsys, err := b.writer.WithCore(row)
		if err != nil {
			return err
		}
		if _, faults := joblog.Read(fsys, b.folder.Log, joblog.Options{Name: b.folder.Name, Flags: b.flags}); len(faults) > 0 {
			return fmt.Errorf("%s; %s", faults[0].What, faults[0].Hint)
		}
		return b.append(cores, row)
	})
}

// TakeBackCore takes the last row that was written into cores.csv out again.
func (b *logBook) TakeBackCore() error {
	return b.inCores(func(cores *joblog.Writer) error { return toldAtPrompt(cores.TakeBack(timeOfRow(b.env))) })
}

// inCores does something in cores.csv. Where another program changed the file it is read again, and
// that is done in what stands there now; rows that are gone stand in the journal.
func (b *logBook) inCores(do func(cores *joblog.Writer) error) error {
	cores := b.writer.Cores
	for {
		if err := do(cores); !errors.Is(err, prompt.ErrChanged) {
			return err
		}
		c, err := cores.Reload()
		if err != nil {
			return err
		}
		if c.Torn != "" {
			b.warn(fmt.Sprintf("the last line of %s was torn, and is set aside in %s: type it again", cores.What(), c.Torn))
		}
		if len(c.Lost) > 0 {
			b.warn(fmt.Sprintf("another program changed %s: %s; as it was it is kept in %s; after finish, bayproof log JOB --restore brings back what is gone", cores.What(), say.Count(len(c.Lost), "row is gone", "rows are gone"), c.Kept))
		}
	}
}

// Reload reads a log that another program changed, and says which rows of this sitting it dropped.
// Rows that are gone from it are to be written with their own time where they stood after all that
// is left, else with that of writing: times that run backward would take the order's evidence.
func (b *logBook) Reload() (prompt.Changed, error) {
	c, err := b.writer.Reload()
	changed := prompt.Changed{Kept: c.Kept, Torn: c.Torn}
	for _, row := range c.Lost {
		again := maps.Clone(row)
		if !c.Tail {
			delete(again, "time")
		}
		changed.Lost = append(changed.Lost, again)
	}
	return changed, err
}

// timeOfRow is the time as a row says it: to the second, with its zone.
func timeOfRow(env *Env) string { return env.Now().Truncate(time.Second).Format(time.RFC3339) }

// stamp adds the time of writing where the row has none yet.
func (b *logBook) stamp(row prompt.Row) map[string]string {
	stamped := maps.Clone(row)
	if stamped["time"] == "" {
		stamped["time"] = timeOfRow(b.env)
	}
	return stamped
}

// asking is a person who answers, or a file that stands in for one. log and start ask through it,
// so that whatever can be typed can be piped, with the same result.
type asking interface {
	// Ask shows a question and returns the answer; io.EOF where no more answers come.
	Ask(question string) (string, error)
	Close() error
}

// newAsking returns a line editor where someone types at a terminal that can edit, else a plain
// reader, which shows no questions where its lines come from a file or a pipe.
func newAsking(env *Env) asking {
	if env.StdinTerminal && env.StdoutTerminal && env.Getenv("TERM") != "dumb" {
		t := &typing{out: env.Stdout, room: env.width() - 20}
		stdin := int(os.Stdin.Fd())
		was, err := term.GetState(stdin)
		t.done = untilDone(func() {
			t.ended.Store(true)
			for range 2 { // a question may be at the point where the editor sets the terminal to its own way, or back
				if err == nil {
					_ = term.Restore(stdin, was)
				}
				time.Sleep(20 * time.Millisecond)
			}
		})
		t.line = liner.NewLiner()
		t.line.SetCtrlCAborts(true)
		return t
	}
	return &piped{in: bufio.NewReaderSize(env.Stdin, mostTyped), out: env.Stdout, show: env.StdinTerminal}
}

// typing is a terminal with line editing and a history of the sitting.
type typing struct {
	line  *liner.State
	out   io.Writer
	room  int         // columns that the last line of a question may take: the answer stands behind it
	ended atomic.Bool // by a signal: the terminal is as it was, and no further question may change it
	done  func()
}

// Ask shows the question and edits the answer on its last line. Ctrl-C ends the answers, as Ctrl-D
// does.
func (t *typing) Ask(question string) (string, error) {
	head, last := lastLine(question, t.room)
	if _, err := io.WriteString(t.out, head); err != nil {
		return "", err
	}
	if t.ended.Load() {
		select {}
	}
	answer, err := t.line.Prompt(last)
	if errors.Is(err, liner.ErrPromptAborted) {
		return "", io.EOF
	}
	if err == nil && strings.TrimSpace(answer) != "" {
		t.line.AppendHistory(answer)
	}
	return answer, err
}

// lastLine cuts a question into what is printed and the last line, behind which the answer is
// typed: a line editor wants the whole line on the screen, with room for the answer. The lines
// before it are laid out already.
func lastLine(question string, room int) (head, last string) {
	n := strings.LastIndexByte(question, '\n') + 1
	head, last = question[:n], question[n:]
	for utf8.RuneCountInString(last) > room {
		runes := []rune(last)
		first := string(runes[:room])
		cut := strings.LastIndexByte(first, ' ')
		if runes[room] == ' ' {
			cut = len(first)
		}
		if strings.TrimSpace(first[:max(cut, 0)]) == "" { // one word is longer than the screen
			break
		}
		head += last[:cut] + "\n"
		last = "  " + strings.TrimLeft(last[cut:], " ")
	}
	return head, last
}

// Close gives the terminal back as it was.
func (t *typing) Close() error {
	t.done()
	return t.line.Close()
}

// piped reads lines; questions are shown only where a person types at a terminal that cannot edit.
type piped struct {
	in   *bufio.Reader
	out  io.Writer
	show bool
}

// mostTyped is how long a line may be, in bytes: nobody types more, and a device that never ends a
// line would fill the memory.
const mostTyped = 64 << 10

var errTyped = withHint(fmt.Errorf("a line of over %d kB is no entry", mostTyped>>10), "check that this is the right file; --from FILE takes the rows of a CSV")

// Ask returns the next line. A last line without an end counts.
func (p *piped) Ask(question string) (string, error) {
	if p.show {
		io.WriteString(p.out, question)
	}
	line, err := p.in.ReadSlice('\n')
	switch {
	case errors.Is(err, bufio.ErrBufferFull):
		return "", errTyped
	case err != nil && len(line) == 0:
		return "", err
	}
	return strings.TrimRight(string(line), "\r\n"), nil
}

// Close leaves stdin to whoever opened it.
func (p *piped) Close() error { return nil }
