package prompt

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/verify"
)

var (
	sessions = flag.Int("sessions", 12, "random sessions that TestMonkey types")
	seedOne  = flag.Uint64("session", 0, "the only session that TestMonkey types, and tells")
)

// monkey types at random into a log: bays, slips, half answers, wrong words, and now and then it
// ends the session, or kills it.
type monkey struct {
	*rand.Rand
	book  *paperBook
	names []string
	typed map[string]bool // every figure that was typed so far, as the log writes it
}

// sizes are what bays measure, as somebody types them.
func (m *monkey) pick(of ...string) string { return of[m.IntN(len(of))] }

// fresh is a name that no line used yet.
func (m *monkey) fresh() string {
	m.names = append(m.names, fmt.Sprintf("%s%d", m.pick("b", "k", "n"), len(m.names)+1))
	return m.names[len(m.names)-1]
}

// old is a name that was typed before.
func (m *monkey) old() string {
	if len(m.names) == 0 {
		return "b1"
	}
	return m.pick(m.names...)
}

// bay is a good line about a new bay, with what is to stand in the log of it.
func (m *monkey) bay() (line, name string, want [3]float64, bags float64) {
	in := func(texts ...any) (string, float64) {
		k := 2 * m.IntN(len(texts)/2)
		return texts[k].(string), texts[k+1].(float64)
	}
	w, width := in("22.5", 22.5, "22 1/2", 22.5, "14½", 14.5, "22,5", 22.5, "8 1/4 in", 8.25)
	d, depth := in("5.5", 5.5, "5 1/2", 5.5, "3½", 3.5, "5,5", 5.5)
	l, length := in("12'", 144.0, "11'6", 138.0, "12 ft", 144.0, "8' 2\"", 98.0)
	b, count := in("1 3/4", 1.75, "1 1/2 bags", 1.5, "1,75", 1.75, "2", 2.0, "1½", 1.5)
	between := m.pick(", ", " x ")
	name = m.fresh()
	return name + " " + w + between + d + between + l + ", " + b, name, [3]float64{width, depth, length}, count
}

// other is any other line.
func (m *monkey) other() string {
	switch m.IntN(18) {
	case 0:
		return m.pick("1 3/4", "2", "1 1/2 bags", "38 lb", "1 + 14.5 lb", "shared")
	case 1:
		return m.pick("", "", "22.5", "5.5", "12", `"`, "12'", "abc", "wide", "-3")
	case 2:
		return m.pick("clear", "sections", "y", "n", "yes", "show", "xyzzy", "width", "stop")
	case 3:
		return m.pick("help", "list", "list all", "show", "?")
	case 4:
		return m.pick("cancel", "back", "drop", "undo", "undo", "undo")
	case 5:
		return "fix " + m.pick("width 22.5", "bags 2", "length 12'", "depth 5 1/2", m.old()+" bags 1 1/2", "bulge 1", "22")
	case 6:
		return "top " + m.old() + " " + m.pick("8 lb stall", "1/4", "0 stall", "")
	case 7:
		return m.pick("close", "strike", "probe", "lost", "amend", "size", "piece", "less") + " " + m.old() + " " + m.pick("", "22.5 5.5 12 2", "3 lb", "rod firm at 3", "closed", "22.5 5.5 2")
	case 8:
		return m.old() + " " + m.pick("reach 11", "stall", "rod soft at 2", "width 22.5", "22.5 5.5 12", "1 3/4", "note x, y 2x4", "")
	case 9:
		return m.fresh() + " " + m.pick("22.5", "22.5 5.5", "wedge 22.5 5.5 12 1", "width 8 1/4 3/4", "22.5 5 11 1/4", "round 12 8 1/2", "bulge 1 22.5 5.5 12 2")
	case 10:
		return m.pick("section hip", "section north slope", "section hpi", "set gate 4", "by AR", "count 0", "machine B")
	case 11:
		return m.fresh()
	case 12:
		return "width 8 1/4 " + m.pick("", "3/4", "1 bag")
	case 13:
		return m.pick("b1 22.5 5.5 12 1 3/4 stalll", "22.5 5.5 225' 1", "2.25 5.5 12 2", "22.5 5.5 12 19", "22.5 5.5 12", "14.5 5 11 1/4", "14.5 3.5 12 1/2")
	case 14:
		return m.pick("do "+m.old(), "do "+m.old(), "recount "+m.old()+" 1 3/4", "size "+m.old()+" depth 5.5; 5 1/2", m.old()+" size width 22.5", "leave "+m.old()+" flue", "decide "+m.old()+" AB: seen", "why "+m.old())
	case 15:
		return m.pick("box 12.4 lb 3.5 ft3", "core "+m.old()+" 27 g diameter 2.5 depth 5.5 at 3", "empties 2", "undo", "fix "+m.old()+" depth 5 1/2", "22.5 5.5 12 1 3/4")
	default:
		return m.pick("1 3/4", "2", "1 1/2")
	}
}

// figuresOf notes every figure of a line, in each way of cutting it.
func (m *monkey) figuresOf(line string) {
	tokens := []string{}
	for _, token := range strings.Fields(line) {
		tokens = append(tokens, cutFigures(token)...)
	}
	for i := range tokens {
		for n := 1; n <= 4 && i+n <= len(tokens); n++ {
			text := strings.Join(tokens[i:i+n], " ")
			for _, column := range []string{"width", "length", "bags", "weight", "reach", "at"} {
				if out, bad := plainCell(column, text, model.US); bad == nil {
					m.typed[out] = true
				}
			}
		}
	}
}

// what a reply says where something was written.
var taken = regexp.MustCompile(`(?m)^[■▲◆○] [A-Z]|^\S+ measured|noted|withdrawn|^The counter starts|^Taken back|shares the next|waiting for|^\S+ closed|^\S+ left empty: `)

// figuresNow are what the bays of a job measure and hold.
func figuresNow(job *model.Job) map[string][3]float64 {
	out := map[string][3]float64{}
	for _, b := range job.Bays {
		x := [3]float64{b.Volume(), math.NaN(), float64(len(b.Rows))}
		if b.Fill != nil {
			x[1] = b.Fill.Material.Bags + 1000*b.Fill.Material.Mass + b.Fill.Material.Part
		}
		out[b.Section.Name+"|"+b.Name] = x
	}
	return out
}

// TestMonkey: whatever is typed, every row that was shown as taken is in the log with the values
// shown, nothing is in the log that nobody typed, and no bay's figures change because a line about
// another one was typed. Each session prints its seed where it fails.
func TestMonkey(t *testing.T) {
	from, to := uint64(1), uint64(*sessions)
	if *seedOne > 0 {
		from, to = *seedOne, *seedOne
	}
	lost, invented, lines := 0, 0, 0
	for seed := from; seed <= to; seed++ {
		m := &monkey{Rand: rand.New(rand.NewPCG(seed, 17)), book: newPaperBook(), typed: map[string]bool{}}
		s, _ := New(m.book, Options{})
		var told strings.Builder
		for range 20 + m.IntN(20) {
			line, name, want, bags := m.bay()
			good := m.IntN(3) == 0
			if !good {
				m.names = m.names[:len(m.names)-1]
				line = m.other()
			}
			if m.IntN(25) == 0 {
				m.book.fail = errDisk
			}
			m.figuresOf(line)
			atRest, before, job := s.ask == nil, m.book.log, s.job
			prompt := s.Prompt()
			reply := s.Feed(line)
			lines++
			if fmt.Fprintf(&told, "%s%s\n%s", prompt, line, reply); *seedOne > 0 {
				t.Log(prompt + line + "\n" + reply)
			}
			now, faults := m.book.Job()
			if len(faults) > 0 {
				t.Fatalf("session %d: the log does not read: %v\n%s", seed, faults, told.String())
			}
			if !strings.HasPrefix(m.book.log, before) {
				t.Fatalf("session %d: a row that was there is gone", seed)
			}
			added := strings.TrimPrefix(m.book.log, before)
			if shown := taken.MatchString(reply); added != "" && !shown && !strings.Contains(reply, "NOT on disk") {
				invented++
				t.Errorf("session %d: written and not shown: %s%s", seed, added, told.String())
			}
			if good && atRest && !strings.Contains(reply, "not written") && !strings.Contains(reply, "NOT on disk") && !m.holds(now, s.section, name, want, bags) {
				lost++
				t.Errorf("session %d: %q is shown as taken and is not in the log as typed\n%s\n%s", seed, line, told.String(), m.book.log)
			}
			invented += m.unheard(t, seed, job, now, added, told.String())
			was, is := figuresNow(job), figuresNow(now)
			for key, a := range was {
				b := is[key]
				same := a[0] == b[0] || math.IsNaN(a[0]) && math.IsNaN(b[0])
				if held := a[1] == b[1] || math.IsNaN(a[1]) && math.IsNaN(b[1]); a[2] == b[2] && !(same && held) && !rests(now, key, was, is) {
					invented++
					t.Errorf("session %d: %s changed its figures from %v to %v with %q\n%s\n%s", seed, key, a, b, line, told.String(), m.book.log)
				}
			}
			if s.Done() || m.IntN(12) == 0 {
				if m.IntN(2) == 0 {
					told.WriteString(s.Close())
				}
				s, _ = New(m.book, Options{})
			}
			if t.Failed() {
				return
			}
		}
	}
	t.Logf("seeds %d to %d, %d lines: %d lost, %d invented", from, to, lines, lost, invented)
}

// holds tells whether a bay stands in the job as it was typed.
func (m *monkey) holds(job *model.Job, section, name string, want [3]float64, bags float64) bool {
	b := bayOf(job, section, name)
	if b == nil || b.Fill == nil || b.Fill.Material.Bags != bags {
		return false
	}
	p := b.Pieces[0]
	for i, r := range []model.Reading{p.Width, p.Depth, p.Length} {
		if r.State != model.Measured || math.Abs(r.Mean()-want[i]*model.Inch) > 1e-9 {
			return false
		}
	}
	return true
}

// unheard counts figures of rows just written that nobody typed.
func (m *monkey) unheard(t *testing.T, seed uint64, before, now *model.Job, added, told string) (n int) {
	for i := len(before.Log); i < len(now.Log) && added != ""; i++ {
		row := cells(now.Columns, &now.Log[i])
		sizes := model.SizeNames()
		for _, column := range append(sizes[:], "bags", "weight") {
			for _, text := range strings.Split(row[column], "; ") {
				if text == "" || text == `"` || text == "shared" || m.typed[text] || m.typed[strings.TrimSuffix(text, " in")] {
					continue
				}
				if slices.Contains([]string{"amend", "fill"}, row["entry"]) && strings.Contains(row[column], ";") {
					continue // readings of several rows, written in one unit
				}
				n++
				t.Errorf("session %d: nobody typed %s %s\n%s", seed, column, text, told)
			}
		}
	}
	return n
}

// rests tells whether a bay's figures hang on another bay that was written to: it takes over its
// sizes, or shares its count.
func rests(job *model.Job, key string, was, is map[string][3]float64) bool {
	section, name, _ := strings.Cut(key, "|")
	b := bayOf(job, section, name)
	if b == nil {
		return true // left on purpose
	}
	touched := func(o *model.Bay) bool {
		k := o.Section.Name + "|" + o.Name
		return o != b && was[k][2] != is[k][2]
	}
	return slices.ContainsFunc(job.Bays, func(o *model.Bay) bool { return o.Section == b.Section && touched(o) }) &&
		(b.From != nil || len(b.SharedWith) > 0 || b.Owes != model.OwesNothing || slices.ContainsFunc(b.Rows, func(e *model.Entry) bool { return e.Material.Shared }))
}

// TestSheetsAreTheFile: a job of forty bays typed from its two sheets, either one first, by pure
// lines comes to the same findings as the same job as a file: volumes, masses, order, densities,
// probabilities, verdicts, reasons and orders.
func TestSheetsAreTheFile(t *testing.T) {
	r := rand.New(rand.NewPCG(40, 4))
	var roof, truck []string
	given := newPaperBook()
	given.sections = "section,kind,bays\n"
	count := 0.0
	for s, section := range []string{"north", "south", "wall", "hip", "dormer"} {
		given.sections += section + ",rafter,8\n"
		roof, truck = append(roof, "section "+section), append(truck, "section "+section)
		for k := range 8 {
			width, depth, long := 22.5+float64(r.IntN(5)-2)/8, 5.5+float64(r.IntN(3)-1)/8, 12+float64(r.IntN(5)-2)/4
			if k == 0 {
				width = 8.25
			}
			bags := math.Round(3.85*width*depth*long/144/25*4+r.Float64()-0.5) / 4
			count += bags
			name := fmt.Sprintf("b%d", k+1)
			row := Row{"section": section, "bay": name, "entry": "fill", "width": fmt.Sprint(width), "depth": fmt.Sprint(depth), "length": fmt.Sprint(long),
				"counter": fmt.Sprint(count), "reach": fmt.Sprint(long - 0.5), "stall": "yes"}
			text := fmt.Sprintf("%s %v %v %v reach %v stall", name, width, depth, long, long-0.5)
			if k == 3 && s == 1 {
				row["probe"], row["at"] = "rod soft", "3"
				text += " rod soft at 3"
			}
			if k%3 == 2 { // a ditto
				row["width"], row["depth"], row["length"] = `"`, `"`, `"`
				text = fmt.Sprintf(`%s " " " reach 11 stall`, name)
				row["reach"] = "11"
			}
			roof, truck = append(roof, text), append(truck, fmt.Sprintf("%s %v", name, count))
			given.log += line(row)
		}
	}
	want := summary(t, given)
	if n := strings.Count(want, "; now  []"); n < 10 || !strings.Contains(want, "probe-soft") {
		t.Fatalf("%d bays are CLOSE:\n%s", n, want)
	}
	for _, first := range []Sheet{Roof, Truck} {
		typed := newPaperBook()
		typed.sections = given.sections
		for _, sheet := range []Sheet{first, Roof + Truck - first} {
			lines := roof
			if sheet == Truck {
				lines = truck
			}
			text := sitting(t, typed, Options{Sheet: sheet}, lines...)
			if strings.Contains(text, "not written") {
				t.Fatalf("refused:\n%s", text)
			}
			if sheet == first && strings.Contains(text, "CLOSE") {
				t.Errorf("a bay says CLOSE while its other sheet is owed")
			}
		}
		if got := summary(t, typed); got != want {
			t.Errorf("sheet %d first:\n%s\nwant\n%s", first, got, want)
		}
	}
	// The truck sheet while the roof sheet is half typed: below each measured bay one waits.
	typed := newPaperBook()
	typed.sections = given.sections
	var half, rest []string
	for i, line := range roof {
		section := i%9 == 0
		if section || i%9 < 5 {
			half = append(half, line)
		}
		if section || i%9 >= 5 {
			rest = append(rest, line)
		}
	}
	sitting(t, typed, Options{Sheet: Roof}, half...)
	sitting(t, typed, Options{Sheet: Truck}, truck...)
	job, _ := typed.Job()
	for _, x := range findings(job, "").Bays {
		if known := x.Bay.Name <= "b4"; (x.Bay.Owes == model.OwesSizes) == known || x.State == verify.NotFilled == known {
			t.Errorf("%s %s owes %v while its row of the roof sheet is not typed in", x.Bay.Section.Name, x.Bay.Name, x.Bay.Owes)
		}
	}
	sitting(t, typed, Options{Sheet: Roof}, rest...)
	sorted := func(text string) []string { // the bays are named in another order
		lines := strings.Split(text, "\n")
		slices.Sort(lines)
		return lines
	}
	if got := summary(t, typed); !slices.Equal(sorted(got), sorted(want)) {
		t.Errorf("half of the roof sheet first:\n%s\nwant\n%s", got, want)
	}
}

// summary is all that is found about a job but for lines and times.
func summary(t *testing.T, book *paperBook) string {
	job, faults := book.Job()
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	var b strings.Builder
	f := findings(job, "")
	for i := range f.Bays {
		x := &f.Bays[i]
		fmt.Fprintf(&b, "%s %s order %d: %.10g m3 %.10g kg %.10g ± %.10g p %.9g %v empty %.8g hide %.8g", x.Bay.Section.Name, x.Bay.Name, x.Bay.Order, x.Volume, x.Mass,
			x.Density, x.U, x.ProbAtTarget, x.Verdict, x.EmptyLength, x.CouldHide)
		for _, reason := range x.Reasons {
			fmt.Fprintf(&b, "; %s %v answered %v", reason.Code, reason.Data, reason.IsAnswered())
		}
		fmt.Fprintf(&b, "; now %s %v\n", x.Now.Action, x.Now.Data)
	}
	for i := range f.Sections {
		x := &f.Sections[i]
		fmt.Fprintf(&b, "%s %d bays %.10g %.10g mean %.8g sd %.8g %.8g\n", x.Section.Name, x.Bays, x.Volume, x.Mass, x.Mean, x.SD, x.LowerTolerance)
	}
	fmt.Fprintf(&b, "%+v", f.Totals.Close)
	return b.String()
}
