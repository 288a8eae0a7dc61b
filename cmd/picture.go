package cmd

import (
	"image"
	_ "image/gif"  // registers its decoder
	_ "image/jpeg" // registers its decoder
	_ "image/png"  // registers its decoder
	"io"

	"github.com/corona10/goimagehash"
)

// mostPixels bounds what is decoded of a picture: a file of a few bytes may claim a picture that fills the memory.
const mostPixels = 64_000_000

// lookOf takes a picture's perceptual hash: 256 signs of the lowest frequencies of its brightness, which a picture keeps when it
// is saved anew, smaller or in another quality. It is nought of what is no picture, or a plain one of which the signs are
// noise.
func lookOf(photo io.Reader) (hash [4]uint64) {
	limited := io.LimitReader(photo, 64<<20)
	var head headReader
	config, _, err := image.DecodeConfig(io.TeeReader(limited, &head))
	if err != nil || config.Width*config.Height > mostPixels || config.Width < 16 || config.Height < 16 {
		return hash
	}
	picture, _, err := image.Decode(io.MultiReader(&head, limited))
	if err != nil || plain(picture) {
		return hash
	}
	signs, err := goimagehash.ExtPerceptionHash(picture, 16, 16)
	if err != nil {
		return hash
	}
	copy(hash[:], signs.GetHash())
	return hash
}

// headReader keeps what was read to learn a picture's size, to be read once more.
type headReader struct{ data []byte }

func (h *headReader) Write(p []byte) (int, error) {
	h.data = append(h.data, p...)
	return len(p), nil
}

func (h *headReader) Read(p []byte) (int, error) {
	if len(h.data) == 0 {
		return 0, io.EOF
	}
	n := copy(p, h.data)
	h.data = h.data[n:]
	return n, nil
}

// plain tells whether a picture is of one brightness throughout, as a lens cap is: 16 by 16 places of it differ by less than a
// twentieth of the scale.
func plain(p image.Image) bool {
	b := p.Bounds()
	least, most := uint32(1<<32-1), uint32(0)
	for y := range 16 {
		for x := range 16 {
			r, g, bl, _ := p.At(b.Min.X+b.Dx()*x/16, b.Min.Y+b.Dy()*y/16).RGBA()
			light := (r + g + bl) / 3
			least, most = min(least, light), max(most, light)
		}
	}
	return most-least < 65535/20
}
