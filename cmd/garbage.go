package cmd

import "runtime/debug"

// A run over many jobs keeps little and throws away much: with Go's own settings it would collect garbage after every
// few megabytes, with all the cost of marking. Letting nine times the live memory pile up, and less from a gibibyte on,
// halves the time of a million rows for some 50 MB.
const (
	garbagePercent = 800
	garbageLimit   = 1 << 30 // bytes
)

// letGarbagePile sets the collector for a run over jobs, unless the user has set it, and returns what sets it back.
func letGarbagePile(env *Env) (restore func()) {
	if !mayPile(env) {
		return func() {}
	}
	percent, limit := debug.SetGCPercent(garbagePercent), debug.SetMemoryLimit(garbageLimit)
	return func() {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(limit)
	}
}

func mayPile(env *Env) bool { return env.Getenv("GOGC") == "" && env.Getenv("GOMEMLIMIT") == "" }

// letLessPile holds the pile down as a review goes on, since it keeps its jobs' summaries and so has ever more to live
// with: half as much again from twelve thousand jobs on. A limit in bytes would have the collector run all the time once
// the summaries alone come near to it.
func letLessPile(env *Env, jobs int) {
	percent := 0
	switch jobs {
	case 2_000:
		percent = 200
	case 6_000:
		percent = 100
	case 12_000:
		percent = 50
	}
	if percent > 0 && mayPile(env) {
		debug.SetGCPercent(percent)
	}
}
