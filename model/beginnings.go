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
// before: a row is taken once, and only what all rows of a log bring about together (the counter,
// shared figures, the order of filling) is found anew. A row that takes others back starts from the
// first row again.
type Beginnings struct {
	Assembler
	whole *Job
	rows  []Entry // of the whole log
	// counts and shares say that the log has readings of a counter, and figures that bays share.
	// back is the first row whose time lies before an earlier one's: up to there no times run
	// backward.
	counts, shares bool
	back           int
}

// Beginnings starts before the first row.
func (j *Job) Beginnings() *Beginnings {
	b := &Beginnings{whole: j, rows: unassembled(j.Log), back: len(j.Log)}
	var last time.Time
	for i := range b.rows {
		e := &b.rows[i]
		b.counts = b.counts || e.Material.Reads()
		b.shares = b.shares || e.Material.Shared
		if now := wall(e.Time); !e.Time.IsZero() && b.back == len(j.Log) {
			if now.Before(last) {
				b.back = i
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
	job := *b.whole
	job.Log, job.Bays, job.Left = b.rows[:0], nil, nil
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
	b.job.Log = b.rows[:n]
	b.name(from)
	if again {
		b.undo()
	}
	for i := from; i < n; i++ {
		g := b.byRow[i]
		b.take(&b.rows[i], g)
		if g != nil {
			g.grown = true
		}
	}
	for _, g := range b.order {
		if g.grown || b.shares {
			bay := g.bay
			bay.Fill, bay.Moves, bay.Order, bay.SharedWith, bay.Owes, bay.Struck = nil, nil, 0, nil, OwesNothing, g.struck != nil
		}
	}
	if b.job.OrderDoubtful = false; n > b.back {
		b.checkTimes()
	}
	if b.counts {
		unnumber(b.job.Log)
		b.chainCounter()
	}
	if b.shares {
		b.share()
	}
	b.finish()
	for _, g := range b.order {
		g.grown = false
	}
	b.faults, b.job.Warnings = nil, nil
	return b.job
}
