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

// A review keeps its jobs' summaries and so has ever more to live with. With the pile beside them it stays within mostHeap,
// or has half as much again where the summaries alone come near to that: with less the collector would run all the time.
// A limit in bytes stands beside the percentage, as what is thrown away while a collection runs counts as kept in it.
const (
	mostHeap     = 192 << 20 // bytes
	leastPercent = 50
	figuresKept  = 3 << 9  // bytes a job, measured
	tracesKept   = 5 << 10 // bytes a job with what its plausibility rests on
)

// letLessPile holds the pile down as a review goes on. kept is what it keeps of a job, in bytes.
func letLessPile(env *Env, jobs, kept int) {
	if jobs%1000 != 0 || !mayPile(env) {
		return
	}
	most := mostHeap / kept // jobs
	debug.SetGCPercent(min(max(100*(most-jobs)/jobs, leastPercent), garbagePercent))
	debug.SetMemoryLimit(max(mostHeap, int64(jobs)*int64(kept)*3/2))
}
