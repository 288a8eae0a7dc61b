package record

import (
	"bytes"
	"html"
)

// FirstChange says where the first byte stands in which two pages differ: the bay, where it is in a bay's row or card, else
// the part of the page; "" where the pages are the same. The digests are left out of the comparison.
func FirstChange(a, b []byte) string {
	at, n := 0, min(len(a), len(b))
	skip, _ := findDigest(a)
	for at < n && (a[at] == b[at] || at >= skip && at < skip+digestSize) {
		at++
	}
	if at == n && len(a) == len(b) {
		return ""
	}
	return placeAt(a, at)
}

// placeAt says what stands at a byte of the page.
func placeAt(page []byte, at int) string {
	part, from := partAt(page, at)
	inside := page[from:at]
	switch part {
	case "bays":
		if row := bytes.LastIndex(inside, []byte(`<tr class="v-`)); row >= 0 {
			run := max(0, bytes.LastIndex(inside[:row], []byte(`<tr class="run">`)))
			return nameBay(page[from+row:], inside[run:row])
		}
	case "evidence":
		if card := bytes.LastIndex(inside, []byte(`<article class="card `)); card >= 0 && !bytes.Contains(inside[card:], []byte("</article>")) {
			_, of, _ := bytes.Cut(page[from+card:], []byte(`<span class="of">`))
			_, bay, _ := bytes.Cut(page[from+card:], []byte("</span> "))
			return nameBay(bay, of)
		}
	}
	if words, ok := partNames()[part]; ok {
		return words
	}
	return "the head of the page"
}

// partAt returns the id of the part of the page that a byte stands in, and where that part starts.
func partAt(page []byte, at int) (id string, from int) {
	open := []byte(`<section id="`)
	from = bytes.LastIndex(page[:at], open)
	if from < 0 {
		return "", 0
	}
	name, _, _ := bytes.Cut(page[from+len(open):at], []byte(`"`))
	return string(name), from
}

func partNames() map[string]string {
	return map[string]string{
		"glance": "the job at a glance", "map": "the map", "charts": "the charts", "bays": "the table of bays", "evidence": "the evidence of the bays",
		"papers": "the paperwork", "checks": "the design checks", "cautions": "the cautions", "method": "the settings and the method", "carry": "what is carried inside",
	}
}

// nameBay reads a bay's and a section's name where they stand in markup.
func nameBay(bay, section []byte) string {
	name := "bay " + isolated(bay)
	if s := isolated(section); s != "" {
		name += " of " + s
	}
	return name
}

// isolated returns the text of the first isolated piece of markup; names stand in one each.
func isolated(markup []byte) string {
	_, rest, _ := bytes.Cut(markup, []byte("<bdi>"))
	text, _, _ := bytes.Cut(rest, []byte("</bdi>"))
	if len(text) > 300 { // markup that is not ours
		return ""
	}
	return html.UnescapeString(string(text))
}
