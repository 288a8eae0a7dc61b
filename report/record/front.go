package record

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"bayproof/model"
	"bayproof/verify"
)

// The first part of the page is for whoever signs the job off: on paper its first two pages, enough
// to sign. One line says how far the job is; then who closed what against its verdict, what is open
// and what to do about it, whether the material is accounted for, the bays as they lie, what
// evidence there is, and who did the work. It counts and sums nothing that the findings have not
// counted; all else is the annex.

// fact is a name with a value.
type fact struct{ Name, Value string }

// Long tells whether a value needs the room of two.
func (f fact) Long() bool { return utf8.RuneCountInString(f.Value) > 24 }

// given leaves out the facts whose value nobody gave. Papers do not use it: there an empty value is
// a line to fill in by hand.
func given(facts ...fact) []fact {
	return slices.DeleteFunc(facts, func(f fact) bool { return f.Value == "" })
}

// when is a text that stands only under a condition, empty else.
func when(holds bool, text string) string {
	if !holds {
		return ""
	}
	return text
}

// Facts open the page: whose job it is.
func (p *page) Facts() []fact {
	s := &p.f.Job.Settings
	return given(
		fact{"Site", s.Site}, fact{"Date", s.Date}, fact{"Crew", s.Crew}, fact{"Installer", s.Installer}, fact{"Program", s.Program}, fact{"Work order", s.WorkOrder},
		fact{"Material", joined(" · ", s.Material, s.Manufacturer, s.Product, s.Lot)},
		fact{"Judged by", p.TermsOf(p.f.Job)},
	)
}

// Differs names the settings that a verdict rests on and that are not the usual; empty where all
// are.
func (p *page) Differs() string { return p.NotDefault(p.f.Job) }

// Headline says in one line what a supervisor wants to know first: whether the job is done, and how
// many bays may be closed. Bays that were forgotten are open too.
func (p *page) Headline() string {
	t := p.f.Totals
	open := t.Add + t.Probe + t.Measure - t.Decided + t.NotFilled + t.NotInLog
	decided := when(t.Decided > 0, ", "+plural(t.Decided, "is", "are")+" decided by a person")
	switch {
	case t.Bays == 0:
		return "The log has no bay"
	case decided != "":
		return when(open > 0, "Not done: ") + fmt.Sprintf("%d of %d bays may be closed%s", t.Close, t.Bays+t.NotInLog, decided) + when(open > 0, "; "+plural(open, "wants", "want")+" something first")
	case open == 0 && t.Close == 1:
		return "The one bay may be closed"
	case open == 0:
		return "All " + plural(t.Close, "bay", "bays") + " may be closed"
	case t.Close == 0:
		return fmt.Sprintf("Not done: none of %d bays may be closed yet", t.Bays+t.NotInLog)
	}
	return fmt.Sprintf("Not done: %d of %d bays may be closed; %s something first", t.Close, t.Bays+t.NotInLog, plural(open, "wants", "want"))
}

// tile is one count of bays.
type tile struct {
	mark
	Count         int
	Means, Counts string // what it means; the count's name among the findings' totals
}

// Tiles count the bays by verdict, then those that have none because they were not filled or not
// logged.
func (p *page) Tiles() []tile {
	t := p.f.Totals
	counts := map[verify.Verdict]int{verify.Add: t.Add, verify.Probe: t.Probe, verify.Measure: t.Measure, verify.Close: t.Close}
	var out []tile
	for _, o := range outcomes() {
		out = append(out, tile{o.mark, counts[o.verdict], o.means, o.Class})
	}
	if t.NotFilled > 0 {
		out = append(out, tile{notFilled(), t.NotFilled, "in the log, no material yet", "not_filled"})
	}
	if t.NotInLog > 0 {
		out = append(out, tile{notInLog(), t.NotInLog, "counted, but nobody logged them", "not_in_log"})
	}
	if t.Decided > 0 {
		out = append(out, tile{decided(), t.Decided, "a person closed them as they stand; counted above too", "decided"})
	}
	if t.Left > 0 {
		out = append(out, tile{leftOut(), t.Left, "not filled on purpose", "left"})
	}
	return out
}

// Notes say what the counts alone do not: what the CLOSE rest on, closings too early, bags that no
// bay took.
func (p *page) Notes() []string {
	t := p.f.Totals
	var out []string
	if t.Close > 0 {
		out = append(out, fmt.Sprintf("%d CLOSE: %d by their own count, %d with the help of the crew's other bays.", t.Close, t.CloseOwn, t.CloseCrew))
	}
	if t.ClosedNotClose > 0 {
		out = append(out, plural(t.ClosedNotClose, "bay was", "bays were")+" closed before being cleared.")
	}
	return out
}

// The lists of the first part share the room that is left on its first page: frontRows lines less
// one a section, and never fewer than leastRows. Each list has at least leastOfList of its lines;
// what is left out is counted and stands in the annex.
const (
	frontRows   = 26
	leastRows   = 8
	leastOfList = 3
)

// front is what the lists of the first part show, and how many more there are of each.
type front struct {
	Reopened, Against, Decided             []closed
	Open                                   []alike
	Left                                   []fact
	MoreReopened, MoreAgainst, MoreDecided int
	MoreOpen, MoreLeft                     int
}

// Lists cuts the lists of the first part to the room that there is.
func (p *page) Lists() front {
	f := front{Reopened: p.reopened(), Against: p.against(), Decided: p.decidedBays(), Open: p.alike(), Left: p.left()}
	shown := shares(max(leastRows, frontRows-len(p.Sections)), len(f.Reopened), len(f.Against), len(f.Decided), len(f.Open), len(f.Left))
	f.Reopened, f.MoreReopened = cutTo(f.Reopened, shown[0])
	f.Against, f.MoreAgainst = cutTo(f.Against, shown[1])
	f.Decided, f.MoreDecided = cutTo(f.Decided, shown[2])
	f.Open, _ = cutTo(f.Open, shown[3])
	f.MoreOpen = len(p.open())
	for _, a := range f.Open {
		f.MoreOpen -= len(a.Bays)
	}
	f.Left, f.MoreLeft = cutTo(f.Left, shown[4])
	return f
}

// shares tells how many lines of each list are shown where there is room for so many in all.
func shares(room int, has ...int) []int {
	shown := make([]int, len(has))
	for i := range has {
		shown[i] = min(has[i], leastOfList)
		room -= shown[i]
	}
	for i := range has {
		more := max(0, min(has[i]-shown[i], room))
		if shown[i], room = shown[i]+more, room-more; has[i]-shown[i] == 1 { // a line that says so takes as much room
			shown[i]++
		}
	}
	return shown
}

func cutTo[T any](list []T, n int) (shown []T, more int) { return list[:n], len(list) - n }

// open are the bays that ask for something, in the order of verdicts and then of the log, those
// with nothing in them last; not those that somebody decided, nor those that stand above them
// because they were closed on CLOSE.
func (p *page) open() []*bay {
	var out []*bay
	for _, o := range outcomes() {
		for _, b := range p.bays {
			if b.Judged() && b.Verdict == o.verdict && o.verdict != verify.Close && !b.IsDecided() && b.Reopened == "" {
				out = append(out, b)
			}
		}
	}
	for _, b := range p.bays {
		if b.State == verify.NotFilled {
			out = append(out, b)
		}
	}
	return out
}

// alike are open bays of one section that stand alike and want the same done: one line.
type alike struct {
	*bay // the first of them
	Bays []*bay
}

// alike puts open bays together, in the order of the first of each.
func (p *page) alike() []alike {
	type want struct {
		section     *model.Section
		class, what string
	}
	var out []alike
	at := map[want]int{}
	for _, b := range p.open() {
		of := want{b.Bay.Section, b.Class, b.Brief()}
		i, known := at[of]
		if !known {
			i, out = len(out), append(out, alike{bay: b})
			at[of] = i
		}
		out[i].Bays = append(out[i].Bays, b)
	}
	return out
}

// NotInLog is the mark of bays that nobody logged.
func (p *page) NotInLog() mark { return notInLog() }

// Forgotten are the sections that have more bays than the log names.
func (p *page) Forgotten() []fact {
	var out []fact
	for _, s := range p.Sections {
		it := "them"
		if s.Missing == 1 {
			it = "it"
		}
		if s.Missing > 0 {
			out = append(out, fact{plural(s.Missing, "bay", "bays") + " of " + s.Name,
				"counted, but nobody logged " + it + ": find, fill and log, or correct the count in sections.csv"})
		}
	}
	return out
}

// closed is one closing of a bay that was not CLOSE, or a decision about one.
type closed struct {
	mark                    // the verdict against which it was closed
	Bay                     *bay
	Sure, Who, When, Reason string
}

// closedBy is a closing by its row, with the probability that it was closed at.
func (b *bay) closedBy(row *model.Entry, m mark, sure float64, reason string) closed {
	return closed{m, b, percent(sure, b.set.Confidence), orBlank(row.By), orBlank(timeOf(row)), reason}
}

// Whole are the orders that concern a section or the whole job.
func (p *page) Whole() []fact {
	var out []fact
	for _, s := range p.Sections {
		out = append(out, given(fact{s.Name, p.Order(&s.sums.Now)})...)
	}
	return append(out, given(fact{"The whole job", p.Order(&p.f.Totals.Now)})...)
}

// reopened are the bays that were closed on CLOSE, or by a person's decision, and are asked about
// again: with what they would be today, and who closed them.
func (p *page) reopened() []closed {
	var out []closed
	for _, b := range p.bays {
		if b.Reopened == "" || b.IsDecided() {
			continue
		}
		row, how := b.Bay.Decided, "decided: "
		if row != nil {
			how += row.Note
		} else {
			c := b.Closings[len(b.Closings)-1]
			row, how = c.Row, "closed on CLOSE at "+percent(c.ProbAtTarget, b.set.Confidence)
		}
		out = append(out, b.closedBy(row, verdictMark(b.VerdictToday), b.ProbToday, joined("; ", p.Since(b.judged), how)))
	}
	return out
}

// against are the bays that were closed against their verdict, and decidedBays those that a person
// closes as they stand, each with who, when and why. A closing after a decision carries that out.
func (p *page) against() []closed {
	var out []closed
	for _, b := range p.bays {
		for _, c := range b.Closings {
			if c.Verdict == verify.Close || c.Row == nil || b.Bay.Decided != nil && b.Bay.Decided.Index < c.Row.Index {
				continue
			}
			why := joined("; ", cmp.Or(c.Row.Note, "no reason given"), when(b.Judged(), "now "+b.Word))
			out = append(out, b.closedBy(c.Row, verdictMark(c.Verdict), c.ProbAtTarget, why))
		}
	}
	return out
}

// decidedBays are the bays that somebody decided by name, with the reason that was given.
func (p *page) decidedBays() []closed {
	var out []closed
	for _, b := range p.bays {
		if row := b.Bay.Decided; b.IsDecided() {
			out = append(out, b.closedBy(row, b.mark, b.ProbAtTarget, cmp.Or(row.Note, "no reason given")))
		}
	}
	return out
}

// timeOf is when a row was logged; empty where it does not say.
func timeOf(e *model.Entry) string {
	return when(!e.Time.IsZero(), e.Time.Format("2006-01-02 15:04"))
}

// left are the bays that are not filled on purpose, each with why, who says so and when.
func (p *page) left() []fact {
	var out []fact
	for _, b := range p.f.Left {
		row := b.Bay.Left
		out = append(out, fact{joined(" ", b.Bay.Section.Name, b.Bay.Name), joined(", ", orBlank(row.Note), row.By, timeOf(row))})
	}
	return out
}

// Accounted answers whether the material is accounted for and whether the counts can be trusted:
// what the empties make of the counts, then bags that no bay took.
func (p *page) Accounted() []string {
	var out []string
	for _, s := range p.f.Sections {
		for _, r := range s.Reasons {
			if r.Code == verify.TotalsShort && !r.IsAnswered() {
				out = append(out, joined(": ", s.Section.Name, p.Reason(r))+".")
			}
		}
	}
	over := false // more left the truck, or was emptied, than the log holds
	for _, w := range p.f.Warnings {
		if over = over || w.Code == verify.TotalsOver; w.Code == verify.TotalsOver && w.Section != "" {
			out = append(out, p.WarningWithPlace(w)+".")
		}
	}
	counts, job := p.f.Totals.Counts, p.Counts(p.f)
	if counts == verify.Contradicted && len(out) > 0 && p.f.Totals.Now.Action == "" {
		job = "" // a section's empties do, and that is said of it
	}
	for _, text := range []string{firstUpper(p.Unaccounted(p.f)), job} {
		if text != "" {
			out = slices.Insert(out, 0, text)
		}
	}
	answer := "Nobody can tell."
	switch {
	case counts == verify.Confirmed:
		answer = "Yes."
	case counts == verify.Contradicted:
		answer = "No: the log has more bags than the empties allow."
	case over:
		answer = "Not all of it: the log has less than left the truck."
	case len(out) == 0:
		out = []string{"Nobody counted the empties: nothing else checks what went in."}
	}
	return slices.Insert(out, 0, answer)
}

// Elsewhere lists what left the truck and went into no bay: how much, where, who says so and when.
func (p *page) Elsewhere() []string {
	var out []string
	for i := range p.f.Job.Log {
		e := &p.f.Job.Log[i]
		if e.Kind != model.EntryElsewhere || e.Withdrawn {
			continue
		}
		amount := e.Material.Raw
		if e.Material.Kind == model.MaterialBags && e.Material.Part == 0 {
			amount += " bag" + when(e.Material.Bags != 1, "s")
		}
		out = append(out, joined(", ", amount+" "+cmp.Or(e.Note, "nobody said where"), e.By, timeOf(e)))
	}
	return out
}

// Means says how the crew packed, section by section: the mean with its interval, what nineteen
// bays in twenty exceed.
func (p *page) Means() []string {
	var out []string
	for _, s := range p.Packed() {
		row := s.Packing()
		text := s.Name + ": " + row.Pooled + " " + p.unit(verify.Density)
		if row.Lower != blank {
			text += ", 19 in 20 of those packed like the rest are over " + row.Lower
		}
		out = append(out, text)
	}
	return out
}

// Kinds counts on how many of the filled bays each kind of evidence stands.
func (p *page) Kinds() []fact {
	filled := judgedOf(p.bays)
	of := func(holds func(*bay) bool) string {
		return fmt.Sprintf("%d of %d bays", count(filled, holds), len(filled))
	}
	rows := func(holds func(*model.Entry) bool) string {
		return of(func(b *bay) bool { return slices.ContainsFunc(b.Bay.Rows, holds) })
	}
	set := &p.f.Job.Settings
	stated := when(set.ToStall == model.Yes, "; of all by "+cmp.Or(set.Installer, "the installer")+"’s word") // it answers no doubt about a bay
	return []fact{
		{"Blown to the stall", rows(func(e *model.Entry) bool { return e.Stall == model.Yes }) + stated},
		{"Tube’s reach logged", rows(func(e *model.Entry) bool { return len(e.Reach) > 0 })},
		{"Looked into", rows(func(e *model.Entry) bool { return e.Probe != model.ProbeNone })},
		{"Cores", of(func(b *bay) bool { return len(b.Cores) > 0 })},
		{"Photos", of(func(b *bay) bool { return len(b.Photos()) > 0 })},
		{"Depth read twice", rows(func(e *model.Entry) bool { return len(e.Size.Depth.Values) > 1 })},
	}
}

// Leakage is the blower-door reading before and after, and the blower's pressure; nothing of what
// nobody took.
func (p *page) Leakage() []fact {
	s := &p.f.Job.Settings
	said := func(name string) string {
		defs := model.SettingDefs()
		return p.Setting(defs[slices.IndexFunc(defs, func(d model.SettingDef) bool { return d.Name == name })], s)
	}
	out := given(fact{"Leakage at 50 Pa before", said("cfm50_before")}, fact{"after", said("cfm50_after")})
	if !unknown(s.CFM50Before) && !unknown(s.CFM50After) && s.CFM50Before > 0 {
		out = append(out, fact{"change", number(100*(s.CFM50After-s.CFM50Before)/s.CFM50Before, 0) + " %"})
	}
	if len(out) == 0 {
		out = []fact{{"Leakage at 50 Pa", "not measured"}}
	}
	return append(out, given(fact{"Blower pressure", said("blower_pressure")})...)
}

// Amendments are the rows that changed a bay's figures after its verdict was known.
func (p *page) Amendments() []fact {
	var out []fact
	for _, b := range p.bays {
		for _, a := range b.Amended {
			if a.Replaced == nil {
				continue
			}
			if text := b.amendment(a); strings.Contains(text, afterVerdict) {
				out = append(out, fact{b.Key(), text})
			}
		}
	}
	return out
}

// Work says who did and logged the work, and when: initials with the rows that each logged, days
// with their first and last time.
func (p *page) Work() []fact {
	s := &p.f.Job.Settings
	rows, days := map[string]int{}, map[string][2]time.Time{}
	for i := range p.f.Job.Log {
		e := &p.f.Job.Log[i]
		rows[cmp.Or(e.By, "nobody named")]++
		if e.Time.IsZero() {
			continue
		}
		day := e.Time.Format(time.DateOnly)
		span, seen := days[day]
		if !seen || e.Time.Before(span[0]) {
			span[0] = e.Time
		}
		if !seen || e.Time.After(span[1]) {
			span[1] = e.Time
		}
		days[day] = span
	}
	var by, on []string
	for _, name := range slices.Sorted(maps.Keys(rows)) {
		by = append(by, fmt.Sprintf("%s (%s)", name, plural(rows[name], "row", "rows")))
	}
	for _, day := range slices.Sorted(maps.Keys(days)) {
		on = append(on, day+" "+days[day][0].Format("15:04")+"–"+days[day][1].Format("15:04"))
	}
	const most = 6 // days that stand on the page
	if more := len(on) - most; more > 0 {
		on = append(on[:most], "and "+plural(more, "more day", "more days"))
	}
	facts := []fact{{"Installed by", orBlank(joined(", ", s.Installer, s.Crew))}, {"Logged by", strings.Join(by, ", ")}, {"Days", orBlank(strings.Join(on, ", "))}}
	journals := p.f.Job.Journals
	if journals.Log == nil {
		how := "none: nothing shows that rows stand as typed"
		if len(p.in.Originals) > 0 {
			how = "not in a blanked copy"
		}
		facts = append(facts, fact{"Journal", how})
	}
	return append(facts, given(fact{"Journal", journal("the log", journals.Log)}, fact{"Journal of cores", journal("cores.csv", journals.Cores)})...)
}

// journal says whether a file is as it was confirmed row by row, and what the chain of its journal
// ends in; empty where there is none.
func journal(file string, j *model.Journal) string {
	if j == nil {
		return ""
	}
	text := plural(j.Rows, "row", "rows") + " confirmed when logged; "
	state := joined(", ", when(j.Gone > 0, plural(j.Gone, "is", "are")+" not in "+file), when(j.Changed > 0, plural(j.Changed, "reads", "read")+" otherwise in "+file),
		when(j.Moved, "they stand in another order"), when(j.Broken > 0, fmt.Sprintf("from its line %d on the journal proves nothing", j.Broken)))
	if state == "" {
		state = file + " agrees"
	}
	return text + state + when(j.Besides > 0, "; "+file+" has "+plural(j.Besides, "row", "rows")+" besides") +
		when(j.Accepted > 0, "; "+plural(j.Accepted, "change", "changes")+" accepted") + "; chain ends " + j.End
}

// materialRow is one line of the table of material: cells of masses, bags and areas, counts of
// bays.
type materialRow struct {
	Name, Link, Bays, Expected, Area, Covers, Required, Installed, Over, Bags, Density, Close string
	Light, Missing                                                                            bool // too few pounds, too few bays
}

// Material is the section's line.
func (s *section) Material() materialRow {
	closed := count(s.filled(), func(b *bay) bool { return b.Verdict == verify.Close })
	return s.p.material(s.Name, s.ID, s.sums, closed)
}

// Total is the job's line. It has no density: sections have targets of their own.
func (p *page) Total() materialRow {
	t := p.f.Totals
	sum := verify.Section{Bays: t.Bays - t.NotFilled, Missing: t.NotInLog, Mass: t.Mass, MassRequired: t.MassRequired, Bags: t.Bags, Density: nan()}
	// A section that does not say how many bays it has is expected to have those that it has.
	for _, s := range p.f.Sections {
		sum.Expected += max(s.Expected, s.Bays)
		sum.Area += s.Area
		sum.Covers += s.Covers // NaN where a section does not say
	}
	row := p.material("Job", "", &sum, t.Close)
	row.Density = ""
	return row
}

// material sets out sums in cells: how much the filled volume asks for at the target, how much went
// in, and by how much that is over. Signs are written: a section that is light is seen by its
// minus.
func (p *page) material(name, link string, s *verify.Section, closed int) materialRow {
	over := p.mass(s.Mass - s.MassRequired)
	if s.Mass > s.MassRequired {
		over = "+" + over
	}
	row := materialRow{
		Name: name, Link: link, Bays: strconv.Itoa(s.Bays), Expected: blank, Area: p.area(s.Area), Covers: p.area(s.Covers),
		Required: p.mass(s.MassRequired), Installed: p.mass(s.Mass), Over: over, Bags: bags(s.Bags),
		Density: orBlank(p.Pooled(s)), Close: strconv.Itoa(closed), Light: s.Mass < s.MassRequired, Missing: s.Missing > 0,
	}
	if s.Expected >= 0 {
		row.Expected = strconv.Itoa(s.Expected)
	}
	return row
}
