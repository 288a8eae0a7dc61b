package cmd

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"math/bits"
	"math/rand/v2"
	"runtime"
	"testing"

	"golang.org/x/image/draw"
)

// scene draws a wall of studs with gray fill between, as most photos of bays are: where the studs
// stand and how the fill lies differs from photo to photo.
func scene(seed uint64) *image.RGBA {
	r := rand.New(rand.NewPCG(seed, 1))
	p := image.NewRGBA(image.Rect(0, 0, 640, 480))
	at, wide, tilt := 640*r.Float64(), 120+60*r.Float64(), 0.3*r.NormFloat64()
	var lumps [12][3]float64
	for i := range lumps {
		lumps[i] = [3]float64{640 * r.Float64(), 480 * r.Float64(), 60 * r.NormFloat64()}
	}
	for y := range 480 {
		for x := range 640 {
			light := 120.0 + 20*r.NormFloat64()
			for _, l := range lumps {
				d := math.Hypot(float64(x)-l[0], float64(y)-l[1])
				light += l[2] * math.Exp(-d*d/(2*60*60))
			}
			if d := math.Mod(float64(x)+tilt*float64(y)-at+6400, wide); d < 22 {
				light += 70
			}
			v := uint8(math.Max(0, math.Min(255, light)))
			p.Set(x, y, color.RGBA{v, v, uint8(float64(v) * 0.9), 255})
		}
	}
	return p
}

// saved is a picture as a file: smaller, in a quality.
func saved(p image.Image, size float64, quality int) *bytes.Buffer {
	b := p.Bounds()
	small := image.NewRGBA(image.Rect(0, 0, int(size*float64(b.Dx())), int(size*float64(b.Dy()))))
	draw.CatmullRom.Scale(small, small.Bounds(), p, b, draw.Src, nil)
	var out bytes.Buffer
	_ = jpeg.Encode(&out, small, &jpeg.Options{Quality: quality})
	return &out
}

func signsApart(a, b [4]uint64) (n int) {
	for i := range a {
		n += bits.OnesCount64(a[i] ^ b[i])
	}
	return n
}

// TestLookOfPictures: a picture saved anew keeps its signs to within what the review takes for the
// same one, 15 of 256; other walls differ in more than three times as many; what is no picture, or
// plain, has none.
func TestLookOfPictures(t *testing.T) {
	t.Parallel()
	const pictures = 12
	var looks [][4]uint64
	most, least := 0, 256
	for i := range uint64(pictures) {
		p := scene(i)
		first := lookOf(saved(p, 1, 92))
		for _, x := range []struct {
			size    float64
			quality int
		}{{1, 70}, {0.8, 80}, {0.5, 85}} {
			most = max(most, signsApart(first, lookOf(saved(p, x.size, x.quality))))
		}
		for _, other := range looks {
			least = min(least, signsApart(first, other))
		}
		looks = append(looks, first)
	}
	t.Logf("saved anew: at most %d of 256 signs; other walls: at least %d", most, least)
	if most > 15 || least < 50 {
		t.Errorf("saved anew %d, other walls %d", most, least)
	}
	gray := image.NewGray(image.Rect(0, 0, 200, 200))
	var plainFile bytes.Buffer
	_ = png.Encode(&plainFile, gray)
	for name, data := range map[string]*bytes.Buffer{"a plain picture": &plainFile, "no picture": bytes.NewBufferString("no picture"), "nothing": {}} {
		if look := lookOf(data); look != [4]uint64{} {
			t.Errorf("%s: %v", name, look)
		}
	}
}

// TestLookOfCostlyPicture: a picture that asks for 400 MB, of which a few bytes are there, is not
// decoded.
func TestLookOfCostlyPicture(t *testing.T) {
	var pixels bytes.Buffer
	z := zlib.NewWriter(&pixels)
	_, _ = z.Write(make([]byte, 100))
	_ = z.Close()
	raw := []byte("\x89PNG\r\n\x1a\n")
	for _, c := range []struct {
		kind string
		data []byte
	}{{"IHDR", append(binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, 5000), 5000), 16, 6, 0, 0, 1)}, {"IDAT", pixels.Bytes()}} {
		raw = binary.BigEndian.AppendUint32(raw, uint32(len(c.data)))
		checked := append([]byte(c.kind), c.data...)
		raw = binary.BigEndian.AppendUint32(append(raw, checked...), crc32.ChecksumIEEE(checked))
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	look := lookOf(bytes.NewReader(raw))
	runtime.ReadMemStats(&after)
	if took := (after.TotalAlloc - before.TotalAlloc) >> 20; took > 20 || look != [4]uint64{} {
		t.Errorf("took %d MB, signs %x", took, look)
	}
}
