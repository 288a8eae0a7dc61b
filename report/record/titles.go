package record

import (
	"fmt"
	"strings"

	"bayproof/verify"
)

// sectionTitle says what was found in a section: how many may be closed, and which may not.
func (b *builder) sectionTitle(s *verify.Section) string {
	byVerdict := map[verify.Verdict][]string{}
	filled := 0
	for _, bay := range filledOrder(b.f, s.Section) {
		if bay.Bay.Judged() {
			filled++
			byVerdict[bay.Verdict] = append(byVerdict[bay.Verdict], brief(bay.Bay.Bay.Name))
		}
	}
	if filled == 0 {
		return "no bay is filled yet"
	}
	shown := len(byVerdict[verify.Close])
	head := fmt.Sprintf("%d of %d bays may be closed", shown, filled)
	if shown == filled {
		head = "all " + plural(filled, "bay", "bays") + " may be closed"
		if filled == 1 {
			head = "its one bay may be closed"
		}
	}
	var rest []string
	for _, v := range verdicts() {
		if names := byVerdict[v]; v != verify.Close && len(names) > 0 {
			rest = append(rest, nameList(names)+" "+verdictMark(v).Word)
		}
	}
	if len(rest) == 0 {
		return head
	}
	return head + "; " + strings.Join(rest, ", ")
}

// nameList writes a few names, and how many more there are.
func nameList(names []string) string {
	const most = 4
	if len(names) <= most {
		return strings.Join(names, " ")
	}
	return strings.Join(names[:most], " ") + fmt.Sprintf(" and %d more", len(names)-most)
}

func (b *builder) mapTitle() string {
	n := 0
	for i := range b.f.Bays {
		if suspected(&b.f.Bays[i]) {
			n++
		}
	}
	if n == 0 {
		return "The bays as they lie: no empty length is suspected"
	}
	return "The bays as they lie: " + plural(n, "bay", "bays") + " with an empty length suspected"
}

// firstUpper starts a title that follows nothing.
func firstUpper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
