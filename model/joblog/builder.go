package joblog

import (
	"slices"
	"strings"

	"bayproof/model"
)

// builder makes jobs of the rows of a log. Each worker has its own; its memory is taken again for the next job.
type builder struct {
	r       *reader // only read from
	plan    *logPlan
	f       faultList
	rows    rowReader
	job     model.Job
	entries []model.Entry
	asm     model.Assembler
	cache   map[string]settled // by what the job's first row says
	sheet   sheet
	first   []string // the setting cells of the job's first row, in the order of plan.settings
}

func newBuilder(r *reader, plan *logPlan) *builder {
	b := &builder{r: r, plan: plan, cache: map[string]settled{}, sheet: *plan.sheet}
	b.sheet.slab, b.sheet.f = nil, &b.f
	b.rows = rowReader{plan: plan, f: &b.f, file: plan.sheet.file, byUnits: plan.forms}
	return b
}

// build makes a job of the rows in text. name is the job's; where it is empty the log, job.csv or the folder gives one.
// The job is whole only where b.f holds no fault afterwards; it is good until the next build.
func (b *builder) build(name string, text lines) *model.Job {
	b.f = faultList{}
	b.sheet.start(text)
	b.setComma(b.plan.decimalComma(text, &b.sheet, &b.f))
	b.job = model.Job{Header: b.sheet.header, Columns: b.plan.names, Extra: b.sheet.extra, Inputs: b.r.inputs, Photos: b.r.photos}
	job := &b.job
	row, line, ok := b.sheet.next()
	b.settle(job, name, row)
	job.Sections = b.r.makeSections(job, &b.f)
	b.readRows(job, row, line, ok)
	job.Cores = b.r.makeCores(job, &b.f)
	b.together(job)
	job.Warnings = append(append(b.r.f.warnings[:len(b.r.f.warnings):len(b.r.f.warnings)], b.f.warnings...), job.Warnings...)
	return job
}

// setComma tells every form what the decimal mark is, where it is not that of the job before.
func (b *builder) setComma(comma bool) {
	if b.sheet.comma == comma {
		return
	}
	b.sheet.comma = comma
	for u := range b.rows.byUnits {
		for k := range b.rows.byUnits[u] {
			b.rows.byUnits[u][k].Comma = comma
		}
	}
}

// readRows reads the log's rows, of which the first is at hand.
func (b *builder) readRows(job *model.Job, row []string, line int, ok bool) {
	rows := strings.Count(b.sheet.lines.rest, string(b.sheet.lines.end)) + 2
	if cap(b.entries) < rows {
		b.entries = make([]model.Entry, 0, rows)
	}
	b.rows.start()
	job.Log = b.entries[:0]
	for first := true; ok; first = false {
		n := len(job.Log)
		job.Log = job.Log[:n+1]
		job.Log[n] = model.Entry{}
		b.rows.read(&job.Log[n], row, line)
		if !first {
			b.sameSettings(row)
		}
		if b.plan.jobField >= 0 && !b.sameJob(job, row) {
			break
		}
		row, line, ok = b.sheet.next()
	}
	b.entries = job.Log[:0]
}

// together puts the job together. A row whose cells are at fault gives no further faults: they would follow from the first.
func (b *builder) together(job *model.Job) {
	var late faultList
	for _, f := range b.asm.Assemble(job) {
		row := f.Src
		if row.Col = 0; !b.f.lines[row] {
			late.add(f.Src, f.What, f.Hint)
		}
	}
	b.f.absorb(&late)
	b.r.corePlaces(job, &b.f)
	b.needs(job)
	b.checkPhotos(job)
}

// figureOf is where a row counts bags; the whole job is meant where that cell is at fault itself.
func (b *builder) figureOf(e *model.Entry) model.Source {
	if e.Material.Raw == "" {
		return model.Source{}
	}
	src := e.Src
	src.Col = slices.Index(b.plan.names, e.Material.Kind.Column()) + 1
	return src
}

// needs refuses a job whose log rests on a setting that nobody gave.
func (b *builder) needs(job *model.Job) {
	if job.Settings.BagWeight > 0 || len(job.Settings.BagChecks) > 0 {
		return
	}
	for i := range job.Log {
		e := &job.Log[i]
		if k := e.Material.Kind; k == model.MaterialBags || k == model.MaterialCounter {
			b.f.addf(b.figureOf(e), `bag_weight,25 lb in job.csv, or --bag-weight "25 lb"`, "bags are counted, and bag_weight is not given")
			return
		}
	}
}
