package review

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"bayproof/report"
	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// Old is what is read of an earlier review's JSON document, to be compared with one of now. Jobs
// are the same that bear the same name, findings the same that bear the same code about the same
// jobs and crew.
type Old struct {
	Schema string   `json:"schema"`
	Method int      `json:"method"`
	Terms  oldTerms `json:"terms"`
	Units  struct {
		Density string `json:"density"`
	} `json:"units"`
	Jobs []struct {
		Name  string   `json:"name"`
		Needs oldNeeds `json:"needs"`
	} `json:"jobs"`
	Findings []struct {
		Code string   `json:"code"`
		Crew string   `json:"crew"`
		Jobs []string `json:"jobs"`
		Text string   `json:"text"`
	} `json:"findings"`
	Totals struct {
		Bays  int `json:"bays"`
		Close int `json:"close"`
	} `json:"totals"`
}

// oldTerms are the terms that an earlier review judged by; the target in the unit that it names.
type oldTerms struct {
	Target     float64 `json:"target"`
	Confidence float64 `json:"confidence"`
	Rule       string  `json:"rule"`
	SHA256     *string `json:"sha256"`
}

// oldNeeds are the bays of a job that needed someone then, by state.
type oldNeeds struct {
	Kinds []struct {
		State string `json:"state"`
		Bays  int32  `json:"bays"`
	} `json:"kinds"`
}

// ReadOld reads the JSON document of an earlier review.
func ReadOld(raw []byte) (*Old, error) {
	old := new(Old)
	if err := json.Unmarshal(raw, old); err != nil {
		return nil, fmt.Errorf("no JSON document of a review: %w", err)
	}
	if want := report.SchemaName("review"); old.Schema != want {
		return nil, fmt.Errorf("its schema is %q, not %q", old.Schema, want)
	}
	return old, nil
}

// Since is what changed from an earlier review to one of now.
type Since struct {
	File          string // of the earlier one
	Lines         []string
	Jobs          []Moved
	New, Gone     []string // jobs
	Raised, Fell  []string // findings, as their sentences, that are new or no longer there
	Close, Before int      // bays called CLOSE, now and then
}

// Moved is a job of which other numbers of bays need someone than before.
type Moved struct {
	Job     string
	Changes []Change
	at      int // in the review of now
}

// Change is how many bays of a job stood so, and stand so now.
type Change struct {
	State     string
	Then, Now int32
}

// NewSince compares a review with an earlier one, of the file.
func NewSince(old *Old, file string, r *audit.Review) *Since {
	u := unitsOf(r)
	s := &Since{File: file, Close: int(r.Tally.Close), Before: old.Totals.Close}
	s.terms(old, r, u)
	then := map[string]*oldNeeds{}
	for i := range old.Jobs {
		then[old.Jobs[i].Name] = &old.Jobs[i].Needs
	}
	for at, j := range r.Jobs {
		was, known := then[j.Name]
		if !known {
			s.New = append(s.New, j.Name)
			continue
		}
		delete(then, j.Name)
		m := Moved{Job: j.Name, at: at}
		for p := range audit.Plight(audit.Plights) {
			_, words := say.Plight(p)
			c := Change{State: words, Now: j.Needs.Bays[p]}
			for _, k := range was.Kinds {
				if k.State == words {
					c.Then = k.Bays
				}
			}
			if c.Then != c.Now {
				m.Changes = append(m.Changes, c)
			}
		}
		if len(m.Changes) > 0 {
			s.Jobs = append(s.Jobs, m)
		}
	}
	for i := range old.Jobs { // in their order
		if name := old.Jobs[i].Name; then[name] != nil {
			s.Gone = append(s.Gone, name)
			delete(then, name)
		}
	}
	s.findings(old, r, u)
	return s
}

// terms says whether both were judged by the same: figures of other terms or another method are no
// change of the jobs.
func (s *Since) terms(old *Old, r *audit.Review, u say.Units) {
	target := u.In(verify.Density, r.Terms.Target)
	digest := ""
	if old.Terms.SHA256 != nil {
		digest = *old.Terms.SHA256
	}
	switch {
	case old.Method != verify.Method:
		s.Lines = append(s.Lines, fmt.Sprintf("The earlier review computed by method %d, this one by %d: figures may differ for that alone.", old.Method, verify.Method))
	case old.Units.Density != u.Of(verify.Density).Symbol:
		s.Lines = append(s.Lines, "The earlier review stands in other units.")
	case math.Abs(old.Terms.Target-target) > 1e-9*target || old.Terms.Confidence != r.Terms.Confidence || old.Terms.Rule != r.Terms.Rule.String():
		s.Lines = append(s.Lines, fmt.Sprintf("The terms changed: then %.2f %s, %.0f %%, rule %s.", old.Terms.Target, u.Of(verify.Density).Name, 100*old.Terms.Confidence, old.Terms.Rule))
	case digest != r.Terms.Digest:
		s.Lines = append(s.Lines, "The program's file is another than then.")
	}
	s.Lines = append(s.Lines, fmt.Sprintf("CLOSE %d of %d bays, then %d of %d.", r.Tally.Close, r.Tally.Bays, old.Totals.Close, old.Totals.Bays))
}

// findings are those that one of the two has and the other has not.
func (s *Since) findings(old *Old, r *audit.Review, u say.Units) {
	key := func(code, crew string, jobs []string) string {
		return strings.Join(append([]string{code, crew}, slices.Sorted(slices.Values(jobs))...), "\x00")
	}
	then := map[string]int{}
	for _, f := range old.Findings {
		then[key(f.Code, f.Crew, f.Jobs)]++
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		var jobs []string
		for _, j := range f.Jobs {
			jobs = append(jobs, r.Jobs[j].Name)
		}
		if k := key(string(f.Code), f.Crew, jobs); then[k] > 0 {
			then[k]--
		} else {
			s.Raised = append(s.Raised, where(r, f)+": "+u.Suspect(f))
		}
	}
	for _, f := range old.Findings {
		if k := key(f.Code, f.Crew, f.Jobs); then[k] > 0 && !r.Figures {
			then[k]--
			of := f.Crew
			if of == "" && len(f.Jobs) > 0 {
				of = f.Jobs[0]
			}
			s.Fell = append(s.Fell, of+": "+f.Text)
		}
	}
}

// sentence says how a job moved: "3 short and closed, then 0".
func (m *Moved) sentence() string {
	var parts []string
	for _, c := range m.Changes {
		parts = append(parts, fmt.Sprintf("%d %s, then %d", c.Now, c.State, c.Then))
	}
	return strings.Join(parts, "; ")
}

// lists are the changes one by one, each list under its title.
func (s *Since) lists() (out []sinceList) {
	var moved []string
	for i := range s.Jobs {
		moved = append(moved, s.Jobs[i].Job+": "+s.Jobs[i].sentence())
	}
	for _, l := range []sinceList{{"Jobs that stand otherwise", moved}, {"New jobs", s.New}, {"Jobs no longer there", s.Gone}, {"New findings", s.Raised}, {"Findings no longer there", s.Fell}} {
		if len(l.Rows) > 0 {
			out = append(out, l)
		}
	}
	return out
}

// sinceList is one kind of change, a row for each job or bay that it befell.
type sinceList struct {
	Title string
	Rows  []string
}

// since writes what changed; the beginnings of long lists.
func (t *text) since(s *Since) {
	if s == nil {
		return
	}
	t.Heading("Since " + screen.Clean(s.File))
	for _, line := range s.Lines {
		t.Item("", 0, line)
	}
	lists := s.lists()
	if len(lists) == 0 {
		t.Item("", 0, "Nothing else changed.")
	}
	for _, l := range lists {
		t.Item("", 0, t.Paint(screen.Bold, fmt.Sprintf("%s: %d", l.Title, len(l.Rows))))
		for _, row := range l.Rows[:min(len(l.Rows), textSince)] {
			t.Item("", 2, screen.Clean(row))
		}
		if more := len(l.Rows) - textSince; more > 0 {
			t.Line(fmt.Sprintf("  and %d more: --html FILE and --format json have them all", more))
		}
	}
}

// textSince is how many changes of a kind the text shows.
const textSince = 10

// object is what changed for the JSON document; null where nothing was compared.
func (s *Since) object() any {
	if s == nil {
		return nil
	}
	return report.Object{{"file", s.File}, {"close", s.Close}, {"close_then", s.Before},
		{"jobs", report.Each(s.Jobs, func(m *Moved) report.Object {
			return report.Object{{"name", m.Job}, {"changes", report.Each(m.Changes, func(c *Change) report.Object {
				return report.Object{{"state", c.State}, {"bays", c.Now}, {"bays_then", c.Then}}
			})}}
		})},
		{"new_jobs", orEmpty(s.New)}, {"gone_jobs", orEmpty(s.Gone)}, {"new_findings", orEmpty(s.Raised)}, {"gone_findings", orEmpty(s.Fell)}, {"notes", s.Lines}}
}

// orEmpty is a list that is [] and not null where it is empty.
func orEmpty(list []string) []string { return append([]string{}, list...) }
