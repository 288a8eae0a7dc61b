// A job folder on disk, and what can be opened in it: files of the folder, and nothing that a link,
// a pipe, a device or `..` leads to elsewhere (os.OpenRoot). Names are checked by the rules of
// every system, not of the one that runs, since a log and a record travel (PlainName). Overlay,
// Held and Memory are folders in which a log stands as it would be.

package joblog

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"github.com/gofrs/flock"

	"bayproof/model/joblog/disk"
)

// Folder is a job's folder on disk, from which nothing leads out.
type Folder struct {
	FS   fs.FS
	Log  string // name of the log in it
	Name string // the folder's name, or that of a log given by itself, without .csv
	Dir  string // as the user wrote it
	root *os.Root
}

// Open opens a job folder, or the folder of a log: JOB and JOB/bays.csv are the same job. Links and
// `..` that lead out of the folder are refused when a file is read.
func Open(at string) (*Folder, error) {
	info, err := os.Stat(at)
	if err != nil {
		return nil, err
	}
	f := &Folder{Dir: at, Log: LogName}
	if !info.IsDir() {
		f.Dir, f.Log = filepath.Dir(at), filepath.Base(at)
	}
	if f.root, err = os.OpenRoot(f.Dir); err != nil {
		return nil, err
	}
	f.FS = plainFiles{f.root}
	f.Name = folderName(f.Dir, f.Log)
	return f, nil
}

// folderName is what a job is called that does not say its name.
func folderName(dir, log string) string {
	if log != LogName {
		return log[:len(log)-len(filepath.Ext(log))]
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		return filepath.Base(dir)
	}
	return filepath.Base(abs)
}

// Close gives the folder back.
func (f *Folder) Close() error { return f.root.Close() }

// Show is the path of a file of the folder as the user would write it.
func (f *Folder) Show(file string) string {
	if f.Dir == "." || len(file) > 1 && file[:2] == "--" {
		return file
	}
	return filepath.Join(f.Dir, filepath.FromSlash(file))
}

// Overlay is a folder in which one file holds data, whatever stands on disk: a log as it would be.
func Overlay(fsys fs.FS, name string, data []byte) fs.FS { return overlay{fsys, name, data} }

// overlay holds the data of the one file; all others are those of the folder below.
type overlay struct {
	fs.FS
	name string
	data []byte
}

// Open gives the file that is laid over, or one of the folder.
func (o overlay) Open(name string) (fs.File, error) {
	if name == o.name {
		return &overlaid{Reader: bytes.NewReader(o.data), name: name}, nil
	}
	return o.FS.Open(name)
}

// Held is a job's folder whose files are only in memory, by their names. Of photos the names are
// known.
type Held struct {
	Files  map[string][]byte
	Photos []string
}

// Open opens a file, or the folder of photos.
func (h *Held) Open(name string) (fs.File, error) {
	if b, ok := h.Files[name]; ok {
		return &overlaid{Reader: bytes.NewReader(b), name: name}, nil
	}
	none := bytes.NewReader(nil)
	if name == Photos && len(h.Photos) > 0 {
		return &overlaid{Reader: none, name: name, entries: h.Photos}, nil
	}
	if dir, base := path.Split(name); dir == Photos+"/" && slices.Contains(h.Photos, base) {
		return &overlaid{Reader: none, name: base}, nil
	}
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// overlaid is a file in memory, open, and what is known about it.
type overlaid struct {
	*bytes.Reader
	name    string
	entries []string // of a folder; nil of a file
}

// What fs.ReadDirFile and fs.FileInfo ask of a file that is not on disk.
func (f *overlaid) Stat() (fs.FileInfo, error) { return f, nil }
func (f *overlaid) Close() error               { return nil }
func (f *overlaid) Name() string               { return path.Base(f.name) }
func (f *overlaid) ModTime() time.Time         { return time.Time{} }
func (f *overlaid) IsDir() bool                { return f.entries != nil }
func (f *overlaid) Sys() any                   { return nil }

// Mode is that of a file that is only read.
func (f *overlaid) Mode() fs.FileMode {
	if f.IsDir() {
		return fs.ModeDir | 0o555
	}
	return 0o444
}

// ReadDir lists a folder, whole.
func (f *overlaid) ReadDir(int) ([]fs.DirEntry, error) {
	var list []fs.DirEntry
	for _, name := range f.entries {
		list = append(list, fs.FileInfoToDirEntry(&overlaid{Reader: bytes.NewReader(nil), name: name}))
	}
	return list, nil
}

// Memory is a job whose log grows in memory: nobody else writes to it, and whoever holds it keeps
// the rows. Rows are put into the form of the log as a Writer puts them; nothing that needs a disk
// or a lock is done.
type Memory struct{ writer *Writer }

// InMemory takes a job's files as they stand. Its log has to be whole: a torn last line is set
// aside on disk, by a Writer.
func InMemory(fsys fs.FS, log, name string) (*Memory, error) {
	w := newWriter(&Folder{FS: fsys, Log: log, Name: name, Dir: "."})
	b, err := fs.ReadFile(fsys, log)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	torn, err := w.see(b)
	if torn {
		err = &Trouble{log + ": its last line breaks off", "bayproof log sets it aside, and asks for that bay again"}
	}
	return &Memory{w}, err
}

// Files are the job's files with its log as it would be with rows after its last.
func (m *Memory) Files(rows ...map[string]string) (fs.FS, error) { return m.writer.With(rows...) }

// Append adds a row to the log.
func (m *Memory) Append(row map[string]string) error {
	fsys, err := m.Files(row)
	if err != nil {
		return err
	}
	log, err := fs.ReadFile(fsys, m.writer.file)
	if err == nil {
		m.writer.seen = log
		m.writer.layout, err = m.writer.layoutOf(log)
	}
	return err
}

// Compare sets the rows of another log beside those of this one; see Writer.Compare.
func (m *Memory) Compare(file string, data []byte) (*Elsewhere, error) {
	return m.writer.Compare(file, data)
}

// Log is the log as it stands.
func (m *Memory) Log() []byte { return m.writer.seen }

// plainFiles is a folder of which only files and folders open.
type plainFiles struct{ root *os.Root }

// Open opens a file or a folder of the folder, and nothing else: to open a pipe would wait for a
// writer, to read a device might never end.
func (p plainFiles) Open(name string) (fs.File, error) {
	info, err := p.Stat(name)
	if err != nil {
		return nil, err
	}
	if mode := info.Mode(); !mode.IsRegular() && !mode.IsDir() {
		return nil, &fs.PathError{Op: "open", Path: name, Err: disk.ErrNoFile}
	}
	return p.root.FS().Open(name)
}

// Stat describes a file or a folder, and opens nothing.
func (p plainFiles) Stat(name string) (fs.FileInfo, error) { return fs.Stat(p.root.FS(), name) }

// Photos is the folder of a job's photos.
const Photos = "photos"

// OwnFiles are the names of the files beside its photos that a job's folder has or may come to
// have, its log by that name first: what is read, what is made from it, and what stands beside the
// log while somebody writes to it.
func OwnFiles(log string) []string {
	return []string{
		log, "job.csv", "sections.csv", coresFile, InspectionsName, ProgrammeName,
		"record.html", "record.html.minisig", "sheets.html", "pocket.html",
		log + ".lock", log + ".torn", log + ".before", JournalOf(log), log + ".serve",
		coresFile + ".torn", coresFile + ".before", JournalOf(coresFile),
	}
}

// PlainName tells whether a name can be that of a file in a folder and of nothing else, on every
// system: no path, no drive or stream (the colon), no device of Windows, nothing that Windows cuts
// off the end, no control character. It does not depend on the system it runs on, since a log and a
// record travel.
func PlainName(name string) bool {
	switch {
	case name == "", name == ".", name == "..", len(name) > 255, strings.ContainsAny(name, `/\:`), device(name):
		return false
	case name[len(name)-1] == '.', name[len(name)-1] == ' ':
		return false
	}
	return strings.IndexFunc(name, func(r rune) bool { return r < ' ' || r == 0x7f }) < 0
}

// device tells whether Windows opens a device by this name, with whatever ending. Source:
// Microsoft, "Naming Files, Paths, and Namespaces".
func device(name string) bool {
	base, _, _ := strings.Cut(name, ".")
	base = strings.ToUpper(strings.TrimRight(base, " "))
	switch base {
	case "CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$":
		return true
	}
	port := strings.TrimPrefix(strings.TrimPrefix(base, "COM"), "LPT")
	if len(port) == len(base) {
		return false
	}
	switch port {
	case "0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "¹", "²", "³":
		return true
	}
	return false
}

// PlainPath tells whether a slash-separated name leads to a file in a folder or in one below it,
// and nowhere else.
func PlainPath(name string) bool {
	for part := range strings.SplitSeq(name, "/") {
		if !PlainName(part) {
			return false
		}
	}
	return true
}

// trouble says why a file of the folder cannot be written to.
func (f *Folder) trouble(name string, err error) *Trouble {
	switch {
	case errors.Is(err, disk.ErrLink) && (name == f.Log || path.Base(name) == coresFile):
		return &Trouble{f.Show(name) + ": " + disk.ErrLink.Error(), "copy it, delete it, and give the copy its name"}
	case errors.Is(err, disk.ErrLink), errors.Is(err, disk.ErrNoFile):
		return &Trouble{f.Show(name) + ": " + plainErr(err).Error(), "delete it"}
	case errors.Is(err, syscall.ENOLCK), errors.Is(err, syscall.ENOSYS), errors.Is(err, syscall.EOPNOTSUPP):
		return &Trouble{f.Show(name) + ": this disk keeps no locks: two could write to the log at once", "copy the job's folder to this computer's own disk, and log there"}
	case errors.Is(err, fs.ErrPermission):
		return &Trouble{f.Show(name) + ": " + plainErr(err).Error(), "may you write to the folder and to this file?"}
	}
	return &Trouble{f.Show(name) + ": " + plainErr(err).Error(), "may you write to the folder, and is there room on the disk?"}
}

// plainErr leaves out the path, which the message has already.
func plainErr(err error) error {
	var perr *fs.PathError
	if errors.As(err, &perr) {
		return perr.Err
	}
	return err
}

// maxWho is how much of a lock file is read.
const maxWho = 200

// lock is a lock on a file of its own beside the log: Windows keeps others from reading a file that
// is locked.
type lock struct {
	flock *flock.Flock
	file  *os.File // the same file, open to be written to
}

// hold takes the lock of a sitting. The name of the holder stands in its file from the second byte
// on, since Windows locks the first.
func (w *Writer) hold(who string) error {
	name := w.folder.Log + ".lock"
	l, err := w.folder.lock(name, 0)
	if err != nil {
		return err
	}
	disk.Share(l.file, w.folder.root, true)
	_, err = l.file.WriteAt([]byte(strings.ReplaceAll(who, "\n", " ")+"\n"), 1)
	if err = errors.Join(err, l.file.Truncate(int64(len(who)+2))); err != nil {
		l.letGo(true)
		return w.folder.trouble(name, err)
	}
	w.lock = l
	return nil
}

// lock takes the lock of a file that is made where there is none, and waits for it so long.
func (f *Folder) lock(name string, wait time.Duration) (*lock, error) {
	file, openErr := disk.OpenToWrite(f.root, name, os.O_RDWR|os.O_CREATE)
	if openErr != nil && !errors.Is(openErr, fs.ErrPermission) {
		return nil, f.trouble(name, openErr)
	}
	l := &lock{flock: flock.New(filepath.Join(f.Dir, filepath.FromSlash(name))), file: file}
	got, err := l.flock.TryLock()
	if err == nil && !got && wait > 0 {
		ctx, done := context.WithTimeout(context.Background(), wait)
		got, err = l.flock.TryLockContext(ctx, 2*time.Millisecond)
		if done(); errors.Is(err, context.DeadlineExceeded) {
			err = nil
		}
	}
	switch {
	case err == nil && !got && wait > 0:
		l.letGo(false)
		return nil, &Trouble{"somebody else is writing to the log, for " + wait.String() + " now", "try again; is a program stuck?"}
	case err == nil && !got:
		l.letGo(false)
		return nil, &Trouble{"the log is open elsewhere: " + f.holder(name), "close it there first"}
	case openErr != nil: // it may be looked at and not held
		l.letGo(false)
		return nil, f.trouble(name, openErr)
	case err == nil: // what was locked, by its path, has to be what was opened, within the folder
		locked, err1 := l.flock.Stat()
		opened, err2 := l.file.Stat()
		if err1 != nil || err2 != nil || !os.SameFile(locked, opened) {
			err = disk.ErrLink
		}
	}
	if err != nil {
		l.letGo(false)
		return nil, f.trouble(name, err)
	}
	return l, nil
}

// A log has a second lock once rows came in over a network: the lock of a sitting is held for
// hours, this one for as long as a row takes to write, by the server and by the sitting beside it.
// Its file comes about with the first server, and holds from the second byte on the token in the
// address of that log's page: the phones know it, and a server that is started anew is where they
// look for it.
func served(log string) string { return log + ".serve" }

// patience is how long a row waits for another one to be written.
const patience = 10 * time.Second

// Token is the token in the address under which the log's page is served, made with the first call.
// Those who may write into the folder can read it.
func (f *Folder) Token() (string, error) {
	l, err := f.lock(served(f.Log), patience)
	if err != nil {
		return "", err
	}
	defer l.letGo(false)
	disk.Share(l.file, f.root, false)
	b := make([]byte, maxWho)
	n, _ := l.file.ReadAt(b, 1)
	if token := strings.TrimSpace(string(b[:n])); len(token) == len(rand.Text()) && strings.Trim(token, "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567") == "" {
		return token, nil
	}
	token := rand.Text()
	_, err = l.file.WriteAt([]byte(token+"\n"), 1)
	if err = errors.Join(err, l.file.Truncate(int64(len(token)+2)), l.file.Sync()); err != nil {
		return "", f.trouble(served(f.Log), err)
	}
	return token, nil
}

// OpenBeside makes the log ready to be appended to beside whoever holds its lock for a sitting.
// Until it is closed a sitting waits with its next row: it is held for the rows of one entry, and
// no longer.
func OpenBeside(f *Folder) (*Writer, error) {
	l, err := f.lock(served(f.Log), patience)
	if err != nil {
		return nil, err
	}
	w := newWriter(f)
	w.beside = l
	if err = w.open(); err != nil {
		w.Close()
		return nil, err
	}
	return w, nil
}

// alone runs what writes while no server does, with the journal as it is then. Where the log was
// never served nobody is waited for.
func (w *Writer) alone(run func() error) error {
	if w.beside != nil {
		return run()
	}
	if _, err := w.folder.root.Lstat(served(w.folder.Log)); err == nil {
		l, err := w.folder.lock(served(w.folder.Log), patience)
		if err != nil {
			return err
		}
		defer l.letGo(false)
	}
	if info, err := w.folder.root.Stat(JournalOf(w.file)); w.chain != nil && err == nil && info.Size() > int64(w.chain.Bytes) {
		if err := w.openJournal(); err != nil {
			return err
		}
	}
	return run()
}

// holder reads who holds the lock.
func (f *Folder) holder(name string) string {
	b := make([]byte, maxWho)
	n := 0
	if file, err := f.root.Open(name); err == nil {
		n, _ = file.ReadAt(b, 1)
		file.Close()
	}
	if who := strings.TrimSpace(string(b[:n])); who != "" {
		return tell(who)
	}
	return "by a program that does not say its name"
}

// letGo gives the lock back; named says that its file holds the name of the holder. The file stays:
// to take it away would let two others each hold a lock of its own.
func (l *lock) letGo(named bool) {
	if l.file != nil {
		if named && l.flock.Locked() {
			_ = l.file.Truncate(0) // a name without a holder would only mislead
		}
		defer l.file.Close()
	}
	_ = l.flock.Unlock()
}
