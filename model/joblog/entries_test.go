package joblog

import (
	"math"
	"slices"
	"strings"
	"testing"

	"bayproof/model"
)

// wide is a log with every column of the table.
func wide(rows ...map[string]string) string {
	var b strings.Builder
	l := newLayout(bayColumns(model.LogColumns()))
	b.Write(l.head())
	for _, r := range rows {
		line, err := l.append(nil, r)
		if err != nil {
			panic(err)
		}
		b.Write(line)
	}
	return b.String()
}

// cellsOfRow makes a row of name=value pairs; the first three are section, bay and entry.
func cellsOfRow(section, bay, entry string, pairs ...string) map[string]string {
	row := map[string]string{"section": section, "bay": bay, "entry": entry}
	for _, p := range pairs {
		name, value, _ := strings.Cut(p, "=")
		row[name] = value
	}
	return row
}

// TestObservationsAreKept: what was seen of a bay stands in its entry, through the writer and in
// every form that a log has.
func TestObservationsAreKept(t *testing.T) {
	said := []string{"width=22.5", "depth=5.5", "length=12", "bags=2", "hole=2; 6.5", "feed=2:00; 1:40", "stop=6.5 block; 9 wire", "existing=old batts, 2 in",
		"stall=?", "probe=ir even 18 F", "at=2; 4; 6", "machine=hose B", "time=2026-03-02 14:20"}
	for name, log := range map[string]string{
		"a new log":             wide(cellsOfRow("n", "b1", "fill", said...)),
		"semicolons and commas": "section;bay;width;depth;length;bags;hole;feed;stop;existing;stall;probe;at;machine;time\nn;b0;22,5;5,5;12;2;;;;;;;;;2026-03-02 14:00\n",
		"units in the header":   "section,bay,width,depth,length,bags,hole_m,feed,stop_m,existing,stall,probe,at_in,machine,time\nn,b0,22.5,5.5,12,2,,,,,,,,,2026-03-02 14:00\n",
	} {
		if name != "a new log" {
			dir := jobOnDisk(t, map[string]string{"job.csv": jobCSV, "bays.csv": log})
			if err := openWriter(t, dir).Append(cellsOfRow("n", "b1", "fill", said...)); err != nil {
				t.Fatal(name, err)
			}
			log = onDisk(t, dir)
		}
		e := bay(t, mustRead(t, log), "b1").Fill
		stops := slices.EqualFunc(e.Stops, []model.Stop{{At: 6.5 * model.Foot, What: model.StopBlock}, {At: 9 * model.Foot, What: model.StopWire}},
			func(a, b model.Stop) bool { return a.What == b.What && near(a.At, b.At) })
		if len(e.Hole) != 2 || !near(e.Hole[1], 6.5*model.Foot) || e.Feed != (model.Feed{Seconds: 220}) || !stops || e.Existing != "old batts, 2 in" ||
			e.Stall != model.Doubtful || e.Probe != model.IREven || !near(e.Under, 10) || len(e.At) != 3 || e.Machine != "hose B" {
			t.Errorf("%s: read as %+v from\n%s", name, e, log)
		}
		if !math.IsNaN(e.OneHole()) || len(e.Places()) != 3 {
			t.Errorf("%s: one hole %v, places %v", name, e.OneHole(), e.Places())
		}
	}
}

// TestEntriesOfNoBay: empties and what went elsewhere are kept, and are no bays.
func TestEntriesOfNoBay(t *testing.T) {
	job := mustRead(t, head+filled("b1", "bags=2")+row("n", "", "empties", "bags=2")+row("", "", "empties", "bags=2", "note=recount")+
		row("", "", "elsewhere", "bags=1 1/2", "note=attic")+row("", "", "elsewhere", "weight=4 lb", "note=test box")+filled("b2", "bags=2"))
	if len(job.Bays) != 2 || len(job.Log) != 6 || job.Log[1].Kind != model.EntryEmpties || job.Log[1].Material.Bags != 2 || !near(job.Log[4].Material.Mass, 4*model.Pound) {
		t.Errorf("%d bays, log %+v", len(job.Bays), job.Log)
	}
	if b2 := bay(t, job, "b2"); b2.Order != 2 || len(b2.Moves) != 1 {
		t.Errorf("b2 is %+v", b2)
	}
}

// TestLeft: a bay that is left is none of those to be filled, until it is filled or withdrawn.
func TestLeft(t *testing.T) {
	job := mustRead(t, head+filled("b1", "bags=2")+row("n", "b2", "leave", "note=flue")+row("n", "b3", "size", with(box(), "note=x")...)+row("n", "b3", "leave", "note=full already"))
	if len(job.Bays) != 1 || len(job.Left) != 2 || job.Left[0].Name != "b2" || job.Left[0].Left.Note != "flue" || !near(job.Left[1].Volume(), bay(t, job, "b1").Volume()) {
		t.Errorf("%d bays, left %+v", len(job.Bays), job.Left)
	}
	again := mustRead(t, head+row("n", "b2", "leave", "note=flue")+filled("b2", "bags=2"))
	if len(again.Left) != 0 || bay(t, again, "b2").Left != nil || bay(t, again, "b2").Fill == nil {
		t.Error("a bay that is filled after all is left still")
	}
	struck := mustRead(t, head+row("n", "b2", "leave", "note=flue")+row("n", "b2", "strike"))
	if len(struck.Left) != 0 || !bay(t, struck, "b2").Struck {
		t.Error("a withdrawn bay is left still")
	}
	left := mustRead(t, head+filled("b2", "bags=2")+row("n", "b2", "strike")+row("n", "b2", "leave", "note=flue"))
	if len(left.Left) != 1 || len(left.Bays) != 0 {
		t.Error("a withdrawn bay cannot be left")
	}
	if part, _ := job.Upto(1); len(part.Left) != 0 || len(part.Bays) != 1 {
		t.Errorf("before its row it is left: %+v", part.Left)
	}
}

// TestDecided: a decision is kept with who took it and why, and goes with the fill that it was
// about.
func TestDecided(t *testing.T) {
	log := wide(cellsOfRow("n", "b1", "fill", "width=22.5", "depth=5.5", "length=12", "bags=2"), cellsOfRow("n", "b1", "decided", "by=AB", "note=seen from the attic"))
	if d := bay(t, mustRead(t, log), "b1").Decided; d == nil || d.By != "AB" || d.Note != "seen from the attic" {
		t.Errorf("decided %+v", d)
	}
	line, _ := func() ([]byte, error) {
		l := newLayout(bayColumns(model.LogColumns()))
		return l.append(nil, cellsOfRow("n", "b1", "amend", "width=22.5", "depth=5.5", "length=12", "bags=3"))
	}()
	if b := bay(t, mustRead(t, log+string(line)), "b1"); b.Decided != nil || len(b.Dead) != 2 {
		t.Errorf("after an amend %+v", b)
	}
}

// TestRefusedEntries: every rule of the columns and entries above, with the words that it is told
// in.
func TestRefusedEntries(t *testing.T) {
	fill := func(more ...string) map[string]string {
		return cellsOfRow("n", "b1", "fill", append([]string{"width=22.5", "depth=5.5", "length=12", "bags=2"}, more...)...)
	}
	for _, x := range []struct {
		name string
		rows []map[string]string
		want string
	}{
		{"empties of a bay", []map[string]string{fill(), cellsOfRow("n", "b1", "empties", "bags=2")}, "3:2: this empties row belongs to no bay, and it names b1"},
		{"empties weighed", []map[string]string{fill(), cellsOfRow("", "", "empties", "weight=2")}, "3:14: this empties row can't carry weight (write the bags alone)"},
		{"this empties row has no bags", []map[string]string{fill(), cellsOfRow("", "", "empties")}, "3:12: this empties row has no bags (write how many, even 0)"},
		{"half an empty", []map[string]string{fill(), cellsOfRow("", "", "empties", "bags=2 1/2")}, "3:12: empties 2 1/2 is not a whole number (count whole empty bags)"},
		{"empties of a section that is none", []map[string]string{fill(), cellsOfRow("m", "", "empties", "bags=2")}, "3:1: the log has no bay in section m"},
		{"empties seen", []map[string]string{fill(), cellsOfRow("", "", "empties", "bags=2", "stall=yes")}, "3:20: this empties row can't carry stall"},
		{"elsewhere without a note", []map[string]string{fill(), cellsOfRow("", "", "elsewhere", "bags=2")}, "3:26: this elsewhere row has no note (write where it went: attic, test box, torn)"},
		{"elsewhere without material", []map[string]string{fill(), cellsOfRow("", "", "elsewhere", "note=attic")}, "3:12: this elsewhere row has no bags or weight"},
		{"elsewhere by the counter", []map[string]string{fill(), cellsOfRow("", "", "elsewhere", "counter=2", "note=attic")}, "3:13: the counter alone does not say how much went elsewhere"},
		{"leave after a fill", []map[string]string{fill(), cellsOfRow("n", "b1", "leave", "note=flue")}, "3:3: leave for n b1, which was filled in row 2 (write strike to withdraw the fill; leave is for a bay that stays empty)"},
		{"leave without a note", []map[string]string{fill(), cellsOfRow("n", "b2", "leave")}, "3:26: leave without a note does not say why n b2 stays empty"},
		{"leave with a size", []map[string]string{fill(), cellsOfRow("n", "b2", "leave", "note=flue", "width=14")}, "3:5: this leave row can't carry a width (leave it blank: this row has by, note and time only)"},
		{"decided before the fill", []map[string]string{fill(), cellsOfRow("n", "b2", "decided", "by=AB", "note=x")}, "3:3: decided comes before the fill of n b2"},
		{"decided by nobody", []map[string]string{fill(), cellsOfRow("n", "b1", "decided", "note=x")}, "3:25: decided without by and note does not say who closes n b1, and why"},
		{"decided for no reason", []map[string]string{fill(), cellsOfRow("n", "b1", "decided", "by=AB")}, "3:25: decided without by and note"},
		{"size with bags", []map[string]string{cellsOfRow("n", "b1", "size", "width=22.5", "depth=5.5", "length=12", "bags=1")}, "this size row can't carry bags"},
		{"piece with a stop", []map[string]string{fill(), cellsOfRow("n", "b1", "piece", "width=22.5", "depth=5.5", "length=2", "stop=1 block")}, "3:18: this piece row can't carry stop"},
		{"stop beyond the bay", []map[string]string{fill("stop=30 block")}, "2:18: stop 30' is past the end: n b1 is 12' long"},
		{"the second hole beyond the bay", []map[string]string{fill("hole=2; 30")}, "2:16: hole 30' is past the end: n b1 is 12' long"},
		{"the second look beyond the bay", []map[string]string{fill("probe=rod firm", "at=2; 30")}, "2:22: at 30' is past the end: n b1 is 12' long"},
		{"stopped at nothing", []map[string]string{fill("stop=6")}, "2:18: stop 6 does not say at what the rod stopped (write 6 block, 6 wire, 6 pipe, 6 duct, 6 flue, or 6 ? if nobody can tell)"},
		{"a time of day", []map[string]string{fill("feed=4:10:00")}, "2:17: feed 4:10:00 is not minutes and seconds (format the column as text and write 250 s: a spreadsheet turned minutes and seconds into a time of day"},
		{"a bare time", []map[string]string{fill("feed=250")}, "2:17: feed 250 does not say minutes or seconds"},
		{"smoke under nothing", []map[string]string{fill("probe=smoke still 50")}, "2:21: probe smoke still 50 has 50 in the wrong place (write 50 Pa, the pressure across the face, or nothing)"},
	} {
		_, faults := readLog(wide(x.rows...))
		if len(faults) != 1 || !strings.Contains(told(faults), x.want) {
			t.Errorf("%s: told %s, want %s", x.name, told(faults), x.want)
		}
	}
	size := wide(cellsOfRow("n", "b1", "size", "width=22.5", "depth=5.5", "length=12", "hole=2", "stop=6 ?", "existing=batts"))
	if e := mustRead(t, size).Log[0]; e.Existing != "batts" || len(e.Stops) != 1 || len(e.Hole) != 1 {
		t.Errorf("a size row keeps %+v", e)
	}
}

// TestNewSettings: what they take, and what is too little.
func TestNewSettings(t *testing.T) {
	read := func(job string) (*model.Job, []model.Fault) {
		return Read(files(map[string]string{"job.csv": "name,value\nbag_weight,25 lb\n" + job, "bays.csv": head + filled("b1", "bags=2")}), "", Options{})
	}
	job, faults := read("to_stall,yes\ndepth_checks,1/8; 0; -1/16; 0; 1/8\nlang,es\n")
	if len(faults) > 0 || job.Settings.ToStall != model.Yes || job.Settings.Lang != "es" || len(job.Settings.DepthChecks) != 5 || !near(job.Settings.DepthChecks[2], -model.Inch/16) {
		t.Errorf("%+v %s", job, told(faults))
	}
	if job, _ := read(""); job.Settings.ToStall != model.Unsaid || job.Settings.Lang != "en" || job.Settings.DepthChecks != nil {
		t.Errorf("defaults %+v", job.Settings)
	}
	for text, want := range map[string]string{
		"to_stall,?": "to_stall ? is neither yes nor no", "depth_checks,1/8; 0; 1/8": "depth_checks 1/8; 0; 1/8 has too few: 3 (have a second person measure five bays or more", "lang,de": "lang de is not one of its words",
		"depth_checks,1/8; 0; x; 0; 0": "depth_checks", "depth_checks,1/8; 0; 14 in; 0; 0": "over 1 ft",
	} {
		if _, faults := read(text + "\n"); len(faults) != 1 || !strings.Contains(told(faults), want) {
			t.Errorf("%s: told %s, want %s", text, told(faults), want)
		}
	}
}
