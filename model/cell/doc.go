// Package cell reads and writes the text of one cell: numbers and fractions, lengths in feet and inches, repeated
// readings with their tolerance, bags with a part bag by weight, shares, answers, times and names. It turns away what
// is no measurement and says what was read and what would be accepted.
//
// A cell is empty, bad or good. An empty cell gives NaN (or the zero of its type) and no refusal; a bad one gives a
// Refusal; whether a column is missing only the reader of the file knows.
//
// It imports model, the standard library and golang.org/x/text. It is pure.
package cell
