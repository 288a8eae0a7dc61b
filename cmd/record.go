package cmd

import (
	"bytes"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"slices"
	"strings"
	"sync"

	"aead.dev/minisign"
	"github.com/spf13/cobra"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report"
	"bayproof/report/recheck"
	"bayproof/report/record"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
)

const recordHelp = `Type one of these:
  bayproof record JOB               writes JOB/record.html
  bayproof record JOB -o FILE       the record under another name
  bayproof record JOB --photos      with small copies of the photos inside
  bayproof record JOB --sign        signs it: JOB/record.html.minisig
  bayproof record JOB --front       its first two pages alone, JOB/front.html,
                                    to print and sign
  bayproof record JOB --redact      to give away, JOB/redacted.html: no site, no
                                    names, initials, notes, names of photos

The record is one file. Any browser opens it, without a network. It prints
on Letter and A4. The job's files are inside, so anyone can compute it
again: bayproof recheck record.html`

// recordOptions are the flags of record.
type recordOptions struct {
	common
	photos bool // small copies of the photos go into the record
	front  bool // the first two pages alone
	sign   bool // a signature is written beside it
	redact bool // it carries blanked copies of the job's files
}

// newRecord builds the command that writes the quality record.
func newRecord(env *Env) *cobra.Command {
	o := &recordOptions{common: common{env: env}}
	cmd := o.command("record JOB", "the quality record, one HTML file", recordHelp, oneJob, completeJob(env), o.run)
	o.settingFlags(cmd)
	o.programmeFlag(cmd, judgedBy)
	o.outputFlag(cmd, "write the record to `FILE` instead of JOB/record.html; - for the screen")
	cmd.Flags().BoolVar(&o.photos, "photos", false, "put small copies of the photos into the record")
	cmd.Flags().BoolVar(&o.sign, "sign", false, "sign the record with your own key, made the first time, as record.html.minisig beside it")
	cmd.Flags().BoolVar(&o.redact, "redact", false, "blank site, names, initials, notes and names of photos, as JOB/redacted.html; recheck of it ends with 4")
	cmd.Flags().BoolVar(&o.front, "front", false, "write the first two pages alone, to print and sign, as JOB/front.html")
	return cmd
}

// run writes the record into its job, unless another file is named, and says where it is. Open bays
// are no hindrance: the record then says that they are open.
func (o *recordOptions) run() error {
	if o.sign && (o.front || o.output == "-") {
		return usageErrorf("bayproof record "+inQuotes(o.args[0])+" --sign", "--sign signs the record in its file: neither --front nor the screen")
	}
	if o.redact && o.photos {
		return usageErrorf("bayproof record "+inQuotes(o.args[0])+" --redact", "--redact leaves photos out, --photos shows them")
	}
	folder, err := o.openJob()
	if err != nil {
		return err
	}
	defer folder.Close()
	d := o.place(folder.Dir)
	out := o.outputsOf(folder)
	if err := out.allow(d); err != nil {
		return err
	}
	job, err := readJob(o.env, folder, folder.FS, recordReading(folder.Name, o.settings))
	if err != nil {
		return err
	}
	if len(job.Bays) == 0 {
		return withHint(fmt.Errorf("%s: no bay in the log: there is nothing to record", o.args[0]), "bayproof log "+inQuotes(o.args[0])+" asks for the first one")
	}
	page, err := o.page(folder, job)
	if err != nil {
		return err
	}
	if err := out.result(d, whole(page)); err != nil {
		return err
	}
	if o.sign {
		if err := o.signed(d, page); err != nil {
			return err
		}
	}
	if !d.screen() {
		note(o.env.Stderr, "wrote %s: open it in a browser", d.file)
	}
	return nil
}

// place is where the record goes: into its job, unless another file is named. One that stands there
// and is of other files is told.
func (o *recordOptions) place(dir string) dest {
	d := o.toOutput()
	switch {
	case o.front:
		d.own = "front.html"
	case o.redact:
		d.own = "redacted.html"
	default:
		d.own = "record.html"
	}
	usual := filepath.Join(dir, d.own)
	if d.file == "" {
		d.file = usual
	}
	if d.own == "record.html" && d.file == usual {
		if names := changedSince(dir); len(names) > 0 {
			note(o.env.Stderr, "the record there was of other files: %s changed since", strings.Join(names, ", "))
		}
	}
	return d
}

// page makes the record of a job.
func (o *recordOptions) page(folder *joblog.Folder, job *model.Job) ([]byte, error) {
	defer o.env.waiting(say.Count(len(job.Bays), "bay", "bays") + " are judged, each as it stood too")()
	by := record.Tool{Name: tool().Name, Version: Version, Arch: family()}
	var in record.Input
	var err error
	if o.redact {
		in, err = blankedInput(job, folder.Log, o.settings, by)
	} else {
		in, err = recordInput(job, o.settings, by)
	}
	if err != nil {
		return nil, err
	}
	if o.photos {
		if o.env.Getenv("GOMEMLIMIT") == "" {
			debug.SetMemoryLimit(memoryOfPhotos)
		}
		var left []string
		in.Pictures, left = record.Pictures(folder.FS, job)
		for _, what := range left {
			note(o.env.Stderr, "not in the record: %s", what)
		}
	}
	in.Front = o.front
	var page bytes.Buffer
	err = record.Write(&page, in)
	return page.Bytes(), err
}

// memoryOfPhotos is what record keeps to while it copies photos, one after the other: what one took
// is thrown away for the next sooner than by Go's own rule. A single one takes 160 MB at most.
const memoryOfPhotos = 256 << 20

// signed writes a signature beside the record. Of several signers each has a file of its own: one
// whose signature of these very bytes lies there is not written over.
func (o *recordOptions) signed(d dest, page []byte) error {
	key, err := o.signingKey()
	if err != nil {
		return err
	}
	opened, err := record.Open(page)
	if err != nil {
		return err
	}
	name := d.file + ".minisig"
	for n := 2; ; n++ {
		text, err := os.ReadFile(name)
		var there minisign.Signature
		if err != nil || there.UnmarshalText(text) != nil || there.KeyID == key.ID() || !strings.Contains(there.TrustedComment, opened.Stated) {
			break // nothing there, our own, or one of a record that is no more
		}
		name = fmt.Sprintf("%s.%d.minisig", d.file, n)
	}
	r := minisign.NewReader(bytes.NewReader(page)) // hashed first, as the standard tool does
	if _, err := io.Copy(io.Discard, r); err != nil {
		return err
	}
	text := r.SignWithComments(key, "bayproof record, SHA-256 "+opened.Stated, "signature of "+filepath.Base(d.file))
	if err := (target{shown: name, folder: filepath.Dir(name), name: filepath.Base(name), inJob: true}).write(whole(text)); err != nil {
		return err
	}
	note(o.env.Stderr, "signed: %s", name)
	return nil
}

// signingKey reads the key of whoever runs the command, and makes it the first time: in the folder
// of user settings, readable to nobody else.
func (o *recordOptions) signingKey() (minisign.PrivateKey, error) {
	file, err := defaultsFile()
	if err != nil {
		return minisign.PrivateKey{}, err
	}
	dir := filepath.Dir(file)
	file = filepath.Join(dir, "sign.key")
	var key minisign.PrivateKey
	if text, err := os.ReadFile(file); err == nil {
		if err := key.UnmarshalText(text); err != nil {
			return key, withHint(fmt.Errorf("%s: not a key to sign with: %w", file, err), "move it away, and --sign makes a new one")
		}
		return key, nil
	} else if !errors.Is(err, fs.ErrNotExist) {
		return key, plainPath(err)
	}
	public, key, err := minisign.GenerateKey(rand.Reader)
	if err != nil {
		return key, err
	}
	text, err1 := key.MarshalText()
	pub, err2 := public.MarshalText()
	if err := errors.Join(err1, err2, os.MkdirAll(dir, 0o700), os.WriteFile(file, text, 0o600), os.WriteFile(filepath.Join(dir, "sign.pub"), pub, 0o644)); err != nil {
		return key, plainPath(err)
	}
	fmt.Fprintf(o.env.Stderr, "bayproof: made you a key: %s\nbayproof: it has no password: whoever has that file signs in your name. Keep a copy of it.\n"+
		"bayproof: give whoever rechecks this line for their file of signers: YOUR NAME %s\n", file, public.String())
	return key, nil
}

// changedSince names the files of a job that were changed, added or taken away since the record
// beside them was written; empty where there is no such record, or it is of these very files. The
// record is trusted in nothing but the files that it carries.
func changedSince(dir string) []string {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil
	}
	defer root.Close()
	plain := func(name string) bool { // a pipe would wait for somebody at its other end
		info, err := root.Lstat(name)
		return err == nil && info.Mode().IsRegular()
	}
	if !plain("record.html") {
		return nil
	}
	page, err := readRecord(filepath.Join(dir, "record.html"))
	if err != nil {
		return nil
	}
	carried, err := record.Inside(page)
	if err != nil {
		return nil
	}
	var out []string
	inside := map[string][]byte{"job.csv": nil, "sections.csv": nil, "cores.csv": nil, joblog.ProgrammeName: nil}
	for _, f := range carried.Files {
		inside[f.Name] = f.Raw
	}
	if !plain(joblog.ProgrammeName) { // the record was made with one that was named
		delete(inside, joblog.ProgrammeName)
	}
	for _, name := range slices.Sorted(maps.Keys(inside)) {
		if !joblog.PlainPath(name) {
			continue
		}
		var now []byte
		there := plain(filepath.FromSlash(name))
		if there {
			now, err = root.ReadFile(filepath.FromSlash(name))
		}
		if there != (inside[name] != nil) || err != nil || !bytes.Equal(now, inside[name]) {
			out = append(out, name)
		}
	}
	return out
}

// recordReading says how a job is read for its record, and read again by recheck: with the raw
// bytes of its files, which the record carries, and with digests of them and of its photos.
func recordReading(name string, flags map[string]string) joblog.Options {
	return joblog.Options{Name: name, Flags: flags, KeepRaw: true, Photos: true, Taken: record.Taken, Hash: true, Journal: joblog.Journals}
}

// recordInput is all that a record of a job is made from. recheck makes it anew from the files
// inside a record and compares: whatever goes in here must follow from the files, the flags and
// this build alone.
func recordInput(job *model.Job, flags map[string]string, by record.Tool) (record.Input, error) {
	opt := verify.All()
	opt.Logged = true
	f := verify.Check(job, opt)
	doc, err := report.AppendJSON(nil, f, report.Tool{Name: by.Name, Version: by.Version, Text: textDigest()}, false)
	return record.Input{Findings: f, JSON: doc, Flags: flags, Tool: by}, err
}

// blankedInput is what a record is made from that carries blanked copies of the job's files: all
// figures come of the copies, as recheck computes them again.
func blankedInput(job *model.Job, log string, flags map[string]string, by record.Tool) (record.Input, error) {
	blanker := joblog.NewBlanker(job)
	c := &record.Carried{Tool: by, Name: joblog.Blanked, Flags: blanker.Flags(flags)}
	for _, in := range job.Inputs {
		name := in.File
		if name == joblog.JournalOf(log) || name == joblog.JournalOf("cores.csv") { // no copy of it would hold its chain: that a record of blanked copies has none is no complaint
			continue
		}
		if name == log {
			name = joblog.LogName // a log may be named for its job
		}
		raw, ok := blanker.File(in.File, in.Raw)
		if !ok {
			return record.Input{}, fmt.Errorf("%s: no blanked copy can be made of it", in.File)
		}
		c.Files = append(c.Files, record.File{Name: name, Raw: raw})
		c.Originals = append(c.Originals, record.Original{Name: name, SHA256: in.SHA256})
	}
	for _, p := range blanker.Photos() {
		c.Photos = append(c.Photos, record.CarriedPhoto{Name: p.Name, SHA256: p.SHA256, Bytes: p.Bytes, Taken: p.Taken})
	}
	blank, faults := carriedJob(c)
	if len(faults) > 0 {
		return record.Input{}, fmt.Errorf("the blanked copies can't be read: %s", faults[0])
	}
	in, err := recordInput(blank, c.Flags, by)
	in.Originals = c.Originals
	return in, err
}

const recheckHelp = `Type one of these:
  bayproof recheck record.html                does it hold?
  bayproof recheck FOLDER                     every record in a folder
  bayproof recheck record.html --signers FILE who signed it?
  bayproof recheck record.html --extract DIR  gives the job's files back

It checks, in this order: the bytes (is the file as it was written?), the
files and the figures (computed again from the files inside), the page
(written again, and compared line by line). It quotes what differs, verdicts
first. It compares a record of another method, or in another version's words,
as far as it can.

Exit code: 0 it holds; 3 something differs; 4 nothing differs, but not all
could be checked: another method or other words, a page that a browser saved
or laid out again, a script or style that is not ours, files blanked with
--redact, a signature missing or foreign with --signers; 1 it can't be read.
Of several records 1 counts before 3, and 3 before 4.`

// recheckOptions are the flags of recheck.
type recheckOptions struct {
	common
	extract string // the new folder that the job's files go into; empty for none
	signers string // the file of names and public keys; empty for none
	known   []recheck.Signer
}

// newRecheck builds the command that computes a record again from what it carries.
func newRecheck(env *Env) *cobra.Command {
	o := &recheckOptions{common: common{env: env}}
	cmd := o.command("recheck RECORD…", "recomputes a record from what it carries", recheckHelp, func(_ *cobra.Command, args []string) error {
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
	cmd.Flags().StringVar(&o.signers, "signers", "", "tell who signed, by names and public keys in `FILE`, a line each")
	cmd.Flags().StringVar(&o.extract, "extract", "", "write the job's files, byte for byte, into the new folder `DIR`")
	_ = cmd.MarkFlagDirname("extract")
	return cmd
}

// run writes what is found about each record, in their order.
func (o *recheckOptions) run() error {
	if o.signers != "" {
		text, err := os.ReadFile(o.signers)
		if err != nil {
			return plainPath(err)
		}
		if o.known, err = recheck.ParseSigners(text); err != nil {
			return withHint(fmt.Errorf("%s: %w", o.signers, err), "a line each: the name, then the public key")
		}
	}
	records, err := o.records()
	if err != nil {
		return err
	}
	out := outputs{env: o.env}
	for _, name := range records {
		out.keep(name, "the record that is looked at again")
	}
	if err := out.allow(o.toOutput()); err != nil {
		return err
	}
	err = out.result(o.toOutput(), func(w io.Writer) error { return o.write(w, records) })
	return o.unwritten(err, "the records that can be read are told")
}

// records are the files to look at: those that are named, and of a folder every HTML file below it
// that says of itself that it is a record, in the order of their names, but for blanked copies of a
// record that lies beside them. Links are not followed.
func (o *recheckOptions) records() ([]string, error) {
	var out []string
	for _, arg := range o.args {
		if info, err := os.Stat(arg); err != nil || !info.IsDir() {
			out = append(out, arg) // what is not there is said when it is read
			continue
		}
		var found []string
		var copies blankedCopies
		others := 0
		err := filepath.WalkDir(arg, func(name string, d fs.DirEntry, err error) error {
			if err != nil || !d.Type().IsRegular() || !isPage(name) {
				return err
			}
			page, err := readRecord(name)
			if err == nil && !record.IsRecord(page) && !strings.EqualFold(d.Name(), "record.html") {
				others++
				return nil
			}
			found = append(found, name)
			copies.meet(name, page)
			return nil
		})
		if err != nil {
			return nil, plainPath(err)
		}
		if len(found) == 0 {
			return nil, withHint(fmt.Errorf("%s: no record in this folder", arg), "bayproof record JOB writes one")
		}
		for _, name := range found {
			if copies.has(name) {
				note(o.env.Stderr, "%s: a blanked copy of the record beside it, left out; name it to have it rechecked", name)
				continue
			}
			out = append(out, name)
		}
		if others > 0 {
			note(o.env.Stderr, "%s: %s no record", arg, say.Count(others, "other HTML file is", "other HTML files are"))
		}
	}
	return out, nil
}

// write looks at one record after the other. Of several the good ones are told though one cannot be
// read; the error then carries the gravest exit code.
func (o *recheckOptions) write(w io.Writer, records []string) error {
	code := exitDone
	var out []byte
	if o.format == formatCSV {
		out = append(out, "check,result,text,record\n"...)
	}
	for _, name := range records {
		r, err := o.recheck(name)
		if err != nil && len(records) == 1 {
			return err
		} else if err != nil {
			code = graver(code, exitCode(o.env.Stderr, err))
			continue
		}
		if len(out) > 0 && o.format == formatText {
			out = append(out, '\n')
		}
		if out, err = o.append(out, r, len(records) > 1); err != nil {
			return err
		}
		code = graver(code, exitOf[r.Outcome])
	}
	if _, err := w.Write(out); err != nil || code == exitDone {
		return err
	}
	return exitStatus(code)
}

// exitOf is the exit code that one record gives.
var exitOf = map[recheck.Outcome]int{recheck.Holds: exitDone, recheck.Differs: exitOpen, recheck.Partly: exitPart}

// recheck reads a record, computes it again, and gives its files back where that is asked for.
func (o *recheckOptions) recheck(name string) (*recheck.Result, error) {
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
	stop := o.env.waiting(filepath.Base(name) + " is computed again")
	r, err := recheck.Check(name, opened, recheck.Tool{Version: Version, Arch: family(), Method: verify.Method}, computeAgain)
	if stop(); err != nil {
		return nil, withHint(fmt.Errorf("%s: %w", name, err), "ask for the file itself: what it carries can't be computed again")
	}
	r.Signed(opened.Page, signatures(name), o.known)
	return r, nil
}

// signatures are the signature files beside a record, in the order of their names.
func signatures(name string) []recheck.Signature {
	var out []recheck.Signature
	entries, _ := os.ReadDir(filepath.Dir(name)) // a folder that cannot be listed shows none: not signed
	for _, e := range entries {
		if !e.Type().IsRegular() || !strings.HasPrefix(e.Name(), filepath.Base(name)+".") || !strings.HasSuffix(e.Name(), ".minisig") {
			continue
		}
		if info, err := e.Info(); err != nil || info.Size() > 1<<16 {
			continue // no signature is that long
		}
		if text, err := os.ReadFile(filepath.Join(filepath.Dir(name), e.Name())); err == nil {
			out = append(out, recheck.Signature{File: e.Name(), Text: text})
		}
	}
	return out
}

// computeAgain makes a record anew from what another carries: in its name and under its version, so
// that all that differs is what was changed. What no record has, a writer of another name, say, is
// not taken over.
func computeAgain(c *record.Carried) (recheck.Again, error) {
	by := record.Tool{Name: tool().Name, Version: Version, Arch: family()}
	if versionForm().MatchString(c.Tool.Version + "\n" + c.Tool.Arch) {
		by.Version, by.Arch = c.Tool.Version, c.Tool.Arch
	}
	flags := maps.Clone(c.Flags)
	maps.DeleteFunc(flags, func(name, _ string) bool {
		return !slices.ContainsFunc(model.SettingDefs(), func(d model.SettingDef) bool { return d.Name == name })
	})
	job, faults := carriedJob(c)
	if len(faults) > 0 {
		return recheck.Again{Faults: fmt.Sprintf("%s, first %s", say.Count(len(faults), "fault", "faults"), faults[0])}, nil
	}
	in, err := recordInput(job, flags, by)
	if err != nil {
		return recheck.Again{}, err
	}
	in.Pictures, in.Originals = c.Pictures, c.Originals
	var page bytes.Buffer
	err = record.Write(&page, in)
	return recheck.Again{JSON: in.JSON, Page: page.Bytes(), Bays: in.Findings.Totals.Bays}, err
}

// versionForm is what a version and a processor family look like: no room for another message.
var versionForm = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^v?[0-9]+(?:\.[0-9]+)*(?:-(?:alpha|beta|rc|dev)[.0-9]*)?\n(?:arm|mips|wasm|[a-z]*[0-9]+[a-z]*[0-9]*)(?: [a-z]*[0-9][0-9a-z.,]*)?$`)
})

// append lays out what was found: JSON of several records one a line, text with the file's name
// above it.
func (o *recheckOptions) append(dst []byte, r *recheck.Result, several bool) ([]byte, error) {
	b := bytes.NewBuffer(dst)
	switch o.format {
	case formatJSON:
		var doc bytes.Buffer
		e := json.NewEncoder(&doc)
		e.SetEscapeHTML(false)
		if !several {
			e.SetIndent("", "  ")
		}
		err := e.Encode(r)
		b.Write(screen.JSON(doc.Bytes()))
		return b.Bytes(), err
	case formatCSV:
		dst = screen.AppendRow(dst, "record", string(r.Outcome), screen.Cell(strings.Join(r.Changes, "; ")), screen.Cell(r.Record))
		for _, f := range r.Findings {
			dst = screen.AppendRow(dst, f.Check, string(f.Result), screen.Cell(f.Text), screen.Cell(r.Record))
		}
		for _, d := range r.Differences {
			dst = screen.AppendRow(dst, string(d.Part), string(recheck.Differs), screen.Cell(d.String()), screen.Cell(r.Record))
		}
		return dst, nil
	}
	if several {
		fmt.Fprintf(b, "%s: ", screen.Clean(r.Record))
	}
	b.WriteString(r.Text())
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
	note(o.env.Stderr, "%s", text)
}

// carriedJob reads the job again from the files that a record carries, one at least; the first of
// them is the log. Of photos only name, digest and time are inside, which is all that a verdict can
// hang on.
func carriedJob(c *record.Carried) (*model.Job, []model.Fault) {
	return carriedBy(c, recordReading(c.Name, c.Flags))
}

// carriedBy is carriedJob with the job read by other options.
func carriedBy(c *record.Carried, opt joblog.Options) (*model.Job, []model.Fault) {
	files := map[string][]byte{}
	for _, f := range c.Files {
		files[f.Name] = f.Raw
	}
	job, faults := joblog.Read(&joblog.Held{Files: files}, c.Files[0].Name, opt)
	if len(faults) > 0 {
		return nil, faults
	}
	for _, p := range c.Photos {
		job.Photos = append(job.Photos, model.Photo{Name: p.Name, SHA256: p.SHA256, Bytes: p.Bytes, Taken: p.Taken})
	}
	return job, nil
}

// extract writes the files that a record carries into a folder that is not there yet, or is empty.
// Names that lead out of it, or to one file twice, are refused before anything is written.
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

// plainFiles refuses names that are none of a file in a job, and those that a folder could not hold
// beside each other: two that differ in case alone, and one that is another's folder.
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

// extractFile writes one file where none is. os.Root keeps it below the folder, should a link have
// been put there meanwhile.
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
