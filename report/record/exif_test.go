package record

import (
	"bytes"
	"encoding/binary"
	"testing"
	"time"
)

// takenJPEG is the head of a JPEG with an Exif block that says how the picture is turned and when
// it was taken: tables as in TIFF 6.0, tags 274 and 34665, and Exif 2.3, tag 36867.
func takenJPEG(order binary.AppendByteOrder, mark, taken string) []byte {
	u16, u32 := order.AppendUint16, order.AppendUint32
	t := u32(u16([]byte(mark), 42), 8)
	t = u16(t, 2)
	t = u16(u16(u32(u16(u16(t, tagOrientation), 3), 1), 6), 0)
	t = u32(u32(u16(u16(t, tagExifTable), 4), 1), 38)
	t = u32(t, 0) // no further table; 38 bytes so far
	t = u16(t, 1)
	t = u32(u32(u16(u16(t, tagTaken), 2), 20), 56)
	t = u32(t, 0) // 56 bytes so far
	t = append(t, taken+"\x00"...)
	body := append([]byte("Exif\x00\x00"), t...)
	head := binary.BigEndian.AppendUint16([]byte{0xff, 0xd8, 0xff, 0xe1}, uint16(len(body)+2))
	return append(head, body...)
}

func TestTakenAndTurned(t *testing.T) {
	want := time.Date(2026, 3, 14, 15, 9, 26, 0, time.UTC)
	for mark, order := range map[string]binary.AppendByteOrder{"MM": binary.BigEndian, "II": binary.LittleEndian} {
		x := readExif(bytes.NewReader(takenJPEG(order, mark, "2026:03:14 15:09:26")))
		if !x.Taken.Equal(want) || x.Orientation != 6 {
			t.Errorf("%s: taken %v, turned %d, want %v and 6", mark, x.Taken, x.Orientation, want)
		}
		if x := readExif(bytes.NewReader(takenJPEG(order, mark, "2026:13:45 15:09:26"))); !x.Taken.IsZero() {
			t.Errorf("%s: a thirteenth month was taken for %v", mark, x.Taken)
		}
	}
}

// A segment whose length does not even count itself, and tables that stand outside or within
// themselves.
func TestDamagedMetadata(t *testing.T) {
	good := takenJPEG(binary.BigEndian, "MM", "2026:03:14 15:09:26")
	for name, photo := range map[string][]byte{
		"length 0":        {0xff, 0xd8, 0xff, 0xe0, 0, 0, 0, 0},
		"length 1":        {0xff, 0xd8, 0xff, 0xe1, 0, 1, 0, 0},
		"table outside":   bytes.Replace(good, []byte{0, 0, 0, 8}, []byte{0xff, 0xff, 0xff, 0xff}, 1),
		"table in itself": bytes.Replace(good, []byte{0, 0, 0, 38}, []byte{0, 0, 0, 8}, 1),
	} {
		if x := readExif(bytes.NewReader(photo)); !x.Taken.IsZero() {
			t.Errorf("%s: taken %v", name, x.Taken)
		}
	}
}

// Whatever a photo's metadata are, they are read or left.
func FuzzExif(f *testing.F) {
	f.Add(takenJPEG(binary.BigEndian, "MM", "2026:03:14 15:09:26"))
	f.Add(takenJPEG(binary.LittleEndian, "II", "2026:03:14 15:09:26"))
	f.Add([]byte{0xff, 0xd8, 0xff, 0xe0, 0, 0, 0, 0})
	f.Fuzz(func(t *testing.T, photo []byte) {
		if o := readExif(bytes.NewReader(photo)).Orientation; o < 1 || o > 8 {
			t.Fatalf("orientation %d", o)
		}
	})
}
