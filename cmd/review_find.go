package cmd

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"bayproof/model/joblog"
)

// finder finds the jobs of a review: those of logs, of jobs' folders and of every job's folder below a folder. Whatever
// looks like a job and cannot be read is given too, with the reason; what is left out for another reason is told in asides.
type finder struct {
	opt    joblog.Options
	give   func(jobRead) bool
	seen   map[string][]visit // by the real path, whatever its case
	links  []string           // links to folders, which wait for the folders themselves
	given  int
	more   bool // the review wants more
	asides []string
}

// visit is a folder that was gone through, or the log in it that was read.
type visit struct{ shown, real, log string }

func newFinder(opt joblog.Options, give func(jobRead) bool) *finder {
	f := &finder{opt: opt, seen: map[string][]visit{}, more: true}
	f.give = func(in jobRead) bool {
		f.given++
		f.more = give(in)
		return f.more
	}
	return f
}

// find gives the jobs of one input, those of a folder in the order of their paths, linked ones last. It answers false
// when no more are wanted.
func (f *finder) find(arg string) bool {
	info, err := os.Stat(arg)
	if err != nil {
		return eachJob(arg, f.opt, f.give) // says so
	}
	if !info.IsDir() {
		if f.first(arg, realPath(filepath.Dir(arg)), filepath.Base(arg)) {
			eachJob(arg, f.opt, f.give)
		}
		return f.more
	}
	before, asides := f.given, len(f.asides)
	f.walk(arg, realPath(arg))
	for len(f.links) > 0 && f.more {
		links := f.links
		f.links = nil
		for _, link := range links {
			if f.more {
				f.follow(link)
			}
		}
	}
	if f.given == before && len(f.asides) == asides && f.more {
		f.fail(arg, noJobBelow(arg))
	}
	return f.more
}

// walk goes through a folder, which really lies at real, and those below it.
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

// job gives the job whose folder it is, if it is one. It answers false where nothing in the folder can be looked at.
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
		eachJob(dir, f.opt, f.give)
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

// follow goes into a link that leads to a job's folder. One to any other is named and not gone into: it may lead anywhere,
// and to the whole disk.
func (f *finder) follow(path string) {
	entries, err := os.ReadDir(path)
	if err != nil {
		f.fail(path, plainPath(err))
		return
	}
	for _, e := range entries {
		if strings.EqualFold(e.Name(), joblog.LogName) || strings.EqualFold(e.Name(), "job.csv") {
			f.walk(path, realPath(path))
			return
		}
	}
	f.aside("%s is a link to a folder that is no job: not looked into", path)
}

// first tells whether a folder, or the log in it, is met for the first time, and says it where it is not. A folder is
// known by itself and not by its name, so that a job is never counted twice and then said to be a copy of itself.
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

// realPath is where a folder lies, from the root of the disk and without a link.
func realPath(dir string) string {
	if p, err := filepath.EvalSymlinks(dir); err == nil {
		dir = p
	}
	if p, err := filepath.Abs(dir); err == nil {
		dir = p
	}
	return dir
}

func (f *finder) aside(format string, args ...any) {
	f.asides = append(f.asides, fmt.Sprintf(format, args...))
}

func (f *finder) fail(at string, err error) { f.give(jobRead{arg: at, err: err}) }

func noJobBelow(arg string) error {
	return withHint(errors.New(arg+": no job in this folder or below it"), "a job is a folder with bays.csv in it")
}
