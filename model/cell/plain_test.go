package cell

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"time"

	"bayproof/model"
)

// The fast path gives what the library gives, bit for bit.
func TestDecimalAgainstLibrary(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	read := 0
	for k := range 40000 {
		s := strconv.FormatFloat(rng.Float64()*1000, 'f', rng.IntN(13), 64)
		if k >= 20000 { // digits of every length, the mark anywhere, at either end too
			digits := fmt.Sprintf("%015d", rng.Int64N(1e15))[:1+rng.IntN(15)]
			at := rng.IntN(len(digits) + 1)
			s = digits[:at] + "." + digits[at:]
		}
		want, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		if got, ok := decimal(s, false); ok {
			read++
			comma, _ := decimal(strings.Replace(s, ".", ",", 1), true)
			if got != want || comma != want {
				t.Fatalf("%s: %v and with a comma %v, want %v", s, got, comma, want)
			}
		}
	}
	if read < 39000 {
		t.Errorf("only %d of 40000 decimals took the fast path", read)
	}
}

// What the fast path takes, the grammar takes too and reads alike; what it leaves may be good or
// bad.
func TestPlainAgreesWithGrammar(t *testing.T) {
	for _, name := range []string{"width", "length", "length2", "bags", "weight"} {
		f := column(t, name)
		for _, s := range []string{"14.5", "0", "0.0", ".5", "5.", "14 1/2", "14-1/2", "3 63/64", "2 1/5", "2 2/2", "2 1/128", "2 0/4", "2 1/0", "123456 1/2", "1 1/2 ", "93", "39.9", "1e2", "-1", "", ".", "100", "000012", "9999999", " 7 "} {
			fast, ok := f.plain(s)
			p, g := f.group(s)
			if ok && (p.bad != nil || g.values[0] != fast) {
				t.Errorf("%s %q: fast %v, grammar %v (%v)", name, s, fast, g.values, p.bad)
			}
		}
	}
}

func TestPlainCellsAllocateNothing(t *testing.T) {
	width, bags := column(t, "width"), column(t, "bags")
	arena := make([]float64, 0, 1<<16)
	var r model.Reading
	var m model.Material
	if n := testing.AllocsPerRun(100, func() {
		arena, _ = width.Reading("14.5", &r, arena[:0])
		_ = bags.Bags("1.75", model.MaterialBags, &m)
		_, _, _ = Entry("topup")
		_, _ = YesNo("stall", "yes")
		_, _ = Time("2026-03-02T14:20:00Z", time.Time{})
		_ = Name("north slope")
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// Digits, a mark and an inch sign: each cell of the log in its commonest spellings.
func BenchmarkReading(b *testing.B) {
	for _, s := range []string{"14.5", "14 1/2", "14½", `12' 6 1/2"`, "2 1/4; 2 1/2; 3", "1 1/4 +- 1/2", ""} {
		b.Run(fmt.Sprintf("%q", s), func(b *testing.B) {
			f, arena := column(b, "width"), make([]float64, 0, 16)
			if s[:min(2, len(s))] == "12" {
				f = column(b, "length")
			}
			var r model.Reading
			b.ReportAllocs()
			for b.Loop() {
				if _, bad := f.Reading(s, &r, arena); bad != nil {
					b.Fatal(bad)
				}
			}
		})
	}
}

func BenchmarkBags(b *testing.B) {
	for _, s := range []string{"1.75", "1 3/4", "1 + 14.5 lb"} {
		b.Run(fmt.Sprintf("%q", s), func(b *testing.B) {
			f := column(b, "bags")
			var m model.Material
			b.ReportAllocs()
			for b.Loop() {
				if bad := f.Bags(s, model.MaterialBags, &m); bad != nil {
					b.Fatal(bad)
				}
			}
		})
	}
}

func BenchmarkWords(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		_, _, _ = Entry("topup")
		_, _ = YesNo("stall", "yes")
		_, _ = Shape("taper")
	}
}

func BenchmarkTime(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		_, _ = Time("2026-03-02T14:20:00Z", time.Time{})
	}
}
