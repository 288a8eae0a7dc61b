package record

import (
	"crypto/sha256"
	"encoding/base64"
	"strings"
)

// policy is the content security policy of the page: nothing is loaded, nothing is sent, and only the scripts and the
// style sheet that the record was written with run. Styles on elements are allowed because the chart library places its
// tooltips with them; they cannot fetch anything, since no source is allowed for images other than data.
func policy(style string, scripts ...string) string {
	parts := []string{"default-src 'none'", "img-src data:"}
	parts = append(parts, "style-src "+hash(style), "style-src-attr 'unsafe-inline'")
	if len(scripts) == 0 {
		return strings.Join(append(parts, "script-src 'none'"), "; ")
	}
	hashes := make([]string, len(scripts))
	for i, s := range scripts {
		hashes[i] = hash(s)
	}
	parts = append(parts, "script-src "+strings.Join(hashes, " "), "base-uri 'none'", "form-action 'none'")
	return strings.Join(parts, "; ")
}

func hash(s string) string {
	sum := sha256.Sum256([]byte(s))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}
