package joblog

import "testing"

// TestAmong: a byte is found where it stands and nowhere else, whatever its neighbours: those that
// differ from it in one bit, by one, or not at all, on either side.
func TestAmong(t *testing.T) {
	for b := range 256 {
		for _, other := range []int{b ^ 1, b ^ 0x80, b + 1, b - 1, b, 0, 255} {
			for at := range 8 {
				s := make([]byte, 8)
				for i := range s {
					s[i] = byte(other)
				}
				s[at] = byte(b)
				var want uint64
				for i := range s {
					if s[i] == byte(b) {
						want |= 0x80 << (8 * i)
					}
				}
				if got := among(string(s), byte(b)); got != want {
					t.Fatalf("%q in %q: %016x, want %016x", byte(b), s, got, want)
				}
			}
		}
	}
}
