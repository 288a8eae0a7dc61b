package plan

import (
	"strconv"
	"strings"
)

// NextName counts on from the last name: b7 → b8, 9 → 10, N-03 → N-04, "hip a" → "hip b", b7a → b8. A name that is taken is
// passed over. With no name yet it is b1; a name that cannot be counted on gets a 2 behind it.
func NextName(names []string) string {
	if len(names) == 0 {
		return "b1"
	}
	taken := make(map[string]bool, len(names))
	for _, n := range names {
		taken[strings.ToLower(n)] = true
	}
	next := names[len(names)-1]
	for {
		next = step(next)
		if !taken[strings.ToLower(next)] {
			return next
		}
	}
}

// step returns the name that follows.
func step(name string) string {
	if n := len(name); n > 1 && isLetter(name[n-1]) && name[n-2] >= '0' && name[n-2] <= '9' {
		name = name[:n-1]
	}
	head := strings.TrimRight(name, "0123456789")
	digits := name[len(head):]
	if digits == "" {
		if n := len(name); n > 0 && countsByLetter(name) {
			return name[:n-1] + string(name[n-1]+1)
		}
		return name + "2"
	}
	n, err := strconv.ParseUint(digits, 10, 63)
	if err != nil {
		return name + "-2"
	}
	next := strconv.FormatUint(n+1, 10)
	if pad := len(digits) - len(next); pad > 0 && digits[0] == '0' {
		next = strings.Repeat("0", pad) + next
	}
	return head + next
}

// countsByLetter tells whether the name ends in a single letter that has a successor: "a", "hip c".
func countsByLetter(name string) bool {
	last := name[len(name)-1]
	if !isLetter(last) || last == 'z' || last == 'Z' {
		return false
	}
	return len(name) == 1 || name[len(name)-2] == ' ' || name[len(name)-2] == '-'
}

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }
