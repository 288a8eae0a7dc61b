package pocket

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"time"

	"bayproof/cmd/prompt"
	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/model/joblog"
	"bayproof/report"
	"bayproof/report/say/lang"
	"bayproof/verify"
)

// Data is what a page carries of a job: its files as they stood when the page was written.
type Data struct {
	Job    string            `json:"job"`    // its name
	Name   string            `json:"name"`   // its folder's, for a job that says none
	Digest string            `json:"digest"` // of what makes the job this one: what the phone keeps is kept under it
	Log    string            `json:"log"`    // which of the files is the log
	Files  map[string][]byte `json:"files"`
	Photos []string          `json:"photos,omitempty"` // names of the files in photos/
	Flags  map[string]string `json:"flags,omitempty"`  // settings given on the command line
	Tool   report.Tool       `json:"tool"`
	Text   string            `json:"text"` // the tool's TextDigest
	Wrote  time.Time         `json:"wrote"`
}

// Pack takes what a page carries out of a job's folder. A log that is still to come is none of the
// files.
func Pack(folder *joblog.Folder, flags map[string]string) (Data, error) {
	d := Data{Name: folder.Name, Log: folder.Log, Files: map[string][]byte{}, Flags: flags}
	for _, name := range []string{folder.Log, "job.csv", "sections.csv", "cores.csv", joblog.ProgrammeName} {
		b, err := fs.ReadFile(folder.FS, name)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return d, err
		}
		d.Files[name] = b
	}
	photos, err := fs.ReadDir(folder.FS, joblog.Photos)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return d, err
	}
	for _, p := range photos {
		if !p.IsDir() {
			d.Photos = append(d.Photos, p.Name())
		}
	}
	return d, nil
}

// Of names the job that was read from the files. Its digest does not hang on the log: a page that
// is written anew, and one that a server hands out again, finds the rows that the phone kept
// before. Jobs of one name differ by site, date or work order.
func (d *Data) Of(job *model.Job) {
	s := &job.Settings
	d.Job = job.Name
	sum := sha256.Sum256([]byte(strings.Join([]string{d.Name, job.Name, s.Site, s.Date, s.WorkOrder, s.Program, d.Log}, "\n")))
	d.Digest = hex.EncodeToString(sum[:16])
}

// Kept is a row as the phone keeps it.
type Kept struct {
	Row   prompt.Row `json:"row"`             // column to text, with its time
	Entry int        `json:"entry"`           // rows of one entry have one number
	Undo  bool       `json:"undo,omitempty"`  // the entry takes back the one before it
	After string     `json:"after,omitempty"` // see Before; empty of a row that follows another one of its entry
}

// Engine is a job on a phone. It is asked one thing at a time.
type Engine struct {
	data    Data
	log     *joblog.Memory
	files   joblog.Held
	now     func() time.Time
	keep    func([]Kept) error // returns once all of the rows are on disk, or none
	session *prompt.Session
	entry   int       // number of the next entry
	undoing bool      // the rows that come take an entry back
	wrote   []Kept    // rows of the present call
	last    time.Time // of the log's rows
	stood   map[string]stood
	settled *verify.Findings // of the job as it stood at the last Settle
	grown   verify.Growing   // what was found at the check before
	crew    lang.Language    // that the job's crew reads
	opened  bool             // orders are wanted: on opening they are what can be waited for
}

// stood is how a closed bay stands: what it was closed on is found by going through the log, which
// Settle does.
type stood struct {
	verdict  verify.Verdict
	closings int // `closed` rows that it takes account of
}

// New puts a job together with the rows that the phone kept, and says of each what it is to the
// log. The log may be a newer one than they were typed for: what it has already is there once, and
// what cannot stand behind it any more is left out, with why.
func New(data Data, kept []Kept, now func() time.Time, keep func([]Kept) error) (*Engine, []Standing, error) {
	e := &Engine{data: data, now: now, keep: keep, stood: map[string]stood{}}
	e.files = joblog.Held{Files: data.Files, Photos: slices.Clone(data.Photos)}
	var err error
	if e.log, err = joblog.InMemory(&e.files, data.Log, data.Name); err != nil {
		return nil, nil, err
	}
	job, faults := e.Job()
	if len(faults) > 0 {
		return nil, nil, faultError(faults[0])
	}
	for i := range job.Log {
		if t := job.Log[i].Time; t.After(e.last) {
			e.last = t
		}
	}
	e.crew = lang.Of(job.Settings.Lang)
	standing, err := e.takeUp(kept)
	if err != nil {
		return nil, standing, err
	}
	entries := [][]prompt.Row{}
	for i, k := range kept {
		e.entry = max(e.entry, k.Entry+1)
		switch first := i == 0 || kept[i-1].Entry != k.Entry; {
		case standing[i].Why != "", k.Undo && !first:
		case k.Undo:
			entries = entries[:max(len(entries)-1, 0)]
		case !first && len(entries) > 0:
			entries[len(entries)-1] = append(entries[len(entries)-1], k.Row)
		default:
			entries = append(entries, []prompt.Row{k.Row})
		}
	}
	s, faults := prompt.New(e, prompt.Options{Width: 1 << 16, Bare: true, Judge: e.judge, Wrote: entries})
	if len(faults) > 0 {
		return nil, standing, faultError(faults[0])
	}
	s.Opening()
	e.session, e.opened = s, true
	return e, standing, nil
}

// judge leaves out what the verdict of the moment can do without: orders of other sections and what
// the row says about them, what bays were closed on, and on opening all orders. Of a job that was
// settled all of that is known.
func (e *Engine) judge(job *model.Job, section string) *verify.Findings {
	if e.settled != nil && e.settled.Job == job {
		return e.settled
	}
	return verify.Check(job, verify.Options{Advice: e.opened, AdviceIn: section, Growing: &e.grown})
}

// Standing is what a row that the phone keeps is to the log.
type Standing struct {
	Known bool   `json:"known"` // it stands in the log that the page came with
	Why   string `json:"why"`   // why it is not in this one; empty where it is, or could be
}

// takeUp puts rows that the phone kept behind the log: all at once where they read, else one by
// one.
func (e *Engine) takeUp(kept []Kept) ([]Standing, error) {
	standing, err := e.compare(kept)
	if err != nil {
		return nil, err
	}
	var rows []map[string]string
	for i, k := range kept {
		if !standing[i].Known && standing[i].Why == "" {
			rows = append(rows, k.Row)
		}
	}
	if len(rows) == 0 {
		return standing, nil
	}
	if _, faults := e.read(rows...); len(faults) == 0 {
		return standing, e.appendRows(rows)
	}
	for i, k := range kept {
		if standing[i].Known || standing[i].Why != "" {
			continue
		}
		if _, faults := e.read(k.Row); len(faults) > 0 {
			standing[i].Why = e.crew.Told(faults[0].What)
			continue
		}
		if err := e.appendRows([]map[string]string{k.Row}); err != nil {
			return standing, err
		}
	}
	return standing, nil
}

// compare sets rows beside the log: whether it has them, or says otherwise.
func (e *Engine) compare(kept []Kept) ([]Standing, error) {
	out := make([]Standing, 0, len(kept))
	if len(kept) == 0 {
		return out, nil
	}
	const theirs = "kept.csv"
	other, err := joblog.InMemory(&joblog.Held{Files: map[string][]byte{"job.csv": e.data.Files["job.csv"]}}, theirs, e.data.Name)
	if err != nil {
		return nil, err
	}
	for _, k := range kept {
		if err := other.Append(k.Row); err != nil {
			return nil, err
		}
	}
	rows, err := e.log.Compare(theirs, other.Log())
	if err != nil {
		return nil, err
	}
	for _, x := range rows.Rows {
		out = append(out, Standing{x.Here, x.Against})
	}
	if len(out) != len(kept) {
		return nil, errors.New("rows that the phone keeps cannot be read")
	}
	return out, nil
}

// Earlier sets rows that the phone keeps of another page of a job of this name beside the log.
func (e *Engine) Earlier(kept []Kept) ([]Standing, error) {
	standing, err := e.compare(kept)
	for i := range standing {
		if x := &standing[i]; !x.Known && x.Why == "" {
			if _, faults := e.read(kept[i].Row); len(faults) > 0 {
				x.Why = e.crew.Told(faults[0].What)
			}
		}
	}
	return standing, err
}

// appendRows adds rows to the log in memory.
func (e *Engine) appendRows(rows []map[string]string) error {
	for _, row := range rows {
		if err := e.log.Append(row); err != nil {
			return err
		}
		if t, bad := cell.Time(row["time"], time.Time{}); bad == nil && t.After(e.last) {
			e.last = t
		}
	}
	return nil
}

// read puts the job together with rows behind its log.
func (e *Engine) read(rows ...map[string]string) (*model.Job, []model.Fault) {
	fsys, err := e.log.Files(rows...)
	if err != nil {
		return nil, []model.Fault{joblog.FaultOf(err)}
	}
	return joblog.Read(fsys, e.data.Log, joblog.Options{Name: e.data.Name, Flags: e.data.Flags})
}

// Job is the job as the log stands in memory, which is what the phone keeps.
func (e *Engine) Job() (*model.Job, []model.Fault) { return e.read() }

// Try puts the job together as it would be with rows behind its log.
func (e *Engine) Try(rows ...prompt.Row) (*model.Job, []model.Fault) {
	var stamped []map[string]string
	for _, row := range rows {
		stamped = append(stamped, e.stamp(row))
	}
	return e.read(stamped...)
}

// stamp adds the time of writing where the row has none: later than any row of the log, whatever
// the phone's clock says, since order is evidence.
func (e *Engine) stamp(row prompt.Row) map[string]string {
	row = maps.Clone(row)
	if row["time"] == "" {
		now := e.now().Truncate(time.Second)
		if !now.After(e.last) {
			now = e.last.Add(time.Second)
		}
		row["time"] = now.Format(time.RFC3339)
	}
	return row
}

// Append is AppendAll of one row.
func (e *Engine) Append(row prompt.Row) error { return e.AppendAll([]prompt.Row{row}) }

// AppendAll keeps the rows of an entry, all or none, and returns once they are on the phone's disk.
func (e *Engine) AppendAll(rows []prompt.Row) error {
	job := e.session.Findings().Job // the log as it stands
	var kept []Kept
	var stamped []map[string]string
	for i, row := range rows {
		k := Kept{Row: e.stamp(row), Entry: e.entry, Undo: e.undoing}
		if i == 0 {
			k.After = Before(job, k.Row)
		}
		kept, stamped = append(kept, k), append(stamped, k.Row)
	}
	if err := e.keep(kept); err != nil {
		return err
	}
	e.entry++
	e.wrote = append(e.wrote, kept...)
	return e.appendRows(stamped)
}

// Above are the last row that says sizes or material in a row's section, and the last one that ran
// through its machine: what a ditto takes over, and where a counter goes on from. Either may be
// nil.
func Above(job *model.Job, row map[string]string) (inSection, atMachine *model.Entry) {
	for i := len(job.Log) - 1; i >= 0 && (inSection == nil || atMachine == nil); i-- {
		x := &job.Log[i]
		sizes := x.Size.Readings()
		sized := slices.ContainsFunc(sizes[:], func(r *model.Reading) bool { return r.State != model.Absent })
		if x.Withdrawn || !sized && x.Material.Kind == model.MaterialNone {
			continue
		}
		if inSection == nil && strings.EqualFold(x.Section, row["section"]) {
			inSection = x
		}
		if atMachine == nil && x.Material.Reads() && strings.EqualFold(x.Machine, row["machine"]) {
			atMachine = x
		}
	}
	return inSection, atMachine
}

// Before is a digest of the two rows above: a row that was typed behind others than stand there now
// says something else than was meant. It hangs neither on the order of columns, which a log that is
// widened changes, nor on times, which dittos do not take over.
func Before(job *model.Job, row map[string]string) string {
	sum := sha256.New()
	inSection, atMachine := Above(job, row)
	for _, x := range []*model.Entry{inSection, atMachine} {
		fmt.Fprintln(sum, x != nil)
		if x == nil {
			continue
		}
		var said []string
		for i, text := range x.Cells {
			if i < len(job.Columns) && strings.TrimSpace(text) != "" && job.Columns[i] != "entry" && job.Columns[i] != "time" {
				said = append(said, job.Columns[i]+"="+strings.TrimSpace(text))
			}
		}
		slices.Sort(said)
		fmt.Fprintf(sum, "%q\n", said)
	}
	return hex.EncodeToString(sum.Sum(nil))[:16]
}

// AppendCore refuses: cores are weighed at the truck.
func (e *Engine) AppendCore(prompt.Row) error {
	return errors.New("cores and test boxes are logged at the truck: bayproof log")
}

// TakeBackCore refuses, as AppendCore does.
func (e *Engine) TakeBackCore() error { return e.AppendCore(nil) }

// Reload finds nothing changed: nobody else writes to this log.
func (e *Engine) Reload() (prompt.Changed, error) { return prompt.Changed{}, nil }

// faultError says a fault with its place.
func faultError(f model.Fault) error {
	return errors.New(f.String())
}

// Ask is the argument of a call.
type Ask struct {
	Section string     `json:"section"`
	Bay     string     `json:"bay"`
	Machine string     `json:"machine"`
	By      string     `json:"by"`
	Action  string     `json:"action"` // of form and enter
	Said    prompt.Row `json:"said"`
	Order   bool       `json:"order"` // form: the one that the bay's order asks for
	Name    string     `json:"name"`  // photo: the one that was taken
}

// Call answers one call of the page: state, form, enter, again, why, settle, photo, share or check.
// An answer is JSON.
func (e *Engine) Call(name string, ask Ask) (any, error) {
	e.session.Go(ask.Section, ask.Machine, ask.By)
	switch name {
	case "state":
		return e.state(), nil
	case "form":
		return e.form(ask)
	case "enter":
		return e.enter(ask), nil
	case "again":
		return e.again(ask), nil
	case "why":
		return e.why(ask.Bay), nil
	case "settle":
		e.settle()
		return e.state(), nil
	case "photo":
		if ask.Name != "" {
			e.files.Photos = append(e.files.Photos, ask.Name)
		}
		return e.photoName(ask.Section, ask.Bay), nil
	case "share":
		return e.log.Log(), nil
	case "check":
		job, faults := e.Job()
		if len(faults) > 0 {
			return nil, faultError(faults[0])
		}
		tool := e.data.Tool
		tool.Text = e.data.Text
		b, err := report.AppendJSON(nil, verify.Check(job, verify.All()), tool, false)
		return json.RawMessage(b), err
	}
	return nil, fmt.Errorf("no call %s", name)
}

// form is what is asked for an action, or for a bay's order.
func (e *Engine) form(ask Ask) (prompt.Form, error) {
	if !ask.Order {
		return e.session.Form(ask.Action, ask.Bay), nil
	}
	if f, ok := e.session.Do(ask.Bay); ok {
		return f, nil
	}
	return prompt.Form{}, errors.New(e.crew.S("This one is logged at the truck."))
}

// enter takes the answers of a form.
func (e *Engine) enter(ask Ask) Reply {
	before := e.verdicts()
	e.wrote, e.undoing = []Kept{}, ask.Action == "undo"
	text := e.session.Enter(ask.Action, ask.Bay, ask.Said)
	return e.reply(ask, text, before)
}

// again puts a row of an earlier page behind the log. Its time stands where it comes after all that
// is there; times that run backward would take the order's evidence.
func (e *Engine) again(ask Ask) Reply {
	before := e.verdicts()
	e.wrote, e.undoing = []Kept{}, false
	row := maps.Clone(ask.Said)
	if t, bad := cell.Time(row["time"], time.Time{}); bad != nil || !t.After(e.last) {
		delete(row, "time")
	}
	return e.reply(ask, e.session.Again(row), before)
}

// photoName is what the next photo of a bay is called: by bay and number, with its section in front
// where another section has a bay of that name.
func (e *Engine) photoName(section, bay string) string {
	stem := bay
	for _, b := range e.session.Findings().Job.Bays {
		if strings.EqualFold(b.Name, bay) && !strings.EqualFold(b.Section.Name, section) {
			stem = section + " " + bay
		}
	}
	stem = strings.Map(func(r rune) rune {
		if strings.ContainsRune(` /\:*?"<>|[];,`, r) {
			return '-'
		}
		return r
	}, stem)
	for n := 1; ; n++ {
		name := fmt.Sprintf("%s-%d.jpg", stem, n)
		if !slices.ContainsFunc(e.files.Photos, func(p string) bool { return strings.EqualFold(p, name) }) {
			return name
		}
	}
}
