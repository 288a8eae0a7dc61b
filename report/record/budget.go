package record

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
)

// What decoding a photo takes is reckoned from its head before anything of it is decoded, since a
// few hundred kilobytes can ask for a gigabyte or a minute: a photo comes from anybody's telephone,
// or from somebody who wants the record not to be written. Work is counted in pixels and not in
// seconds, that the same photos make the same record on a slow machine too.
const (
	mostPhoto    = 64 << 20    // bytes of a file that is decoded
	mostPixels   = 60_000_000  // of a picture: what telephones take, 12 to 50 million
	mostMemory   = 160 << 20   // bytes that decoding takes, by mostly generous reckoning: record stays below 300 MB
	mostScans    = 64          // of a progressive JPEG: cameras write 10, the format has no use for more than some 40
	mostWork     = 250_000_000 // pixels times scans: some 2 s
	mostWorkAll  = 4e9         // the same of all photos of a record: some 30 s
	mostCopied   = 48 << 20    // bytes of all copies: a record that a mail still takes
	jpegBlock    = 8           // samples on a side of the block that JPEG is made of
	coefficients = 4           // bytes of one in the decoder, which keeps all of a progressive picture until its last scan
)

// cost is what decoding a photo takes.
type cost struct {
	width, height int
	pixels        int64
	memory        int64 // bytes
	scans         int   // 1 where the picture is written in one go
}

// work is pixels times scans.
func (c *cost) work() int64 { return c.pixels * int64(c.scans) }

// over says which budget of one picture it is over; empty where it is within all.
func (c *cost) over() string {
	switch {
	case c.width <= 0 || c.height <= 0:
		return "no pixels"
	case c.pixels > mostPixels:
		return fmt.Sprintf("%d x %d pixels, over %d million", c.width, c.height, mostPixels/1_000_000)
	case c.scans > mostScans:
		return fmt.Sprintf("drawn in %d passes, over %d", c.scans, mostScans)
	case c.memory > mostMemory:
		return fmt.Sprintf("%d x %d pixels of its kind take %d MB to decode, over %d", c.width, c.height, c.memory>>20, mostMemory>>20)
	case c.work() > mostWork:
		return fmt.Sprintf("%d x %d pixels in %d passes take too long to decode", c.width, c.height, c.scans)
	}
	return ""
}

// Costly says which budget of one picture a JPEG or PNG is over, so that it is better not decoded;
// empty where it is over none, and of files of other kinds.
func Costly(raw []byte) string {
	c, err := costOf(raw)
	if err != nil {
		return ""
	}
	return c.over()
}

// errNoPicture says that a photo is of no kind that a record can carry a small copy of.
var errNoPicture = errors.New("not a JPEG or PNG picture")

// costOf reads what decoding takes off the head of a photo, and how many scans a JPEG has off the
// whole of it. Nothing is decoded.
func costOf(raw []byte) (cost, error) {
	switch {
	case bytes.HasPrefix(raw, []byte{0xff, 0xd8}):
		return costOfJPEG(raw)
	case bytes.HasPrefix(raw, []byte("\x89PNG\r\n\x1a\n")):
		return costOfPNG(raw)
	}
	return cost{}, errNoPicture
}

// costOfPNG reads the head of a PNG (W3C PNG, 11.2.2 IHDR: at byte 16 width, height, depth of a
// sample, kind of colour, ..., interlaced or not).
func costOfPNG(raw []byte) (cost, error) {
	if len(raw) < 33 || string(raw[12:16]) != "IHDR" {
		return cost{}, errNoPicture
	}
	w, h := binary.BigEndian.Uint32(raw[16:]), binary.BigEndian.Uint32(raw[20:])
	depth, colour, interlaced := raw[24], raw[25], raw[28] != 0
	c := cost{width: int(w), height: int(h), pixels: int64(w) * int64(h), scans: 1}
	size := int64(1) // bytes of a pixel in the decoder
	switch colour {
	case 2, 4, 6: // colours, or gray with what shows through
		size = 4
	}
	if depth == 16 {
		size *= 2
	}
	if c.memory = c.pixels * size; interlaced { // each pass is a picture of its own, put into the whole
		c.memory *= 2
	}
	return c, nil
}

// costOfJPEG goes from marker to marker of a JPEG (ITU-T T.81, annex B): the frame says width,
// height, samples and whether the picture is progressive, each SOS begins a scan.
func costOfJPEG(raw []byte) (cost, error) {
	const frame, scan, adobe, end = 0xc0, 0xda, 0xee, 0xd9
	c := cost{}
	coloured := true // stored as brightness and two colours
	for at := 2; at+4 <= len(raw); {
		if raw[at] != 0xff {
			at++ // the data of a scan, or padding
			continue
		}
		marker := raw[at+1]
		if marker == 0 || marker == 0xff || marker == 1 || marker >= 0xd0 && marker <= 0xd8 { // a byte of data, padding, restarts
			at++
			continue
		}
		if marker == end {
			break
		}
		size := int(binary.BigEndian.Uint16(raw[at+2:]))
		body := raw[at+4 : min(max(at+4, at+2+size), len(raw))]
		switch {
		case marker >= frame && marker <= frame+2 && len(body) >= 6 && c.scans == 0:
			c.height, c.width = int(binary.BigEndian.Uint16(body[1:])), int(binary.BigEndian.Uint16(body[3:]))
			c.memory = samples(body, c.width, c.height)
			if marker == frame+2 {
				c.memory *= 1 + coefficients
			}
			ids := body[6:]
			if n := int(body[5]); n == 4 || n == 3 && len(ids) >= 9 && slices.Equal([]byte{ids[0], ids[3], ids[6]}, []byte("RGB")) {
				coloured = false
			}
		case marker == adobe && len(body) >= 12 && bytes.HasPrefix(body, []byte("Adobe")) && body[11] == 0:
			coloured = false
		case marker == scan:
			c.scans++
		}
		at += 2 + max(size, 2)
	}
	if c.pixels = int64(c.width) * int64(c.height); c.scans == 0 {
		c.scans = 1
	}
	if !coloured { // is turned into a picture of four bytes a pixel
		c.memory += 4 * c.pixels
	}
	return c, nil
}

// samples is how many samples a frame has in all its parts: of each as many blocks as its own share
// of the largest sampling, a whole unit at the edges.
func samples(body []byte, width, height int) int64 {
	n := min(int(body[5]), 4, (len(body)-6)/3)
	across, down := 1, 1
	for i := range n {
		s := body[6+3*i+1]
		across, down = max(across, int(s>>4)), max(down, int(s&15))
	}
	units := func(pixels, most int) int64 { return int64((pixels + jpegBlock*most - 1) / (jpegBlock * most)) }
	all := int64(0)
	for i := range n {
		s := body[6+3*i+1]
		all += units(width, across) * int64(s>>4) * units(height, down) * int64(s&15) * jpegBlock * jpegBlock
	}
	return all
}
