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

// reconcile reads a log that somebody else changed, offers rows of this session that are gone, and puts the entry anew.
func (s *Session) reconcile(rows []Row) {
	lost, err := s.book.Reload()
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
		s.offer(lost, rows)
		return
	}
	for _, row := range rows {
		s.sayf("  still here: %s", row.inWords())
	}
	s.question("  mend the file, then Enter; cancel drops the entry: ", func(string) { s.reconcile(rows) })
}

// offer shows rows of this session that the other program wrote over and asks whether they are to be written again.
func (s *Session) offer(lost, rows []Row) {
	if len(lost) == 0 {
		s.put(rows...)
		return
	}
	s.sayf("  rows of this session that are gone from it:")
	for _, row := range lost {
		s.sayf("    %s", row.inWords())
	}
	s.question("  write them again? [y/n] ", func(line string) {
		if yes(line) {
			rows = append(append([]Row(nil), lost...), rows...)
		}
		s.put(rows...)
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
