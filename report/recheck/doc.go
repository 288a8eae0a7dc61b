// Package recheck says what is found about a record that is read again: whether its bytes, its
// figures and its page are those that follow from the job's files inside it.
//
// It trusts nothing in the file. The files inside are computed again by whoever calls it (Again);
// what comes of that is set against the figures that the record carries (findings.go) and against
// every word, drawing and script of its page (page.go). Result puts what was found into one of
// three outcomes and lays it out: holds, differs, not fully checked. Signatures are in signers.go.
//
// It imports report/record, report/say, report/screen, golang.org/x/net/html, aead.dev/minisign and
// the standard library. It opens no file.
package recheck
