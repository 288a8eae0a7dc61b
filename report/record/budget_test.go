package record

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"
	"math"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"
)

// encoded is a picture as PNG, or as JPEG.
func encoded(t testing.TB, im image.Image, as string) []byte {
	t.Helper()
	var b bytes.Buffer
	err := jpeg.Encode(&b, im, nil)
	if as == "png" {
		b.Reset()
		err = png.Encode(&b, im)
	}
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// pngHead is the head of a PNG of that size and kind, and no pixels.
func pngHead(w, h uint32, depth, colour, interlaced byte) []byte {
	b := append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR"), binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)...)
	b = append(b, depth, colour, 0, 0, interlaced)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[12:]))
}

// jpegHead is a frame of a JPEG of that size and kind (0 in one go, 2 progressive), the sampling of
// each part, and so many scans with a little data.
func jpegHead(w, h uint16, kind byte, scans int, sampling ...byte) []byte {
	b := []byte{0xff, 0xd8, 0xff, 0xc0 + kind}
	b = binary.BigEndian.AppendUint16(b, uint16(8+3*len(sampling)))
	b = append(b, 8)
	b = binary.BigEndian.AppendUint16(binary.BigEndian.AppendUint16(b, h), w)
	b = append(b, byte(len(sampling)))
	for i, s := range sampling {
		b = append(b, byte(i+1), s, 0)
	}
	for range scans {
		b = append(b, 0xff, 0xda, 0, 8, 1, 1, 0, 0, 0, 0, 0x12, 0xff, 0x00, 0x34, 0xff, 0xd0, 0x56)
	}
	return append(b, 0xff, 0xd9)
}

// What is over a budget is said before a byte of it is decoded; what telephones take is within.
func TestBudgets(t *testing.T) {
	for _, c := range []struct {
		name string
		raw  []byte
		over string // part of what is said; empty where it is within
	}{
		{"12 million pixels of a telephone", jpegHead(4032, 3024, 0, 1, 0x22, 0x11, 0x11), ""},
		{"50 million", jpegHead(8160, 6120, 0, 1, 0x22, 0x11, 0x11), ""},
		{"12 million, progressive", jpegHead(4032, 3024, 2, 10, 0x22, 0x11, 0x11), ""},
		{"a screen", pngHead(1290, 2796, 8, 2, 0), ""},
		{"2000 scans", jpegHead(1000, 1000, 2, 2000, 0x11), "drawn in 2000 passes, over 64"},
		{"60 scans of 12 million", jpegHead(4032, 3024, 2, 60, 0x22, 0x11, 0x11), "4032 x 3024 pixels in 60 passes take too long to decode"},
		{"four parts, progressive", jpegHead(8000, 7000, 2, 1, 0x11, 0x11, 0x11, 0x11), "8000 x 7000 pixels of its kind take 1281 MB to decode, over 160"},
		{"a sampling of four by four", jpegHead(7000, 7000, 0, 1, 0x44, 0x44, 0x44), ""},
		{"200 million", jpegHead(16320, 12240, 0, 1, 0x22, 0x11, 0x11), "16320 x 12240 pixels, over 60 million"},
		{"16 bits, colours", pngHead(7700, 7700, 16, 6, 0), "7700 x 7700 pixels of its kind take 452 MB to decode, over 160"},
		{"interlaced", pngHead(5500, 5500, 8, 2, 1), "take 230 MB to decode"},
		{"the largest that can be written", pngHead(math.MaxInt32, math.MaxInt32, 16, 6, 1), "over 60 million"},
		{"no pixels", jpegHead(0, 100, 0, 1, 0x11), "no pixels"},
	} {
		got, err := costOf(c.raw)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		if over := got.over(); (over == "") != (c.over == "") || !strings.Contains(over, c.over) {
			t.Errorf("%s: %q, want %q (%+v)", c.name, over, c.over, got)
		}
	}
	for _, raw := range [][]byte{nil, []byte("GIF89a"), []byte("\x89PNG\r\n\x1a\n"), append([]byte("\x89PNG\r\n\x1a\n"), make([]byte, 40)...)} {
		if _, err := costOf(raw); err == nil {
			t.Errorf("%q is taken for a picture", raw)
		}
	}
	for cut := range jpegHead(9, 9, 2, 3, 0x22, 0x11, 0x11) { // wherever it is cut, and whatever a byte of it says
		raw := jpegHead(9, 9, 2, 3, 0x22, 0x11, 0x11)
		costOf(raw[:cut])
		for _, b := range []byte{0, 1, 0xda, 0xff} {
			raw[cut] = b
			costOf(raw)
		}
	}
}

// Decoding takes what was reckoned, or less: measured on pictures of every kind that the library
// can write.
func TestReckonedMemory(t *testing.T) {
	box := image.Rect(0, 0, 1600, 1000)
	for name, raw := range map[string][]byte{
		"gray JPEG": encoded(t, image.NewGray(box), "jpeg"), "JPEG": encoded(t, image.NewRGBA(box), "jpeg"), "gray PNG": encoded(t, image.NewGray(box), "png"),
		"PNG": encoded(t, image.NewRGBA(box), "png"), "PNG that shows through": encoded(t, image.NewNRGBA(box), "png"), "PNG of 16 bits": encoded(t, image.NewNRGBA64(box), "png"),
		"gray PNG of 16 bits": encoded(t, image.NewGray16(box), "png"),
	} {
		c, err := costOf(raw)
		if err != nil {
			t.Fatal(name, err)
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		if _, _, err := image.Decode(bytes.NewReader(raw)); err != nil {
			t.Fatal(name, err)
		}
		runtime.ReadMemStats(&after)
		const tables = 1 << 17 // bytes of the decoders' own tables and buffers
		if took := int64(after.TotalAlloc - before.TotalAlloc); took > c.memory+tables || took < c.memory/4 {
			t.Errorf("%s took %d bytes, reckoned %d", name, took, c.memory)
		}
	}
}

// The budgets of all photos together: what comes after is counted, and not looked at.
func TestAllPhotosTogether(t *testing.T) {
	raw := encoded(t, image.NewGray(image.Rect(0, 0, 500, 400)), "jpeg")
	files := fstest.MapFS{}
	var names []string
	of := func(n int) (pictures int, left []string, work float64) {
		files, names = fstest.MapFS{}, nil
		for i := range n {
			name := fmt.Sprintf("%06d.jpg", i)
			names = append(names, name)
			files["photos/"+name] = &fstest.MapFile{Data: raw}
		}
		job := photoJob(names...)
		work = testing.AllocsPerRun(1, func() {
			pics, l := Pictures(files, job)
			pictures, left = len(pics), l
		})
		return pictures, left, work
	}
	few, _, one := of(20)
	many, left, two := of(40)
	if few != 20 || many != 40 || len(left) > 0 || two > 2.2*one {
		t.Errorf("%d and %d copied, %.0f and %.0f allocations, left %q", few, many, one, two, left)
	}
}
