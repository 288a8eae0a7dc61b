package cell

import (
	"fmt"
	"testing"
	"time"
)

// The days that the calendar has are read, with and without seconds and zone, and no others.
func TestStampDays(t *testing.T) {
	read := 0
	var clock Clock
	for _, year := range []int{0, 1900, 2000, 2023, 2024, 2100} {
		for month := range 14 {
			for day := range 33 {
				s := fmt.Sprintf("%04d-%02d-%02dT23:59:58Z", year, month, day)
				got, bad := clock.Time(s)
				ok := bad == nil
				want, err := time.Parse(time.RFC3339, s)
				if ok != (err == nil) || ok && got != want {
					t.Errorf("%s: %v, %v; the library says %v, %v", s, got, ok, want, err)
				}
				if ok {
					read++
					noon, bad := clock.Time(s[:11] + "12:00")
					if bad != nil || !noon.Equal(want.Add(-(11*time.Hour + 59*time.Minute + 58*time.Second))) {
						t.Errorf("%s, and then noon: %v, %v", s, noon, bad)
					}
				}
			}
		}
	}
	if read != 366*3+365*3 { // the years 0, 2000 and 2024 are leap years
		t.Errorf("%d days read", read)
	}
}
