package measure

// Zeroed returns a slice of n zero values, in the old one's memory where that suffices: who measures or checks many jobs
// takes the memory of the last one for the next.
func Zeroed[T any](old []T, n int) []T {
	if cap(old) < n {
		return make([]T, n)
	}
	old = old[:n]
	clear(old)
	return old
}

// roomFor returns an empty slice with room for n values, in the old one's memory where that suffices. What is appended to
// it is written whole, so what stood there need not be cleared.
func roomFor[T any](old []T, n int) []T {
	if cap(old) < n {
		return make([]T, 0, n)
	}
	return old[:0]
}
