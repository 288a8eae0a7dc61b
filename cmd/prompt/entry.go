package prompt

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// draft is an entry of a bay while it is put together: from one line, or from answers one by one. Its texts are as typed;
// plain makes them cells when they are written.
type draft struct {
	name    string
	kind    string   // entry, empty for the kind that follows from what is said
	sizes   []string // width, depth, length as far as they are said
	mass    string   // the figure of what went in, or empty
	said    Row
	stepped bool // figures were asked for one by one
}

// entry takes the figures and words behind a bay's name. Of a bay that is filled, words without a figure are something seen.
func (s *Session) entry(name string, t typed) {
	if b := s.bay(name); b != nil && (b.Fill != nil || b.Waiting) && len(t.ways[0]) == 0 && t.amount == "" {
		s.seen(b, t.said)
		return
	}
	s.withFigures(draft{name: name, said: t.said}, t, s.step)
}

// withFigures fills the draft with the figures of a line, asking where they can be read in two ways, and goes on.
func (s *Session) withFigures(d draft, t typed, then func(draft)) {
	fits := s.fitting(d, t)
	switch len(fits) {
	case 0:
		s.sayf("%s", s.misfit(d, t))
	case 1:
		then(fits[0])
	default:
		s.choose(fits, then)
	}
}

// sizeNames are the sizes that a shape is typed with, in the order in which they are typed: of a round one the width is the
// diameter.
func sizeNames(shape string) []string {
	if shape == "round" {
		return []string{"width", "length"}
	}
	return []string{"width", "depth", "length"}
}

// fitting returns the drafts that the line can stand for: all sizes, the amount, or both; each figure must read in its column.
// A line may be cut in many ways (see figures), of which mostly one fits.
func (s *Session) fitting(d draft, t typed) []draft {
	sizes := sizeNames(d.said["shape"])
	var fits []draft
	for _, way := range t.ways {
		with := d
		switch n := len(way); {
		case n == 0:
		case n == len(sizes):
			with.sizes = way
		case n == len(sizes)+1 && t.amount == "" && d.kind != "size" && s.opt.Sheet != Roof:
			with.sizes, with.mass = way[:n-1], way[n-1]
		case n == 1 && t.amount == "" && d.kind != "size" && s.opt.Sheet != Roof:
			with.mass = way[0]
		default:
			continue
		}
		if s.readable(with, sizes) {
			fits = append(fits, with)
		}
	}
	return s.likely(fits)
}

// readable tells whether every figure reads in its column.
func (s *Session) readable(d draft, sizes []string) bool {
	units := s.job.Settings.Units
	for i, text := range d.sizes {
		if !reads(sizes[i], text, units) {
			return false
		}
	}
	return d.mass == "" || d.mass == "shared" || reads("bags", d.mass, units) || reads("weight", d.mass, units)
}

// misfit says what a line of figures should have been: which figure does not read where the number of them is right, else how
// many are wanted.
func (s *Session) misfit(d draft, t typed) string {
	sizes := sizeNames(d.said["shape"])
	for _, way := range t.ways {
		if len(way) != len(sizes) && len(way) != len(sizes)+1 {
			continue
		}
		for i, column := range append(sizes, "bags")[:len(way)] {
			if _, bad := plainCell(column, way[i], s.job.Settings.Units); bad != nil {
				return bad.What + "; " + bad.Hint
			}
		}
	}
	want, shorter := strings.Join(sizes, " "), "Enter to be asked"
	if s.opt.Sheet != Roof {
		want, shorter = want+" "+s.column(), "the count alone for a bay like the one above"
	}
	return fmt.Sprintf("%s: %d figures; type %s, or %s", d.name, len(t.ways[0]), want, shorter)
}

// choose asks which of several readings is meant.
func (s *Session) choose(fits []draft, then func(draft)) {
	if len(fits) > 9 {
		fits = fits[:9]
	}
	var options []string
	for i, d := range fits {
		options = append(options, fmt.Sprintf("%d: %s", i+1, d.inWords(s)))
	}
	s.sayf("  %s", strings.Join(options, "\n  "))
	s.question(fmt.Sprintf("which of the %d? ", len(fits)), func(line string) {
		if len(line) == 1 && line[0] >= '1' && int(line[0]-'0') <= len(fits) {
			then(fits[line[0]-'1'])
			return
		}
		s.sayf("  dropped")
		if line != "" {
			s.rest(line)
		}
	})
}

// inWords says how a draft was understood, for the choice between several.
func (d draft) inWords(s *Session) string {
	parts := []string{}
	for i, column := range sizeNames(d.said["shape"]) {
		if i < len(d.sizes) {
			parts = append(parts, column+" "+d.sizes[i])
		}
	}
	if d.mass != "" {
		parts = append(parts, s.columnOf(d.mass)+" "+d.mass)
	} else {
		parts = append(parts, "not filled yet")
	}
	return strings.Join(parts, ", ")
}

// step asks for what a draft lacks, one figure at a time, and hands it on once it is whole. Sizes that are known already are
// not asked for again, nor on the truck sheet those that a bay above has; on the roof sheet nothing is asked about what went
// in. The count alone is a whole entry where a bay above has the sizes.
func (s *Session) step(d draft) {
	b := s.bay(d.name)
	sized := b != nil && len(b.Pieces) > 0 && !b.Struck
	names := sizeNames(d.said["shape"])
	askSizes := !sized && (s.opt.Sheet != Truck || s.above(d.name) == nil)
	alone := d.mass != "" || d.amountSaid() // the count alone: sizes as the bay above
	switch {
	case askSizes && len(d.sizes) < len(names) && !(alone && s.above(d.name) != nil):
		s.askSize(d, names[len(d.sizes)])
	case !alone && s.opt.Sheet != Roof && d.kind == "": // a kind says that it was asked for and left open
		s.askMass(d)
	default:
		s.submit(d)
	}
}

// amountSaid tells whether what went in was said with its column's word, as in "weight 38 lb".
func (d draft) amountSaid() bool {
	return d.said["bags"] != "" || d.said["counter"] != "" || d.said["weight"] != ""
}

// askSize asks for one size; Enter takes it over from the bay above as a ditto.
func (s *Session) askSize(d draft, column string) {
	hint, ditto := "", ""
	if above := s.above(d.name); above != nil {
		hint, ditto = " [as "+above.Name+": "+s.sizeText(above, column)+"]", `"`
	}
	s.figureFor(fmt.Sprintf("  %s %s%s: ", d.name, column, hint), column, ditto, func(text string) {
		if text == "" {
			s.sayf("  %s is the first bay here: its %s has to be measured (cancel drops the entry)", d.name, column)
			s.askSize(d, column)
			return
		}
		d.sizes, d.stepped = append(slices.Clone(d.sizes), text), true
		s.step(d)
	})
}

// sizeText is a size of a bay as the prompt shows it.
func (s *Session) sizeText(b *model.Bay, column string) string {
	dims := b.Pieces[0].Dims()
	switch column {
	case "width":
		return s.say.Size(dims.Width)
	case "depth":
		return s.say.Size(dims.Depth)
	}
	return s.say.Length(dims.Length)
}

// askMass asks for what went in; Enter leaves the bay measured and not filled. Words may stand beside the figure, as behind a
// bay at rest.
func (s *Session) askMass(d draft) {
	column := s.column()
	what := column
	if column == "counter" {
		what = "counter at the stop" + s.counterHint()
	}
	s.question(fmt.Sprintf("  %s %s [Enter: not filled yet]: ", d.name, what), func(line string) {
		if line == "" {
			d.kind = "size"
			s.step(d)
			return
		}
		t, err := parseWords(splitTokens(line))
		if err != nil {
			s.sayf("  %s", err)
			s.askMass(d)
			return
		}
		if shape := t.said["shape"]; shape != "" && len(d.sizes) > 0 && len(sizeNames(shape)) != len(sizeNames(d.said["shape"])) {
			s.sayf("  %s has other sizes (%s) than were asked for; cancel drops the entry", shape, strings.Join(sizeNames(shape), ", "))
			s.askMass(d)
			return
		}
		maps.Copy(d.said, t.said)
		if len(t.ways[0]) > 0 {
			d.mass = t.ways[0][0]
		}
		if len(t.ways[0]) > 1 || d.mass == "" && !d.amountSaid() {
			s.sayf("  one figure, please: %s", column)
			d.mass = ""
			s.askMass(d)
			return
		}
		s.step(d)
	})
}

// counterHint shows where the counter stood.
func (s *Session) counterHint() string {
	if e := lastReading(s.job); e != nil {
		return ", it stood at " + e.Material.Raw
	}
	return ""
}

// lastReading is the row of the counter's last reading in a job; nil before the first. The counter is the machine's and runs
// on through all sections.
func lastReading(job *model.Job) *model.Entry {
	for i := len(job.Log) - 1; i >= 0; i-- {
		if e := &job.Log[i]; e.Material.Kind == model.MaterialCounter && !e.Material.Shared {
			return e
		}
	}
	return nil
}

// columnOf is the column that a figure of material stands in: a figure with a unit of mass alone is a weight.
func (s *Session) columnOf(mass string) string {
	units := s.job.Settings.Units
	if mass != "shared" && !reads("bags", mass, units) && reads("weight", mass, units) {
		return "weight"
	}
	return s.column()
}

// column is the column of a bare figure here: as the section's last fill, else the counter on the truck sheet and where
// the job counts by a running counter, else bags.
func (s *Session) column() string {
	bays := baysOf(s.job, s.section)
	for i := len(bays) - 1; i >= 0; i-- {
		b := bays[i]
		if b.Fill == nil || b.Fill.Material.Kind == model.MaterialWeight {
			continue
		}
		if b.Fill.Material.Kind == model.MaterialCounter {
			return "counter"
		}
		return "bags"
	}
	counting := s.job.Settings.Counting
	if sec := s.find(s.section); sec != nil {
		counting = sec.Settings.Counting
	}
	if s.opt.Sheet == Truck || counting == model.CountingRunning {
		return "counter"
	}
	return "bags"
}

// plain rewrites the figures of a row as the file shall hold them: exact decimals, units and tolerances kept. What
// cannot be read is told with the column's name.
func plain(row Row, units model.System) *cell.Refusal {
	for _, c := range model.LogColumns() {
		if text := row[c.Name]; text != "" && c.Figure != nil {
			out, bad := plainCell(c.Name, text, units)
			if bad != nil {
				return bad
			}
			row[c.Name] = out
		}
	}
	return nil
}

// plainCell rewrites one figure as a cell of its column, or says what is wrong with it. What stands for a figure (shared, a
// ditto mark) and what is in no column of figures stays as it is.
func plainCell(column, text string, units model.System) (string, *cell.Refusal) {
	if text == "shared" || cell.DittoMark(text) {
		return text, nil
	}
	form, ok := cell.Column(column, units)
	if !ok {
		return text, nil
	}
	switch column {
	case "bags", "counter":
		return form.PlainBags(text)
	case "stop":
		return form.PlainStops(text)
	}
	return form.Plain(text)
}

// reads tells whether a figure can stand in a column.
func reads(column, text string, units model.System) bool {
	_, bad := plainCell(column, text, units)
	return bad == nil
}

// everFilled tells whether a bay was filled at any time: only then does an amend bring it back. One that was withdrawn
// before gives its name up, as when it was the wrong one: a fill or a size under that name begins another bay.
func everFilled(b *model.Bay) bool {
	for _, e := range b.Rows {
		if e.Kind == model.EntryFill {
			return true
		}
	}
	return false
}

// sizeLater logs the sizes of a bay that was filled on dittos, as when the truck sheet was typed in before the roof
// sheet: the bay is stated anew with what went in as it was.
func (s *Session) sizeLater(b *model.Bay, sizes Row) {
	rows := s.restate(b)
	for _, name := range model.SizeNames() {
		delete(rows[0], name)
	}
	for column, text := range sizes {
		rows[0][column] = text
	}
	s.put(rows...)
}

// sizesOf fills in the sizes: those typed, else, for a bay without any, dittos, else, for a bay that was withdrawn
// after it was filled, those it had.
func (s *Session) sizesOf(d draft, b *model.Bay, row Row) {
	names := sizeNames(d.said["shape"])
	for i, text := range d.sizes {
		row[names[i]] = text
	}
	if len(d.sizes) > 0 {
		return
	}
	switch {
	case b == nil || len(b.Pieces) == 0 || b.Struck && !everFilled(b):
		for _, name := range names {
			if row[name] == "" {
				row[name] = `"`
			}
		}
	case b.Struck || d.kind == "amend":
		restateSizes(&b.Pieces[0], row)
	}
}
