// Beginnings of a log: what was known when its first n rows were logged. Job.Upto puts one
// beginning together anew; Beginnings goes through many of them at the cost of little more than
// one. prefix_test.go of package joblog holds that both say the same.

package model

import (
	"slices"
	"time"
)

// Upto returns the job as it stood when its first n rows were logged, 0 ≤ n ≤ len(Log), put
// together anew; sections are the same objects, rows and bays are not. A part of a good log may
// have faults of its own, where a later row mended them.
func (j *Job) Upto(n int) (*Job, []Fault) {
	k := *j
	k.Log = unassembled(j.Log[:n])
	k.Bays, k.Left, k.Warnings, k.OrderDoubtful = nil, nil, nil, false
	faults := k.Assemble()
	return &k, faults
}

// unassembled returns a copy of rows as they were read, without what putting them together added.
func unassembled(rows []Entry) []Entry {
	rows = slices.Clone(rows)
	for i := range rows {
		rows[i].Withdrawn = false
	}
	unnumber(rows)
	return rows
}

// unnumber takes the numbers of the counter's readings back.
func unnumber(rows []Entry) {
	for i := range rows {
		m := &rows[i].Material
		m.Prev, m.PrevAt, m.ReadAt = 0, 0, 0
	}
}

// Beginnings goes through the beginnings of a log without faults, each put together from the one
// before: a row is taken once, and only the bays that new rows say something about are put together
// anew. What all rows of a log bring about together goes on from where it stood: the counter,
// shared figures, the order of filling, times. It is found anew from the first row where a row
// changes what one before it blew, in a log with a counter or shared figures. A row that takes
// others back starts everything from the first row again.
type Beginnings struct {
	Assembler
	whole *Job
	rows  []Entry // of the whole log
	// counts and shares say that the log has readings of a counter, and figures that bays share.
	// runsBack is the first row whose time lies before an earlier one's: up to there no times run
	// backward.
	counts, shares bool
	runsBack       int
	grown          []*gathered // bays to be put together anew
	all            bool        // all of them are
}

// Beginnings starts before the first row.
func (j *Job) Beginnings() *Beginnings {
	b := &Beginnings{whole: j, rows: unassembled(j.Log), runsBack: len(j.Log)}
	var last time.Time
	for i := range b.rows {
		e := &b.rows[i]
		b.counts = b.counts || e.Material.Reads()
		b.shares = b.shares || e.Material.Shared
		if now := wall(e.Time); !e.Time.IsZero() && b.runsBack == len(j.Log) {
			if now.Before(last) {
				b.runsBack = i
			}
			last = now
		}
	}
	b.restart()
	return b
}

// restart goes back to before the first row.
func (b *Beginnings) restart() {
	if b.mem == nil {
		b.mem = new(Memory)
	}
	b.mem.again(len(b.rows))
	unnumber(b.rows)
	job := *b.whole
	job.Log, job.Bays, job.Left, job.OrderDoubtful = b.rows[:0], make([]*Bay, 0, len(job.Bays)+len(job.Left)), nil, false
	b.Assembler = assembler(&job, b.mem)
}

// Upto is Job.Upto but for faults and warnings, which are not told. The job is good until the next
// is asked for; going on from the one before costs least.
func (b *Beginnings) Upto(n int) *Job {
	from := len(b.job.Log)
	again := n < from
	for i := from; i < n && !again; i++ {
		_, again = withdraws(&b.rows[i]) // what it takes back was taken
	}
	if again {
		b.restart()
		from = 0
	}
	b.job.Log, b.fresh, b.reread = b.rows[:n], from, false
	b.grown = b.grown[:0]
	clear(b.changed)
	b.takeAll(from, again)
	if b.all = again || b.reread && (b.counts || b.shares); b.all {
		from = 0
		b.anew()
	}
	for _, g := range b.grown {
		b.unmake(g)
	}
	if n > b.runsBack {
		b.checkTimes()
	}
	if b.counts {
		b.chainCounter(from)
	}
	if b.shares {
		b.share(from)
	}
	if b.finish(b.grown, b.all) {
		b.all = true
	}
	for _, g := range b.grown {
		g.grown = false
		b.changed[g.bay.Section] = true
	}
	b.faults, b.job.Warnings = nil, nil
	return b.job
}

// Changed tells whether anything of a section may be otherwise than in the beginning before: its
// bays, their rows and places in the job, but for the numbers that its bays have in the order of
// filling, where the order among them stays.
func (b *Beginnings) Changed(s *Section) bool { return b.all || b.changed[s] }

// takeAll takes the rows from one on and gathers the bays that they say something about, and those
// that waited for the next bay's figure.
func (b *Beginnings) takeAll(from int, again bool) {
	b.name(from)
	if again {
		b.undo()
	}
	for _, open := range b.waiting {
		for _, e := range open {
			g := b.byRow[e.Index]
			g.owesShare = false // unless it waits still
			b.grow(g)
		}
	}
	for i := from; i < len(b.job.Log); i++ {
		g := b.byRow[i]
		b.take(&b.rows[i], g)
		if g == nil {
			continue
		}
		b.grow(g)
		for _, other := range g.with {
			b.grow(other)
		}
	}
}

// grow notes a bay that is to be put together anew.
func (b *Beginnings) grow(g *gathered) {
	if !g.grown {
		g.grown, b.grown = true, append(b.grown, g)
	}
}

// anew has all bays put together anew, and all that they bring about together.
func (b *Beginnings) anew() {
	b.fromTheFirst()
	unnumber(b.job.Log)
	for _, g := range b.order {
		g.with, g.owesShare, g.bay.SharedWith = nil, false, nil
		b.grow(g)
	}
}

// unmake takes back what putting a bay together came to.
func (b *Beginnings) unmake(g *gathered) {
	bay := g.bay
	bay.Fill, bay.Moves, bay.Owes, bay.Struck = nil, nil, OwesNothing, g.struck != nil
	if g.owesShare {
		bay.Owes = OwesShare
	}
}
