// Reading one job: the files beside the log, the log's header, then row by row, then the bays that
// the rows come to.
//
// reader holds what is one for all jobs of a log: the files beside it, the columns, the command
// line. builder makes a job of a run of rows, and may be used for one job after the other; in a log
// of many jobs several builders work at the same time. Faults are collected and never end the
// reading, so that whoever mends a file sees all of them at once; of a file with more than
// maxFaults, which have one cause, the first are told.

package joblog

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/model/joblog/disk"
)

// Options say how a job is read. The zero value reads all that a verdict needs.
type Options struct {
	Name  string            // the job's name where its files give none: the folder's
	Flags map[string]string // settings given on the command line, by their name in job.csv
	Terms *Terms            // that govern: they hold against a job's own values, and a flag against them; nil for those in its folder
	// Own are settings that the job's record was made with and that the terms govern: they count as
	// the job's own.
	Own     map[string]string
	KeepRaw bool // keep the bytes of every input (Input.Raw)
	Photos  bool // list photos/ with SHA-256 and size; without it only their names are looked at
	// Taken tells when a photo was taken, where its file says so; nil when nobody asks.
	Taken func(photo io.Reader) time.Time
	// Look takes a picture's perceptual hash; nil when nobody asks.
	Look func(photo io.Reader) [4]uint64
	Hash bool // SHA-256 of a log of many jobs too, which costs reading it twice
	// Journal is Journals where the log and cores.csv are to be set beside their journals, if the log
	// holds one job; nil when nobody asks.
	Journal func(r *reader, log []byte)
}

// Read reads one job from fsys. log names the log in it, "bays.csv" where it is empty; job.csv,
// sections.csv, cores.csv and photos/ are taken from the same folder. All faults of all files come
// back together, in the order of files, lines and columns; with any of them the job is nil. A log
// that holds several jobs is a fault here: see Map.
func Read(fsys fs.FS, log string, opt Options) (*model.Job, []model.Fault) {
	r := newReader(fsys, log, opt)
	raw, err := readSteady(fsys, r.log)
	if err != nil {
		r.noLog(err)
		return nil, r.faults()
	}
	r.keep(r.log, raw)
	plan := r.prepare(string(raw))
	if plan == nil {
		return nil, r.faults()
	}
	b := newBuilder(r, plan)
	job := b.build("", plan.sheet.lines, 0)
	r.f.absorb(&b.f)
	if faults := r.faults(); len(faults) > 0 {
		return nil, faults
	}
	return job, nil
}

// LogName is the log's name in a job folder.
const LogName = "bays.csv"

// reader reads the files of one folder.
type reader struct {
	fsys     fs.FS
	log      string
	opt      Options
	f        faultList
	columns  []model.Column[model.Entry] // of the log
	resolver *Resolver
	given    []Given // of job.csv
	sections *rawTable
	cores    *rawTable
	coresRaw []byte // cores.csv as it stands; nil where there is none
	photos   []model.Photo
	inputs   []model.Input
	files    []string // in the order in which faults are told
	journals model.Journals
	beyond   []model.Fault // what journals know of files, told where there are faults
	terms    *model.Terms  // the file of the program's terms beside the log
}

// newReader resolves what the command line says; nothing is read from the folder yet.
func newReader(fsys fs.FS, log string, opt Options) *reader {
	if log == "" {
		log = LogName
	}
	r := &reader{fsys: fsys, log: log, opt: opt, columns: model.LogColumns()}
	var bad []model.Fault
	r.resolver, bad = newResolver(opt.Flags, opt.Terms)
	for _, b := range bad {
		r.files = append(r.files, b.Src.File)
	}
	r.f.addAll(bad)
	r.files = append(r.files, r.name(ProgrammeName), r.name("job.csv"), r.name("sections.csv"), log, r.name(coresFile))
	return r
}

// name is a file beside the log.
func (r *reader) name(file string) string { return path.Join(path.Dir(r.log), file) }

// faults returns what was found wrong, in order, and then what journals know of the files.
func (r *reader) faults() []model.Fault {
	if len(r.f.list) == 0 {
		return nil
	}
	return append(r.f.sorted(r.files), r.beyond...)
}

// refused tells whether a file was refused as a whole.
func (r *reader) refused(file string) bool {
	return slices.ContainsFunc(r.f.list, func(f model.Fault) bool { return f.Src.File == file && f.Src.Line == 0 })
}

// noLog makes the fault of a log that cannot be had. One that is gone may stand in its journal.
func (r *reader) noLog(err error) {
	r.beside()
	what, hint := why(err)
	if r.opt.Journal != nil && errors.Is(err, fs.ErrNotExist) {
		r.opt.Journal(r, nil)
		switch j := r.journals.Log; {
		case j != nil && j.Gone > 0:
			what, hint = what+"; its journal has "+count(j.Gone, "confirmed row"), "bayproof log JOB --restore brings it back"
			r.beyond = slices.DeleteFunc(r.beyond, func(f model.Fault) bool { return f.Src.File == r.log })
		case j != nil && j.Broken > 0:
			what, hint = fmt.Sprintf("%s; its journal breaks at line %d", what, j.Broken), "bayproof log JOB --restore brings back what it has"
		}
	}
	r.f.add(model.Source{File: r.log}, what, hint)
}

// bytes reads a file beside the log and keeps its SHA-256. It answers false where there is none.
func (r *reader) bytes(file string) ([]byte, bool) {
	b, err := readSteady(r.fsys, file)
	if err != nil {
		if !errors.Is(err, fs.ErrNotExist) {
			what, hint := why(err)
			r.f.add(model.Source{File: file}, what, hint)
		}
		return nil, false
	}
	r.keep(file, b)
	return b, true
}

// keep notes an input.
func (r *reader) keep(file string, b []byte) {
	sum := sha256.Sum256(b)
	in := model.Input{File: file, SHA256: hex.EncodeToString(sum[:])}
	if r.opt.KeepRaw {
		in.Raw = b
	}
	r.inputs = append(r.inputs, in)
}

// why says what stands between us and a file.
func why(err error) (what, hint string) {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file", "name a folder with bays.csv in it; bayproof start sets one up"
	case errors.Is(err, fs.ErrPermission):
		return "may not be read", "check its permissions, and close it in other programs"
	case errors.Is(err, errChanged):
		return errChanged.Error(), "type the command again"
	case errors.Is(err, errTooLarge):
		return err.Error(), "check that this is the right file; a log of many jobs needs a column job, each job's rows together"
	case errors.Is(err, disk.ErrNoFile):
		return disk.ErrNoFile.Error(), "delete it, or put the file in its place"
	}
	var perr *fs.PathError
	if errors.As(err, &perr) && !strings.Contains(err.Error(), "escapes") {
		return "can't be read: " + perr.Err.Error(), "check the disk, and try again"
	}
	if errors.As(err, &perr) {
		return "can't be read: " + perr.Err.Error(), "put the file itself there: a link out of the job folder is not followed"
	}
	return "can't be read: " + err.Error(), ""
}

// beside reads the files beside the log.
func (r *reader) beside() {
	r.readTerms()
	r.readJob()
	r.sections, _ = r.table("sections.csv", sectionColumns())
	r.cores, r.coresRaw = r.table(coresFile, coreColumns())
	r.photos = r.listPhotos()
}

// prepare reads the files beside the log, the journals where that is asked for, and the log's
// header. It answers nil where the log's rows cannot be read.
func (r *reader) prepare(log string) *logPlan {
	r.beside()
	if tornHead(bayColumns(r.columns), []byte(log)) {
		r.f.add(model.Source{File: r.log, Line: 1}, "the first row breaks off, and the log has no bay", "bayproof log JOB sets it aside and starts over")
		return nil
	}
	text, ok := decode(r.log, 1, log, &r.f)
	if !ok {
		return nil
	}
	if r.opt.Journal != nil {
		r.opt.Journal(r, []byte(log))
	}
	return r.plan(text)
}

// plan reads the log's header. It answers nil where its rows cannot be read.
func (r *reader) plan(text string) *logPlan {
	s, ok := openSheet(r.log, text, bayColumns(r.columns), &r.f)
	if !ok {
		if len(s.header) == 0 {
			r.f.add(model.Source{File: r.log}, "the log is empty", "write its columns in the first row: section, bay, entry, width, depth, length, bags, time")
		}
		return nil
	}
	return planLog(s, r.columns)
}

// builder makes jobs of the rows of a log, one after the other. A job's rows are good until the
// next build; all else of it is the caller's.
type builder struct {
	r     *reader // only read from
	plan  *logPlan
	f     faultList
	mem   rowMemory
	rows  *rowReader
	cache map[string]settled // settings resolved before, by what the job's first row says
	sheet sheet
	first []string // the setting cells of the job's first row, in the order of plan.settings
}

// newBuilder makes a builder with memory of its own. The sheet is a copy, since several of them cut
// rows at the same time.
func newBuilder(r *reader, plan *logPlan) *builder {
	b := &builder{r: r, plan: plan, cache: map[string]settled{}, sheet: *plan.sheet}
	b.sheet.mem, b.sheet.f = &b.mem, &b.f
	b.rows = newRowReader(plan, &b.mem, &b.f)
	return b
}

// build makes a job of the rows in text. name is the job's; where it is empty the log, job.csv or
// the folder gives one. hidden are lines of the jobs before it that are no rows of their own. The
// job is whole only where b.f holds no fault afterwards.
func (b *builder) build(name string, text lines, hidden int) *model.Job {
	b.f = faultList{}
	if rows := strings.Count(text.rest, string(text.end)); rows > model.MostRows {
		b.f.addf(model.Source{File: b.sheet.file, Line: text.n + 1}, "add a column job to a log of many jobs; split a large house into jobs, a folder each",
			"%d rows are too many for one job: over %d", rows, model.MostRows)
		text.rest = ""
	}
	b.sheet.lines, b.sheet.spare, b.sheet.full = text, -1, false
	b.sheet.plain = strings.IndexByte(text.rest, '"') < 0
	b.mem.again(strings.Count(text.rest, string(text.end)) + 2)
	b.sheet.frame = b.plan.sheet.frame.Behind(text.n+1, hidden)
	b.f.shows(b.sheet.file, b.sheet.frame)
	b.sheet.comma = tableComma(text, &b.sheet, &b.f, b.sheet.numeric)
	job := &model.Job{Columns: b.plan.names, Extra: b.sheet.extra, Inputs: b.r.inputs, Photos: b.r.photos, Journals: b.r.journals, Terms: b.r.terms}
	row, line, ok := b.sheet.next() // settings first: they say the units that cells are read in
	b.settle(job, name, row)
	job.Sections = b.r.makeSections(job, &b.f)
	b.readRows(job, row, line, ok)
	job.Frame = *b.sheet.frame
	job.Cores = b.r.makeCores(job, &b.f)
	b.together(job)
	job.Warnings = append(append(b.r.f.warnings[:len(b.r.f.warnings):len(b.r.f.warnings)], b.f.warnings...), job.Warnings...)
	for i := range job.Warnings {
		x := &job.Warnings[i]
		if x.Src = b.f.place(x.Src.Source); x.Src.Row == 0 {
			x.Src = b.r.f.place(x.Src.Source)
		}
	}
	return job
}

// readRows reads the log's rows, of which the first is at hand.
func (b *builder) readRows(job *model.Job, row []string, line int, ok bool) {
	b.rows.begin(&job.Settings, b.sheet.comma)
	for first := true; ok; first = false {
		b.rows.next(row, line)
		if !first {
			b.sameSettings(row)
		}
		if b.plan.jobField >= 0 && !b.sameJob(job, row) {
			break
		}
		row, line, ok = b.sheet.next()
	}
	job.Log = b.mem.entries
}

// together puts the job together. A row whose cells are at fault gives no further faults: they
// would follow from the first.
func (b *builder) together(job *model.Job) {
	var late faultList
	for _, f := range job.AssembleIn(&b.mem.bays) {
		row := f.Src.Source
		if row.Col = 0; !b.f.lines[row] {
			late.add(f.Src.Source, f.What, f.Hint)
		}
	}
	b.f.absorb(&late)
	b.r.corePlaces(job, &b.f)
	b.needs(job)
	b.checkPhotos(job)
}

// needs refuses a job whose log rests on a setting that nobody gave.
func (b *builder) needs(job *model.Job) {
	if job.Settings.BagWeight > 0 || len(job.Settings.BagChecks) > 0 {
		return
	}
	for i := range job.Log {
		e := &job.Log[i]
		if k := e.Material.Kind; k == model.MaterialBags || k == model.MaterialCounter {
			src := model.Source{} // the whole job is meant where the cell is at fault itself
			if e.Material.Raw != "" {
				src = e.Src
				src.Col = slices.Index(b.plan.names, k.Column()) + 1
			}
			b.f.addf(src, `write bag_weight,25 lb in job.csv, or type --bag-weight "25 lb"`, "bags are counted, and nobody gave the bag_weight")
			return
		}
	}
}

// settled are the settings that a job's files come to, but for its name.
type settled struct {
	settings model.Settings
	faults   []model.Fault
}

// settle resolves the job's settings: what its first row says, over job.csv. In a log of many jobs
// most of them say the same, so that what was resolved is kept by the texts that it came from. It
// needs the first row alone, since a later row that says otherwise is a fault (see sameSettings).
func (b *builder) settle(job *model.Job, name string, row []string) {
	b.first = nil
	for _, field := range b.plan.settings {
		b.first = append(b.first, at(row, field))
	}
	if name == "" {
		name = cell.Name(at(row, b.plan.jobField))
	}
	key := strings.Join(b.first, "\x00")
	got, known := b.cache[key]
	if !known {
		given := b.allGiven()
		if b.plan.jobField >= 0 {
			given = append(given, Given{Name: "job", Text: name, Src: b.sheet.frame.Place(b.sheet.place(b.plan.jobField))})
		}
		got.settings, got.faults = b.r.resolver.Job(b.r.opt.Name, given)
		if b.plan.jobField >= 0 {
			delete(got.settings.Raw, "job") // every job that shares these settings has a name of its own
		}
		if len(b.cache) > 1000 {
			clear(b.cache)
		}
		if len(got.faults) == 0 {
			b.cache[key] = got
		}
	}
	b.f.addAll(got.faults)
	job.Settings = got.settings
	if name != "" {
		job.Settings.Job = name
	}
	job.Name = job.Settings.Job
}

// allGiven is what job.csv gives and no column of the log does, then what the columns give.
func (b *builder) allGiven() []Given {
	var own []Given
	named := map[string]bool{}
	for i, field := range b.plan.settings {
		name := b.sheet.cols[field].name
		if cell.Blank(b.first[i]) {
			continue
		}
		named[name] = true
		own = append(own, Given{Name: name, Text: withUnit(b.first[i], b.sheet.cols[field].unit), Src: b.sheet.frame.Place(b.sheet.place(field)), Comma: b.sheet.comma})
	}
	if b.plan.jobField >= 0 {
		named["job"] = true
	}
	var all []Given
	for _, g := range b.r.given {
		if !named[g.Name] {
			all = append(all, g)
		}
	}
	return append(all, own...)
}

// sameJob refuses a row without a job, and ends the reading where the rows of another job follow.
func (b *builder) sameJob(job *model.Job, row []string) bool {
	text := at(row, b.plan.jobField)
	if text == job.Name {
		return true
	}
	name := cell.Name(text)
	src := b.sheet.place(b.plan.jobField)
	switch name {
	case job.Name:
	case "":
		b.f.add(src, "job is blank", "fill the name down; delete a row of totals")
	default:
		b.f.addf(src, "read a log of many jobs with bayproof check or bayproof review", "the log has more than one job: %s, and from here %s", job.Name, name)
		return false
	}
	return true
}

// sameSettings refuses a setting that a later row of the job says otherwise.
func (b *builder) sameSettings(row []string) {
	for i, field := range b.plan.settings {
		if field < len(row) && row[field] != b.first[i] && !cell.Blank(row[field]) {
			name := b.sheet.cols[field].name
			b.f.addf(b.sheet.place(field), "write it once, in the job's first row", "%s is %s here and %s in the job's first row", name,
				quoted(row[field]), quoted(b.first[i]))
		}
	}
}

// quoted is a cell as a message shows it.
func quoted(s string) string {
	if cell.Blank(s) {
		return "blank"
	}
	return `"` + s + `"`
}

// withUnit adds the unit of a header to a cell that has none; where a rod stopped, before what it
// stopped at.
func withUnit(s, unit string) string {
	for _, word := range model.StopWords() {
		if place, ok := strings.CutSuffix(s, " "+word); ok {
			if i := strings.LastIndexByte(place, ';'); i >= 0 {
				return withUnit(place[:i], unit) + ";" + withUnit(place[i+1:], unit) + " " + word
			}
			return withUnit(place, unit) + " " + word
		}
	}
	if unit == "" || s == "" || s[len(s)-1] < '0' || s[len(s)-1] > '9' {
		return s
	}
	return s + " " + unit
}

// maxFaults is how many faults of one file are told; a file with more has one cause that the first
// ones show.
const maxFaults = 100

// maxTold is how many bytes of a message are kept: a cell can hold a whole book.
const maxTold = 300

// faultList collects what is wrong with the files of one job, and what is worth knowing.
type faultList struct {
	list     []model.Fault
	dropped  map[string]int        // by file
	count    map[string]int        // by file
	lines    map[model.Source]bool // rows at fault
	frames   []framed
	warnings []model.Warning
}

// framed is how spreadsheets show a file.
type framed struct {
	file string
	*model.Frame
}

// add takes a fault; of a hopeless file only so many are kept, the rest are counted.
func (f *faultList) add(src model.Source, what, hint string) {
	if f.count == nil {
		f.count, f.dropped = map[string]int{}, map[string]int{}
	}
	if f.lines == nil {
		f.lines = map[model.Source]bool{}
	}
	f.lines[model.Source{File: src.File, Line: src.Line}] = true
	if f.count[src.File]++; f.count[src.File] > 10*maxFaults {
		f.dropped[src.File]++
		return
	}
	f.list = append(f.list, model.Fault{Src: model.Place{Source: src}, What: tell(what), Hint: tell(hint)})
}

// absorb takes over the faults of another list, and how many of them are not told.
func (f *faultList) absorb(other *faultList) {
	f.addAll(other.list)
	for _, x := range other.frames {
		f.shows(x.file, x.Frame)
	}
	for file, n := range other.dropped {
		if f.dropped == nil {
			f.count, f.dropped = map[string]int{}, map[string]int{}
		}
		f.dropped[file] += n
	}
}

// shows notes how a spreadsheet shows a file.
func (f *faultList) shows(file string, frame *model.Frame) {
	f.frames = append(slices.DeleteFunc(f.frames, func(x framed) bool { return x.file == file }), framed{file, frame})
}

// place is a source as a spreadsheet shows it; of a file that holds no table the line alone is
// known.
func (f *faultList) place(src model.Source) model.Place {
	for _, x := range f.frames {
		if x.file == src.File {
			return x.Place(src)
		}
	}
	return model.Place{Source: src}
}

// addf is add with a message that is put together.
func (f *faultList) addf(src model.Source, hint, format string, args ...any) {
	f.add(src, fmt.Sprintf(format, args...), hint)
}

// addAll takes over faults that are complete, as those of settings are.
func (f *faultList) addAll(list []model.Fault) {
	for _, x := range list {
		f.add(x.Src.Source, x.What, x.Hint)
	}
}

// warn notes something worth knowing that stops nothing.
func (f *faultList) warn(code string, src model.Source, format string, args ...any) {
	f.warnings = append(f.warnings, model.Warning{Code: code, Text: tell(fmt.Sprintf(format, args...)), Src: model.Place{Source: src}})
}

// sorted returns the faults in the order of the files given, then of lines and columns; of each
// file at most maxFaults, and one more that says how many are not told.
func (f *faultList) sorted(files []string) []model.Fault {
	rank := make(map[string]int, len(files))
	for i, name := range files {
		if _, seen := rank[name]; !seen {
			rank[name] = i
		}
	}
	slices.SortStableFunc(f.list, func(a, b model.Fault) int {
		return cmp.Or(cmp.Compare(rank[a.Src.File], rank[b.Src.File]), cmp.Compare(a.Src.Line, b.Src.Line), cmp.Compare(a.Src.Col, b.Src.Col))
	})
	for i := range f.list {
		f.list[i].Src = f.place(f.list[i].Src.Source)
	}
	return f.cut()
}

// cut leaves out what no one would read.
func (f *faultList) cut() []model.Fault {
	var out []model.Fault
	for i := 0; i < len(f.list); {
		file, j := f.list[i].Src.File, i
		for j < len(f.list) && f.list[j].Src.File == file {
			j++
		}
		told := min(j-i, maxFaults)
		out = append(out, f.list[i:i+told]...)
		if more := j - i - told + f.dropped[file]; more > 0 {
			out = append(out, model.Fault{Src: model.Place{Source: model.Source{File: file}}, What: fmt.Sprintf("%d more faults in this file", more),
				Hint: "correct the first ones and try again: most likely they have one cause"})
		}
		i = j
	}
	return out
}

// tell makes text from a file fit to be shown: control characters are shown and not obeyed, what is
// endless is cut.
func tell(s string) string {
	if len(s) > maxTold {
		cut := maxTold
		for !utf8.RuneStart(s[cut]) {
			cut--
		}
		s = s[:cut] + "…"
	}
	plain := func(r rune) bool { return unicode.IsPrint(r) || r == '\u00a0' }
	if strings.IndexFunc(s, func(r rune) bool { return !plain(r) }) < 0 {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if plain(r) {
			b.WriteRune(r)
		} else {
			q := fmt.Sprintf("%+q", string(r))
			b.WriteString(q[1 : len(q)-1])
		}
	}
	return b.String()
}
