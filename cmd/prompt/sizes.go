package prompt

import (
	"bayproof/model"
)

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

// measured tells whether any size of the bay itself was measured.
func measured(b *model.Bay) bool {
	for _, r := range b.Pieces[0].Readings() {
		if r.State == model.Measured {
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
			row[name] = `"`
		}
	case b.Struck || d.kind == "amend":
		restateSizes(&b.Pieces[0], row)
	}
}
