package record

import (
	"image"
	"image/color"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

// stroke is one dark run of the square code's path: its left end, its row, its length.
var stroke = regexp.MustCompile(`M(\d+) (\d+)\.5h(\d+)`)

// drawnCode paints the square code of a page as a browser does, some px a square, with the white
// margin of its viewBox.
func drawnCode(t *testing.T, page string) image.Image {
	t.Helper()
	m := regexp.MustCompile(`viewBox="-2 -2 (\d+) (\d+)"[^>]*><path id="code" d="([^"]*)"`).FindStringSubmatch(page)
	if m == nil {
		t.Fatal("no square code in the page")
	}
	number := func(s string) int { n, _ := strconv.Atoi(s); return n }
	const px = 4
	size := number(m[1])
	img := image.NewGray(image.Rect(0, 0, size*px, size*px))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	if left := stroke.ReplaceAllString(m[3], ""); left != "" {
		t.Fatalf("the path is more than strokes: %q", left)
	}
	for _, s := range stroke.FindAllStringSubmatch(m[3], -1) {
		x, y, run := number(s[1])+2, number(s[2])+2, number(s[3])
		for dy := range px {
			for dx := range run * px {
				img.SetGray(x*px+dx, y*px+dy, color.Gray{})
			}
		}
	}
	return img
}

// A reader of square codes that shares nothing with what wrote it reads the digest off the page.
func TestSquareCodeIsRead(t *testing.T) {
	page := string(examplePage(t, exampleInputs()))
	stated := regexp.MustCompile(`<code id="digest">([0-9a-f]{64})<`).FindStringSubmatch(page)[1]
	read := func(img image.Image) (string, error) {
		bits, err := gozxing.NewBinaryBitmapFromImage(img)
		if err != nil {
			t.Fatal(err)
		}
		result, err := qrcode.NewQRCodeReader().Decode(bits, nil)
		if err != nil {
			return "", err
		}
		return result.GetText(), nil
	}
	img := drawnCode(t, page)
	if text, err := read(img); err != nil || strings.ToLower(text) != stated {
		t.Errorf("it reads %q, want %q: %v", text, stated, err)
	}
	// One without its corner is none.
	gray := img.(*image.Gray)
	for y := range 40 {
		for x := range 40 {
			gray.SetGray(x, y, color.Gray{Y: 255})
		}
	}
	if text, err := read(gray); err == nil {
		t.Errorf("a code without a corner reads %q", text)
	}
}
