package cmd

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"testing"

	"bayproof/report/record"
)

// A record of an older method is told as one of a newer is, whose words a script holds: no older method than the first can be
// forged into a record. Its files are compared all the same.
func TestRecordOfAnOlderMethod(t *testing.T) {
	raw := []byte("section,bay\n")
	sum := sha256.Sum256(raw)
	for _, c := range []struct {
		sha, files string
		code       int
	}{
		{hex.EncodeToString(sum[:]), "files    holds", exitPart},
		{strings.Repeat("0", 64), "files    differs", exitOpen},
	} {
		o := &record.Opened{
			Carried:  record.Carried{Files: []record.File{{Name: "bays.csv", Raw: raw}}},
			Findings: fmt.Appendf(nil, `{"inputs":[{"file":"bays.csv","sha256":%q}],"bays":[{"verdict":"CLOSE"}]}`, c.sha),
		}
		r := &rechecked{Method: 2, Stated: o.Method()}
		if err := r.otherMethod(o); err != nil {
			t.Fatal(err)
		}
		if said := r.text(); r.exit() != c.code || !strings.Contains(said, c.files) ||
			!strings.Contains(said, "figures  not compared  written by an older method: figures not compared.") {
			t.Errorf("exit code %d, want %d and %q: %s", r.exit(), c.code, c.files, said)
		}
	}
}

// Of two exit codes the graver counts, in whatever order they come.
func TestGraver(t *testing.T) {
	order := []int{exitFault, exitUsage, exitOpen, exitPart, exitDone}
	for i, a := range order {
		for _, b := range order[i:] {
			if graver(a, b) != a || graver(b, a) != a {
				t.Errorf("of %d and %d: %d and %d, want %d", a, b, graver(a, b), graver(b, a), a)
			}
		}
	}
}
