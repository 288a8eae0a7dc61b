// Package record writes the QA record: findings become one HTML file that stands on its own.
// Nothing in it leaves the page, all facts are there where scripts are blocked, and it carries what
// it takes to compute everything again: the raw files, the findings as JSON, and one digest over
// the whole.
//
// It decides nothing. Numbers come from the findings; what is worked out here only places ink:
// scales, bins, the lengths of bars. It imports report, report/say, report/screen, verify,
// verify/measure, model, go-echarts, golang.org/x/image, rsc.io/qr and the standard library. It
// opens no file but the photos of the job's folder that it is handed, and reads no clock: the same
// input gives the same bytes.
//
// # How a page comes about
//
// Write makes a page from the findings (record.go) with a view of every section and every bay
// (section.go). The templates in report/assets walk over these and call their methods; there is one
// template for each part of the page:
//
//	head, front         front.go, draw.go    the two pages to sign: how many bays may be closed, who closed what, the bays as they lie
//	bays, cards         bay.go               a row and a card for every bay
//	charts              charts.go            densities, distribution, drift, drawn here and once more by the library; bags and shares of the variance
//	papers, checks      papers.go            certificate and receipt, design checks
//	method, carry       record.go, carry.go  how it was judged, all settings, what is carried inside
//
// The digest is put in last. Open reads a record again (carry.go); package recheck says what is
// found about it.
//
// # What holds for every byte of it
//
// Whatever stands in a log is escaped by html/template and isolated by a bdi element. Only what the
// package itself wrote, or JSON that it escaped, is marked as safe (template.JS, template.CSS,
// template.HTMLAttr). Characters that turn the direction of writing are made visible. The page's
// policy lets no script run but its own two, by their hashes, and fetches nothing. Colour is never
// the only sign of a verdict: each has a word, a shape and a pattern.
package record
