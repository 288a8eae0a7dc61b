package fields

import (
	"bytes"
	"encoding/csv"

	"bayproof/report/screen"
)

// AppendCSV appends the manual as one table: what it is, where it belongs, its name, and what there is to say about it.
func (m Manual) AppendCSV(dst []byte) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b) // writing to memory cannot fail
	_ = w.Write([]string{"kind", "file", "section", "name", "unit", "default", "value", "source", "meaning", "answered_by", "innocent"})
	for _, c := range m.Columns {
		_ = w.Write([]string{"column", c.File, "", c.Name, c.Unit, "", "", "", c.Meaning, "", ""})
	}
	for _, s := range m.Settings {
		_ = w.Write([]string{"setting", "job.csv", screen.Cell(s.Section), s.Name, "", s.Default, screen.Cell(s.Value), screen.Cell(s.Source), s.Meaning, "", ""})
	}
	for _, e := range m.Entries {
		_ = w.Write([]string{"entry", "bays.csv", "", e.Name, "", "", e.Carries, "", e.Meaning, "", ""})
	}
	for _, c := range m.Codes {
		_ = w.Write([]string{string(c.Kind), "", "", string(c.Code), "", "", "", c.Source, c.Means, c.Answers, c.Innocent})
	}
	w.Flush()
	return append(dst, b.Bytes()...)
}
