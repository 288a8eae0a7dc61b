package record

import (
	"encoding/base64"
	"html/template"
	"time"

	"bayproof/model"
	"bayproof/verify"
)

// photo is one picture of a bay: by name, digest and time; the small copy only where it is carried.
type photo struct {
	Name, SHA256, Taken string
	Width, Height       int
	Picture             template.URL
}

// photosOf returns the photos that a bay's rows and then its cores name, in the order in which they are named.
func (b *builder) photosOf(bay *verify.Bay) []photo {
	var names []string
	for _, row := range bay.Bay.Rows {
		names = append(names, row.Photos...)
	}
	for _, c := range bay.Cores {
		if c.Core.Photo != "" {
			names = append(names, c.Core.Photo)
		}
	}
	seen := map[string]bool{}
	var out []photo
	for _, name := range names {
		for _, p := range b.named(name) {
			if !seen[p.Name] {
				seen[p.Name] = true
				out = append(out, p)
			}
		}
	}
	return out
}

// named returns the photos that a name or a pattern of the log means.
func (b *builder) named(pattern string) []photo {
	var out []photo
	for _, p := range b.f.Job.Photos {
		if model.NamesPhoto(pattern, p.Name) {
			out = append(out, b.photo(p))
		}
	}
	if out == nil {
		out = []photo{{Name: pattern, Taken: "not in photos/"}}
	}
	return out
}

func (b *builder) photo(p model.Photo) photo {
	out := photo{Name: p.Name, SHA256: p.SHA256, Taken: "no time in the file"}
	if !p.Taken.IsZero() {
		out.Taken = "taken " + p.Taken.Format(time.DateTime)
	}
	if place := b.in.Places[p.Name]; place != "" {
		out.Taken += ", at " + place
	}
	for _, pic := range b.in.Pictures {
		if pic.Name == p.Name {
			out.Width, out.Height = pic.Width, pic.Height
			out.Picture = template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(pic.JPEG))
		}
	}
	return out
}
