package verify

import (
	"slices"
	"strings"
)

// listing is a list of names as one text, kept for the next job, which mostly has the same.
type listing struct {
	names []string
	text  string
}

// list is the names with commas between.
func (l *listing) list(names []string) string {
	if !slices.Equal(l.names, names) {
		l.names, l.text = slices.Clone(names), strings.Join(names, ", ")
	}
	return l.text
}
