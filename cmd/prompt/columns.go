package prompt

import (
	"bayproof/model"
	"bayproof/model/cell"
)

// plain rewrites the figures of a row as the file shall hold them: exact decimals, units and tolerances kept. What
// cannot be read is told with the column's name.
func plain(row Row, units model.System) *cell.Refusal {
	for _, column := range []string{"width", "width2", "depth", "depth2", "length", "length2", "bulge", "bags", "counter", "weight", "reach", "hole", "at"} {
		if text := row[column]; text != "" {
			out, bad := plainCell(column, text, units)
			if bad != nil {
				return bad
			}
			row[column] = out
		}
	}
	return nil
}

// plainCell rewrites one figure.
func plainCell(column, text string, units model.System) (string, *cell.Refusal) {
	if text == "shared" || cell.DittoMark(text) {
		return text, nil
	}
	form, ok := cell.Column(column, units)
	if !ok {
		return text, nil
	}
	if column == "bags" || column == "counter" {
		return form.PlainBags(text)
	}
	return form.Plain(text)
}

// reads tells whether a figure can stand in a column.
func reads(column, text string, units model.System) bool {
	_, bad := plainCell(column, text, units)
	return bad == nil
}
