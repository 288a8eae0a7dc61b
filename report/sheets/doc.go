// Package sheets shows the plan of a job: as text for a small screen, as JSON and CSV, and as the
// two tally sheets that go to work on paper: the roof sheet (sizes, rod, tube marks, the counts to
// watch for) and the truck sheet (numbered boxes for the empties, the bay's name written in at each
// stop signal). The sheets are one HTML file, black on white, made for a clipboard and gloved
// hands; they print on Letter and on A4.
//
// It takes the figures from verify/plan and does no arithmetic of its own but counting boxes. It
// imports model, verify, verify/plan, report, report/say, report/say/lang, report/screen and the
// standard library.
package sheets
