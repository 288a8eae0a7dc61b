package record

import (
	"crypto/sha256"
	"encoding"
	"encoding/hex"
	hashing "hash"
	"io/fs"

	"bayproof/report"
)

func (in Input) assets() fs.FS {
	if in.Assets != nil {
		return in.Assets
	}
	return report.Assets()
}

// withoutLibrary is the assets without the chart script.
type withoutLibrary struct{ fs.FS }

func (w withoutLibrary) Open(name string) (fs.File, error) {
	if name == chartScript {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return w.FS.Open(name)
}

// prefixes holds the state of the hash at every stretch, so that a page with one byte changed is hashed from there on.
type prefixes struct {
	at     int // where the digest's digits start
	states [][]byte
	stated string
}

const stretch = 1024

func newPrefixes(page []byte, at int) *prefixes {
	p := &prefixes{at: at, stated: string(page[at : at+digestSize])}
	zeroed := p.zeroed(page)
	h := sha256.New()
	for i := 0; i < len(zeroed); i += stretch {
		p.states = append(p.states, marshal(h))
		h.Write(zeroed[i:min(i+stretch, len(zeroed))])
	}
	return p
}

func (p *prefixes) zeroed(page []byte) []byte {
	z := append([]byte(nil), page...)
	copy(z[p.at:], zeroDigest())
	return z
}

// holds tells whether the page with one byte set otherwise still has the digest that it states.
func (p *prefixes) holds(page []byte, i int, b byte) bool {
	if i >= p.at && i < p.at+digestSize {
		return false // the digest itself was touched: it no longer says what the rest gives
	}
	h := sha256.New()
	if err := h.(encoding.BinaryUnmarshaler).UnmarshalBinary(p.states[i/stretch]); err != nil {
		panic(err)
	}
	rest := append([]byte(nil), page[i/stretch*stretch:]...)
	for k := range digestSize { // the digits stand as zeros
		if at := p.at + k - i/stretch*stretch; at >= 0 && at < len(rest) {
			rest[at] = '0'
		}
	}
	rest[i%stretch] = b
	h.Write(rest)
	return hex.EncodeToString(h.Sum(nil)) == p.stated
}

func marshal(h hashing.Hash) []byte {
	b, err := h.(encoding.BinaryMarshaler).MarshalBinary()
	if err != nil {
		panic(err)
	}
	return b
}
