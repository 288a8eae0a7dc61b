package joblog

import (
	"fmt"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// maxNamed is how many unknown columns a warning names.
const maxNamed = 8

// strangers warns of columns that no one knows, and refuses those that are most likely a slip of the pen.
func (k *knownColumns) strangers(s *sheet) bool {
	ok := true
	first := -1
	for i := range s.cols {
		c := &s.cols[i]
		if c.name != "" {
			continue
		}
		key := headerKey(c.title)
		if key == "" {
			continue
		}
		if base, unit := k.strangeUnit(s, key); base != "" {
			s.f.addf(s.place(i), "known are in, ft, mm, cm, m, lb, oz, kg, g", "column %s: %s is no unit that is known", strings.TrimSpace(c.title), unit)
			ok = false
			continue
		}
		if near := k.near(key); near != "" {
			s.f.addf(s.place(i), "write "+near+", or a name that is farther off", "column %s: %s?", strings.TrimSpace(c.title), near)
			ok = false
			continue
		}
		if first < 0 {
			first = i
		}
		s.extra = append(s.extra, strings.TrimSpace(c.title))
	}
	if first >= 0 {
		s.f.warn("unknown-column", s.place(first), "%s: kept in the record, not used: %s", plural(len(s.extra), "column that no one knows", "columns that no one knows"), nameSome(s.extra))
	}
	return ok
}

// strangeUnit splits a header into a figure's name and what should be its unit, where no other column holds that figure.
func (k *knownColumns) strangeUnit(s *sheet, key string) (base, unit string) {
	i := strings.LastIndexByte(key, '_')
	if i <= 0 {
		return "", ""
	}
	base, unit = key[:i], key[i+1:]
	if _, known := k.index[base]; !known || s.field(base) >= 0 {
		return "", ""
	}
	if form, numeric := cell.Column(base, model.US); !numeric || form.Unit.Dimension == model.DimCount {
		return "", ""
	}
	return base, unit
}

// near is the known name that a header is one or two letters off, with or without a unit.
func (k *knownColumns) near(key string) string {
	if near := cell.Nearest(key, k.names); near != "" {
		return near
	}
	if base, u, ok := cell.SplitHeader(key); ok {
		if near := cell.Nearest(base, k.names); near != "" {
			return near + "_" + u.Symbol
		}
	}
	return ""
}

func nameSome(names []string) string {
	if len(names) <= maxNamed {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:maxNamed], ", "), len(names)-maxNamed)
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
