package record

import (
	"bytes"
	"fmt"
	"strings"

	"bayproof/model"
	"bayproof/verify"
)

// rawLines returns the lines of the inputs as they were written, by file and line. Those of a file in UTF-16, in which every
// other byte is NUL, are left out: their rows are shown by their cells.
func rawLines(job *model.Job) map[model.Source]string {
	out := map[model.Source]string{}
	for _, in := range job.Inputs {
		if bytes.IndexByte(in.Raw, 0) >= 0 {
			continue
		}
		for i, line := range bytes.Split(in.Raw, []byte{'\n'}) {
			out[model.Source{File: in.File, Line: i + 1}] = strings.ToValidUTF8(string(bytes.TrimSuffix(line, []byte{'\r'})), "�")
		}
	}
	return out
}

// rowsOf returns every row about a bay, those no longer in force marked; then those of its cores.
func rowsOf(judged *verify.Bay, raw map[model.Source]string) []logRow {
	var out []logRow
	bay := judged.Bay
	for _, e := range bay.Rows {
		text, ok := raw[model.Source{File: e.Src.File, Line: e.Src.Line}]
		if !ok {
			text = strings.Join(e.Cells, ",")
		}
		why, dead := bay.Dead[e]
		out = append(out, logRow{Line: e.Src.Line, Text: text, Dead: dead || bay.Struck && e.Kind != model.EntryStrike, Why: why, Kind: e.Kind.String()})
	}
	for _, c := range judged.Cores {
		src := c.Core.Src
		if text, ok := raw[model.Source{File: src.File, Line: src.Line}]; ok {
			out = append(out, logRow{File: src.File, Line: src.Line, Text: text, Kind: c.Core.Kind})
		}
	}
	return out
}

// cores lists what each core of a bay reads beside the bags, those that agree too.
func (b *builder) cores(bay *verify.Bay) []sizeLine {
	var out []sizeLine
	for i := range bay.Cores {
		out = append(out, sizeLine{bay.Cores[i].Core.Kind, b.words.Core(bay, &bay.Cores[i])})
	}
	return out
}

// sizes lists the readings in force, piece by piece.
func (b *builder) sizes(bay *model.Bay) []sizeLine {
	var out []sizeLine
	for i, p := range bay.Pieces {
		what := shapeWord(p.Shape)
		switch {
		case p.Less:
			what = "less " + what
		case i > 0:
			what = "and " + what
		}
		var parts []string
		for _, r := range []struct {
			name string
			model.Reading
			small bool
		}{
			{"width", p.Width, true}, {"width2", p.Width2, true}, {"depth", p.Depth, true}, {"depth2", p.Depth2, true},
			{"length", p.Length, false}, {"length2", p.Length2, false}, {"bulge", p.Bulge, true},
		} {
			if r.State != model.Absent {
				parts = append(parts, r.name+" "+b.readingText(r.Reading, r.small))
			}
		}
		out = append(out, sizeLine{what, strings.Join(parts, " · ")})
	}
	return out
}

func (b *builder) readingText(r model.Reading, small bool) string {
	mean := b.Length(r.Mean())
	if small {
		mean = b.size(r.Mean())
	}
	switch {
	case r.State == model.Ditto:
		return mean + " (as the bay above)"
	case len(r.Values) > 1:
		return fmt.Sprintf("%s (mean of %d: %s)", mean, len(r.Values), r.Raw)
	}
	return mean
}

func shapeWord(s model.Shape) string {
	if s == model.ShapeUnsaid {
		return model.ShapeBox.String()
	}
	return s.String()
}
