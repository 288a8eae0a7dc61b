package verify_test

import (
	"strings"
	"testing"

	"bayproof/verify"
)

// TestCodes: every code is explained once, and every reason says what answers it.
func TestCodes(t *testing.T) {
	seen := map[verify.Code]verify.Kind{}
	for _, c := range verify.Codes() {
		if c.Means == "" || c.Source == "" || c.Kind == "" {
			t.Errorf("%s: kind %q, means %q, source %q", c.Code, c.Kind, c.Means, c.Source)
		}
		if old, ok := seen[c.Code]; ok {
			t.Errorf("%s stands as %s and as %s", c.Code, old, c.Kind)
		}
		seen[c.Code] = c.Kind
		if held := c.Kind == verify.KindReason || c.Kind == verify.KindSuspicion || c.Kind == verify.KindSectionReason; held && c.Answers == "" {
			t.Errorf("%s is a dead end: nothing answers it", c.Code)
		}
	}
	if len(seen) < 40 {
		t.Errorf("only %d codes", len(seen))
	}
}

// TestCodesInUse: what a job with everything in it gives stands in the table.
func TestCodesInUse(t *testing.T) {
	table := map[verify.Code]bool{}
	for _, c := range verify.Codes() {
		table[c.Code] = true
	}
	f := verify.Check(guardedJob(t, "bags_loaded,90\nbags_left,1\n", head+
		"s,a,fill,22.5,5.5,12,,30,9,0,no,rod soft,3,\n"+"s,b,fill,22.5,5.5,12,,60,9,0,no,,,\n"+
		"s,b,seen,,,,,,,,,rod firm,11,\n"+"s,c,fill,22.5,5.5,12,,37,,,,,,\n"+"s,d,size,22.5,5.5,12,,,,,,,,\n"), verify.All())
	check := func(c verify.Code) {
		if c != "" && !table[c] {
			t.Errorf("%s is not in the table", c)
		}
	}
	for _, b := range f.Bays {
		check(b.Now.Action)
		for _, r := range b.Reasons {
			check(r.Code)
			check(r.Answered.Code)
		}
	}
	for _, w := range f.Warnings {
		check(w.Code)
	}
	for _, s := range f.Sections {
		for _, r := range s.Reasons {
			check(r.Code)
		}
	}
}

// TestConstants: every constant has a unit and a source.
func TestConstants(t *testing.T) {
	all := verify.Constants()
	for _, c := range all {
		if strings.TrimSpace(c.Source) == "" || c.Unit == "" || c.Value == "" || c.Use == "" {
			t.Errorf("%+v", c)
		}
	}
	if len(all) < 15 {
		t.Errorf("only %d constants", len(all))
	}
}
