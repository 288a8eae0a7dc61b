package record

import (
	"fmt"
	"io"
	"io/fs"
	"path"

	"bayproof/model"
)

// Places tells where the photos of a job were taken, by their names, for those whose files say so. A place is somebody's
// home: it is read only where the job's photo_place is yes.
func Places(fsys fs.FS, job *model.Job) map[string]string {
	if !job.Settings.PhotoPlace {
		return nil
	}
	out := map[string]string{}
	for _, p := range job.Photos {
		f, err := fsys.Open(path.Join("photos", p.Name))
		if err != nil {
			continue // the reader has told it
		}
		if place := placeOf(f); place != "" {
			out[p.Name] = place
		}
		f.Close()
	}
	return out
}

// Tags of the place in Exif 2.3, table 15.
const (
	tagLatitudeRef  = 1
	tagLatitude     = 2
	tagLongitudeRef = 3
	tagLongitude    = 4
)

// placeOf writes latitude and longitude in degrees, "44.12345° N 73.54321° W"; empty where the file does not say.
func placeOf(photo io.Reader) string {
	x := readExif(photo)
	t, at := x.block, x.gps
	if at == 0 || at+2 > uint64(len(t.b)) {
		return ""
	}
	var refs [2]byte
	var angles [2]float64
	var seen int
	for n, p := t.order.Uint16(t.b[at:]), at+2; n > 0 && p+12 <= uint64(len(t.b)); n, p = n-1, p+12 {
		row := t.b[p : p+12]
		switch tag := t.order.Uint16(row); tag {
		case tagLatitudeRef, tagLongitudeRef:
			refs[(tag-1)/2] = row[8]
		case tagLatitude, tagLongitude:
			if angle, ok := t.angle(uint64(t.order.Uint32(row[8:]))); ok {
				angles[(tag-1)/2] = angle
				seen++
			}
		}
	}
	if seen != 2 || refs[0] != 'N' && refs[0] != 'S' || refs[1] != 'E' && refs[1] != 'W' {
		return ""
	}
	return fmt.Sprintf("%.5f° %c %.5f° %c", angles[0], refs[0], angles[1], refs[1])
}

// angle reads degrees, minutes and seconds, three unsigned fractions, and returns degrees.
func (t tiffFile) angle(at uint64) (float64, bool) {
	if at+24 > uint64(len(t.b)) {
		return 0, false
	}
	sum, part := 0.0, 1.0
	for i := range uint64(3) {
		above, below := t.order.Uint32(t.b[at+8*i:]), t.order.Uint32(t.b[at+8*i+4:])
		if below == 0 {
			return 0, false
		}
		sum += float64(above) / float64(below) / part
		part *= 60
	}
	return sum, sum <= 180
}
