package record

import (
	"flag"
	"os"
	"regexp"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden page instead of comparing with it")

// unread is what nobody reads in the golden page: scripts and what they draw from, the style sheet,
// its policy, the digest.
var unread = regexp.MustCompile(`(?s)(<script[^>]*>).*?(</script>)|(<style>).*?(</style>)|(http-equiv="Content-Security-Policy") content="[^"]*"|(<code id="(?:digest|short)">)[0-9a-f]*|(<path id="code" d=")[^"]*|(--digest:')[0-9a-f]*`)

// TestGoldenPage holds every word and drawing of one invented job; look at the difference before
// -update.
func TestGoldenPage(t *testing.T) {
	const file = "testdata/record.html"
	in := exampleInputs()
	in.Assets = withoutLibrary{in.assets()}
	got := unread.ReplaceAll(examplePage(t, in), []byte("$1$2$3$4$5$6$7$8"))
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("%s (-want +got):\n%s", file, diff)
	}
}
