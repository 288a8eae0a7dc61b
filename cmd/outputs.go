package cmd

import (
	"bufio"
	"io"
	"os"
	"path/filepath"
	"strings"

	"bayproof/model/joblog"
)

// dest is a place for a result as the user named it.
type dest struct {
	flag string // with which another file can be named
	file string // empty or "-" for the screen
	own  string // the file of its own job that may stand there, since it is what this command makes: record.html
}

func (d dest) screen() bool { return d.file == "" || d.file == "-" }

// outputs are the results of a run. Every file that a command writes for its user goes through here, and none takes the
// place of a file that the run reads or that a job owns; a file is known by itself and not by its name.
type outputs struct {
	env  *Env
	jobs []jobInput
	also []keptFile
}

// jobInput is a job that the run reads.
type jobInput struct {
	dir, log string
	unlike   bool // the folder alone does not show that it is a job's
}

// keptFile is any other file that is not to be written over.
type keptFile struct{ name, what string }

// reads notes a job that the run reads, given as its folder or as its log.
func (o *outputs) reads(arg string) {
	if info, err := os.Stat(arg); err == nil && !info.IsDir() {
		o.readsJob(filepath.Dir(arg), filepath.Base(arg))
		return
	}
	o.readsJob(arg, joblog.LogName)
}

func (o *outputs) readsJob(dir, log string) {
	job := jobInput{dir, log, log != joblog.LogName || !isJob(dir)}
	if n := len(o.jobs); n == 0 || o.jobs[n-1] != job { // many jobs in one log are one
		o.jobs = append(o.jobs, job)
	}
}

// keep notes any other file that is not to be written over; what goes on "FILE is".
func (o *outputs) keep(file, what string) { o.also = append(o.also, keptFile{file, what}) }

// result writes a result: to the screen, or to the file that d names.
func (o *outputs) result(d dest, write func(io.Writer) error) error {
	if d.screen() {
		w := bufio.NewWriterSize(o.env.Stdout, 1<<16)
		err := write(w)
		if flushErr := w.Flush(); flushErr != nil {
			return flushErr
		}
		return err
	}
	if err := o.allow(d); err != nil {
		return err
	}
	t, special := o.targetOf(d.file)
	t.shown = d.file
	if special {
		return writeThrough(d.file, write)
	}
	return t.write(write)
}

// allow refuses files that a result must not take the place of, another result of this run among them.
func (o *outputs) allow(dests ...dest) error {
	taken := map[string]string{}
	for _, d := range dests {
		if d.screen() {
			continue
		}
		file := behindLinks(d.file)
		what := o.kept(file, d.own)
		if flag := taken[file]; what == "" && flag != "" {
			what = "where " + flag + " goes"
		}
		if what != "" {
			return usageErrorf("name another file with "+d.flag, "%s is %s: no result is written there", d.file, what)
		}
		taken[file] = d.flag
	}
	return nil
}

// kept says what a file is that is not to be written over, empty where it may be.
func (o *outputs) kept(file, own string) string {
	if info, err := os.Stat(file); err == nil && info.Mode().IsRegular() {
		for _, k := range o.also {
			if sameFile(info, k.name) {
				return k.what
			}
		}
		for _, job := range o.jobs {
			for _, name := range job.files() {
				if name != own && sameFile(info, filepath.Join(job.dir, name)) {
					return whatOf(name, job.log)
				}
			}
		}
	}
	dir, name := filepath.Dir(file), filepath.Base(file)
	if strings.EqualFold(filepath.Base(dir), joblog.Photos) && o.isJob(filepath.Dir(dir)) {
		return "among the photos of a job"
	}
	return o.owned(dir, name, own)
}

// owned says what a name is in a job's folder, whether a file stands there yet or not.
func (o *outputs) owned(dir, name, own string) string {
	logs, ours := []string{joblog.LogName}, false
	for _, job := range o.jobs {
		if (own != "" || job.unlike) && sameFolder(dir, job.dir) {
			logs, ours = append(logs, job.log), true
		}
	}
	if !ours && !isJob(dir) || ours && own != "" && strings.EqualFold(name, own) {
		return ""
	}
	for _, log := range logs {
		for _, owned := range joblog.OwnFiles(log) {
			if strings.EqualFold(name, owned) {
				return whatOf(owned, log)
			}
		}
	}
	return ""
}

func whatOf(name, log string) string {
	if name == log {
		return "the log of a job"
	}
	return "a file of a job"
}

// files are the files of a job that are not to be written over: the names it owns, and its photos.
func (j jobInput) files() []string {
	names := joblog.OwnFiles(j.log)
	photos, _ := os.ReadDir(filepath.Join(j.dir, joblog.Photos))
	for _, p := range photos {
		names = append(names, filepath.Join(joblog.Photos, p.Name()))
	}
	return names
}

// isJob tells whether a folder is a job's: one of this run, or any other.
func (o *outputs) isJob(dir string) bool {
	if isJob(dir) {
		return true
	}
	for _, job := range o.jobs {
		if job.unlike && sameFolder(dir, job.dir) {
			return true
		}
	}
	return false
}

// targetOf finds the folder out of which nothing may lead on the way to a file: the job's, where one lies on the way. Elsewhere
// the user's own links are followed, so that the file behind one is replaced and not the link. special is something outside
// of jobs that cannot be replaced: a device, a pipe.
func (o *outputs) targetOf(file string) (t target, special bool) {
	if t, ok := o.inJob(file); ok {
		return t, false
	}
	if info, err := os.Stat(file); err == nil && !info.Mode().IsRegular() && !info.IsDir() {
		return target{}, true
	}
	file = behindLinks(file)
	if t, ok := o.inJob(file); ok {
		return t, false
	}
	return target{folder: filepath.Dir(file), name: filepath.Base(file)}, false
}

// inJob finds the job's folder on the way to a file, the nearest one.
func (o *outputs) inJob(file string) (target, bool) {
	for dir := filepath.Dir(file); ; dir = filepath.Dir(dir) {
		if o.isJob(dir) {
			name, err := filepath.Rel(dir, file)
			return target{folder: dir, name: name, inJob: true}, err == nil
		}
		if dir == filepath.Dir(dir) || filepath.Base(dir) == ".." {
			return target{}, false
		}
	}
}

// behindLinks is the file that a name leads to, or the name in the folder that its folder leads to, from the root of the disk.
func behindLinks(name string) string {
	if real, err := filepath.EvalSymlinks(name); err == nil {
		name = real
	} else if dir, err := filepath.EvalSymlinks(filepath.Dir(name)); err == nil {
		name = filepath.Join(dir, filepath.Base(name))
	}
	if abs, err := filepath.Abs(name); err == nil {
		return abs
	}
	return name
}

func sameFile(info os.FileInfo, name string) bool {
	other, err := os.Stat(name)
	return err == nil && os.SameFile(info, other)
}

func sameFolder(a, b string) bool {
	info, err := os.Stat(a)
	return err == nil && sameFile(info, b)
}
