// Package pocket lays out the phone's page: one file that holds a job, the checker compiled for the
// browser, a script without rules and a style sheet; or the same as a site that a phone keeps.
//
// The page makes no request and its policy allows none: the checker stands in it as base64 text, is
// unpacked by the browser and started from memory. What is asked of a bay, what a row says and how
// it stands are answered by the checker (cmd/pocket); the script shows them, keeps rows in the
// browser's database before their verdict is shown, and hands the log over.
//
// make fills built/ (make script); a build without it can write no page and says so. script.js is
// cut by subject: what the phone keeps, the checker, screens, keys, sharing, and connect, which
// hands rows to the server that a page came from.
//
// It imports report/say/lang and the standard library.
package pocket
