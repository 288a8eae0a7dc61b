package audit

import "bayproof/verify"

// photo is one file, by the first half of its SHA-256.
type photo struct {
	sum  string
	name string
	bay  string // the first bay that names it
}

func photosOf(f *verify.Findings) []photo {
	var out []photo
	for i := range f.Job.Photos {
		if p := &f.Job.Photos[i]; p.SHA256 != "" && p.Bytes > 0 {
			out = append(out, photo{cloned(p.SHA256[:32]), cloned(p.Name), cloned(bayOf(f, p.Name))})
		}
	}
	return out
}

func bayOf(f *verify.Findings, name string) string {
	for i := range f.Job.Log {
		for _, pattern := range f.Job.Log[i].Photos {
			if matchesName(pattern, name) {
				return f.Job.Log[i].Bay
			}
		}
	}
	return ""
}

// twice is one picture under two names.
type twice struct {
	job, other       int
	photo, otherName string
	bay, otherBay    string
}

// findTwice returns every photo whose bytes came before, in another job or under another name.
func findTwice(jobs []*Job) []twice {
	type seen struct{ job, photo int }
	first := map[string]seen{}
	var out []twice
	for i, j := range jobs {
		for k, p := range j.photos {
			o, again := first[p.sum]
			if !again {
				first[p.sum] = seen{i, k}
				continue
			}
			q := jobs[o.job].photos[o.photo]
			out = append(out, twice{i, o.job, p.name, q.name, p.bay, q.bay})
		}
	}
	return out
}
