package prompt

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// draft is an entry of a bay while it is put together: from one line, or from answers one by one.
// Its texts are as typed; plain makes them cells when they are written.
type draft struct {
	name    string
	kind    string // entry, empty for the kind that follows from what is said
	mass    string // the figure of what went in, or empty
	said    Row    // everything else by column, sizes too
	stepped bool   // figures were asked for one by one
}

// with returns the draft with one more cell said; the draft itself stays, so that a question can be
// asked again.
func (d draft) with(column, text string) draft {
	d.said = maps.Clone(d.said)
	d.said[column] = text
	return d
}

// lacks are the sizes that the draft's shape has and nobody said yet.
func (d draft) lacks() []string {
	return slices.DeleteFunc(sizeNames(d.said["shape"]), func(name string) bool { return d.said[name] != "" })
}

// sized tells whether any size was said.
func (d draft) sized() bool { return len(d.lacks()) < len(sizeNames(d.said["shape"])) }

// entry takes the figures and words behind a bay's name. Of a bay that is in the log, words without
// a figure are something seen.
func (s *Session) entry(name string, t typed) {
	d := draft{name: name, said: t.said}
	b := s.bay(name)
	bare := len(t.loose) == 0 && t.amount == ""
	switch {
	case b != nil && bare && !d.sized() && (b.Fill != nil || b.Owes == model.OwesShare || b.Owes != model.OwesNothing && len(t.said) > 0):
		s.seen(b, t.said)
	case bare && s.half != nil && strings.EqualFold(s.half.name, name): // its line was left half typed
		half := *s.half
		half.said = maps.Clone(half.said)
		maps.Copy(half.said, t.said)
		s.step(half)
	default:
		s.withFigures(d, t, s.step)
	}
}

// withFigures fills the draft with the figures of a line, asking where they can be read in two
// ways, and goes on.
func (s *Session) withFigures(d draft, t typed, then func(draft)) {
	fits := s.fitting(d, t)
	switch len(fits) {
	case 0:
		s.refusef("%s", s.misfit(d, t))
	case 1:
		then(fits[0])
	default:
		s.choose(fits, then)
	}
}

// sizeNames are the sizes that a shape is typed with, in the order in which they are typed: of a
// round one the width is the diameter.
func sizeNames(shape string) []string {
	if shape == "round" {
		return []string{"width", "length"}
	}
	return []string{"width", "depth", "length"}
}

// fitting returns the drafts that the line can stand for: the sizes that no word says, the amount,
// or both; each figure must read in its column. A line may be cut in many ways (see figures), of
// which mostly one fits.
func (s *Session) fitting(d draft, t typed) []draft {
	lacks := d.lacks()
	filling := t.amount == "" && d.kind != "size" && (s.opt.Sheet != Roof || t.counts)
	var fits []draft
	for _, way := range t.ways {
		with, sizes := d, 0
		switch n := len(way); {
		case n == 0:
		case n == len(lacks)+1 && filling:
			with.mass, sizes = way[n-1], n-1
		case n == 1 && filling:
			with.mass = way[0]
		case n == len(lacks) && !t.counts:
			sizes = n
		default:
			continue
		}
		with.said = maps.Clone(d.said)
		for i, text := range way[:sizes] {
			with.said[lacks[i]] = text
		}
		if s.readable(with) {
			fits = append(fits, with)
		}
	}
	return s.likely(fits)
}

// readable tells whether every figure reads in its column.
func (s *Session) readable(d draft) bool {
	units := s.job.Settings.Units
	for _, name := range sizeNames(d.said["shape"]) {
		if text := d.said[name]; text != "" && !reads(name, text, units) {
			return false
		}
	}
	return d.mass == "" || d.mass == "shared" || reads("bags", d.mass, units) || reads("weight", d.mass, units)
}

// misfit says what a line of figures should have been: which figure does not read where the number
// of them is right, else which are wanted.
func (s *Session) misfit(d draft, t typed) string {
	lacks := d.lacks()
	for _, way := range t.ways {
		if len(way) != len(lacks) && len(way) != len(lacks)+1 {
			continue
		}
		for i, column := range append(lacks, "bags")[:len(way)] {
			if _, bad := plainCell(column, way[i], s.job.Settings.Units); bad != nil {
				return s.say.F("%s; %s", s.say.Told(bad.What), s.say.Told(bad.Hint))
			}
		}
	}
	head, want := d.name, strings.Join(lacks, " ")
	if d.kind != "" { // size and amend, as they are typed
		head = d.kind + " " + head
	}
	if s.opt.Sheet != Roof && d.kind != "size" {
		want = strings.TrimSpace(want + " " + s.column())
	}
	if d.kind == "amend" {
		return s.say.F("Type %s %s.", head, want)
	}
	if s.opt.Sheet == Roof || d.kind != "" || s.above(d.name) == nil {
		return s.say.F("Type %[1]s %[2]s. Or %[1]s alone, to be asked.", head, want)
	}
	return s.say.F("Type %[1]s %[2]s. Or %[1]s and the count, for a bay like the one above.", head, want)
}

// choose asks which of several readings is meant. The first is the likeliest: Enter takes it, and
// so does whatever else is typed instead of an answer, so that nothing is lost that was typed.
func (s *Session) choose(fits []draft, then func(draft)) {
	if len(fits) > 9 {
		fits = fits[:9]
	}
	var options []string
	for i, d := range fits {
		options = append(options, fmt.Sprintf("%d: %s", i+1, d.inWords(s)))
	}
	s.sayf("  %s", strings.Join(options, "\n  "))
	s.question(s.say.F("Which of the %d? [1] ", len(fits)), func(line string) {
		if len(line) == 1 && line[0] >= '1' && int(line[0]-'0') <= len(fits) {
			then(fits[line[0]-'1'])
			return
		}
		s.sayf("Taken: %s", fits[0].inWords(s))
		then(fits[0])
		if line != "" {
			s.take1(line)
		}
	})
	s.best = true
}

// inWords says how a draft was understood, for the choice between several.
func (d draft) inWords(s *Session) string {
	parts := []string{}
	for _, column := range sizeNames(d.said["shape"]) {
		if text := d.said[column]; text != "" {
			parts = append(parts, column+" "+text)
		}
	}
	if d.mass != "" {
		parts = append(parts, s.columnOf(d.mass)+" "+d.mass)
	} else {
		parts = append(parts, s.say.S("not filled yet"))
	}
	return strings.Join(parts, ", ")
}

// step asks for what a draft lacks, one figure at a time, and hands it on once it is whole. Sizes
// that are known already are not asked for again, nor any on the truck sheet; on the roof sheet
// nothing is asked about what went in. The count alone, or with a size or two, is a whole entry
// where a bay above has the others.
func (s *Session) step(d draft) {
	b := s.bay(d.name)
	above := s.above(d.name) != nil
	lacks := d.lacks()
	given := d.mass != "" || d.amountSaid()
	switch {
	case s.opt.Sheet != Truck && !measured(b) && len(lacks) > 0 && !(above && (given || d.sized() && !d.stepped)):
		s.askSize(d, lacks[0])
	case !given && s.opt.Sheet != Roof && d.kind == "" && !(d.sized() && b != nil && b.Fill != nil): // a kind says that it was asked for and left open
		s.askMass(d)
	default:
		s.half = nil
		s.submit(d, func() {
			if d.stepped {
				s.again(d)
			}
		})
	}
}

// amountSaid tells whether what went in was said with its column's word, as in "weight 38 lb".
func (d draft) amountSaid() bool {
	return d.said["bags"] != "" || d.said["counter"] != "" || d.said["weight"] != ""
}

// askSize asks for one size; Enter takes it over from the bay above as a ditto.
func (s *Session) askSize(d draft, column string) {
	asks := s.sizeQuestions()[column]
	question, ditto := fmt.Sprintf(asks.bare, d.name), ""
	if above := s.above(d.name); above != nil {
		question, ditto = fmt.Sprintf(asks.above, d.name, above.Name, s.sizeText(above, column)), `"`
	}
	s.keepHalf(d)
	s.figureFor(d, question, column, ditto, func(text string) {
		if text == "" {
			s.sayf("%s is the first bay here, so it has to be measured. cancel drops it.", d.name)
			s.askSize(d, column)
			return
		}
		d := d.with(column, text)
		d.stepped = true
		s.step(d)
	})
}

// wholeLine takes a line of several figures that was typed where one was asked for: as what the bay
// still lacks, or as its whole line, the sizes too that were said before. It tells whether the line
// is one.
func (s *Session) wholeLine(d draft, line string) bool {
	t, err := parseWords(s.say.Units, strings.Fields(line))
	if err != nil || len(t.ways[0]) < 2 && !t.counts {
		return false
	}
	said := maps.Clone(d.said)
	maps.Copy(said, t.said)
	anew := maps.Clone(said)
	for _, name := range sizeNames(said["shape"]) {
		if t.said[name] == "" {
			delete(anew, name)
		}
	}
	for _, d := range []draft{{name: d.name, kind: d.kind, said: said}, {name: d.name, kind: d.kind, said: anew}} {
		if len(s.fitting(d, t)) > 0 {
			s.half = nil
			s.withFigures(d, t, s.step)
			return true
		}
	}
	return false
}

// keepHalf keeps what was said of a bay so far, so that its name goes on with it where something
// else was typed in between.
func (s *Session) keepHalf(d draft) {
	if d.stepped || len(d.said) > 0 {
		s.half = &d
	}
}

// setDown writes what was typed of a bay where that is all its sizes, as measured and not filled,
// and else says that it is not in the log yet.
func (s *Session) setDown() {
	switch {
	case s.half == nil:
	case len(s.half.lacks()) == 0:
		d := *s.half
		d.kind = "size"
		s.step(d)
	default:
		s.sayf("%[1]s is not written yet: %[2]s. Type %[1]s to go on with it.", s.half.name, Row(s.half.said).inWords())
	}
}

// sizeQuestions ask for a size: of the first bay, and of one that has a bay above.
func (s *Session) sizeQuestions() map[string]struct{ bare, above string } {
	S := s.say.S
	return map[string]struct{ bare, above string }{
		"width":  {S("  %s width: "), S("  %s width [as %s: %s]: ")},
		"depth":  {S("  %s depth: "), S("  %s depth [as %s: %s]: ")},
		"length": {S("  %s length: "), S("  %s length [as %s: %s]: ")},
	}
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
	return s.say.Measured(dims.Length)
}

// askMass asks for what went in; Enter leaves the bay measured and not filled. Words may stand
// beside the figure, as behind a bay at rest.
func (s *Session) askMass(d draft) {
	column := s.column()
	question := s.say.F("  %s bags [Enter: not filled yet]: ", d.name)
	if last, ok := s.lastReading(); column == "counter" && ok {
		question = s.say.F("  %s counter at the stop, it stood at %s [Enter: not filled yet]: ", d.name, cell.FormatNumber(last))
	} else if column == "counter" {
		question = s.say.F("  %s counter at the stop [Enter: not filled yet]: ", d.name)
	}
	s.keepHalf(d)
	s.question(question, func(line string) {
		if line == "" {
			d.kind = "size"
			s.step(d)
			return
		}
		if s.instead(line) {
			return
		}
		t, err := parseWords(s.say.Units, strings.Fields(line))
		if err != nil {
			s.sayf("  %s", err)
			s.askMass(d)
			return
		}
		if shape := t.said["shape"]; shape != "" && d.sized() && len(sizeNames(shape)) != len(sizeNames(d.said["shape"])) {
			s.sayf("%s has other sizes: %s. cancel drops the entry.", shape, strings.Join(sizeNames(shape), ", "))
			s.askMass(d)
			return
		}
		with := d
		with.said = maps.Clone(d.said)
		maps.Copy(with.said, t.said)
		if len(t.ways[0]) > 0 {
			with.mass = t.ways[0][0]
		}
		if len(t.ways[0]) > 1 && s.wholeLine(d, line) {
			return
		}
		if len(t.ways[0]) > 1 || with.mass == "" && !with.amountSaid() {
			s.sayf("One figure, please: %s", column)
			s.askMass(d)
			return
		}
		s.step(with)
	})
}

// counterHint shows where the counter stood; empty before its first reading.
func (s *Session) counterHint() string {
	if last, ok := s.lastReading(); ok {
		return s.say.F("It stood at %s.", cell.FormatNumber(last))
	}
	return ""
}

// lastReading is where the counter of the machine that is typed for stood last, in bags; false
// before its first reading. It runs on through all sections.
func (s *Session) lastReading() (bags float64, ok bool) {
	for _, e := range slices.Backward(s.job.Log) {
		machine := e.Machine
		if b := bayOf(s.job, e.Section, e.Bay); e.Bay != "" && b != nil && machine == "" {
			machine = b.Machine
		}
		if e.Material.Reads() && !e.Withdrawn && strings.EqualFold(machine, s.machine) {
			return e.Material.Bags, true
		}
	}
	return 0, false
}

// columnOf is the column that a figure of material stands in: a figure with a unit of mass alone is
// a weight.
func (s *Session) columnOf(mass string) string {
	units := s.job.Settings.Units
	if mass != "shared" && !reads("bags", mass, units) && reads("weight", mass, units) {
		return "weight"
	}
	return s.column()
}

// column is the column of a bare figure here: as the section's last fill, else the counter on the
// truck sheet and where the job counts by a running counter, else bags.
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

// plain rewrites the figures of a row as the file shall hold them: exact decimals, units and
// tolerances kept. What cannot be read is told with the column's name.
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

// plainCell rewrites one figure as a cell of its column, or says what is wrong with it. What stands
// for a figure (shared, a ditto mark) and what is in no column of figures stays as it is.
func plainCell(column, text string, units model.System) (string, *cell.Refusal) {
	if text == "shared" || cell.DittoMark(text) || cell.OwedMark(text) {
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

// sizesOf fills in the sizes that are not typed: dittos for a bay without any that has one above,
// but on the truck sheet a question mark, since they are the roof sheet's to say; for a bay that is
// amended those it had.
func (s *Session) sizesOf(d draft, b *model.Bay, row Row) {
	if d.sized() {
		return
	}
	switch {
	case !measured(b):
		for _, name := range d.lacks() {
			switch {
			case s.opt.Sheet == Truck:
				row[name] = "?"
			case s.above(d.name) != nil:
				row[name] = `"`
			}
		}
	case d.kind == "amend":
		restateSizes(b.Pieces[0], row, s.job.Settings.Units)
	}
}
