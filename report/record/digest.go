package record

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"strings"
)

// The digest is the SHA-256 of the whole file with the digest's own digits as zeros, in lower-case hex. It stands once,
// between these marks; all text of the job is escaped, so that they cannot stand anywhere else.
const (
	digestOpen  = `<code id="digest">`
	digestClose = `</code>`
	digestSize  = 2 * sha256.Size
)

var errNoDigest = errors.New("no digest in the file: it is not a record, or it was cut")

// zeroDigest is what the page carries where the digest will stand.
func zeroDigest() string { return strings.Repeat("0", digestSize) }

// findDigest returns where the digest's digits start. There must be exactly one place.
func findDigest(page []byte) (int, error) {
	at := bytes.Index(page, []byte(digestOpen))
	if at < 0 || bytes.Count(page, []byte(digestOpen)) != 1 {
		return 0, errNoDigest
	}
	at += len(digestOpen)
	if len(page) < at+digestSize || !bytes.HasPrefix(page[at+digestSize:], []byte(digestClose)) {
		return 0, errNoDigest
	}
	return at, nil
}

// seal puts the digest in the place of its zeros.
func seal(page []byte) ([]byte, error) {
	at, err := findDigest(page)
	if err != nil {
		return nil, err
	}
	copy(page[at:at+digestSize], digest(page, at))
	return page, nil
}

// digest computes the digest of a page whose digits start at the given place.
func digest(page []byte, at int) string {
	h := sha256.New()
	h.Write(page[:at])
	h.Write([]byte(zeroDigest()))
	h.Write(page[at+digestSize:])
	return hex.EncodeToString(h.Sum(nil))
}
