package joblog

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"path"

	"bayproof/model"
)

// LogName is the log's name in a job folder.
const LogName = "bays.csv"

// reader reads the files of one folder.
type reader struct {
	fsys     fs.FS
	log      string
	opt      Options
	f        faultList
	resolver *Resolver
	given    []Given // of job.csv
	sections *rawTable
	cores    *rawTable
	photos   []model.Photo
	inputs   []model.Input
	files    []string // in the order in which faults are told
}

func newReader(fsys fs.FS, log string, opt Options) *reader {
	if log == "" {
		log = LogName
	}
	r := &reader{fsys: fsys, log: log, opt: opt}
	var bad []model.Fault
	r.resolver, bad = NewResolver(opt.Flags)
	for _, b := range bad {
		r.files = append(r.files, b.Src.File)
	}
	r.f.addAll(bad)
	r.files = append(r.files, r.name("job.csv"), r.name("sections.csv"), log, r.name("cores.csv"))
	return r
}

// name is a file beside the log.
func (r *reader) name(file string) string { return path.Join(path.Dir(r.log), file) }

// faults returns what was found wrong, in order.
func (r *reader) faults() []model.Fault { return r.f.sorted(r.files) }

// bytes reads a file and keeps its SHA-256. It answers false where there is none; that is a fault of a file that is needed.
func (r *reader) bytes(file string, needed bool) ([]byte, bool) {
	b, err := readSteady(r.fsys, file)
	if err != nil {
		if needed || !errors.Is(err, fs.ErrNotExist) {
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

// text reads a file as text.
func (r *reader) text(file string, needed bool) (string, bool) {
	b, ok := r.bytes(file, needed)
	if !ok {
		return "", false
	}
	return decode(file, 1, string(b), &r.f)
}

// why says what stands between us and a file.
func why(err error) (what, hint string) {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "no such file", "a job is a folder with bays.csv in it; bayproof start sets one up"
	case errors.Is(err, fs.ErrPermission):
		return "may not be read", "look at its permissions, or whether another program holds it"
	case errors.Is(err, errChanged):
		return errChanged.Error(), "type the command again"
	}
	if errors.Is(err, errNoFile) {
		return errNoFile.Error(), "delete it, or put the file in its place"
	}
	var perr *fs.PathError
	if errors.As(err, &perr) {
		return "cannot be read: " + perr.Err.Error(), "a link that leads out of the job folder is not followed"
	}
	return "cannot be read: " + err.Error(), ""
}

// beside reads the files beside the log.
func (r *reader) beside() {
	r.readJob()
	r.sections = r.table("sections.csv", sectionColumns())
	r.cores = r.table("cores.csv", coreColumns())
	r.photos = r.listPhotos()
}

// prepare reads the files beside the log and the log's header. It answers nil where the log's rows cannot be read.
func (r *reader) prepare(log string) *logPlan {
	r.beside()
	text, ok := decode(r.log, 1, log, &r.f)
	if !ok {
		return nil
	}
	return r.plan(text)
}

// plan reads the log's header. It answers nil where its rows cannot be read.
func (r *reader) plan(text string) *logPlan {
	s, ok := openSheet(r.log, text, bayColumns(), &r.f)
	if !ok {
		if len(s.header) == 0 {
			r.f.add(model.Source{File: r.log}, "the log is empty", "its first row names its columns: section, bay, entry, width, depth, length, bags, time")
		}
		return nil
	}
	return planLog(s)
}
