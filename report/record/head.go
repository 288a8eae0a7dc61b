package record

import (
	"slices"
	"strings"
	"unicode/utf8"

	"bayproof/model"
)

// head opens the page: whose job, and what about it differs from the usual.
type head struct {
	Job     string
	Facts   []fact
	Differs string // line two; empty where every setting is the default
}

// fact is a name with a value.
type fact struct{ Name, Value string }

// Long tells whether a value needs the room of two.
func (f fact) Long() bool { return utf8.RuneCountInString(f.Value) > 24 }

func (b *builder) head() head {
	s := &b.f.Job.Settings
	h := head{Job: b.f.Job.Name}
	for _, f := range []fact{
		{"Site", s.Site}, {"Date", s.Date}, {"Crew", s.Crew}, {"Installer", s.Installer}, {"Programme", s.Program}, {"Work order", s.WorkOrder},
		{"Material", joined(" · ", s.Material, s.Manufacturer, s.Product, s.Lot)},
	} {
		if f.Value != "" {
			h.Facts = append(h.Facts, f)
		}
	}
	h.Differs = b.words.NotDefault(b.f.Job)
	return h
}

func joined(sep string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), sep)
}

func originWord(o model.Origin) string {
	switch o {
	case model.OriginJob:
		return "job.csv"
	case model.OriginSection:
		return "sections.csv"
	case model.OriginFlag:
		return "flag"
	}
	return "default"
}
