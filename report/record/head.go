package record

import (
	"slices"
	"strings"

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
	h.Differs = strings.Join(b.differing(), "; ")
	return h
}

// differing lists the settings that a verdict rests on and that are not the default, with where each came from.
func (b *builder) differing() []string {
	var out []string
	for _, row := range b.settings() {
		if row.Differs {
			out = append(out, row.Name+" "+row.Value+" ("+row.Source+")")
		}
	}
	return out
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
