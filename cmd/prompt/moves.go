package prompt

import (
	"strings"

	"bayproof/model"
)

// move logs a top-up or a loss.
func (s *Session) move(kind, tail string) {
	s.onBay(tail, func(b *model.Bay, t typed) {
		row := t.said
		if n := len(t.ways[0]); n > 1 || n == 0 && t.amount == "" {
			s.sayf("%s %s: how much? as in %s %s 8 lb, or 1/4 for bags", kind, b.Name, kind, b.Name)
			return
		}
		if t.amount == "" {
			column, text := s.moved(kind, t.ways[0][0])
			row[column] = text
		}
		row["entry"] = kind
		row = s.rowOf(b.Name, row)
		if kind == "topup" && row["weight"] != "" && s.column() == "counter" && lastReading(s.job) != nil {
			s.weighedBetween(row)
			return
		}
		s.put(row)
	})
}

// moved says in which column a top-up or a loss stands. Where the section runs by the counter a top-up is a reading of
// it, and 0 is the reading before once more.
func (s *Session) moved(kind, text string) (column, value string) {
	column = s.columnOf(text)
	last := lastReading(s.job)
	if column == "counter" && (kind == "lost" || last == nil) {
		return "bags", text
	}
	if column == "counter" && strings.Trim(text, "0.") == "" {
		return "counter", last.Material.Raw
	}
	return column, text
}

// weighedBetween logs a weighed top-up in a section that runs by the counter: without a reading after it the next bay's
// count would hold it once more, so the reading is asked for and starts the counter anew.
func (s *Session) weighedBetween(row Row) {
	last := lastReading(s.job).Material.Raw
	s.question("  where does the counter stand now? [Enter: still at "+last+"] ", func(line string) {
		if line == "" {
			line = last
		}
		if _, bad := plainCell("counter", line, s.job.Settings.Units); bad != nil {
			s.sayf("  %s; %s", bad.What, bad.Hint)
			s.weighedBetween(row)
			return
		}
		start := Row{"entry": "count", "counter": line}
		if s.opt.By != "" {
			start["by"] = s.opt.By
		}
		s.put(row, start)
	})
}
