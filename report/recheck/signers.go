package recheck

import (
	"bytes"
	"fmt"
	"strings"

	"aead.dev/minisign"

	"bayproof/report/say"
)

// A record is signed in the format of minisign, an open one that other programs verify too: a file
// record.html.minisig beside it, and record.html.2.minisig and so on where several people sign. Who
// they are, names and public keys, is the reader's to say.

// Signer is somebody whose public key is known.
type Signer struct {
	Name string
	Key  minisign.PublicKey
}

// ParseSigners reads a list of signers: a line each, the name and then the public key; what follows
// # is a remark. The error names the line.
func ParseSigners(text []byte) ([]Signer, error) {
	var out []Signer
	for i, row := range strings.Split(strings.TrimPrefix(string(text), "\ufeff"), "\n") {
		row, _, _ = strings.Cut(row, "#")
		fields := strings.Fields(row)
		if len(fields) == 0 {
			continue
		}
		var s Signer
		key := fields[len(fields)-1]
		if err := s.Key.UnmarshalText([]byte(key)); err != nil || len(fields) < 2 {
			return nil, fmt.Errorf("line %d: not a name and a public key, which begins with RW", i+1)
		}
		s.Name = strings.Join(fields[:len(fields)-1], " ")
		out = append(out, s)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("no signer in it")
	}
	return out, nil
}

// Signature is a signature file that lies beside a record.
type Signature struct {
	File string
	Text []byte
}

// Signed sets the signatures beside a record against a list of signers and puts what is found among
// its checks. Without a list it is only told that there are any: a key that nobody vouches for
// proves nothing.
func (r *Result) Signed(page []byte, list []Signature, signers []Signer) {
	if signers == nil {
		if len(list) > 0 {
			r.add("signature", Holds, "%s beside it, not checked: --signers FILE tells whose", say.Count(len(list), "signature", "signatures"))
		}
		return
	}
	if len(list) == 0 {
		r.add("signature", Partly, "not signed: no .minisig file beside it")
	}
	for _, s := range list {
		result, text := Partly, s.File+" was made with no signer's key"
		var found minisign.Signature
		if err := found.UnmarshalText(bytes.ReplaceAll(s.Text, []byte("\r\n"), []byte("\n"))); err != nil {
			r.add("signature", Differs, "%s can't be read as a signature", s.File)
			continue
		}
		for _, who := range signers {
			if who.Key.ID() != found.KeyID {
				continue
			}
			if minisign.Verify(who.Key, page, s.Text) {
				result, text = Holds, "signed by "+who.Name+", unchanged since"
				r.SignedBy = append(r.SignedBy, who.Name)
				break
			}
			result, text = Differs, fmt.Sprintf("%s: the signature of %s does not fit this file: one of them was changed", s.File, who.Name)
		}
		r.add("signature", result, "%s", text)
	}
	r.settle()
}
