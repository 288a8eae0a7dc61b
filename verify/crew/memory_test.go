package crew

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"bayproof/verify/measure"
)

// A job that grows bay by bay is judged section by section with what is remembered of the others as
// JudgeJob judges it whole, to the last bit: counts, weighed masses, a running counter, empties of
// sections and of the job, test boxes, and bays that are measured anew.
func TestMemoryIsJudgeJob(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 19))
	asked, remembered, stood := 0, 0, 0
	for job := range 6 {
		sections := make([]Section, 2+random.IntN(3))
		for s := range sections {
			sections[s] = Section{Target: 56 + float64(s%2), Ceiling: 72, Step: 0.25}
		}
		var m, grows, settles Memory
		before := make([]string, len(sections))
		reading := 0
		for range 8 {
			s := random.IntN(len(sections))
			l := measure.Lot{Density: 61 + 2*random.NormFloat64(), Volume: 0.3, Mass: 18, Used: 1.6, Own: 0.7, OwnDOF: math.Inf(1), Common: 0.4, CommonDOF: math.Inf(1), Shared: 0.3, DOF: math.Inf(1)}
			switch job % 3 {
			case 0:
				l.Count, l.PerBag = 1.1, 38
			case 1:
				l.PerBag = 38
				l.Terms = []measure.Term{{Reading: reading, Coef: -38, U: 0.07}, {Reading: reading + 1, Coef: 38, U: 0.07}}
				reading++
			}
			sections[s].Lots = append(sections[s].Lots, l)
			if k := random.IntN(len(sections)); random.IntN(4) == 0 && len(sections[k].Lots) > 0 { // measured anew
				lots := append([]measure.Lot(nil), sections[k].Lots...)
				lots[0].Density += 0.5
				sections[k].Lots = lots
			}
			if random.IntN(5) == 0 {
				sections[s].Boxes = append(sections[s].Boxes, Box{60, 1})
			}
			total := Total{}
			if job > 2 {
				n := 0.0
				for i := range sections {
					n += 1.6 * float64(len(sections[i].Lots))
				}
				if total = (Total{Bags: n, U: 0.58}); job == 3 {
					sections[s].Total = Total{Bags: 1.6 * float64(len(sections[s].Lots)), U: 0.58}
				}
			}
			whole := JudgeJob(sections, total)
			for i, r := range grows.Growing(sections, total, s) {
				switch got := everything(&r); {
				case i == s && got != everything(&whole[i]):
					t.Fatalf("job %d, section %d grown is judged\n%s, the whole job\n%s", job, i, got, everything(&whole[i]))
				case i != s && len(r.Lots) != len(sections[i].Lots):
					t.Fatalf("job %d, section %d has %d lots, and %d results", job, i, len(sections[i].Lots), len(r.Lots))
				case i != s && got == before[i]:
					stood++
				}
				before[i] = everything(&r)
			}
			for i, r := range settles.Growing(sections, total, -1) {
				if a, b := everything(&r), everything(&whole[i]); a != b {
					t.Fatalf("job %d, section %d settled is judged\n%s, the whole job\n%s", job, i, a, b)
				}
			}
			for _, which := range []int{s, (s + 1) % len(sections)} {
				said := slices.Clone(m.said)
				one := m.Judge(sections, total, which)
				for k := range said {
					if k != which && len(sections[k].Lots) > 0 {
						asked++
						if len(said[k].known) > 0 && &said[k].known[0] == &m.said[k].known[0] {
							remembered++
						}
					}
				}
				want := whole[which]
				if a, b := everything(&one), everything(&want); a != b {
					t.Fatalf("job %d, section %d is judged\n%s, the whole job\n%s", job, which, a, b)
				}
			}
		}
	}
	if remembered*4 < asked || remembered == asked {
		t.Errorf("of %d sections %d were remembered", asked, remembered)
	}
	if stood == 0 {
		t.Error("no section was left as it was while another one grew")
	}
}

// Lots of a section that have the number of the time before are not looked at again: what they said
// then stands, even where they are others, until the number is another.
func TestMemoryGoesByTheNumberOfLots(t *testing.T) {
	lots := func(density float64) (out []measure.Lot) {
		for i := range 6 {
			out = append(out, measure.Lot{Density: density + 0.5*float64(i%3), Volume: 0.3, Mass: 18, Own: 0.7, OwnDOF: math.Inf(1), DOF: math.Inf(1)})
		}
		return out
	}
	judged := func(m *Memory, density float64, version int) string {
		sections := []Section{{Lots: lots(61), Target: 56, Version: 1}, {Lots: lots(density), Target: 56, Version: version}}
		r := m.Judge(sections, Total{}, 0)
		return everything(&r)
	}
	var m Memory
	first := judged(&m, 61, 1)
	if judged(&m, 66, 1) != first {
		t.Error("lots of the same number were looked at")
	}
	if judged(&m, 66, 2) == first {
		t.Error("lots of another number were not looked at")
	}
	if judged(&m, 61, 0) != first {
		t.Error("lots without a number were not looked at")
	}
}

// everything writes a result to the last bit.
func everything(r *Result) string {
	return fmt.Sprintf("%x %x %x %v %v %x %x", r.Lots, r.Process, r.Pairs, r.Named, r.MeanOver, r.alone, r.wide)
}
