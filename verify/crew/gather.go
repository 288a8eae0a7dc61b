package crew

// mostTimes bounds how many lots one evidence stands for, and scaleAfter is how many lots' likelihoods are multiplied before the
// product is scaled: the 23 that this may be stay within the range of a float64, none being below overRate·likelihoodLeak.
const (
	mostTimes  = 8
	scaleAfter = 16
)

// gather makes one evidence, that counts so many times, of lots that are alike in everything: like bays counted alike, or with
// sizes taken over, say the same about the crew, and the same is said about each. of tells for each lot which evidence
// stands for it. Lots on a counter differ by their readings and stay apart.
func (s *scratch) gather(lots []evidence) (distinct []evidence, of []int) {
	s.of = sized(s.of, len(lots))
	of = s.of
	chained := anyChained(lots)
	distinct = sized(s.distinct, len(lots))[:0]
	for j, e := range lots {
		at := -1
		for k := range distinct {
			d := &distinct[k]
			if !chained && d.times < mostTimes && d.sameAs(&e) {
				at = k
				break
			}
		}
		if at < 0 {
			at = len(distinct)
			e.times = 0
			distinct = append(distinct, e)
		}
		distinct[at].times++
		of[j] = at
	}
	s.distinct = distinct
	return distinct, of
}

// sameAs tells whether two lots off the counter are the same evidence.
func (e *evidence) sameAs(o *evidence) bool {
	return e.x == o.x && e.v == o.v && e.half == o.half && e.kapp == o.kapp && e.odds == o.odds
}

// total counts the lots that some evidence stands for.
func total(distinct []evidence) int {
	n := 0
	for i := range distinct {
		n += distinct[i].times
	}
	return n
}

// timesOf lists how many lots each evidence stands for.
func timesOf(distinct []evidence) []int {
	times := make([]int, len(distinct))
	for i := range distinct {
		times[i] = distinct[i].times
	}
	return times
}

// block returns the end of a run of evidence from a place on whose likelihoods can be multiplied before the product has
// to be scaled: at least scaleAfter lots, or the rest.
func block(times []int, from int) (to int) {
	n := 0
	for to = from; to < len(times) && n < scaleAfter; to++ {
		n += times[to]
	}
	return to
}
