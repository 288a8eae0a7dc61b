package joblog

import (
	"time"

	"bayproof/model/cell"
)

// missing splits a writer's own rows into those that are no longer in the log and those that are. A spreadsheet that
// saved the log may have written a row's figures and its time anew, so a row is known by its bay, its entry and its minute.
func (l *layout) missing(f *Folder, log []byte, own []map[string]string) (lost, kept []map[string]string) {
	there := rowsOf(f, log)
	for _, row := range own {
		key := keyOf(func(name string) string { return row[name] })
		if there[key] > 0 {
			there[key]--
			kept = append(kept, row)
			continue
		}
		lost = append(lost, row)
	}
	return lost, kept
}

// rowKey is what a row is known by.
type rowKey struct{ section, bay, entry, minute string }

func keyOf(text func(name string) string) rowKey {
	k := rowKey{cell.Name(text("section")), cell.Name(text("bay")), cell.Name(text("entry")), text("time")}
	if t, bad := cell.Time(text("time"), time.Time{}); bad == nil {
		k.minute = t.Format("2006-01-02 15:04")
	}
	return k
}

// rowsOf counts the rows of a log by what they are known by.
func rowsOf(f *Folder, log []byte) map[rowKey]int {
	there := map[rowKey]int{}
	r := newReader(f.FS, f.Log, Options{})
	text, ok := decode(f.Log, 1, string(log), &r.f)
	if !ok {
		return there
	}
	plan := r.plan(text)
	if plan == nil {
		return there
	}
	for {
		row, _, more := plan.sheet.next()
		if !more {
			return there
		}
		there[keyOf(func(name string) string { return at(row, plan.sheet.field(name)) })]++
	}
}
