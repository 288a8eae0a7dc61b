package joblog

import (
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// settled are the settings that a job's files come to, but for its name.
type settled struct {
	settings model.Settings
	faults   []model.Fault
}

// settle resolves the job's settings: what its first row says, over job.csv.
func (b *builder) settle(job *model.Job, name string, row []string) {
	b.first = b.first[:0]
	for _, field := range b.plan.settings {
		s := ""
		if field < len(row) {
			s = row[field]
		}
		b.first = append(b.first, s)
	}
	if name == "" && row != nil {
		name = b.plan.jobName(row)
	}
	key := strings.Join(b.first, "\x00")
	got, known := b.cache[key]
	if !known {
		given := b.allGiven()
		if b.plan.jobField >= 0 {
			given = append(given, Given{Name: "job", Text: name, Src: b.sheet.place(b.plan.jobField)})
		}
		got.settings, got.faults = b.r.resolver.Job(b.r.opt.Name, given)
		if b.plan.jobField >= 0 {
			delete(got.settings.Raw, "job") // every job that shares these settings has a name of its own
		}
		if len(b.cache) > 1000 {
			clear(b.cache)
		}
		if len(got.faults) == 0 {
			b.cache[key] = got
		}
	}
	b.f.addAll(got.faults)
	job.Settings = got.settings
	if name != "" {
		job.Settings.Job = name
	}
	job.Name = job.Settings.Job
	b.rows.forms = &b.rows.byUnits[job.Settings.Units]
	b.rows.clock.Day, _ = cell.Date("date", job.Settings.Date)
}

// allGiven is what job.csv gives and no column of the log does, then what the columns give.
func (b *builder) allGiven() []Given {
	var own []Given
	named := map[string]bool{}
	for i, field := range b.plan.settings {
		name := b.sheet.cols[field].name
		if cell.Blank(b.first[i]) {
			continue
		}
		named[name] = true
		own = append(own, Given{Name: name, Text: withUnit(b.first[i], b.sheet.cols[field].unit), Src: b.sheet.place(field), Comma: b.sheet.comma})
	}
	if b.plan.jobField >= 0 {
		named["job"] = true
	}
	var all []Given
	for _, g := range b.r.given {
		if !named[g.Name] {
			all = append(all, g)
		}
	}
	return append(all, own...)
}

// sameJob refuses a row without a job, and ends the reading where the rows of another job follow.
func (b *builder) sameJob(job *model.Job, row []string) bool {
	text := at(row, b.plan.jobField)
	if text == job.Name {
		return true
	}
	name := cell.Name(text)
	src := b.sheet.place(b.plan.jobField)
	switch name {
	case job.Name:
	case "":
		b.f.add(src, "job is blank", "fill the name down; a row of totals is deleted")
	default:
		b.f.addf(src, "bayproof check and bayproof review read a log of many jobs", "the log holds more than one job: %s, and from here %s", job.Name, name)
		return false
	}
	return true
}

// sameSettings refuses a setting that a later row of the job says otherwise.
func (b *builder) sameSettings(row []string) {
	for i, field := range b.plan.settings {
		if field < len(row) && row[field] != b.first[i] && !cell.Blank(row[field]) {
			name := b.sheet.cols[field].name
			b.f.addf(b.sheet.place(field), "it stands on the job's first row, once", "%s is %s here and %s on the job's first row", name,
				quoted(row[field]), quoted(b.first[i]))
		}
	}
}

func quoted(s string) string {
	if cell.Blank(s) {
		return "blank"
	}
	return `"` + s + `"`
}

// withUnit adds the unit of a header to a cell that has none.
func withUnit(s, unit string) string {
	if unit == "" || s == "" || s[len(s)-1] < '0' || s[len(s)-1] > '9' {
		return s
	}
	return s + " " + unit
}
