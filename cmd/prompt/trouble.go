package prompt

import (
	"fmt"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// retry keeps an entry that could not be written on the screen and offers it again.
func (s *Session) retry(rest, all []Row, job *model.Job, f *verify.Findings, err error) {
	s.sayf("  NOT on disk: %s", err)
	for _, row := range rest {
		s.sayf("  still here: %s", row.inWords())
	}
	s.question("  Enter tries again, cancel drops it: ", func(string) { s.write(rest, all, job, f) })
}

// reconcile reads a log that somebody else changed, offers rows that are gone from it, and puts the entry anew.
func (s *Session) reconcile(rows []Row) {
	changed, err := s.book.Reload()
	job, faults := s.book.Job()
	switch {
	case err != nil:
		s.sayf("  the log was changed by another program and cannot be read: %s", err)
	case len(faults) > 0:
		s.sayf("  the log was changed by another program and no longer reads:")
		s.tell(faults, func(src model.Source) bool { return src.File == "" })
	default:
		s.sayf("  the log was changed by another program; read again")
		s.take(job)
		s.gone(changed)
		s.offer(changed, rows)
		return
	}
	s.gone(changed)
	for _, row := range rows {
		s.sayf("  still here: %s", row.inWords())
	}
	s.question("  mend the file, then Enter; cancel drops the entry: ", func(string) { s.reconcile(rows) })
}

// mostGone is how many rows that are gone are shown; they stand in the file that is named with them.
const mostGone = 10

// gone says what was set aside of a log that somebody else changed, and which rows are gone from it.
func (s *Session) gone(changed Changed) {
	if changed.Torn != "" {
		s.sayf("  its last line is torn; it is set aside in %s: type that bay again", changed.Torn)
	}
	if len(changed.Lost) > 0 {
		s.sayf("  rows that are gone from it:")
	}
	for i, row := range changed.Lost {
		if i == mostGone {
			s.sayf("    and %d more", len(changed.Lost)-i)
			break
		}
		s.sayf("    %s", row.inWords())
	}
	if changed.Kept != "" {
		s.sayf("  the log as it was is kept in %s", changed.Kept)
	}
}

// offer asks whether rows that the other program dropped are to be written again, until that is answered.
func (s *Session) offer(changed Changed, rows []Row) {
	if len(changed.Lost) == 0 {
		s.put(rows...)
		return
	}
	s.question("  write them again, at the end of the log? [y/n] ", func(line string) {
		switch answer, _ := model.ParseAnswer(line); answer {
		case model.Yes:
			s.putOr(func() {
				s.sayf("  they cannot stand at the end of the log: put them back by hand from %s", changed.Kept)
				s.put(rows...)
			}, append(append([]Row(nil), changed.Lost...), rows...)...)
		case model.No:
			s.put(rows...)
		default:
			s.sayf("  type y or n first: nothing is written yet")
			s.offer(changed, rows)
		}
	})
}

// inWords shows a row on one line, in the order of the columns.
func (r Row) inWords() string {
	var parts []string
	for _, column := range []string{"section", "bay", "entry", "shape", "width", "width2", "depth", "depth2", "length", "length2", "bulge",
		"bags", "counter", "weight", "reach", "hole", "stall", "probe", "at", "photo", "by", "note"} {
		if v := r[column]; v != "" {
			parts = append(parts, fmt.Sprintf("%s %s", column, v))
		}
	}
	return strings.Join(parts, ", ")
}
