package record

import (
	"bytes"
	"encoding/binary"
	"strings"
	"testing"
	"testing/fstest"

	"bayproof/model"
)

// photoAt is the head of a JPEG whose Exif block says 44° 7' 24.42" N, 73° 32' 35.556" W.
func photoAt(order binary.AppendByteOrder, mark string) []byte {
	u16 := func(b []byte, x uint16) []byte { return order.AppendUint16(b, x) }
	u32 := func(b []byte, xs ...uint32) []byte {
		for _, x := range xs {
			b = order.AppendUint32(b, x)
		}
		return b
	}
	row := func(b []byte, tag, kind uint16, count uint32, value []byte) []byte {
		return append(u32(u16(u16(b, tag), kind), count), value...)
	}
	t := u32(u16([]byte(mark), 42), 8) // the first table stands at 8
	t = row(u16(t, 1), tagPlaceTable, 4, 1, u32(nil, 26))
	t = u32(t, 0) // no further table; 26 bytes so far
	t = u16(t, 4)
	t = row(t, tagLatitudeRef, 2, 2, []byte{'N', 0, 0, 0})
	t = row(t, tagLatitude, 5, 3, u32(nil, 80))
	t = row(t, tagLongitudeRef, 2, 2, []byte{'W', 0, 0, 0})
	t = row(t, tagLongitude, 5, 3, u32(nil, 104))
	t = u32(t, 0) // 80 bytes so far
	t = u32(t, 44, 1, 7, 1, 2442, 100, 73, 1, 32, 1, 35556, 1000)
	body := append([]byte("Exif\x00\x00"), t...)
	head := binary.BigEndian.AppendUint16([]byte{0xff, 0xd8, 0xff, 0xe1}, uint16(len(body)+2))
	return append(head, body...)
}

func TestPlaceOf(t *testing.T) {
	const want = "44.12345° N 73.54321° W" // 44 + 7/60 + 24.42/3600, 73 + 32/60 + 35.556/3600
	for mark, order := range map[string]binary.AppendByteOrder{"MM": binary.BigEndian, "II": binary.LittleEndian} {
		photo := photoAt(order, mark)
		if got := placeOf(bytes.NewReader(photo)); got != want {
			t.Errorf("%s: %q, want %q", mark, got, want)
		}
		for n := range photo { // a file cut anywhere says nothing and does no harm
			if got := placeOf(bytes.NewReader(photo[:n])); got != "" {
				t.Errorf("%s cut at %d: %q", mark, n, got)
			}
		}
	}
}

// A place is kept only where the job asks for it.
func TestPlaceOnlyOnDemand(t *testing.T) {
	in := exampleInputs()
	in.Assets = withoutLibrary{in.assets()}
	job := in.Findings.Job
	files := fstest.MapFS{"photos/b5-rod.jpg": {Data: photoAt(binary.BigEndian, "MM")}}
	job.Photos = []model.Photo{{Name: "b5-rod.jpg"}}
	for _, keep := range []bool{false, true} {
		job.Settings.PhotoPlace = keep
		in.Places = Places(files, job)
		if got := strings.Contains(string(examplePage(t, in)), "44.12345"); got != keep {
			t.Errorf("photo_place %v: the place in the record is %v", keep, got)
		}
	}
}
