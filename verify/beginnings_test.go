package verify

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"

	"bayproof/model"
	"bayproof/model/joblog"
)

// grownJob is a job of chance whose rows come in any order that a log without faults can have:
// three sections with ways of counting of their own, amends, what is taken back, dittos, shared
// counts, counters, empties, machines, cores and test boxes.
func grownJob(dice *rand.Rand, rows int) map[string]string {
	pick := func(of ...string) string { return of[dice.IntN(len(of))] }
	const columns = "section,bay,entry,width,depth,length,bags,counter,weight,reach,stall,probe,at,note,time,machine,feed"
	files := map[string]string{
		"job.csv": "name,value\nbag_weight,25 lb\nto_stall," + pick("yes", "no") + "\ncounting," + pick("ends", "fresh", "running") + "\n" + pick("", "", "spill,3%\n") +
			pick("", "", "depth_checks,1/8 in; 0 in; 1/16 in; 1/8 in; 1/4 in\n") + pick("", "", "bags_loaded,90\nbags_left,2\n") + pick("", "", "", "rule,guarded\n"),
		"sections.csv": "section,bays,counting,bag_step,target,bags_used\nn,9," + pick("ends", "running") + ",,,\nw,,fresh,1/2,3.4 lb/ft3," + pick("", "7") + "\n",
		"cores.csv": "section,bay,kind,diameter,depth,volume,weight,date\nn,b1,core,2 1/8,5.5,,25.3,2026-03-02\nn,b2,core,2 1/8,5.5,,21,\n" +
			",,test box,,,1 ft3,3.9 lb,2026-03-02\n",
		"bays.csv": columns + "\nn,b1,size,22.5,5.5,12" + strings.Repeat(",", 11) + "\nn,b2,size,22.25,5.5,12" + strings.Repeat(",", 11) + "\n",
	}
	timed, counts, shares := dice.IntN(3) == 0, dice.IntN(3) == 0, dice.IntN(2) == 0
	minute, counter := 0, 0.0
	row := func(section, bay, entry string, cells ...string) string {
		at := make([]string, strings.Count(columns, ",")+1)
		for _, c := range append(cells, "section="+section, "bay="+bay, "entry="+entry) {
			name, text, _ := strings.Cut(c, "=")
			for i, column := range strings.Split(columns, ",") {
				if column == name {
					at[i] = text
				}
			}
		}
		return strings.Join(at, ",") + "\n"
	}
	for n := 0; n < rows; {
		minute += dice.IntN(6)
		counter += 0.25 * float64(dice.IntN(9))
		section, bay := pick("n", "n", "s", "w"), fmt.Sprint("b", 1+dice.IntN(7))
		amount := pick("bags=2", "bags=1.75", "bags=1.5", "weight=40 lb")
		if counts {
			amount = pick(fmt.Sprint("counter=", counter), amount)
		}
		if shares && dice.IntN(4) == 0 {
			amount, _, _ = strings.Cut(amount, "=")
			amount += "=shared"
		}
		box := []string{"width=" + pick("22.5", "22 1/4; 22 1/2", "22.5; 22.5"), "depth=" + pick("5.5", "5 3/8; 5.5"), "length=" + pick("12", "11", "9"), amount}
		said := []string{"reach=" + pick("", "8"), "stall=" + pick("", "yes", "no")}
		if timed {
			said = append(said, "feed="+pick("4:00", "3:30", ""), "machine="+pick("", "A", "B"))
		}
		fill := append(append([]string{}, box...), said...)
		next := pick(row(section, bay, "fill", fill...), row(section, bay, "fill", fill...), row(section, bay, "fill", fill...), row(section, bay, "fill", append(said, amount)...),
			row(section, bay, "fill", append(said, "width=\"\"\"\"", "depth=6", "length=11", amount)...), row(section, bay, "size", box[:3]...), row(section, bay, "amend", box...),
			row(section, bay, "topup", pick("bags=0.25", "bags=0.5", fmt.Sprint("counter=", counter))), row(section, bay, "lost", "bags=0.25"),
			row(section, bay, "seen", "probe=rod soft", "at=3"), row(section, bay, "seen", "probe=rod firm", "at=3"), row(section, bay, "closed"), row(section, bay, "closed"), row(section, bay, "strike"),
			row(section, bay, "strike", "note="+pick("fill", "topup", "closed", "seen")), row(section, bay, "leave", "note=flue"), row(section, bay, "less", "width=4"),
			row("", "", "count", fmt.Sprint("counter=", counter)), row("", "", "set", "note=gate", "machine="+pick("", "A")), row("", "", "elsewhere", "bags=1", "note=attic"),
			row(pick("", section), "", "empties", fmt.Sprint("bags=", 1+dice.IntN(12)), "note="+pick("", "recount")))
		if dice.IntN(3) > 0 {
			at := time.Date(2026, 3, 2, 8, minute, 0, 0, time.UTC).Format("2006-01-02 15:04")
			cells := strings.Split(strings.TrimSuffix(next, "\n"), ",")
			cells[len(cells)-3] = at
			next = strings.Join(cells, ",") + "\n"
		}
		was := files["bays.csv"]
		files["bays.csv"] += next
		if _, faults := joblog.Read(mapped(files), "bays.csv", joblog.Options{}); len(faults) > 0 {
			files["bays.csv"] = was
		}
		n++
	}
	return files
}

func mapped(files map[string]string) fstest.MapFS {
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return fsys
}

// toldOf writes all of a bay as it stood.
func toldOf(b *Bay) string {
	if b == nil {
		return "not known"
	}
	of, further := *b, *b.Further
	of.Bay, of.Further = nil, nil
	text := fmt.Sprintf("%s %+v %d", b.Bay.Name, of, len(further.Cores))
	for i := range further.Cores {
		c := &further.Cores[i]
		text += fmt.Sprintf(" %x %x %v", c.Density, c.U, c.Agrees)
	}
	return text + fmt.Sprintf(" %x %x %x %x", b.Density, b.U, b.ProbAtTarget, b.CouldHide)
}

// TestBeginningsFromTheOneBefore: what is said of a beginning of a log that was measured and judged
// from the one before is what is said of it found from nothing, to the last bit: of every bay, at
// every row of jobs of chance. BAYPROOF_JOBS=DIR writes the jobs there, and BAYPROOF_TORTURE makes
// them many.
func TestBeginningsFromTheOneBefore(t *testing.T) {
	jobs := 8
	if os.Getenv("BAYPROOF_TORTURE") != "" {
		jobs = 120
	}
	dice := rand.New(rand.NewPCG(41, 7))
	compared, kept := 0, 0
	verdicts := map[Verdict]int{}
	for k := range jobs {
		files := grownJob(dice, 90)
		if dir := os.Getenv("BAYPROOF_JOBS"); dir != "" {
			write(t, filepath.Join(dir, fmt.Sprint("job", k)), files)
		}
		job, faults := joblog.Read(mapped(files), "bays.csv", joblog.Options{})
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		whole := measured(job, Options{})
		grows, log := past{whole: whole}, job.Beginnings()
		for n := range len(job.Log) + 1 {
			if n < len(job.Log) && dice.IntN(3) == 0 { // beginnings that nobody asks about
				continue
			}
			grows.begin(log.Upto(n), log.Changed)
			for s := range grows.then.measured.Sections {
				if m := &grows.then.measured.Sections[s]; !m.Anew && len(m.Lots) > 0 {
					kept++
				}
			}
			alone := past{whole: whole}
			from, _ := job.Upto(n)
			alone.begin(from, func(*model.Section) bool { return true })
			for i := range job.Bays {
				if dice.IntN(3) == 0 { // not all are asked about
					continue
				}
				want, got := alone.at(i), grows.at(i)
				if diff := cmp.Diff(toldOf(want), toldOf(got)); diff != "" {
					t.Fatalf("job %d, %d rows, bay %s (-from nothing +from the beginning before):\n%s\n%s", k, n, job.Bays[i].Name, diff, files["bays.csv"])
				}
				if compared++; want != nil {
					verdicts[want.Verdict]++
				}
			}
		}
	}
	if compared < 50*jobs || kept < 10*jobs || len(verdicts) < 4 {
		t.Errorf("%d bays compared, %d sections kept, verdicts %v", compared, kept, verdicts)
	}
}

// TestAClosingMeasuresItsSection counts the work: of a beginning of the log no lots are measured but
// those of the sections that rows were added to, the fill at hand and the closing before it, wherever
// the crew works, with a counter too.
func TestAClosingMeasuresItsSection(t *testing.T) {
	const bays, inSection = 200, 20
	for _, mixed := range []bool{false, true} {
		for _, column := range []string{"bags", "counter"} {
			rows, counter := "section,bay,entry,width,depth,length,"+column+",stall\n", 0.0
			for i := range bays {
				section, amount := i/inSection, []float64{1.75, 2, 1.5, 1.75, 2, 1.75, 1.25}[i%7]
				if mixed {
					section = i % (bays / inSection)
				}
				if counter += amount; column == "counter" {
					amount = counter
				}
				rows += fmt.Sprintf("s%d,b%d,fill,22.5,5.5,12,%g,yes\ns%d,b%d,closed,,,,,\n", section, i, amount, section, i)
			}
			job, faults := joblog.Read(mapped(map[string]string{"job.csv": "name,value\nbag_weight,25 lb\n", "bays.csv": rows}), "bays.csv", joblog.Options{})
			if len(faults) > 0 {
				t.Fatal(faults)
			}
			p, log := past{whole: measured(job, Options{})}, job.Beginnings()
			for i := range bays {
				p.begin(log.Upto(2*i+1), log.Changed)
				lots := 0
				for s := range p.then.measured.Sections {
					if m := &p.then.measured.Sections[s]; m.Anew {
						lots += len(m.Lots)
					}
				}
				if b := p.at(i); b == nil || len(p.judged) != 1 || lots == 0 || lots > 2*inSection {
					t.Fatalf("%s, mixed %v: with bay %d %d lots are measured, %d bays judged", column, mixed, i+1, lots, len(p.judged))
				}
			}
		}
	}
}

func write(t *testing.T, dir string, files map[string]string) {
	t.Helper()
	for name, text := range files {
		if err := os.MkdirAll(dir, 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}
