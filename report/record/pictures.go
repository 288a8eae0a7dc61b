package record

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"fmt"
	"html/template"
	"image"
	"image/jpeg"
	_ "image/png" // photos of screens
	"io"
	"io/fs"
	"path"
	"slices"
	"time"

	"golang.org/x/image/draw"

	"bayproof/model"
)

// Photos stay in the job's folder. A record names those of a bay with digest and time, so that
// whoever is shown a photo later can tell whether it is that one; small copies come in where they
// are asked for. Of the metadata only the time and the way up are read, by the few lines below:
// they meet files from anybody, and say nothing rather than fail.

// photo is one picture of a bay: by name, digest and time; the small copy only where it is carried,
// as an address that holds the picture itself.
type photo struct {
	Name, SHA256, Taken string
	Bytes               string // its size
	Width, Height       int
	Picture             template.URL
}

// Photos returns the photos that a bay's rows and then its cores name, by name or by pattern, each
// once, in the order in which they are named. A name that nothing in photos/ has is shown all the
// same.
func (b *bay) Photos() []photo {
	var names []string
	for _, row := range b.Bay.Rows {
		names = append(names, row.Photos...)
	}
	for _, c := range b.Cores {
		names = append(names, c.Core.Photo)
	}
	var out []photo
	add := func(p photo) {
		if !slices.ContainsFunc(out, func(o photo) bool { return o.Name == p.Name }) {
			out = append(out, p)
		}
	}
	for _, name := range slices.DeleteFunc(names, func(s string) bool { return s == "" }) {
		found := false
		for _, p := range b.p.f.Job.Photos {
			if model.NamesPhoto(name, p.Name) {
				found = true
				add(b.p.photo(p))
			}
		}
		if !found {
			add(photo{Name: name, Taken: "not in photos/"})
		}
	}
	return out
}

// photo sets out one photo, with its small copy where there is one.
func (p *page) photo(of model.Photo) photo {
	out := photo{Name: of.Name, SHA256: of.SHA256, Taken: "no time in the file", Bytes: plural(int((of.Bytes+512)/1024), "KB", "KB")}
	if !of.Taken.IsZero() {
		out.Taken = "taken " + of.Taken.Format(time.DateTime)
	}
	for _, pic := range p.in.Pictures {
		if pic.Name == of.Name {
			out.Width, out.Height = pic.Width, pic.Height
			out.Picture = template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(pic.JPEG))
		}
	}
	return out
}

// What a copy is made of.
const (
	pictureSide  = 480 // px: the longer side of the copy in a record
	pictureGrade = 72  // JPEG quality of the copy
)

// Pictures makes small upright copies, without metadata, of the photos that the log or cores.csv
// names, in the order of their names. What cannot be copied, or is over what is spent on a photo or
// on all of them, is left out and told, one line each; the record names it with its digest all the
// same.
func Pictures(fsys fs.FS, job *model.Job) (pictures []Picture, left []string) {
	work, copied, more := int64(0), 0, 0
	for _, p := range job.Photos {
		if !isNamed(job, p.Name) {
			continue
		}
		if work > mostWorkAll || copied > mostCopied {
			more++
			continue
		}
		pic, spent, err := smallCopy(fsys, path.Join("photos", p.Name))
		if work += spent; err != nil {
			left = append(left, fmt.Sprintf("photo %s: %v", p.Name, err))
			continue
		}
		pic.Name = p.Name
		copied += len(pic.JPEG)
		pictures = append(pictures, pic)
	}
	if more > 0 {
		left = append(left, plural(more, "photo more", "photos more")+": all together take too long to copy, or make the record too large")
	}
	return pictures, left
}

// isNamed tells whether any row of the log or of cores.csv names a photo, by its name or a pattern:
// what nobody named is no evidence and stays out.
func isNamed(job *model.Job, photo string) bool {
	for i := range job.Log {
		if job.Log[i].NamesPhoto(photo) {
			return true
		}
	}
	for i := range job.Cores {
		if model.NamesPhoto(job.Cores[i].Photo, photo) {
			return true
		}
	}
	return false
}

// smallCopy decodes, shrinks, turns upright and encodes a photo. What that takes is reckoned
// before: spent is its work in pixels times scans.
func smallCopy(fsys fs.FS, name string) (pic Picture, spent int64, err error) {
	f, err := fsys.Open(name)
	if err != nil {
		return pic, 0, err
	}
	defer f.Close()
	raw, err := io.ReadAll(io.LimitReader(f, mostPhoto+1))
	if err != nil {
		return pic, 0, err
	}
	if len(raw) > mostPhoto {
		return pic, 0, fmt.Errorf("over %d MB", mostPhoto>>20)
	}
	takes, err := costOf(raw)
	if err != nil {
		return pic, 0, err
	}
	if over := takes.over(); over != "" {
		return pic, 0, errors.New(over)
	}
	size, kind, err := image.DecodeConfig(bytes.NewReader(raw))
	if err != nil {
		return pic, 0, fmt.Errorf("%w: %w", errNoPicture, err)
	}
	if size.Width != takes.width || size.Height != takes.height { // made so that one of two readers is misled
		return pic, 0, fmt.Errorf("damaged %s: it says two sizes", kind)
	}
	whole, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		return pic, takes.work(), fmt.Errorf("damaged %s: %w", kind, err)
	}
	// The copy is drawn anew from the pixels, so that no metadata and no place comes with it.
	small := upright(shrink(whole), readExif(bytes.NewReader(raw)).Orientation)
	var out bytes.Buffer
	err = jpeg.Encode(&out, small, &jpeg.Options{Quality: pictureGrade})
	b := small.Bounds()
	return Picture{Width: b.Dx(), Height: b.Dy(), JPEG: out.Bytes()}, takes.work(), err
}

// shrink scales a picture so that its longer side fits; a small one stays as large as it is. What
// is transparent becomes white.
func shrink(src image.Image) *image.RGBA {
	b := src.Bounds()
	w, h := b.Dx(), b.Dy()
	if long := max(w, h); long > pictureSide {
		w, h = max(1, w*pictureSide/long), max(1, h*pictureSide/long)
	}
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(dst, dst.Bounds(), image.White, image.Point{}, draw.Src)
	draw.ApproxBiLinear.Scale(dst, dst.Bounds(), src, b, draw.Over, nil)
	return dst
}

// upright turns and mirrors a picture as its orientation says (TIFF 6.0, tag 274).
func upright(src *image.RGBA, orientation int) *image.RGBA {
	if orientation <= 1 {
		return src
	}
	w, h := src.Bounds().Dx(), src.Bounds().Dy()
	// From 5 on the picture lies on its side: width and height change places.
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	if orientation >= 5 {
		dst = image.NewRGBA(image.Rect(0, 0, h, w))
	}
	for y := range h {
		for x := range w {
			tx, ty := turned(x, y, w, h, orientation)
			dst.SetRGBA(tx, ty, src.RGBAAt(x, y))
		}
	}
	return dst
}

// turned returns where a stored pixel belongs in the upright picture: 2, 4, 5 and 7 are mirrored, 3
// stands on its head, 6 and 8 lie on a side.
func turned(x, y, w, h, orientation int) (int, int) {
	if orientation >= 5 {
		x, y, w, h = y, x, h, w
	}
	switch orientation {
	case 2, 6:
		return w - 1 - x, y
	case 3, 7:
		return w - 1 - x, h - 1 - y
	case 4, 8:
		return x, h - 1 - y
	}
	return x, y
}

// exif is the little that a record takes from a photo's metadata (Exif 2.3 in a JPEG's APP1
// segment): when it was taken and which way up it is. Where it was taken is never read: a place is
// somebody's home.
type exif struct {
	Taken       time.Time // zero where the file does not say
	Orientation int       // 1 to 8 as in TIFF 6.0; 1 where the file does not say
}

// exifHead is how much of a file is looked at: the segment stands near its start and is at most 64
// KB long.
const exifHead = 128 << 10

// The tags that are read: TIFF 6.0 (orientation), Exif 2.3 (the pointer to its own table,
// DateTimeOriginal).
const (
	tagOrientation = 0x0112
	tagExifTable   = 0x8769
	tagTaken       = 0x9003
)

// Taken tells when a photo was taken by the camera's own clock; the zero time where the file does
// not say.
func Taken(photo io.Reader) time.Time { return readExif(photo).Taken }

// readExif reads the head of a photo. It never fails: a damaged or missing segment says nothing.
func readExif(r io.Reader) exif {
	found := exif{Orientation: 1}
	head, err := io.ReadAll(io.LimitReader(r, exifHead))
	if err != nil {
		return found
	}
	tiff := exifSegment(head)
	if len(tiff) < 8 {
		return found
	}
	// A TIFF block opens with II or MM, Intel's or Motorola's order of bytes, and says at byte 4
	// where its first table stands.
	var order binary.ByteOrder = binary.BigEndian
	if tiff[0] == 'I' {
		order = binary.LittleEndian
	}
	t := tiffFile{tiff, order}
	if sub := t.table(uint64(order.Uint32(tiff[4:])), &found); sub != 0 {
		t.table(sub, &found)
	}
	return found
}

// exifSegment returns the TIFF block of a JPEG's Exif segment; nil where there is none. It goes
// from segment to segment by their lengths and stops where the picture itself begins (marker DA).
func exifSegment(jpeg []byte) []byte {
	if !bytes.HasPrefix(jpeg, []byte{0xff, 0xd8}) {
		return nil
	}
	for rest := jpeg[2:]; len(rest) >= 4 && rest[0] == 0xff; {
		size := int(binary.BigEndian.Uint16(rest[2:])) + 2
		if size < 4 || size > len(rest) || rest[1] == 0xda { // the length counts its own two bytes
			return nil
		}
		if body := rest[4:size]; rest[1] == 0xe1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")) {
			return body[6:]
		}
		rest = rest[size:]
	}
	return nil
}

// tiffFile is a TIFF block with its byte order.
type tiffFile struct {
	b     []byte
	order binary.ByteOrder
}

// table reads one table of tags and returns where the table of Exif tags stands; 0 where it names
// none. Places are offsets into the block and come from the file: each is checked against its end.
func (t tiffFile) table(at uint64, into *exif) (sub uint64) {
	if at+2 > uint64(len(t.b)) {
		return 0
	}
	// A table is a count and that many rows of 12 bytes: tag, type, number of values, and the value
	// itself or where it stands. A count that leads beyond the block ends there.
	for n, p := t.order.Uint16(t.b[at:]), at+2; n > 0 && p+12 <= uint64(len(t.b)); n, p = n-1, p+12 {
		row := t.b[p : p+12]
		switch t.order.Uint16(row) {
		case tagOrientation:
			if o := int(t.order.Uint16(row[8:])); o >= 1 && o <= 8 {
				into.Orientation = o
			}
		case tagExifTable:
			sub = uint64(t.order.Uint32(row[8:]))
		case tagTaken:
			into.Taken = t.time(t.order.Uint32(row[4:]), uint64(t.order.Uint32(row[8:])))
		}
	}
	return sub
}

// time reads "2006:01:02 15:04:05", the form that Exif asks for; the zero time for anything else.
// The camera gives no zone: the time is shown as its clock had it.
func (t tiffFile) time(count uint32, at uint64) time.Time {
	const layout = "2006:01:02 15:04:05"
	if count < uint32(len(layout)) || at+uint64(len(layout)) > uint64(len(t.b)) {
		return time.Time{}
	}
	taken, err := time.Parse(layout, string(t.b[at:at+uint64(len(layout))]))
	if err != nil {
		return time.Time{}
	}
	return taken
}
