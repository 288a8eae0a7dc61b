package record

import (
	"bytes"
	"flag"
	"os"
	"testing"
)

var pageFile = flag.String("page", "", "write the example record to this file, to look at")

func exampleInputs() Input {
	return Input{Findings: exampleFindings(), JSON: []byte(`{"tool":{"name":"bayproof"}}`), Tool: Tool{"bayproof", "0.0.0", "amd64"}}
}

func examplePage(t *testing.T, in Input) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, in); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A record of some forty bays keeps under 1 MB: 665 kB of it are the chart script, the rest is measured here.
func TestSize(t *testing.T) {
	in := exampleInputs()
	in.Assets = withoutLibrary{in.assets()}
	if n := len(examplePage(t, in)); n > 335_000 {
		t.Errorf("%d bytes without the chart script, want at most 335,000", n)
	}
}

func TestSameInputSameBytes(t *testing.T) {
	a, b := examplePage(t, exampleInputs()), examplePage(t, exampleInputs())
	if !bytes.Equal(a, b) {
		t.Fatal("two records of the same findings differ")
	}
	if *pageFile != "" {
		if err := os.WriteFile(*pageFile, a, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
