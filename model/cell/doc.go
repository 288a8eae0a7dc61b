// Package cell reads and writes the text of one cell: numbers and fractions, lengths in feet and
// inches, repeated readings with their tolerance, bags with a part bag by weight, shares, answers,
// times and names. It turns away what is no measurement and says what was read and what would be
// accepted.
//
// A cell is empty, bad or good. An empty cell gives NaN (or the zero of its type) and no refusal; a
// bad one gives a Refusal and no value; whether a column is missing only the reader of the file
// knows.
//
// # The grammar
//
// With spaces of any kind between any two of its pieces, and the file's own decimal mark:
//
//	readings = measure { ";" measure } [ "±" measure ]
//	measure  = mixed [ unit ] | mixed "ft" mixed [ "in" ] | mixed "lb" mixed "oz"
//	mixed    = decimal | whole [ [ "-" ] fraction ] | fraction
//	fraction = whole "/" whole | "½" | "¼" | …
//	bags     = "shared" | mixed [ "bags" ] [ "±" mixed | ("+" | "-") measure [ "±" measure ] ]
//
// A bare number is in the unit of its header, else in that of the job's system. A unit after the
// last reading of a cell holds for all of them. What a person could have meant in two ways is
// refused and not guessed: 14 12 may be two readings or feet and inches, 2 1/5 is what a
// spreadsheet makes of 2 3/16. TestReading, TestBags and FuzzCell hold the grammar,
// rational_test.go reads lengths a second way, in exact fractions.
//
// # The files
//
// scanner.go cuts a cell into tokens, parser.go has the rules of measures and bags.go that of bags;
// form.go says what a column or a setting takes (units, limits) and turns a cell into SI;
// answers.go reads words, times and days, text.go names and free text; words.go says what is wrong
// with a cell, and write.go writes numbers back.
//
// The commonest cells, plain decimals and fractions inside the limits of their column, are read by
// a short way (Form.plain) that gives what the grammar would give: a log may have millions of them.
//
// It imports model, the standard library and golang.org/x/text. It is pure.
package cell
