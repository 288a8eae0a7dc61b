// Pictures that come again.
//
// A picture that comes again is no matter of chance: the bytes are the same or they are not. So it
// stands beside what was looked at with a probability, and neither adds to what is held down there
// nor helps anything else to be found.

package plausible

import (
	"cmp"
	"encoding/hex"
	"fmt"
	"math/bits"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// photo is one file, by the first half of its SHA-256.
type photo struct {
	sum  [16]byte
	name string
	bay  string    // the first bay that names it
	more []string  // the other bays that name it
	look [4]uint64 // perceptual hash; nought where the picture was not looked at
}

// photosOf returns the photos of a job that are there and hold anything, each with the bays whose
// rows name it.
func photosOf(f *verify.Findings) []photo {
	var out []photo
	for i := range f.Job.Photos {
		p := &f.Job.Photos[i]
		if p.SHA256 == "" || p.Bytes == 0 {
			continue
		}
		q := photo{name: strings.Clone(p.Name), look: p.Look}
		if n, err := hex.Decode(q.sum[:], []byte(p.SHA256[:2*len(q.sum)])); err != nil || n != len(q.sum) {
			continue
		}
		if bays := baysOf(f.Job, p.Name); len(bays) > 0 {
			q.bay, q.more = bays[0], bays[1:]
		}
		out = append(out, q)
	}
	return out
}

// baysOf returns the bays whose rows name a photo, each once, with their section where the job has
// several.
func baysOf(job *model.Job, name string) []string {
	var out []string
	for i := range job.Log {
		e := &job.Log[i]
		if !e.NamesPhoto(name) {
			continue
		}
		bay := strings.Clone(e.Bay)
		if len(job.Sections) > 1 && e.Section != "" {
			bay = e.Section + " " + e.Bay
		}
		if bay != "" && !slices.Contains(out, bay) {
			out = append(out, bay)
		}
	}
	return out
}

// seenAt is one file of one job: places in Review.Jobs and in its photos.
type seenAt struct{ job, photo int }

// photoFindings returns one finding for the pictures that the same jobs share or hold under several
// names, those in most jobs first, and one for all jobs with pictures that are named at several
// bays.
func photoFindings(jobs []*Job) (again, bays []Finding) {
	first := map[[16]byte]int{} // place in groups
	var groups [][]seenAt
	for i, j := range jobs {
		for k := range j.photos {
			sum := j.photos[k].sum
			at, known := first[sum]
			if !known {
				at = len(groups)
				first[sum], groups = at, append(groups, nil)
			}
			groups[at] = append(groups[at], seenAt{i, k})
		}
	}
	at := map[string]int{} // place in again, by the jobs
	for _, g := range groups {
		if len(g) < 2 {
			continue
		}
		f := photoAgain(jobs, g)
		key := fmt.Sprint(f.Jobs)
		if k, known := at[key]; known {
			again[k].Data[0].Value++
			again[k].Data[1].Value += float64(len(g))
			continue
		}
		at[key], again = len(again), append(again, f)
	}
	slices.SortStableFunc(again, func(a, b Finding) int { return cmp.Compare(len(b.Jobs), len(a.Jobs)) })
	return again, atBays(jobs)
}

// photoAgain speaks about the last file of a group of equal ones, and names the first as the other:
// the one that was there before. The jobs stand the same way round, each once.
func photoAgain(jobs []*Job, g []seenAt) Finding {
	f := standing(PhotoTwice, nil)
	for k := len(g) - 1; k >= 0; k-- {
		if n := len(f.Jobs); n == 0 || f.Jobs[n-1] != g[k].job {
			f.Jobs = append(f.Jobs, g[k].job)
		}
	}
	o, l := g[0], g[len(g)-1]
	p, q := &jobs[l.job].photos[l.photo], &jobs[o.job].photos[o.photo]
	f.Data = []verify.Datum{number("photos", 1), number("places", float64(len(g))), number("jobs", float64(len(f.Jobs))), name("photo", p.name), name("bay", p.bay),
		name("other", jobs[o.job].Name), name("other_photo", q.name), name("other_bay", q.bay)}
	return f
}

// atBays counts the pictures that are named at more than one bay, over all jobs, and names the
// first; nil where none is.
func atBays(jobs []*Job) []Finding {
	photos, named := 0, 0
	var first *photo
	f := standing(PhotoBays, nil)
	for i, j := range jobs {
		before := photos
		for k := range j.photos {
			if p := &j.photos[k]; len(p.more) > 0 {
				if first == nil {
					first = p
				}
				photos, named = photos+1, named+1+len(p.more)
			}
		}
		if photos > before {
			f.Jobs = append(f.Jobs, i)
		}
	}
	if first == nil {
		return nil
	}
	f.Data = []verify.Datum{number("photos", float64(photos)), number("bays", float64(named)), name("photo", first.name),
		name("bay", first.bay), name("other_bay", first.more[0]), name("job", jobs[f.Jobs[0]].Name)}
	return []Finding{f}
}

// A picture that was saved anew, smaller, cut a little or in another quality, has other bytes and
// nearly the same perceptual hash: 256 signs of the lowest frequencies of its brightness. Two
// pictures that differ in mostDiffer of them at most are one and the same; unlike ones differ in
// about half, and two shots of like bays in more than fifty (tried on drawn scenes, see cmd's
// tests). A hash is cut into pieces of sixteen signs: where at most mostDiffer of 256 differ, at
// least one of the sixteen pieces is equal, so that only pictures with an equal piece are set
// against each other.

const (
	mostDiffer  = 15 // signs of 256; with fewer than sixteen one piece is equal
	mostOfPiece = 40 // pictures with an equal piece that are set against each other: plain ones have many
)

// alikePhotos returns one finding for each pair of jobs that share pictures saved anew.
func alikePhotos(jobs []*Job) []Finding {
	type piece struct {
		at   uint8
		sign uint16
	}
	pieces := map[piece][]seenAt{}
	place := map[[2]int]int{} // in out, by the jobs
	var out []Finding
	for i, j := range jobs {
		for k := range j.photos {
			p := &j.photos[k]
			if p.look == [4]uint64{} {
				continue
			}
			met := map[seenAt]bool{}
			for n := range 16 {
				key := piece{uint8(n), uint16(p.look[n/4] >> (n % 4 * 16))}
				for _, o := range pieces[key] {
					q := &jobs[o.job].photos[o.photo]
					differ := differing(p.look, q.look)
					if met[o] || o.job == i || p.sum == q.sum || differ > mostDiffer {
						continue
					}
					met[o] = true
					pair := [2]int{i, o.job}
					if at, known := place[pair]; known {
						out[at].Data[0].Value++
						continue
					}
					place[pair] = len(out)
					out = append(out, standing(PhotoAlike, []int{i, o.job}, number("photos", 1), name("photo", p.name), name("bay", p.bay),
						name("other", jobs[o.job].Name), name("other_photo", q.name), name("other_bay", q.bay), number("differ", float64(differ))))
				}
				if list := pieces[key]; len(list) < mostOfPiece {
					pieces[key] = append(list, seenAt{i, k})
				}
			}
		}
	}
	return out
}

// differing returns the Hamming distance of two pictures' hashes: the signs of 256 in which they
// differ.
func differing(a, b [4]uint64) (n int) {
	for i := range a {
		n += bits.OnesCount64(a[i] ^ b[i])
	}
	return n
}
