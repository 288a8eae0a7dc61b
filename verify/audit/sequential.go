package audit

const (
	mostReplays = 20_000 // p is not followed below 1 in so many
	enoughAgree = 10     // replays that agree as well, after which p is known well enough
	// Nothing is unlikely once h replays agree as well among the first plainReplays·(h − plainlyAgree): three in ten, four
	// in twenty. Then p is 0.125 at least.
	plainlyAgree = 2
	plainReplays = 10
)

// sequential estimates how often a replay agrees at least as well as what is looked at, and stops once that is known well
// enough. Honest data are one more replay, so for every x the estimate is at most x in a share of at most x of honest jobs:
// whichever rule stops it, p ≤ x says that the h-th hit came no sooner than after h/x replays, for an h that hangs on x
// alone, and so late it comes in such a share (Besag and Clifford 1991).
func sequential(hit func() bool) (p float64, replays int) {
	hits := 0
	for replays < mostReplays {
		replays++
		if !hit() {
			continue
		}
		if hits++; hits == enoughAgree || replays <= plainReplays*(hits-plainlyAgree) {
			return float64(hits) / float64(replays), replays
		}
	}
	return float64(hits+1) / float64(replays+1), replays
}
