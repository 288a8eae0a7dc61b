package fields

import (
	"bayproof/report"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/plan"
)

// Constants is every number that figures rest on besides the job's files: `bayproof fields
// --constants` prints them. They are the same for every job and belong to verify.Method, so that a
// record needs to name the method alone.
type Constants []Constant

// Constant is one of them, with what it belongs to: process, measurement or plan.
type Constant struct {
	Kind string
	verify.Constant
}

// NewConstants puts the table together: what rule process takes for known beforehand, what the
// measurement and its limits rest on, and what a plan's forecasts rest on.
func NewConstants() Constants {
	var all Constants
	for _, part := range []struct {
		kind string
		list []verify.Constant
	}{{"process", verify.Priors()}, {"measurement", verify.Constants()}, {"plan", plan.Assumptions()}} {
		for _, c := range part.list {
			all = append(all, Constant{part.kind, c})
		}
	}
	return all
}

// What verify and plan compute with stands in their code as a typed constant; the tables printed
// here are made from the same constants or, where the value is a sentence (a distribution), stand
// beside them. A test fails on one without a source.

// kindTitles head the constants of a kind.
var kindTitles = map[string]string{
	"process":     "Rule process: what it takes for known, and its limits",
	"measurement": "Measurement: volume, mass, density and what they are held against",
	"plan":        "Plan: forecasts, which move no verdict",
}

// AppendText appends the table for reading: a name on its line, below it the value with its unit,
// use and source.
func (all Constants) AppendText(dst []byte) []byte {
	p := screen.Page{Dst: dst, Width: width}
	for i, c := range all {
		if i == 0 || c.Kind != all[i-1].Kind {
			p.Heading(kindTitles[c.Kind])
		}
		p.Line("  " + c.Name)
		value := c.Value
		if c.Unit != "1" { // a pure number
			value += " (" + c.Unit + ")"
		}
		item(&p, "", 4, value+": "+c.Use+". Source: "+c.Source)
	}
	return p.Dst
}

// AppendCSV appends the table with a header. A value is text: some are ranges, and one begins with
// a minus sign.
func (all Constants) AppendCSV(dst []byte) []byte {
	dst = screen.AppendRow(dst, "kind", "name", "value", "unit", "used_for", "source")
	for _, c := range all {
		dst = screen.AppendRow(dst, c.Kind, c.Name, screen.Cell(c.Value), c.Unit, c.Use, c.Source)
	}
	return dst
}

// AppendJSON appends the table as one indented document, with the method that the constants belong
// to.
func (all Constants) AppendJSON(dst []byte) ([]byte, error) {
	return report.AppendObject(dst, report.Object{
		{"schema", report.SchemaName("constants")}, {"method", verify.Method},
		{"constants", report.Each(all, func(c *Constant) report.Object {
			return report.Object{{"kind", c.Kind}, {"name", c.Name}, {"value", c.Value}, {"unit", c.Unit}, {"used_for", c.Use}, {"source", c.Source}}
		})},
	}, true)
}
