package cmd

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report"
	"bayproof/report/record"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

const recordHelp = `Type one of these:
  bayproof record JOB               writes JOB/record.html
  bayproof record JOB -o FILE       the record under another name
  bayproof record JOB --photos      with small copies of the photos inside

The record is one file. It opens in any browser without a network, prints
on Letter and A4, and carries the job's files inside, so that anyone can
compute it again: bayproof recheck record.html`

// recordOptions are the flags of record.
type recordOptions struct {
	common
	photos bool // small copies of the photos go into the record
}

// newRecord builds the command that writes the quality record.
func newRecord(env *Env) *cobra.Command {
	o := &recordOptions{common: common{env: env}}
	cmd := o.command("record JOB", "the quality record, one HTML file", recordHelp, oneJob, completeJob(env), o.run)
	o.settingFlags(cmd)
	o.outputFlag(cmd, "write the record to `FILE` instead of JOB/record.html; - for the screen")
	cmd.Flags().BoolVar(&o.photos, "photos", false, "put small copies of the photos into the record")
	return cmd
}

// run writes the record into its job, unless another file is named, and says where it is. Open bays are no hindrance: the
// record then says that they are open.
func (o *recordOptions) run() error {
	folder, err := openJob(o.args[0])
	if err != nil {
		return err
	}
	defer folder.Close()
	d := o.toOutput()
	d.own = "record.html"
	if d.file == "" {
		d.file = filepath.Join(folder.Dir, d.own)
	}
	out := outputs{env: o.env}
	out.readsJob(folder.Dir, folder.Log)
	if err := out.allow(d); err != nil {
		return err
	}
	job, err := readJob(o.env, folder, folder.FS, recordReading(folder.Name, o.settings))
	if err != nil {
		return err
	}
	if len(job.Bays) == 0 {
		return withHint(fmt.Errorf("%s: no bay in the log: there is nothing to record", o.args[0]), "bayproof log "+o.args[0]+" asks for the first one")
	}
	in, err := recordInput(job, o.settings)
	if err != nil {
		return err
	}
	if o.photos {
		var left []string
		in.Pictures, left = record.Pictures(folder.FS, job)
		for _, what := range left {
			fmt.Fprintf(o.env.Stderr, "bayproof: not in the record: %s\n", screen.Clean(what))
		}
	}
	if err := out.result(d, func(w io.Writer) error { return record.Write(w, in) }); err != nil {
		return err
	}
	if !d.screen() {
		fmt.Fprintf(o.env.Stderr, "bayproof: wrote %s: open it in a browser\n", d.file)
	}
	return nil
}

// recordReading says how a job is read for its record, and read again by recheck: with the raw bytes of its files, which the
// record carries, and with digests of them and of its photos.
func recordReading(name string, flags map[string]string) joblog.Options {
	return joblog.Options{Name: name, Flags: flags, KeepRaw: true, Photos: true, Taken: record.Taken, Hash: true}
}

// recordInput is all that a record of a job is made from. recheck makes it anew from the files inside a record and compares:
// whatever goes in here must follow from the files, the flags and this build alone.
func recordInput(job *model.Job, flags map[string]string) (record.Input, error) {
	opt := verify.All()
	opt.Logged = true
	f := verify.Check(job, opt)
	doc, err := report.AppendJSON(nil, f, tool(), false)
	return record.Input{Findings: f, JSON: doc, Flags: flags, Tool: record.Tool{Name: tool().Name, Version: Version, Arch: family()}}, err
}

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
	common
	extract string // the new folder that the job's files go into; empty for none
}

// newRecheck builds the command that computes a record again from what it carries.
func newRecheck(env *Env) *cobra.Command {
	o := &recheckOptions{common: common{env: env}}
	cmd := o.command("recheck record.html…", "recomputes a record from what it carries", recheckHelp, func(_ *cobra.Command, args []string) error {
		if len(args) == 0 {
			return usageErrorf("bayproof recheck record.html", "recheck: which record?")
		}
		if o.extract != "" && len(args) > 1 {
			return usageErrorf("bayproof recheck record.html --extract DIR", "--extract gives back the files of one record, not of %d", len(args))
		}
		return nil
	}, completeFile(env, ".html"), o.run)
	o.formatFlag(cmd)
	o.outputFlag(cmd, toFile)
	cmd.Flags().StringVar(&o.extract, "extract", "", "write the job's files, byte for byte, into the new folder `DIR`")
	_ = cmd.MarkFlagDirname("extract")
	return cmd
}

// run writes what is found about each record, in their order.
func (o *recheckOptions) run() error {
	out := outputs{env: o.env}
	for _, name := range o.args {
		out.keep(name, "the record that is looked at again")
	}
	if err := out.allow(o.toOutput()); err != nil {
		return err
	}
	err := out.result(o.toOutput(), o.write)
	if o.output != "" && isStatus(err, exitFault) {
		printHint(o.env.Stderr, fmt.Sprintf("%s was not written; without -o the records that can be read are told", o.output))
	}
	return err
}

// write looks at one record after the other. Of several the good ones are told though one cannot be read; the error then
// carries the gravest exit code.
func (o *recheckOptions) write(w io.Writer) error {
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
		for _, f := range r.Findings {
			dst = screen.AppendRow(dst, f.Check, f.Result, screen.Cell(f.Text), screen.Cell(name))
		}
		return dst, nil
	}
	if len(o.args) > 1 {
		fmt.Fprintf(b, "%s: ", screen.Clean(name))
	}
	b.WriteString(r.text())
	return b.Bytes(), nil
}

// readRecord reads a file, and no more of it than any record has: somebody else chose it.
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

// sayExtracted says what was given back, and what a recomputation from it would lack.
func (o *recheckOptions) sayExtracted(c *record.Carried) {
	text := fmt.Sprintf("wrote %s to %s", say.Count(len(c.Files), "file", "files"), o.extract)
	if n := len(c.Photos); n > 0 {
		text += fmt.Sprintf("; of %s only the name and the SHA-256 are inside", say.Count(n, "photo", "photos"))
	}
	if len(c.Flags) > 0 { // without them the files give other verdicts
		text += "; the record was taken with"
		for _, name := range slices.Sorted(maps.Keys(c.Flags)) {
			text += fmt.Sprintf(" --%s %q", strings.ReplaceAll(name, "_", "-"), c.Flags[name])
		}
	}
	fmt.Fprintf(o.env.Stderr, "bayproof: %s\n", screen.Clean(text))
}

// rechecked is what was found about a record, as the JSON has it.
type rechecked struct {
	Method      int                 `json:"method"` // by which figures are computed here
	Record      string              `json:"record"` // the file
	Holds       bool                `json:"holds"`  // nothing differs, and the figures were compared
	Job         string              `json:"job"`
	Tool        record.Tool         `json:"written_by"`
	Stated      int                 `json:"record_method"` // by which the record's figures were computed; 0 where that is no number
	Findings    []recheckFinding    `json:"checks"`
	Differences []record.Difference `json:"differences"`
	Note        string              `json:"note"`
}

// recheckFinding is one of the checks: holds, differs, or not compared, with a sentence. They are bytes, figures and page, and
// files where the figures, which rest on them, are not compared.
type recheckFinding struct {
	Check  string `json:"check"`
	Result string `json:"result"`
	Text   string `json:"text"`
}

const (
	holds       = "holds"
	differs     = "differs"
	notCompared = "not compared"
)

// digestNote says what the digest does not prove: it is computed, and anyone can compute it.
const digestNote = "A digest shows that nothing changed since the record was written.\n" +
	"It does not show that what was written is true, nor who wrote it:\nfor that the file is signed."

// recheck computes everything again, or compares what can be compared of a record of another method. Three things are looked
// at, each for what the ones before cannot show: the bytes, whether the file was touched since; the figures, whether they
// follow from the job's files inside, since whoever touches it can put a new digest in; the page, whether what is shown is
// what was computed.
func recheck(o *record.Opened, page []byte) (*rechecked, error) {
	r := &rechecked{Method: verify.Method, Stated: o.Method(), Job: o.Carried.Name, Tool: o.Carried.Tool, Note: digestNote, Differences: []record.Difference{}}
	if len(o.Carried.Files) == 0 {
		return nil, errors.New("it carries no files")
	}
	r.bytes(o)
	if r.Stated != 0 && r.Stated != r.Method {
		return r, r.otherMethod(o)
	}
	job, faults := carriedJob(&o.Carried)
	if len(faults) > 0 { // these are no files from which a record can have been written
		f := faults[0]
		r.add("figures", differs, "no record can be written from the files inside: %s, first %s:%d:%d: %s",
			say.Count(len(faults), "fault", "faults"), f.Src.File, f.Src.Line, f.Src.Col, f.What)
		r.add("page", notCompared, "it cannot be written again")
		return r, nil
	}
	in, err := recordInput(job, o.Carried.Flags)
	if err != nil {
		return nil, err
	}
	if r.Differences, err = record.Compare(o.Findings, in.JSON); err != nil {
		return nil, err
	}
	if n := len(r.Differences); n > 0 {
		r.add("figures", differs, "%s when computed again from the files inside; first %s: the record says %s, it is %s",
			say.Count(n, "figure differs", "figures differ"), r.Differences[0].Where, r.Differences[0].Stated, r.Differences[0].Now)
	} else {
		r.add("figures", holds, "%s computed again from %s inside, all the same",
			say.Count(in.Findings.Totals.Bays, "bay", "bays"), say.Count(len(o.Carried.Files), "file", "files"))
	}
	in.Pictures = o.Carried.Pictures
	if err := r.page(in, page); err != nil {
		return nil, err
	}
	r.Holds = r.exit() == exitDone
	return r, nil
}

// exit is the exit code that one record gives: the gravest of its checks. A page that could not be written again is told and changes nothing: its
// figures were compared.
func (r *rechecked) exit() int {
	code := exitDone
	for _, f := range r.Findings {
		switch {
		case f.Result == differs:
			return exitOpen
		case f.Result == notCompared && f.Check == "figures":
			code = exitPart
		}
	}
	return code
}

// otherMethod compares what does not hang on the method: whether the files inside are those that the figures came from.
func (r *rechecked) otherMethod(o *record.Opened) (err error) {
	if r.Differences, err = o.CompareFiles(); err != nil {
		return err
	}
	files := say.Count(len(o.Carried.Files), "file", "files")
	if len(r.Differences) > 0 {
		d := r.Differences[0]
		r.add("files", differs, "the %s inside are not those that the figures were computed from; first %s: the record says %s, it is %s",
			files, d.Where, d.Stated, d.Now)
	} else {
		r.add("files", holds, "%s inside, as when the figures were computed", files)
	}
	age := "a newer"
	if r.Stated < r.Method {
		age = "an older"
	}
	r.add("figures", notCompared, "written by %s method: figures not compared. The record names method %d, this version computes by method %d. To compare them take the version that wrote it: %s",
		age, r.Stated, r.Method, r.Tool.Version)
	r.add("page", notCompared, "a page of another method cannot be written again")
	return nil
}

// add notes the result of one check with its sentence.
func (r *rechecked) add(check, result, format string, args ...any) {
	r.Findings = append(r.Findings, recheckFinding{check, result, fmt.Sprintf(format, args...)})
}

// bytes tells whether the file is as it was written: its SHA-256 against the one that it states, and if not, what usually
// happens to a file on its way.
func (r *rechecked) bytes(o *record.Opened) {
	switch {
	case o.Holds():
		r.add("bytes", holds, "as written: SHA-256\n%s\n%s", o.Stated[:32], o.Stated[32:])
	case o.SavedAs:
		r.add("bytes", differs, "not as written; it looks like a page that a browser saved anew: ask for the file itself")
	case o.LineEnds:
		r.add("bytes", differs, "not as written; its line ends were changed, as some mail and transfer programs do: ask for the file itself")
	default:
		r.add("bytes", differs, "not as written: it says %.12s…, its bytes give %.12s…", o.Stated, o.Computed)
	}
}

// page writes the page again where it can be the same to the byte: by the same version, on the same family of processors.
func (r *rechecked) page(in record.Input, page []byte) error {
	if r.Tool.Version != Version || r.Tool.Arch != family() {
		r.add("page", notCompared, "written by version %s on %s, this is %s on %s", r.Tool.Version, r.Tool.Arch, Version, family())
		return nil
	}
	var again bytes.Buffer
	if err := record.Write(&again, in); err != nil {
		return err
	}
	if where := record.FirstChange(page, again.Bytes()); where != "" {
		r.add("page", differs, "written again it reads otherwise, first in %s", where)
		return nil
	}
	r.add("page", holds, "written again: the same to the byte")
	return nil
}

// text lays the checks out for a screen: each with its sentences under one another, then every figure that differs.
func (r *rechecked) text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, written by %s %s\n", screen.Clean(r.Job), screen.Clean(r.Tool.Name), screen.Clean(r.Tool.Version))
	for _, f := range r.Findings {
		head := fmt.Sprintf("%-8s %-13s ", f.Check, f.Result)
		for _, line := range strings.Split(f.Text, "\n") {
			hanging(&b, head, screen.Clean(line))
			head = screen.Pad("", len(head))
		}
	}
	for i, d := range r.Differences {
		if i > 0 { // the first stands above
			fmt.Fprintf(&b, "         %s\n", screen.Clean(fmt.Sprintf("%s: the record says %s, it is %s", d.Where, d.Stated, d.Now)))
		}
	}
	fmt.Fprintf(&b, "%s\n", r.Note)
	return b.String()
}

// carriedJob reads the job again from the files that a record carries, one at least; the first of them is the log. Of photos
// only name, digest and time are inside, which is all that a verdict can hang on.
func carriedJob(c *record.Carried) (*model.Job, []model.Fault) {
	var fsys fs.FS = nothing{}
	for _, f := range c.Files {
		fsys = joblog.Overlay(fsys, f.Name, f.Raw)
	}
	job, faults := joblog.Read(fsys, c.Files[0].Name, recordReading(c.Name, c.Flags))
	if len(faults) > 0 {
		return nil, faults
	}
	for _, p := range c.Photos {
		job.Photos = append(job.Photos, model.Photo{Name: p.Name, SHA256: p.SHA256, Bytes: p.Bytes, Taken: p.Taken})
	}
	return job, nil
}

// extract writes the files that a record carries into a folder that is not there yet, or is empty. Names that lead out
// of it, or to one file twice, are refused before anything is written.
func extract(opened *record.Opened, dir string) error {
	if err := plainFiles(opened.Carried.Files); err != nil {
		return withHint(err, "nothing was written")
	}
	if entries, err := os.ReadDir(dir); err == nil && len(entries) > 0 {
		return withHint(fmt.Errorf("%s is not empty: nothing in it is overwritten", dir), "name a new folder")
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return plainPath(err)
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return plainPath(err)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return plainPath(err)
	}
	defer root.Close()
	for _, f := range opened.Carried.Files {
		if err := extractFile(root, filepath.FromSlash(f.Name), f.Raw); err != nil {
			return writeTrouble(filepath.Join(dir, f.Name), err)
		}
	}
	return nil
}

// plainFiles refuses names that are none of a file in a job, and those that a folder could not hold beside each other: two
// that differ in case alone, and one that is another's folder.
func plainFiles(files []record.File) error {
	seen, folders := map[string]bool{}, map[string]bool{}
	for _, f := range files {
		if !joblog.PlainPath(f.Name) {
			return fmt.Errorf("the record carries a file named %q, which is no name of a file in a job", f.Name)
		}
		name := strings.ToLower(f.Name)
		if seen[name] {
			return fmt.Errorf("the record carries two files named %q", f.Name)
		}
		seen[name] = true
		for above := path.Dir(name); above != "."; above = path.Dir(above) {
			folders[above] = true
		}
	}
	for _, f := range files {
		if folders[strings.ToLower(f.Name)] {
			return fmt.Errorf("the record carries %q as a file and as a folder", f.Name)
		}
	}
	return nil
}

// extractFile writes one file where none is. os.Root keeps it below the folder, should a link have been put there meanwhile.
func extractFile(root *os.Root, name string, raw []byte) error {
	if sub := filepath.Dir(name); sub != "." {
		if err := root.MkdirAll(sub, 0o777); err != nil {
			return err
		}
	}
	f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(raw)
	return errors.Join(err, f.Close())
}
