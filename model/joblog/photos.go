package joblog

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"bayproof/model"
)

// listPhotos lists the files in photos/, with SHA-256 and size where the caller asked for them.
func (r *reader) listPhotos() []model.Photo {
	dir := r.name(Photos)
	entries, err := fs.ReadDir(r.fsys, dir)
	if err != nil {
		if !errors.Is(err, fs.ErrNotExist) {
			what, hint := why(err)
			r.f.warn("photos", model.Source{File: dir}, "%s (%s)", what, hint)
		}
		return nil
	}
	var out []model.Photo
	for _, e := range entries {
		if e.IsDir() || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		p := model.Photo{Name: e.Name()}
		if r.opt.Photos && !r.hashPhoto(path.Join(dir, e.Name()), &p) {
			continue
		}
		out = append(out, p)
	}
	return out
}

// hashPhoto reads a photo's bytes once, for its hash, and its head once more for what it says of itself.
func (r *reader) hashPhoto(name string, p *model.Photo) bool {
	f, err := r.fsys.Open(name)
	if err == nil {
		defer f.Close()
		opened, sum := stampOf(f), sha256.New()
		if p.Bytes, err = io.Copy(sum, f); err == nil && !opened.steady(f) {
			err = errChanged
		}
		p.SHA256 = hex.EncodeToString(sum.Sum(nil))
	}
	if err != nil {
		what, hint := why(err)
		r.f.warn("photos", model.Source{File: name}, "%s (%s)", what, hint)
		return false
	}
	if r.opt.Taken != nil {
		if again, err := r.fsys.Open(name); err == nil {
			p.Taken = r.opt.Taken(again)
			again.Close()
		}
	}
	return true
}

// checkPhotos refuses names of photos that lead out of photos/.
func (b *builder) checkPhotos(job *model.Job) {
	column := slices.Index(b.plan.names, "photo")
	if column < 0 {
		return
	}
	for i := range job.Log {
		for _, name := range job.Log[i].Photos {
			if src := job.Log[i].Src; !PlainName(name) {
				src.Col = column + 1
				b.f.addf(src, "write the file's name alone; photos lie in photos/", "photo %s is no file name", name)
			}
		}
	}
}
