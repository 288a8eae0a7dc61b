package prompt

import (
	"fmt"

	"bayproof/model"
)

// step asks for what a draft lacks, one figure at a time, and hands it on once it is whole.
func (s *Session) step(d draft) {
	b := s.bay(d.name)
	sized := b != nil && len(b.Pieces) > 0 && !b.Struck
	names := sizeNames(d.said["shape"])
	askSizes := !sized && (s.opt.Sheet != Truck || s.above(d.name) == nil)
	alone := d.mass != "" || d.amountSaid() // the count alone: sizes as the bay above
	switch {
	case askSizes && len(d.sizes) < len(names) && !(alone && s.above(d.name) != nil):
		s.askSize(d, names[len(d.sizes)])
	case !alone && s.opt.Sheet != Roof && !d.asked():
		s.askMass(d)
	default:
		s.submit(d)
	}
}

func (d draft) amountSaid() bool {
	return d.said["bags"] != "" || d.said["counter"] != "" || d.said["weight"] != ""
}

// asked tells whether the material was asked for and left open.
func (d draft) asked() bool { return d.kind != "" }

// askSize asks for one size; Enter takes it over from the bay above as a ditto.
func (s *Session) askSize(d draft, column string) {
	hint := ""
	above := s.above(d.name)
	if above != nil {
		hint = " [as " + above.Name + ": " + s.sizeText(above, column) + "]"
	}
	s.question(fmt.Sprintf("  %s %s%s: ", d.name, column, hint), func(line string) {
		switch {
		case line == "" && above == nil:
			s.sayf("  %s is the first bay here: its %s has to be measured (cancel drops the entry)", d.name, column)
			s.askSize(d, column)
			return
		case line == "":
			line = `"`
		}
		if _, bad := plainCell(column, line, s.job.Settings.Units); bad != nil {
			s.sayf("  %s; %s", bad.What, bad.Hint)
			s.askSize(d, column)
			return
		}
		d.sizes, d.stepped = append(append([]string(nil), d.sizes...), line), true
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

// askMass asks for what went in; Enter leaves the bay measured and not filled.
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
		for k, v := range t.said {
			d.said[k] = v
		}
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

// lastReading is the row of the counter's last reading in a job; nil before the first.
func lastReading(job *model.Job) *model.Entry {
	for i := len(job.Log) - 1; i >= 0; i-- {
		if e := &job.Log[i]; e.Material.Kind == model.MaterialCounter && !e.Material.Shared {
			return e
		}
	}
	return nil
}
