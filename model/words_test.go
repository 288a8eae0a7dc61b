package model

import (
	"strings"
	"testing"
)

// The words are typed from the format of the log; every one reads back as itself, in any case.
func TestWordsReadBack(t *testing.T) {
	for i, w := range strings.Fields("size fill piece less topup lost seen closed decided amend strike leave empties elsewhere count set") {
		k := EntryKind(i)
		if got, ok := ParseEntryKind(" " + strings.ToUpper(w) + " "); k.String() != w || !ok || got != k {
			t.Errorf("entry %s: %s, %v %v", w, k, got, ok)
		}
	}
	for i, w := range strings.Fields("box taper wedge round") {
		s := ShapeBox + Shape(i)
		if got, ok := ParseShape(w); s.String() != w || !ok || got != s {
			t.Errorf("shape %s: %s, %v %v", w, s, got, ok)
		}
	}
	for i, w := range strings.Split("rod firm,rod soft,rod empty,hand firm,hand soft,smoke still,smoke moves,ir even,ir cold", ",") {
		p := RodFirm + Probe(i)
		if got, ok := ParseProbe(strings.Replace(w, " ", "\u00a0 ", 1)); p.String() != w || !ok || got != p {
			t.Errorf("probe %s: %s, %v %v", w, p, got, ok)
		}
	}
	for i, w := range strings.Fields("ends fresh running") {
		c := CountingEnds + Counting(i)
		if got, ok := ParseCounting(w); c.String() != w || !ok || got != c {
			t.Errorf("counting %s: %s, %v %v", w, c, got, ok)
		}
	}
	if US.String() != "us" || SI.String() != "si" || RuleProcess.String() != "process" || RuleGuarded.String() != "guarded" || Yes.String() != "yes" || No.String() != "no" {
		t.Error("us si process guarded yes no")
	}
	var (
		s Shape
		p Probe
		a Answer
		c Counting
	)
	if s.String()+p.String()+a.String()+c.String() != "" {
		t.Error("what was not said has a word")
	}
}

func TestUnknownWords(t *testing.T) {
	_, entry := ParseEntryKind("filled")
	_, shape := ParseShape("")
	_, probe := ParseProbe("rod")
	_, answer := ParseAnswer("maybe")
	_, system := ParseSystem("metric")
	_, rule := ParseRule("none")
	_, counting := ParseCounting("")
	if entry || shape || probe || answer || system || rule || counting {
		t.Error("a word that is none is read")
	}
}
