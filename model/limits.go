package model

// Limits of one job's files. No crew comes near them; a file that does holds something else than it
// should, or several jobs, and would take minutes and gigabytes where a job takes milliseconds:
// what a row means can hang on all rows before it. Each is refused in words that say what to do.
const (
	MostBytes    = 32 << 20 // of a file, and of one job in a log of many
	MostLine     = 64 << 10 // bytes of a row
	MostColumns  = 1000     // of a table
	MostRows     = 20_000   // of a job's log
	MostBayRows  = 500      // of one bay
	MostBays     = 1000     // of a section
	MostSections = 500      // of a job
	MostSharing  = 100      // bays that share one figure
)

// overLimits refuses a job with more sections, bays or rows than any has, once for each, before
// anything is put together that grows with their square.
func (a *Assembler) overLimits() bool {
	if len(a.job.Log) <= min(MostBayRows, MostBays, MostSections) {
		return false
	}
	over := false
	refuse := func(e *Entry, column, hint, format string, args ...any) {
		over = true
		a.fault(e, column, hint, format, args...)
	}
	bays, rows := map[*Section]int{}, map[*gathered]int{}
	for i, g := range a.byRow {
		if g == nil {
			continue
		}
		e := &a.job.Log[i]
		if rows[g]++; rows[g] == 1 {
			if bays[g.bay.Section]++; bays[g.bay.Section] == MostBays+1 {
				refuse(e, "section", "split it, and give each part its name: a section is a run of like bays", "section %s has more than %d bays", e.Section, MostBays)
			}
			if bays[g.bay.Section] == 1 && len(bays) == MostSections+1 {
				refuse(e, "section", "make each part of the house a job, in its own folder", "the job has more than %d sections", MostSections)
			}
		}
		if rows[g] == MostBayRows+1 {
			refuse(e, "bay", "give other bays their own names, and a new job a new log", "%s has more than %d rows", g.bay.title(), MostBayRows)
		}
	}
	return over
}
