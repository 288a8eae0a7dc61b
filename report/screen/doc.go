// Package screen lays text out for a terminal, and keeps what stands in a file from being obeyed
// where it is shown: by a terminal, or by the spreadsheet that opens a CSV file. It knows nothing
// of bays.
//
// It imports the standard library only.
package screen
