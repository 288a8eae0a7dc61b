package record

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"
	"testing/fstest"

	"bayproof/model"
)

// cornered is a picture whose upper left quarter is red and the rest blue.
func cornered(w, h int) *image.RGBA {
	im := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{0, 0, 200, 255}
			if x < w/2 && y < h/2 {
				c = color.RGBA{200, 0, 0, 255}
			}
			im.SetRGBA(x, y, c)
		}
	}
	return im
}

// turnedJPEG is a photo whose Exif block gives an orientation, a time and a secret.
func turnedJPEG(t *testing.T, im image.Image, orientation uint16) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, im, nil); err != nil {
		t.Fatal(err)
	}
	block := []byte("MM\x00\x2a\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01")
	block = binary.BigEndian.AppendUint16(block, orientation)
	block = append(block, "\x00\x00\x00\x00\x00\x00secret place"...)
	body := append([]byte("Exif\x00\x00"), block...)
	segment := binary.BigEndian.AppendUint16([]byte{0xff, 0xe1}, uint16(len(body)+2))
	out := append([]byte{0xff, 0xd8}, append(segment, body...)...)
	return append(out, b.Bytes()[2:]...)
}

func photoJob(names ...string) *model.Job {
	job := &model.Job{Log: []model.Entry{{Photos: names}}}
	for _, n := range names {
		job.Photos = append(job.Photos, model.Photo{Name: n})
	}
	return job
}

// Every orientation of TIFF 6.0 (tag 274) is stored so that, turned upright, the red quarter has to
// be where the table says: row 0 and column 0 of the stored picture are that side of the upright
// one.
func TestPicturesStandUpright(t *testing.T) {
	for o, corner := range map[uint16][2]int{1: {0, 0}, 2: {1, 0}, 3: {1, 1}, 4: {0, 1}, 5: {0, 0}, 6: {1, 0}, 7: {1, 1}, 8: {0, 1}} {
		files := fstest.MapFS{"photos/a.jpg": {Data: turnedJPEG(t, cornered(960, 640), o)}}
		pics, left := Pictures(files, photoJob("a.jpg"))
		if len(pics) != 1 || len(left) > 0 {
			t.Fatalf("orientation %d: %d pictures, left out %q", o, len(pics), left)
		}
		p := pics[0]
		if w, h := p.Width, p.Height; o <= 4 && (w != 480 || h != 320) || o > 4 && (w != 320 || h != 480) {
			t.Errorf("orientation %d: %d x %d", o, w, h)
		}
		im, err := jpeg.Decode(bytes.NewReader(p.JPEG))
		if err != nil {
			t.Fatal(err)
		}
		for _, side := range [][2]int{{0, 0}, {1, 0}, {0, 1}, {1, 1}} {
			r, _, _, _ := im.At(p.Width/4+side[0]*p.Width/2, p.Height/4+side[1]*p.Height/2).RGBA()
			if red := r > 0x8000; red != (side == corner) {
				t.Errorf("orientation %d: quarter %v red is %v", o, side, red)
			}
		}
		if bytes.Contains(p.JPEG, []byte("secret")) || bytes.Contains(p.JPEG, []byte("Exif")) {
			t.Errorf("orientation %d: the copy carries metadata", o)
		}
	}
}

// What cannot be copied is left out and told; a picture too large to hold is never decoded.
func TestPicturesLeftOut(t *testing.T) {
	var small bytes.Buffer
	if err := png.Encode(&small, cornered(8, 8)); err != nil {
		t.Fatal(err)
	}
	bomb := bytes.Clone(small.Bytes())
	binary.BigEndian.PutUint32(bomb[16:], 60_000)
	binary.BigEndian.PutUint32(bomb[20:], 60_000)
	binary.BigEndian.PutUint32(bomb[29:], crc32.ChecksumIEEE(bomb[12:29]))
	cut := turnedJPEG(t, cornered(200, 200), 1)
	files := fstest.MapFS{
		"photos/good.png": {Data: small.Bytes()}, "photos/bomb.png": {Data: bomb}, "photos/cut.jpg": {Data: cut[:len(cut)/2]},
		"photos/text.jpg": {Data: []byte("no picture")}, "photos/unnamed.png": {Data: small.Bytes()},
	}
	job := photoJob("good.png", "bomb.png", "cut.jpg", "text.jpg", "gone.jpg")
	job.Photos = append(job.Photos, model.Photo{Name: "unnamed.png"})
	pics, left := Pictures(files, job)
	if len(pics) != 1 || pics[0].Name != "good.png" || pics[0].Width != 8 {
		t.Errorf("pictures %v, want good.png alone", pics)
	}
	all := strings.Join(left, "\n")
	for _, want := range []string{"bomb.png: 60000 x 60000 pixels", "cut.jpg: damaged", "text.jpg: not a JPEG", "gone.jpg"} {
		if !strings.Contains(all, want) {
			t.Errorf("left out: %q does not say %q", left, want)
		}
	}
	if len(left) != 4 {
		t.Errorf("%d left out, want 4: %q", len(left), left)
	}
}
