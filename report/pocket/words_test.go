package pocket

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"bayproof/report/say/lang"
)

// said finds the names of sentences that a script asks for.
var said = regexp.MustCompile(`say\((?:[^,()]+ \? )?"(\w+)"(?: : "(\w+)")?`)

// prose finds what somebody would read: a literal of several words, or one word that begins with a
// capital.
var prose = regexp.MustCompile("[\"`]([A-Z][a-z']+|[A-Za-z][a-z']+ [a-z']+ [^\"`]*)[\"`]")

// TestScriptSaysWhatTheTableHolds: the script says no sentence of its own, asks for none that is not there, and leaves none out.
func TestScriptSaysWhatTheTableHolds(t *testing.T) {
	script, page, table := source("script.js"), source("page.html"), words(lang.English)
	asked := map[string]bool{}
	for _, m := range said.FindAllStringSubmatch(script, -1) {
		asked[m[1]] = true
		if m[2] != "" {
			asked[m[2]] = true
		}
	}
	for name := range asked {
		if table[name] == "" {
			t.Errorf("the script asks for %q, which is no sentence", name)
		}
	}
	for name := range table {
		if !asked[name] && !strings.Contains(page, "{{"+name+"}}") {
			t.Errorf("nobody says %q", name)
		}
	}
	for _, text := range ownProse(script) {
		t.Errorf("the script says %q itself", text)
	}
	if got := ownProse(`h("p", {text: "Some rows wait"}); button("Keep", x)`); len(got) != 2 {
		t.Errorf("of two sentences %q are found", got)
	}
	for name, text := range words(lang.Spanish) {
		if strings.Count(text, "%") != strings.Count(table[name], "%") {
			t.Errorf("%q has other places than %q", text, table[name])
		}
	}
}

// ownProse are the literals of a script that somebody would read, but for the names of what a browser has.
func ownProse(script string) (out []string) {
	browsers := []string{"QuotaExceededError", "AbortError", "Content-Type"}
	for _, line := range strings.Split(script, "\n") {
		code, _, _ := strings.Cut(line, " // ")
		if strings.HasPrefix(strings.TrimSpace(code), "//") || code == `"use strict";` {
			continue
		}
		for _, m := range prose.FindAllStringSubmatch(code, -1) {
			if !slices.Contains(browsers, m[1]) {
				out = append(out, m[1])
			}
		}
	}
	return out
}
