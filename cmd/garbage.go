package cmd

import (
	"runtime/debug"
	"runtime/metrics"
)

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
// or has half as much again as what lives where that comes near to it: with less the collector would run all the time.
// A limit in bytes stands beside the percentage, as what is thrown away while a collection runs counts as kept in it.
const (
	mostHeap     = 176 << 20 // bytes
	leastPercent = 50
	mostPercent  = 100 * mostHeap / (4 << 20) // with it Go first collects at mostHeap
)

// fitPile sets how much garbage a review may pile up beside what was alive after the last collection.
func fitPile(env *Env) {
	if !mayPile(env) {
		return
	}
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(live)
	bytes := max(int64(live[0].Value.Uint64()), 4<<20)
	debug.SetGCPercent(int(min(max(100*(mostHeap-bytes)/bytes, leastPercent), mostPercent)))
	debug.SetMemoryLimit(max(mostHeap, bytes*3/2))
}
