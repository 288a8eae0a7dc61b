// Package joblog reads a job folder and appends to its log. It is the adapter between spreadsheets'
// files and model: it knows separators, quotes, encodings and headers; the grammar of one cell is
// package cell's, and what the rows of a log come to together is model's.
//
// It reads from an fs.FS. Open gives one for a folder on disk that no link and no `..` leads out
// of. It imports model, model/cell, model/joblog/journal, model/joblog/disk, the standard library, golang.org/x/text
// and gofrs/flock.
//
// # How a log is read
//
// Read takes one job, Scan the jobs of a log that may hold a million rows; both go through the same
// steps.
//
//  1. reader.beside reads programme.csv (terms.go), job.csv, sections.csv, cores.csv and the names in photos/. What hangs on the job's settings is kept
//     as cells (rawTable), since a log of many jobs resolves settings once a job.
//  2. decode finds the encoding, openSheet the separator and the header, knownColumns.plan what each header means: a column of
//     the tables in model, a setting, or something that no one knows. planLog makes the form of each column's cells.
//  3. jobCutter cuts a log of many jobs where the cell in the column job changes. The pieces are read by any goroutine.
//  4. builder.build makes a job of its rows: settings (Resolver), sections, then row by row sheet.next, which cuts, and
//     rowReader.next, which fills a model.Entry by the table of columns, cores last.
//  5. Job.Assemble puts the rows together. What its rules find in a row whose own cells are at fault is left out.
//
// Faults are collected, never returned at the first: whoever mends a file wants to see all of them
// at once. faultList keeps them by file, so that one hopeless file does not hide the others.
//
// # How a row is appended
//
// Writer holds the lock beside the log, knows the bytes of its file (the log, or cores.csv by way of
// Writer.Cores) as it saw them last, and writes a row in the file's own form (layout) with one
// write that is on disk before Append returns. It refuses to write when the bytes are others, sets a
// torn last line aside before anything follows it, and finds with Reload which rows another program
// dropped. Columns that a row needs and the file lacks are added first, in one atomic rewrite
// (widened). Then the row goes into the journal beside the file (confirm): a row that is not on disk
// in both is taken off again and was not confirmed. Restore and Accept settle what the two differ
// in. Compare sets the rows of another file beside the log's.
package joblog
