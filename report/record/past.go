package record

import (
	"fmt"
	"math"
	"strings"
	"time"

	"bayproof/model"
	"bayproof/verify"
)

// history tells how the verdict came about: when logged, at each closing, and now; then what was amended.
func (b *builder) history(bay *verify.Bay) []string {
	if !bay.Judged() {
		return nil
	}
	var steps []string
	if bay.Logged.Row != nil {
		steps = append(steps, "when logged "+b.closing(bay.Logged, bay))
	}
	for _, c := range bay.Closings {
		steps = append(steps, "when closed "+b.closing(c, bay))
	}
	steps = append(steps, "now "+markOf(bay).Word)
	out := []string{firstUpper(strings.Join(steps, "; ")) + "."}
	for _, a := range amendments(bay.Bay) {
		out = append(out, b.amendment(a, bay))
	}
	return out
}

func (b *builder) closing(c verify.Closing, bay *verify.Bay) string {
	text := verdictMark(c.Verdict).Word
	if !unknown(c.Density) {
		text += " at " + b.density(c.Density, half(bay), bay.Bay.Section.Settings.Target)
	}
	if c.Row != nil {
		text += fmt.Sprintf(" (line %d)", c.Row.Src.Line)
	}
	return text
}

// amended is a row with the one that took its place.
type amended struct{ old, new *model.Entry }

// amendments pairs each row that an amendment replaced with the next amendment in the log.
func amendments(bay *model.Bay) []amended {
	var out []amended
	var open []*model.Entry
	for _, e := range bay.Rows {
		if e.Kind == model.EntryAmend {
			for _, o := range open {
				out = append(out, amended{o, e})
			}
			open = nil
		}
		if _, dead := bay.Dead[e]; dead && (e.Kind == model.EntryFill || e.Kind == model.EntryAmend) {
			open = append(open, e)
		}
	}
	return out
}

// amendment says what was changed, with both values and the minutes between.
func (b *builder) amendment(a amended, bay *verify.Bay) string {
	text := fmt.Sprintf("Line %d replaced line %d", a.new.Src.Line, a.old.Src.Line)
	if m := minutes(a.old.Time, a.new.Time); m != "" {
		text += ", " + m + " later"
	}
	if verdictBefore(bay, a.new) {
		text += ", after a verdict"
	}
	changes := b.changes(a)
	if len(changes) == 0 {
		return text + ": material and sizes unchanged."
	}
	return text + ": " + strings.Join(changes, ", ") + "."
}

// verdictBefore tells whether a verdict of the bay was known before the row was written.
func verdictBefore(bay *verify.Bay, e *model.Entry) bool {
	if r := bay.Logged.Row; r != nil && r.Index < e.Index || r != nil && r.Src.Line < e.Src.Line {
		return true
	}
	for _, c := range bay.Closings {
		if c.Row != nil && c.Row.Src.Line < e.Src.Line {
			return true
		}
	}
	return false
}

func (b *builder) changes(a amended) []string {
	var out []string
	if x, y := a.old.Material.Raw, a.new.Material.Raw; x != y {
		out = append(out, "material "+orBlank(x)+" → "+orBlank(y))
	}
	for _, s := range []struct {
		name     string
		old, new model.Reading
	}{
		{"width", a.old.Size.Width, a.new.Size.Width}, {"width2", a.old.Size.Width2, a.new.Size.Width2},
		{"depth", a.old.Size.Depth, a.new.Size.Depth}, {"depth2", a.old.Size.Depth2, a.new.Size.Depth2},
		{"length", a.old.Size.Length, a.new.Size.Length}, {"length2", a.old.Size.Length2, a.new.Size.Length2},
		{"bulge", a.old.Size.Bulge, a.new.Size.Bulge},
	} {
		if s.old.Raw != s.new.Raw {
			out = append(out, s.name+" "+orBlank(s.old.Raw)+" → "+orBlank(s.new.Raw))
		}
	}
	return out
}

func orBlank(s string) string {
	if s == "" {
		return blank
	}
	return s
}

// minutes writes the time between two entries; empty where either does not say.
func minutes(from, to time.Time) string {
	if from.IsZero() || to.IsZero() {
		return ""
	}
	return plural(int(math.Round(to.Sub(from).Minutes())), "minute", "minutes")
}
