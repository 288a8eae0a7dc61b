package cmd

import "runtime/debug"

// A run over many jobs keeps little and throws away much: with Go's own settings it would collect garbage after every
// few megabytes, with all the cost of marking. Letting nine times the live memory pile up, and less from a gibibyte on,
// halves the time of a million rows for some 50 MB.
const (
	garbagePercent = 800
	garbageLimit   = 1 << 30 // bytes
)

// A review keeps its jobs' summaries, so that there is more to live with, and is held to far less in all.
const (
	reviewPercent = 400
	reviewLimit   = 184 << 20 // bytes
)

// letGarbagePile sets the collector for a run over jobs, unless the user has set it, and returns what sets it back.
func letGarbagePile(env *Env) (restore func()) {
	return pile(env, garbagePercent, garbageLimit)
}

// letSomeGarbagePile is the same for a review.
func letSomeGarbagePile(env *Env) (restore func()) { return pile(env, reviewPercent, reviewLimit) }

func pile(env *Env, atPercent int, atLimit int64) (restore func()) {
	if env.Getenv("GOGC") != "" || env.Getenv("GOMEMLIMIT") != "" {
		return func() {}
	}
	percent, limit := debug.SetGCPercent(atPercent), debug.SetMemoryLimit(atLimit)
	return func() {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(limit)
	}
}
