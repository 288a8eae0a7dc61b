// Package joblog reads a job folder and appends to its log. It is the adapter between spreadsheets' files and model: it
// knows separators, quotes, encodings and headers; the grammar of one cell is package cell's, and what the rows of a
// log come to together is model's.
//
// It reads from an fs.FS. Open gives one for a folder on disk that no link and no `..` leads out of. It imports model,
// model/cell, the standard library, golang.org/x/text and gofrs/flock.
package joblog
