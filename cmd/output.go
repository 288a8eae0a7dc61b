package cmd

import (
	"bufio"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"bayproof/model"
	"bayproof/model/joblog"
)

// target is where a file is written: a name below a folder, out of which nothing leads. os.Root
// sees to the last: a job's folder may have come by mail, and a link in it to a file elsewhere must
// not make bayproof write there.
type target struct {
	shown        string // as the user wrote it
	folder, name string
	inJob        bool // the folder is a job's, and may come from somebody else: no link in it is followed or replaced
}

// write writes a file as a whole or not at all: a temporary file in the same folder, synced,
// closed, renamed. Where write fails, nothing is left and what stood there before still does. Where
// it returns exitOpen or exitPart the file is whole: that is a result and no failure.
func (t target) write(write func(io.Writer) error) error {
	if err := t.leadsOut(); err != nil {
		return err
	}
	root, err := os.OpenRoot(t.folder)
	if err != nil {
		return writeTrouble(t.shown, err)
	}
	defer root.Close()
	stands, err := t.free(root)
	if err != nil {
		return err
	}
	name := tempName(t.name)
	var making sync.Mutex
	defer untilDone(func() {
		making.Lock() // for good: nothing is made any more once the process is told to end
		_ = root.Remove(name)
	})()
	making.Lock()
	temp, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	making.Unlock()
	if err != nil {
		return writeTrouble(t.shown, err)
	}
	done := false
	defer func() {
		if !done {
			temp.Close()
			_ = root.Remove(name)
		}
	}()
	if stands != nil {
		_ = temp.Chmod(stands.Mode().Perm()) // where the system has no such thing, its own default is right
	}
	sweep(root, t.name, temp)
	w := bufio.NewWriterSize(temp, 1<<16)
	writeErr := write(w)
	if writeErr != nil && !isStatus(writeErr, exitOpen) && !isStatus(writeErr, exitPart) {
		return writeErr
	}
	if err := errors.Join(w.Flush(), temp.Sync(), temp.Close()); err != nil {
		return writeTrouble(t.shown, err)
	}
	if err := replace(root, name, t.name); err != nil {
		return writeTrouble(t.shown, err)
	}
	done = true
	return writeErr
}

// leadsOut says it where a link in a job's folder leads out of it on the way to the file. What
// os.Root makes of it, should one be put there a moment later, stops the run too, in words that
// nobody understands.
func (t target) leadsOut() error {
	if !t.inJob {
		return nil
	}
	folder, err1 := filepath.EvalSymlinks(t.folder)
	dir, err2 := filepath.EvalSymlinks(filepath.Join(t.folder, filepath.Dir(t.name)))
	if err1 != nil || err2 != nil {
		return nil // not there: said when it is opened
	}
	if rel, err := filepath.Rel(folder, dir); err != nil || !filepath.IsLocal(rel) {
		return withHint(fmt.Errorf("%s: a link leads out of the job's folder: nothing is written through it", t.shown), linkHint)
	}
	return nil
}

// linkHint is what to do about a link where a result was to go.
const linkHint = "delete it, or name another file"

// free tells what stands where the file goes, nil where nothing does, and refuses what is not to be
// replaced.
func (t target) free(root *os.Root) (fs.FileInfo, error) {
	info, err := root.Lstat(t.name)
	switch {
	case err != nil:
		return nil, nil // nothing there, or said when the temporary file beside it cannot be made
	case info.IsDir():
		return nil, fmt.Errorf("%s is a folder", t.shown)
	case info.Mode().IsRegular():
		return info, nil
	case !t.inJob:
		return nil, nil // a link that leads nowhere
	case info.Mode()&fs.ModeSymlink != 0:
		return nil, withHint(fmt.Errorf("%s is a link: nothing is written through it", t.shown), linkHint)
	}
	return nil, withHint(fmt.Errorf("%s is no file: a pipe or a device", t.shown), linkHint)
}

// writeThrough writes into what is there and cannot be replaced: a device, a pipe. Such a thing
// holds nothing that could be lost halfway.
func writeThrough(name string, write func(io.Writer) error) error {
	f, err := os.OpenFile(name, os.O_WRONLY, 0)
	if err != nil {
		return plainPath(err)
	}
	w := bufio.NewWriterSize(f, 1<<16)
	writeErr := write(w)
	if err := errors.Join(w.Flush(), f.Close()); err != nil {
		return writeTrouble(name, err)
	}
	return writeErr
}

// writeTrouble says why a file could not be written, under the name that was asked for and not that
// of the temporary file or of the call that found out; a nil err stays nil.
func writeTrouble(name string, err error) error {
	const hint = "check that the folder exists, that you may write to it, and that the disk has room"
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrNotExist):
		return withHint(fmt.Errorf("%s: there is no such file or folder", name), hint)
	case errors.As(err, &path):
		return withHint(fmt.Errorf("%s: %w", name, path.Err), hint)
	case errors.As(err, &link):
		return withHint(fmt.Errorf("%s: %w", name, link.Err), hint)
	}
	return withHint(err, hint)
}

// The name of a temporary file is hidden, says whose it is, and cannot be foreseen: nobody can put
// a link there beforehand.
const (
	tempBytes  = 8
	tempEnding = ".tmp"
	staleAfter = time.Hour // a run that still lives has written to its own since
)

// tempStart is how the names of temporary files begin that become a file of that name.
func tempStart(name string) string { return "." + filepath.Base(name) + "." }

// tempName is that of a new file beside name: in the same folder, so that renaming it is one step
// of the file system.
func tempName(name string) string {
	random := make([]byte, tempBytes)
	rand.Read(random) // never fails: crypto/rand ends the program rather than give no random bytes
	return filepath.Join(filepath.Dir(name), tempStart(name)+hex.EncodeToString(random)+tempEnding)
}

// sweep takes away the temporary files of runs that were killed while they wrote the same file.
// Their age is told by the clock of the disk that they lie on, which made fresh just now.
func sweep(root *os.Root, name string, fresh *os.File) {
	dir, err := root.Open(filepath.Dir(name))
	if err != nil {
		return
	}
	defer dir.Close()
	now, err := fresh.Stat()
	entries, _ := dir.ReadDir(-1)
	for _, e := range entries {
		middle, ours := strings.CutPrefix(e.Name(), tempStart(name))
		middle, ours2 := strings.CutSuffix(middle, tempEnding)
		if b, bad := hex.DecodeString(middle); !ours || !ours2 || bad != nil || len(b) != tempBytes || err != nil {
			continue
		}
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() && now.ModTime().Sub(info.ModTime()) > staleAfter {
			_ = root.Remove(filepath.Join(filepath.Dir(name), e.Name()))
		}
	}
}

// replace renames, and tries again for a short while where Windows says that someone (a virus
// scanner, an indexer) holds the file.
func replace(root *os.Root, from, to string) error {
	var err error
	for wait := 5 * time.Millisecond; wait < 500*time.Millisecond; wait *= 2 {
		err = root.Rename(from, to)
		if err == nil || runtime.GOOS != "windows" || !errors.Is(err, os.ErrPermission) {
			return err
		}
		time.Sleep(wait)
	}
	return err
}

// isStatus tells whether err only carries that exit code.
func isStatus(err error, code int) bool {
	var status exitStatus
	return errors.As(err, &status) && int(status) == code
}

// dest is a place for a result as the user named it.
type dest struct {
	flag string // with which another file can be named
	file string // empty or "-" for the screen
	own  string // the file of its own job that may stand there, since it is what this command makes: record.html
}

// toOutput is where -o sends the result.
func (c *common) toOutput() dest { return dest{flag: "-o", file: c.output} }

// screen tells whether the result goes to stdout.
func (d dest) screen() bool { return d.file == "" || d.file == "-" }

// outputs are the results of a run, and what they must not destroy. Every file that a command
// writes for its user goes through here, and none takes the place of a file that the run reads or
// that a job owns; a file is known by itself and not by its name.
type outputs struct {
	env  *Env
	jobs []jobInput
	also []keptFile
}

// jobInput is a job that the run reads. Its files are job.csv, sections.csv and the others that a
// job owns by name, its log, and all its photos.
type jobInput struct {
	dir, log string // the folder, and the log's name in it
	unlike   bool   // the folder alone does not show that it is a job's
}

// keptFile is any other file that is not to be written over.
type keptFile struct{ name, what string }

// outputsOf are the results of a run on one job, of which no file of the job is one.
func (c *common) outputsOf(folder *joblog.Folder) *outputs {
	out := &outputs{env: c.env}
	out.readsJob(folder.Dir, folder.Log)
	c.programme.keep(out)
	return out
}

// reads notes a job that the run reads, given as its folder or as its log.
func (o *outputs) reads(arg string) {
	if info, err := os.Stat(arg); err == nil && !info.IsDir() {
		o.readsJob(filepath.Dir(arg), filepath.Base(arg))
		return
	}
	o.readsJob(arg, joblog.LogName)
}

// readsJob is reads for a folder and the name of the log in it.
func (o *outputs) readsJob(dir, log string) {
	job := jobInput{dir, log, log != joblog.LogName || !isJob(dir)}
	if n := len(o.jobs); n == 0 || o.jobs[n-1] != job { // many jobs in one log are one
		o.jobs = append(o.jobs, job)
	}
}

// keep notes any other file that is not to be written over; what goes on "FILE is".
func (o *outputs) keep(file, what string) { o.also = append(o.also, keptFile{file, what}) }

// unwritten says that a run whose error is a fault left no file, and what it gives without one.
func (c *common) unwritten(err error, without string) error {
	if c.output != "" && isStatus(err, exitFault) {
		printHint(c.env.Stderr, c.output+" was not written; without -o "+without)
	}
	return err
}

// result writes a result: to the screen, or to the file that d names. The screen gets what there is
// as it comes; a file comes about as a whole or not at all.
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

// whole writes a result that is laid out already.
func whole(out []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(out)
		return err
	}
}

// laidOut writes a result in the format that was asked for, each of which appends to a slice.
func (c *common) laidOut(text, csv func([]byte) []byte, document func([]byte) ([]byte, error)) func(io.Writer) error {
	return func(w io.Writer) (err error) {
		var out []byte
		switch c.format {
		case formatJSON:
			out, err = document(nil)
		case formatCSV:
			out = csv(nil)
		default:
			out = text(nil)
		}
		if err != nil {
			return err
		}
		return whole(out)(w)
	}
}

// allow refuses files that a result must not take the place of, another result of this run among
// them. Commands ask it before they begin to compute, and result asks it again.
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

// kept says what a file is that is not to be written over, empty where it may be: one that this run
// reads, whatever it is called; one among the photos of any job; one whose name a job keeps for
// itself. own is the name that the command may make.
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

// whatOf says what a file of a job is.
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
	return isJob(dir) || slices.ContainsFunc(o.jobs, func(job jobInput) bool { return job.unlike && sameFolder(dir, job.dir) })
}

// targetOf finds the folder out of which nothing may lead on the way to a file: the job's, where
// one lies on the way. Elsewhere the user's own links are followed, so that the file behind one is
// replaced and not the link. special is something outside of jobs that cannot be replaced: a
// device, a pipe.
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

// behindLinks is the file that a name leads to, or the name in the folder that its folder leads to,
// from the root of the disk.
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

// sameFile tells whether a name leads to a file: by the disk's own numbering, so that links, other
// spellings and other case make no difference.
func sameFile(info os.FileInfo, name string) bool {
	other, err := os.Stat(name)
	return err == nil && os.SameFile(info, other)
}

// sameFolder tells whether two names lead to one folder.
func sameFolder(a, b string) bool {
	info, err := os.Stat(a)
	return err == nil && sameFile(info, b)
}

// progress tells someone who waits at a terminal how many jobs were read: after a second, and then
// ten times a second.
type progress struct {
	env         *Env
	start, last time.Time
	jobs        int
	shown       bool
}

const (
	progressAfter = time.Second
	progressEvery = 100 * time.Millisecond
)

// step counts one job. Beyond the first few it looks at the clock for one job in sixteen: there may
// be a million.
func (p *progress) step() {
	p.jobs++
	if !p.env.StderrTerminal || p.jobs%16 != 0 && p.jobs > 64 {
		return
	}
	now := p.env.Now()
	if now.Sub(p.start) < progressAfter || now.Sub(p.last) < progressEvery {
		return
	}
	p.last, p.shown = now, true
	fmt.Fprintf(p.env.Stderr, "\rbayproof: %d jobs read, %.0f s ", p.jobs, now.Sub(p.start).Seconds())
}

// waiting tells someone who waits at a terminal what is being done, after a second and then once a
// second; what it returns ends that.
func (e *Env) waiting(what string) func() {
	if !e.StderrTerminal {
		return func() {}
	}
	done, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		tick := time.NewTicker(progressAfter)
		defer tick.Stop()
		for n := 0; ; n++ {
			select {
			case <-tick.C:
				fmt.Fprintf(e.Stderr, "\rbayproof: %s, %d s ", what, n+1)
			case <-done:
				if n > 0 {
					fmt.Fprintln(e.Stderr)
				}
				return
			}
		}
	}()
	return sync.OnceFunc(func() { close(done); <-ended })
}

// warned writes on stderr what the reader of the files found worth knowing, where the format on
// stdout has no place for it. What holds for a whole file is said once, and not for each of its
// jobs again.
type warned struct {
	stderr io.Writer
	told   map[string]bool
}

// tell writes the warnings of one job that were not written yet.
func (w *warned) tell(folder *joblog.Folder, warnings []model.Warning) {
	for _, x := range warnings {
		text := shown(folder, model.Fault{Src: x.Src, What: x.Text}).String()
		if x.Bay == "" {
			if x.Code == "encoding" { // which every part of a file has that shows it
				x.Src.Line = 0
			}
			key := shown(folder, model.Fault{Src: x.Src, What: x.Text}).String()
			if w.told[key] {
				continue
			}
			if w.told == nil {
				w.told = map[string]bool{}
			}
			w.told[key] = true
		}
		printWarning(w.stderr, text)
	}
}

// tellWarnings writes the warnings of one job.
func tellWarnings(stderr io.Writer, folder *joblog.Folder, warnings []model.Warning) {
	w := warned{stderr: stderr}
	w.tell(folder, warnings)
}
