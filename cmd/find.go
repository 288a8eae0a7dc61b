package cmd

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/report/recheck"
	"bayproof/report/record"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// finder finds the jobs of a review: those of logs, of jobs' folders and of every job's folder
// below a folder. Whatever looks like a job and cannot be read is given too, with the reason; what
// is left out for another reason is told in asides.
type finder struct {
	opt    joblog.Options
	give   func(jobRead) bool
	seen   map[string][]visit // by the real path, whatever its case
	links  []string           // links to folders, which wait for the folders themselves
	given  int                // jobs so far, those that cannot be read among them
	more   bool               // the review wants more
	asides []string           // what is left out, and why, in sentences

	folders []string            // the jobs' folders that were given
	records []string            // records that lie by no job: they wait for the folders
	heads   map[string][]byte   // of the logs in folders, as they were asked for
	digests map[[32]byte]string // of records that were met, and where
}

// visit is a folder that was gone through, or the log in it that was read.
type visit struct{ shown, real, log string }

// find gives the jobs of one input, those of a folder in the order of their paths, linked ones
// last. It answers false when no more are wanted.
func (f *finder) find(arg string) bool {
	info, err := os.Stat(arg)
	if err != nil {
		return eachJob(arg, nil, f.opt, f.give) // says so
	}
	if !info.IsDir() && isPage(arg) {
		f.records = append(f.records, arg)
		return f.more
	}
	if !info.IsDir() {
		if f.first(arg, behindLinks(filepath.Dir(arg)), filepath.Base(arg)) {
			eachJob(arg, nil, f.opt, f.give)
		}
		return f.more
	}
	before, asides, records := f.given, len(f.asides), len(f.records)
	f.walk(arg, behindLinks(arg))
	for len(f.links) > 0 && f.more {
		links := f.links
		f.links = nil
		for _, link := range links {
			if f.more {
				f.follow(link)
			}
		}
	}
	if f.given == before && len(f.asides) == asides && len(f.records) == records && f.more {
		f.fail(arg, withHint(errors.New(arg+": no job in this folder or below it"), "a job is a folder with bays.csv in it, or a record"))
	}
	return f.more
}

// walk goes through a folder, which really lies at real, and those below it. A job's folder may
// hold others. Hidden folders are left out: they belong to programs.
func (f *finder) walk(dir, real string) {
	if !f.first(dir, real, "") {
		return
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		f.fail(dir, plainPath(err))
		return
	}
	if !f.job(dir, real, entries) {
		return
	}
	if !slices.Contains(f.folders, dir) { // records beside a log are that job's own
		f.recordsIn(dir, entries)
	}
	for _, e := range entries {
		path := filepath.Join(dir, e.Name())
		switch {
		case !f.more:
			return
		case strings.HasPrefix(e.Name(), "."), e.Name() == joblog.LogName:
		case e.IsDir():
			f.walk(path, filepath.Join(real, e.Name()))
		case e.Type()&(fs.ModeSymlink|fs.ModeIrregular) != 0: // the second are junctions of Windows
			f.link(path)
		}
	}
}

// job gives the job whose folder it is, if it is one. It answers false where nothing in the folder
// can be looked at.
func (f *finder) job(dir, real string, entries []fs.DirEntry) bool {
	log, settings := "", false
	for _, e := range entries {
		switch {
		case e.Name() == joblog.LogName:
			log = e.Name()
		case log == "" && strings.EqualFold(e.Name(), joblog.LogName):
			log = e.Name()
		case strings.EqualFold(e.Name(), "job.csv"):
			settings = true
		}
	}
	if log == "" {
		if settings {
			f.fail(dir, errors.New(dir+": job.csv and no log: a log is called "+joblog.LogName))
		}
		return true
	}
	at := filepath.Join(dir, joblog.LogName)
	info, err := os.Stat(at) // where the case of names does not count this is Bays.csv too
	_, none := os.Lstat(at)
	switch {
	case errors.Is(err, fs.ErrPermission):
		f.fail(dir, plainPath(err))
		return false
	case log != joblog.LogName && none != nil:
		f.fail(dir, fmt.Errorf("%s: the log is called %s: rename it %s", dir, log, joblog.LogName))
	case err != nil && none == nil:
		f.fail(dir, errors.New(at+": a link that leads nowhere"))
	case err == nil && info.IsDir():
		f.fail(dir, errors.New(at+": a folder, not a file"))
	case f.first(dir, real, joblog.LogName):
		f.folders = append(f.folders, dir)
		eachJob(dir, nil, f.opt, f.give)
	}
	return true
}

// link notes a link that leads to a folder, or nowhere.
func (f *finder) link(path string) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		f.aside("%s is a link that leads nowhere: not looked into", path)
	case err != nil:
		f.fail(path, plainPath(err))
	case info.IsDir():
		f.links = append(f.links, path)
	}
}

// follow goes into a link that leads to a job's folder. One to any other is named and not gone
// into: it may lead anywhere, and to the whole disk.
func (f *finder) follow(path string) {
	entries, err := os.ReadDir(path)
	if err != nil {
		f.fail(path, plainPath(err))
		return
	}
	for _, e := range entries {
		if strings.EqualFold(e.Name(), joblog.LogName) || strings.EqualFold(e.Name(), "job.csv") {
			f.walk(path, behindLinks(path))
			return
		}
	}
	f.aside("%s is a link to a folder that is no job: not looked into", path)
}

// isPage tells by its name whether a file may be a record: an HTML page.
func isPage(name string) bool {
	return slices.Contains([]string{".html", ".htm"}, strings.ToLower(filepath.Ext(name)))
}

// blankedCopies tells which of the records that were met are blanked copies of one in the same
// folder. Such a copy says nothing that the record beside it does not say better: its files are
// those that it was made from. The zero value is ready.
type blankedCopies struct {
	whole     map[string][]record.Carried  // by folder, of the records that carry the files themselves
	originals map[string][]record.Original // by name, of the blanked ones
}

// meet takes note of a record; of one that cannot be read nothing is noted.
func (b *blankedCopies) meet(name string, page []byte) {
	if b.whole == nil {
		b.whole, b.originals = map[string][]record.Carried{}, map[string][]record.Original{}
	}
	c, err := record.Inside(page)
	switch dir := filepath.Dir(name); {
	case err != nil:
	case len(c.Originals) > 0:
		b.originals[name] = c.Originals
	default:
		b.whole[dir] = append(b.whole[dir], c)
	}
}

// has tells whether a record is such a copy, once all that lie in its folder were met.
func (b *blankedCopies) has(name string) bool {
	originals := b.originals[name]
	return slices.ContainsFunc(b.whole[filepath.Dir(name)], func(c record.Carried) bool { return c.Holds(originals) })
}

// recordsIn notes the records that lie in a folder, but for blanked copies of one that lies there
// too.
func (f *finder) recordsIn(dir string, entries []fs.DirEntry) {
	var copies blankedCopies
	var names []string
	for _, e := range entries {
		name := filepath.Join(dir, e.Name())
		if !e.Type().IsRegular() || !isPage(name) {
			continue
		}
		page, err := readRecord(name)
		if err != nil || !record.IsRecord(page) {
			continue // sheets, a phone's page, a review
		}
		names = append(names, name)
		copies.meet(name, page)
	}
	for _, name := range names {
		if copies.has(name) {
			f.aside("%s is a blanked copy of the record beside it: left out", name)
			continue
		}
		f.records = append(f.records, name)
	}
}

// giveRecords gives the records that were found, once all folders are known: a job is counted once,
// by its folder where that is given too. A record of the folder's log as it is, or as it was before
// rows were added to it, is told and left out; so is one that lies there twice.
func (f *finder) giveRecords() {
	f.digests = map[[32]byte]string{}
	for _, name := range f.records {
		page, err := readRecord(name)
		if err != nil {
			f.fail(name, err)
			continue
		}
		if opened, err := record.Open(page); err == nil { // what a mail program put round it makes no other record of it
			page = opened.Page
		}
		sum := sha256.Sum256(page)
		if first, again := f.digests[sum]; again {
			f.aside("%s is %s again: it is read once", name, first)
			continue
		}
		f.digests[sum] = name
		if c, err := record.Inside(page); err == nil && len(c.Files) > 0 {
			if dir, grown := f.folderOf(c.Files[0].Raw); dir != "" {
				if grown {
					f.aside("%s is older than its folder: %s has rows that it lacks; the folder is read", name, filepath.Join(dir, joblog.LogName))
				} else {
					f.aside("%s is the record of %s: the folder is read", name, dir)
				}
				continue
			}
		}
		if !f.give(jobRead{arg: name, record: true}) {
			return
		}
	}
}

// folderOf is the job's folder whose log is this one, or begins with it: the log grew since.
func (f *finder) folderOf(log []byte) (dir string, grown bool) {
	if len(log) == 0 {
		return "", false
	}
	for _, dir := range f.folders {
		if !bytes.HasPrefix(f.head(dir), log[:min(len(log), headBytes)]) {
			continue
		}
		name := filepath.Join(dir, joblog.LogName)
		if now, err := os.ReadFile(name); err == nil && bytes.HasPrefix(now, log) {
			return dir, len(now) > len(log)
		}
	}
	return "", false
}

// headBytes is how much of a log's beginning is looked at first, which tells it from most others.
const headBytes = 512

// head is the beginning of the log in a job's folder, read once; empty where it cannot be read.
func (f *finder) head(dir string) []byte {
	head, known := f.heads[dir]
	if !known {
		if log, err := os.Open(filepath.Join(dir, joblog.LogName)); err == nil {
			head, _ = io.ReadAll(io.LimitReader(log, headBytes))
			log.Close()
		}
		if f.heads == nil {
			f.heads = map[string][]byte{}
		}
		f.heads[dir] = head
	}
	return head
}

// sumRecord rechecks a record and judges the job that it carries by the review's terms. One that
// differs from what its files give is left out, with the reason among what could not be read; one
// that could not be compared in full is reviewed and told.
func (o *reviewOptions) sumRecord(in jobRead) summed {
	bad := func(format string, args ...any) summed {
		return summed{bad: &audit.Bad{Place: in.arg, Faults: []model.Fault{{Src: model.Place{Source: model.Source{File: in.arg}}, What: fmt.Sprintf(format, args...)}}}}
	}
	page, err := readRecord(in.arg)
	if err != nil {
		return bad("%v", err)
	}
	opened, err := record.Open(page)
	if err != nil {
		return bad("%v", err)
	}
	r, err := recheck.Check(in.arg, opened, recheck.Tool{Version: Version, Arch: family(), Method: verify.Method}, computeAgain)
	if err != nil {
		return bad("%v", err)
	}
	said := ""
	for _, x := range r.Findings {
		if x.Result == r.Outcome && said == "" {
			said = x.Check + ": " + strings.Join(strings.Fields(x.Text), " ")
		}
	}
	switch r.Outcome {
	case recheck.Differs:
		return bad("the record does not hold and is left out: %s", said)
	case recheck.Partly:
		o.noted(in.arg + ": reviewed, though not fully checked: " + said)
	}
	opt := recordReading(opened.Carried.Name, opened.Carried.Flags)
	opt.Terms = &o.terms
	opt.Own, opt.Flags = o.terms.Split(opened.Carried.Flags) // what the record was made with is the job's own word
	maps.Copy(opt.Flags, o.settings)                         // what stands on the command line beats what the record was made with
	job, faults := carriedBy(&opened.Carried, opt)
	if len(faults) > 0 {
		return bad("%s", faults[0].What)
	}
	at := audit.Place{Input: in.arg, Record: o.wayTo(in.arg)}
	return o.judge(in, job, at, in.arg)
}

// first tells whether a folder, or the log in it, is met for the first time, and says it where it
// is not. A folder is known by itself and not by its name, so that a job is never counted twice and
// then said to be a copy of itself.
func (f *finder) first(shown, real, log string) bool {
	key := strings.ToLower(real)
	for _, v := range f.seen[key] {
		if v.log != log || real != v.real && !sameFolder(real, v.real) {
			continue
		}
		if filepath.Clean(shown) == filepath.Clean(v.shown) {
			f.aside("%s is given twice: it is read once", shown)
		} else {
			f.aside("%s is %s again: it is read once", shown, v.shown)
		}
		return false
	}
	f.seen[key] = append(f.seen[key], visit{shown, real, log})
	return true
}

// aside notes what is left out without harm.
func (f *finder) aside(format string, args ...any) {
	f.asides = append(f.asides, fmt.Sprintf(format, args...))
}

// fail gives what looks like a job and cannot be read.
func (f *finder) fail(at string, err error) { f.give(jobRead{arg: at, err: err}) }
