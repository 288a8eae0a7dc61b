package pocket

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"bayproof/cmd/prompt"
	"bayproof/report"
	"bayproof/verify"
)

// shed is a job of one section with one bay in its log.
func shed() Data {
	return Data{Name: "shed", Job: "shed", Log: "bays.csv", Files: map[string][]byte{
		"job.csv":      []byte("name,value\nbag_weight,25 lb\nto_stall,yes\n"),
		"sections.csv": []byte("section,kind,bays,width,depth,length\nroof,rafter,6,22.5,5.5,12\n"),
		"bays.csv":     []byte("section,bay,entry,width,depth,length,bags,stall,by,note,time\nroof,b1,fill,22.5,5.5,12,1.75,yes,,,2026-03-02T08:00:00Z\n"),
	}}
}

// phoneOf starts an engine whose rows go into kept, with a clock that stands still.
func phoneOf(t *testing.T, data Data, kept *[]Kept) (*Engine, []Standing) {
	t.Helper()
	now := func() time.Time { return time.Date(2026, 3, 2, 7, 0, 0, 0, time.UTC) } // before the log's last row
	e, standing, err := New(data, *kept, now, func(rows []Kept) error { *kept = append(*kept, rows...); return nil })
	if err != nil {
		t.Fatal(err)
	}
	return e, standing
}

// The terms of the program go with the job's files onto the phone, and hold there.
func TestTermsOnThePhone(t *testing.T) {
	job := shed()
	job.Files["programme.csv"] = []byte("name,value\ntarget,4.2\nceiling,5\n")
	var kept []Kept
	e, _ := phoneOf(t, job, &kept)
	if r := enter(t, e, "fill", "b2", prompt.Row{"bags": "1 3/4", "stall": "yes"}); r.Bay == nil || r.Bay.Word == "CLOSE" {
		t.Errorf("%+v", r.Bay)
	}
}

// enter hands in the answers of a form.
func enter(t *testing.T, e *Engine, action, bay string, said prompt.Row) Reply {
	t.Helper()
	r, err := e.Call("enter", Ask{Section: "roof", Action: action, Bay: bay, Said: said})
	if err != nil {
		t.Fatal(err)
	}
	return r.(Reply)
}

// A row is kept before its verdict is told, later than the one before it whatever the clock says;
// what cannot be read, or is no whole fill, is not kept; undo takes back an entry of before the
// page was opened.
func TestRowsAreKept(t *testing.T) {
	var kept []Kept
	e, _ := phoneOf(t, shed(), &kept)
	if r := enter(t, e, "fill", "b2", prompt.Row{"bags": "1 3/4", "stall": "yes"}); len(r.Wrote) != 1 || r.Bay == nil || r.Bay.Word != "CLOSE" || kept[0].Row["width"] != `"` {
		t.Fatalf("%+v, kept %v", r, kept)
	}
	if got := kept[0].Row["time"]; got != "2026-03-02T08:00:01Z" {
		t.Errorf("the row's time is %s", got)
	}
	for _, said := range []prompt.Row{{"stall": "yes"}, {"bags": "1 3/5", "stall": "yes"}, {"bags": "many"}} {
		if r := enter(t, e, "fill", "b3", said); len(r.Wrote) != 0 || len(r.Text) == 0 || len(kept) != 1 {
			t.Errorf("%v was written: %+v", said, r)
		}
	}
	e, standing := phoneOf(t, shed(), &kept)
	if len(standing) != 1 || standing[0] != (Standing{}) {
		t.Fatalf("the kept row is %+v", standing)
	}
	if r := enter(t, e, "undo", "", nil); len(r.Wrote) != 1 || kept[1].Row["entry"] != "strike" || r.CanUndo {
		t.Errorf("undone: %+v", r)
	}
	e, _ = phoneOf(t, shed(), &kept)
	if r := enter(t, e, "undo", "", nil); len(r.Wrote) != 0 {
		t.Errorf("the same entry was taken back twice: %v", r.Wrote)
	}
}

// Where the phone keeps nothing of a row, the log does not have it either.
func TestRowsThatCannotBeKept(t *testing.T) {
	e, _, err := New(shed(), nil, time.Now, func([]Kept) error { return errors.New("full") })
	if err != nil {
		t.Fatal(err)
	}
	r := enter(t, e, "fill", "b2", prompt.Row{"bags": "1 3/4", "stall": "yes"})
	if len(r.Wrote) != 0 || !strings.Contains(strings.Join(r.Text, " "), "full") || strings.Contains(string(e.log.Log()), "b2") {
		t.Errorf("%+v\n%s", r, e.log.Log())
	}
}

// A page that is written anew has some of the kept rows in its log: those are there once. What
// contradicts it is named.
func TestKeptRowsOnANewerPage(t *testing.T) {
	var kept []Kept
	e, _ := phoneOf(t, shed(), &kept)
	enter(t, e, "fill", "b2", prompt.Row{"bags": "1 3/4", "stall": "yes"})
	enter(t, e, "fill", "b3", prompt.Row{"bags": "2", "stall": "yes"})
	newer := shed()
	newer.Files["bays.csv"] = append(newer.Files["bays.csv"], `roof,b2,fill,"""","""","""",1.75,yes,,,2026-03-02T08:00:01Z`+"\n"...)
	e, standing := phoneOf(t, newer, &kept)
	if !standing[0].Known || standing[1].Known || standing[1].Why != "" || strings.Count(string(e.log.Log()), "roof,b2") != 1 || strings.Count(string(e.log.Log()), "roof,b3") != 1 {
		t.Errorf("%+v\n%s", standing, e.log.Log())
	}
	newer.Files["bays.csv"] = append(newer.Files["bays.csv"], "roof,b3,fill,22.5,5.5,12,1,yes,,,2026-03-02T09:00:00Z\n"...)
	if _, standing = phoneOf(t, newer, &kept); standing[1].Why == "" {
		t.Errorf("a second fill of b3 is taken: %+v", standing)
	}
}

// What a row was typed behind is known by its digest: another row of the section changes it, one of
// another section does not.
func TestBefore(t *testing.T) {
	digest := func(more string) string {
		data := shed()
		data.Files["bays.csv"] = append(data.Files["bays.csv"], more...)
		var kept []Kept
		e, _ := phoneOf(t, data, &kept)
		job, faults := e.Job()
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		return Before(job, map[string]string{"section": "roof", "bay": "b9", "bags": "2"})
	}
	plain := digest("")
	if digest("roof,b2,fill,21,5.5,12,1.75,yes,,,2026-03-02T08:10:00Z\n") == plain {
		t.Error("another bay above goes unnoticed")
	}
	if digest("loft,l1,fill,21,5.5,12,1.75,yes,,,2026-03-02T08:10:00Z\n") != plain || digest("roof,b1,closed,,,,,,ab,,2026-03-02T08:10:00Z\n") != plain {
		t.Error("a row that a ditto does not look at changes the digest")
	}
}

// The form of an order asks for what the order's line leaves open and has the rest filled in.
func TestFormOfAnOrder(t *testing.T) {
	var kept []Kept
	e, _ := phoneOf(t, shed(), &kept)
	r := enter(t, e, "fill", "b2", prompt.Row{"bags": "1", "stall": "yes"})
	if r.Bay.Word != "ADD" || !r.Bay.Do {
		t.Fatalf("%+v", r.Bay)
	}
	x, err := e.Call("form", Ask{Section: "roof", Bay: "b2", Order: true})
	if err != nil {
		t.Fatal(err)
	}
	f := x.(prompt.Form)
	asked := map[string]string{}
	for _, field := range f.Fields {
		if !field.More {
			asked[field.Column] = field.Value
		}
	}
	if f.Action != "topup" || !f.Stalls || asked["hole"] == "" || len(asked) != 2 {
		t.Errorf("%s asks %v", f.Action, asked)
	}
	r = enter(t, e, f.Action, "b2", prompt.Row{"weight": "18", "hole": asked["hole"], "stall": "yes"})
	if len(r.Wrote) != 1 || r.Wrote[0].Row["entry"] != "topup" {
		t.Errorf("%+v", r)
	}
}

// A row's verdict is that of the whole job before anything is settled, its order too; once settled
// all findings are, to the last bit.
func TestRowsAndSettled(t *testing.T) {
	data := shed()
	data.Files["job.csv"] = []byte("name,value\nbag_weight,25 lb\n")
	data.Files["sections.csv"] = []byte("section,kind,bays,width,depth,length\nroof,rafter,9,22.5,5.5,12\nloft,rafter,9,22.5,5.5,12\nwall,wall,9,14.5,5.5,8\n")
	var kept []Kept
	e, _ := phoneOf(t, data, &kept)
	document := func(f *verify.Findings) string {
		b, err := report.AppendJSON(nil, f, report.Tool{}, true)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	orders, stood := 0, 0
	for n, said := range []prompt.Row{
		{"bags": "1 3/4", "stall": "yes"}, {"bags": "1 1/2", "stall": "yes"}, {"bags": "1", "stall": "yes"}, {"bags": "1 3/4", "stall": "no"}, {"bags": "1 1/2", "stall": "?"},
		{"bags": "1 1/2", "stall": "yes", "reach": "9"}, {"bags": "1 3/4", "stall": "yes"}, {"bags": "2", "stall": "yes"}, {"bags": "1 1/2", "stall": "yes"}, {"bags": "1 1/4", "stall": "yes"},
		{"bags": "1 3/4", "stall": "yes"}, {"bags": "1 1/2", "stall": "yes"},
	} {
		section := []string{"roof", "loft", "wall"}[n/2%3]
		said["width"], said["depth"], said["length"] = "22 1/2", "5 1/2", "12"
		x, err := e.Call("enter", Ask{Section: section, Action: "fill", Bay: fmt.Sprint("n", n), Said: said})
		if err != nil || len(x.(Reply).Wrote) != 1 {
			t.Fatal(err, x)
		}
		f, whole := e.session.Findings(), verify.Check(e.session.Findings().Job, verify.Options{Advice: true, Closings: true})
		for i := range f.Bays {
			got, want := &f.Bays[i], &whole.Bays[i]
			if got.Bay.Section.Name != section {
				if got.ProbAtTarget != want.ProbAtTarget && !math.IsNaN(want.ProbAtTarget) {
					stood++
				}
				continue
			}
			if got.Verdict != want.Verdict || got.ProbAtTarget != want.ProbAtTarget && !math.IsNaN(want.ProbAtTarget) {
				t.Errorf("row %d: %s is %v at %v, in the whole job %v at %v", n, got.Bay.Name, got.Verdict, got.ProbAtTarget, want.Verdict, want.ProbAtTarget)
			}
			if got.Bay.Name == fmt.Sprint("n", n) {
				if fmt.Sprint(got.Now) != fmt.Sprint(want.Now) {
					t.Errorf("row %d: the order is %v, in the whole job %v", n, got.Now, want.Now)
				}
				if got.Now.Action != "" {
					orders++
				}
			}
		}
		if n%3 == 2 {
			if _, err := e.Call("settle", Ask{Section: section}); err != nil {
				t.Fatal(err)
			}
			if got, want := document(e.session.Findings()), document(whole); got != want {
				t.Errorf("row %d: settled, the findings are\n%s, want\n%s", n, got, want)
			}
		}
	}
	if orders == 0 || stood == 0 {
		t.Errorf("%d rows had orders, %d bays stood as before: nothing was looked at", orders, stood)
	}
}
