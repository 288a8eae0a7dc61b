// Package pocket is the checker behind the phone's page: the job that the page carries, the rows
// that the phone keeps, and the prompt's own session, asked by forms instead of lines. Reading,
// judging, wording and the grammar of a row are those of the command; nothing of them is written a
// second time, and the page's script holds no rule.
//
// An Engine knows neither a browser nor a disk. It is handed a clock and a function that keeps a
// row, which returns once the row is on the phone's disk; only then is the row's verdict told.
// cmd/pocket/wasm puts it into the browser: built with GOOS=js GOARCH=wasm, compressed, it is part
// of the page that package report/pocket lays out.
//
// What happens between a tap and a verdict: Engine.Call takes the name of a call and its argument
// as JSON, Enter hands the answers of a form to the session, the session tries the row against the
// whole log and appends it (Engine.AppendAll, which keeps it), judges the section anew, and view
// says how its bays stand. What takes longer and no verdict of the moment needs, the closings and
// the other sections' orders, is found by Settle, which the page calls when nobody taps.
//
// Which file holds what: engine.go the job, its rows and the calls; view.go what the page is told;
// wasm/ the browser's side.
//
// It imports cmd/prompt, report, report/say, report/say/lang, verify, model, model/cell,
// model/joblog and the standard library.
package pocket
