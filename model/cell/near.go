package cell

// Nearest returns the known word that is one or two letters off (one, for words of up to four letters), or "". A
// swap of neighbours counts as one. Of several the nearest wins, then the first.
func Nearest(wrong string, known []string) string {
	best, found := 3, ""
	if len([]rune(wrong)) <= 4 {
		best = 2
	}
	for _, k := range known {
		limit := best
		if len([]rune(k)) <= 4 {
			limit = min(limit, 2)
		}
		if d := lettersOff([]rune(wrong), []rune(k)); d < limit {
			best, found = d, k
		}
	}
	return found
}

// lettersOff is the optimal string alignment distance: letters put in, left out, changed, or swapped with a neighbour.
func lettersOff(a, b []rune) int {
	before, row, next := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		next[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			next[j] = min(row[j]+1, next[j-1]+1, row[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				next[j] = min(next[j], before[j-2]+1)
			}
		}
		before, row, next = row, next, before
	}
	return row[len(b)]
}
