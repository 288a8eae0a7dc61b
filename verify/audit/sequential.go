package audit

const (
	mostReplays  = 20_000 // p is not followed below 1 in so many
	enoughAgree  = 10     // replays that agree as well, after which p is known well enough
	plainlyAgree = 2      // so many
	plainReplays = 10     // and one more in each so many replays, or above: then nothing is unlikely
)

// sequential estimates how often a replay agrees at least as well as what is looked at, and stops once that is known well
// enough: soon where it happens all the time. For honest data, which are one more replay, the estimate is at most x in at
// most a share x of the jobs, for every x: at whichever number h of hits it stops, it can be at most x only if the h-th
// came no sooner than after h/x replays, and h hangs on x alone (Besag and Clifford 1991).
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
