package record

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	_ "image/png" // photos of screens
	"io"
	"io/fs"
	"path"

	"golang.org/x/image/draw"

	"bayproof/model"
)

const (
	pictureSide  = 480        // px: the longer side of the copy in a record
	mostPixels   = 60_000_000 // a larger picture is not decoded: it would fill the memory
	mostPhoto    = 64 << 20   // bytes of a file that is decoded
	pictureGrade = 72         // JPEG quality of the copy
)

// Pictures makes small upright copies, without metadata, of the photos that the log or cores.csv names, in the order of their names.
// What cannot be copied is left out and told, one line each.
func Pictures(fsys fs.FS, job *model.Job) (pictures []Picture, left []string) {
	for _, p := range job.Photos {
		if !isNamed(job, p.Name) {
			continue
		}
		pic, err := smallCopy(fsys, path.Join("photos", p.Name))
		if err != nil {
			left = append(left, fmt.Sprintf("photo %s: %v", p.Name, err))
			continue
		}
		pic.Name = p.Name
		pictures = append(pictures, pic)
	}
	return pictures, left
}

// isNamed tells whether any row of the log or of cores.csv names a photo.
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

// smallCopy decodes, shrinks, turns upright and encodes a photo. Its size is looked at before it is decoded.
func smallCopy(fsys fs.FS, name string) (Picture, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return Picture{}, err
	}
	defer f.Close()
	raw, err := io.ReadAll(io.LimitReader(f, mostPhoto+1))
	if err != nil {
		return Picture{}, err
	}
	if len(raw) > mostPhoto {
		return Picture{}, fmt.Errorf("over %d MB", mostPhoto>>20)
	}
	size, kind, err := image.DecodeConfig(bytes.NewReader(raw))
	if err != nil {
		return Picture{}, fmt.Errorf("not a JPEG or PNG picture: %w", err)
	}
	if size.Width <= 0 || size.Height <= 0 || size.Width > mostPixels/size.Height {
		return Picture{}, fmt.Errorf("%d x %d pixels, more than are decoded", size.Width, size.Height)
	}
	whole, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		return Picture{}, fmt.Errorf("damaged %s: %w", kind, err)
	}
	small := upright(shrink(whole), readExif(bytes.NewReader(raw)).Orientation)
	var out bytes.Buffer
	if err := jpeg.Encode(&out, small, &jpeg.Options{Quality: pictureGrade}); err != nil {
		return Picture{}, err
	}
	b := small.Bounds()
	return Picture{Width: b.Dx(), Height: b.Dy(), JPEG: out.Bytes()}, nil
}

// shrink scales a picture so that its longer side fits; a small one stays as large as it is. What is transparent
// becomes white.
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

// turned returns where a stored pixel belongs in the upright picture.
func turned(x, y, w, h, orientation int) (int, int) {
	switch orientation {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return h - 1 - y, x
	case 7:
		return h - 1 - y, w - 1 - x
	case 8:
		return y, w - 1 - x
	}
	return x, y
}
