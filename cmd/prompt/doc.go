// Package prompt is the tailgate side of a job: bays are typed in the order in which they were
// filled, each entry is on disk before the next is asked for, and each is answered with the verdict
// and what to do now.
//
// A Session is a state machine without a terminal: it is fed a line and gives back text and the
// next prompt. Whoever drives it owns the line editor, the files and the clock. The same lines give
// the same log, typed or piped.
//
// It knows no rule of the log: an entry is tried against the whole log first (Book.Try), so that
// what is written always reads back without a fault.
//
// What becomes of a line at rest, "b8 14.5 2 1/4;2 1/2 11'6 1 3/4" say:
//
//  1. rest sees that its first word is no command, splitName takes b8 off, parseWords takes words with what belongs to them
//     and leaves the figures, cut in every way that they can be (figures).
//  2. withFigures keeps the ways in which every figure reads in its column, as a draft each, the likeliest for a bay here first,
//     and asks where two are left.
//  3. step asks for what the draft lacks, one figure at a time.
//  4. submit makes a row of it: an amend, a fill or a size.
//  5. putOr writes the figures as the file shall hold them (plain), tries the row against the whole log, and writes.
//  6. write appends it, and reply says the verdict, what to do now, and which earlier bays stand otherwise since; under it stands
//     what looks odd (doubt), with the word that mends it.
//
// No question is in the way: where a step has to ask, it leaves the rest of the way in Session.ask
// and returns, and whatever is typed instead of an answer is taken for what it is (instead, queue).
// What was typed of a bay until then is kept (half) or written as measured (setDown).
//
// Which file holds what: session.go the two states and what the driver gives; commands.go what a
// line may begin with; words.go what may stand behind a bay, and how figures are told apart;
// entry.go a draft and its questions; submit.go rows, doubts, and logs that somebody else changed;
// further.go entries about bays that are in the log already; undo.go taking back; sections.go names,
// sections and the machine; reply.go the answers to an entry, and an order's line with its blanks;
// look.go the commands that write nothing, help among them; forms.go the questions of an entry all
// at once, for a driver with keys.
//
// It imports model, model/cell, verify, verify/plan, report/say, report/say/lang, report/screen and
// the standard library.
package prompt
