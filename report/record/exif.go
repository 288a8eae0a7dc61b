package record

import (
	"bytes"
	"encoding/binary"
	"io"
	"time"
)

// exif is the little that a record takes from a photo's metadata (Exif 2.3 in a JPEG's APP1 segment): when it was taken
// and which way up it is; where it was taken only on demand.
type exif struct {
	Taken       time.Time // zero where the file does not say
	Orientation int       // 1 to 8 as in TIFF 6.0; 1 where the file does not say
	gps         uint64    // where the table of the place stands; 0 where there is none
	block       tiffFile
}

// exifHead is how much of a file is looked at: the segment stands near its start and is at most 64 KB long.
const exifHead = 128 << 10

const (
	tagOrientation = 0x0112
	tagExifTable   = 0x8769
	tagTaken       = 0x9003
	tagPlaceTable  = 0x8825
)

// Taken tells when a photo was taken by the camera's own clock; the zero time where the file does not say.
func Taken(photo io.Reader) time.Time { return readExif(photo).Taken }

// readExif never fails: a damaged or missing segment says nothing.
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
	var order binary.ByteOrder = binary.BigEndian
	if tiff[0] == 'I' {
		order = binary.LittleEndian
	}
	t := tiffFile{tiff, order}
	found.block = t
	if sub := t.table(uint64(order.Uint32(tiff[4:])), &found); sub != 0 {
		t.table(sub, &found)
	}
	return found
}

// exifSegment returns the TIFF block of a JPEG's Exif segment; nil where there is none.
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

// table reads one table of tags and returns where the table of Exif tags stands; 0 where it names none.
func (t tiffFile) table(at uint64, into *exif) (sub uint64) {
	if at+2 > uint64(len(t.b)) {
		return 0
	}
	for n, p := t.order.Uint16(t.b[at:]), at+2; n > 0 && p+12 <= uint64(len(t.b)); n, p = n-1, p+12 {
		row := t.b[p : p+12]
		switch t.order.Uint16(row) {
		case tagOrientation:
			if o := int(t.order.Uint16(row[8:])); o >= 1 && o <= 8 {
				into.Orientation = o
			}
		case tagExifTable:
			sub = uint64(t.order.Uint32(row[8:]))
		case tagPlaceTable:
			into.gps = uint64(t.order.Uint32(row[8:]))
		case tagTaken:
			into.Taken = t.time(t.order.Uint32(row[4:]), uint64(t.order.Uint32(row[8:])))
		}
	}
	return sub
}

// time reads "2006:01:02 15:04:05"; the camera gives no zone.
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
