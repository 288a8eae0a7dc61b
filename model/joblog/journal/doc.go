// Package journal is the form of the file that stands beside a table and keeps every row of it that
// was confirmed: bays.csv.journal beside the log, cores.csv.journal beside the cores. It writes its
// lines, checks their chain, and sets its rows against those of the table. It reads and writes no
// file: joblog does.
//
// A line is the SHA-256 of what stands before it and of itself, a space, and one object of JSON:
//
//	sum(n) = SHA-256( sum(n-1) + "\n" + object + "\n" ), in lower-case hex; sum(0) is empty
//
// so that the last sum holds all lines: whoever kept it (a record does) can tell whether any of
// them was changed, taken out or put in. The chain is no signature: who can write the file can
// write a whole new one, and what is cut off its end shows to whoever kept the sum alone. Rows are
// numbered in the order in which they were written; a line that none of the forms below has, or
// that speaks of no row that stands, breaks the chain as a wrong sum does.
//
// The objects, in the order in which they may come:
//
//	{"schema":"bayproof/journal/1"}                     the first line
//	{"row":7,"cells":{"bay":"b7","bags":"1.75",…}}      a row that was written, by column
//	{"of":7,"cells":{…},"by":"ab","time":"…"}           from here on row 7 reads so; without cells it was taken out on purpose
//	{"of":7,"undone":true,"by":"ab","time":"…"}         row 7 was taken back by who typed it, or is written again as a row that follows
//	{"order":[1,3,2],"by":"ab","time":"…"}              from here on the rows stand in this order
//
// It imports model, model/cell and the standard library.
package journal
