package cmd_test

import (
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// A release has all that its readme shows and links to.
func TestHandbook(t *testing.T) {
	t.Parallel()
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("no bash: what make dist copies is not tried")
	}
	out := t.TempDir()
	run := exec.Command(bash, filepath.Join("..", ".ci", "handbook"), out)
	run.Env = append(os.Environ(), "LC_ALL=C") // bash itself warns of a locale that is not installed
	if said, err := run.CombinedOutput(); err != nil || len(said) > 0 {
		t.Fatalf("%v\n%s", err, said)
	}
	pages, pictures := 0, 0
	err = filepath.WalkDir(out, func(file string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(file, ".md") {
			return err
		}
		pages++
		text, err := os.ReadFile(file)
		for _, link := range linksIn(string(text)) {
			if strings.HasSuffix(link, ".png") {
				pictures++
			}
			if _, err := os.Stat(filepath.Join(filepath.Dir(file), filepath.FromSlash(link))); err != nil {
				t.Errorf("%s links to %s, which is not in the release", filepath.Base(file), link)
			}
		}
		return err
	})
	if err != nil || pages < 5 || pictures < 2 {
		t.Errorf("%d pages and %d pictures: the test looks in the wrong place (%v)", pages, pictures, err)
	}
	for _, name := range []string{"README.md", "CHANGELOG.md"} {
		got, err1 := os.ReadFile(filepath.Join(out, name))
		want, err2 := os.ReadFile(filepath.Join("..", name))
		if err1 != nil || err2 != nil || string(got) != string(want) {
			t.Errorf("%s is not the one of the tree (%v, %v)", name, err1, err2)
		}
	}
}

// linksIn lists what a page links to in its own tree, code left out.
func linksIn(page string) []string {
	page = regexp.MustCompile("(?ms)^```.*?^```|`[^`\n]*`").ReplaceAllString(page, "")
	var links []string
	for _, m := range regexp.MustCompile(`\]\(([^)#]+)`).FindAllStringSubmatch(page, -1) {
		if link := m[1]; !strings.Contains(link, "://") && !strings.HasPrefix(link, "mailto:") {
			links = append(links, path.Clean(link))
		}
	}
	return links
}
