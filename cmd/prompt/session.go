package prompt

import (
	"errors"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"bayproof/model"
	"bayproof/report/say"
	"bayproof/report/say/lang"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/plan"
)

// Sheet says which paper is being typed in.
type Sheet uint8

const (
	Both  Sheet = iota // sizes and material, bay by bay
	Roof               // the roof sheet: sizes, reach, probes
	Truck              // the truck sheet: the counter at each stop signal
)

// Options are what the driver chooses; they hold for the whole sitting, but for By, which the word
// by changes.
type Options struct {
	Sheet Sheet
	By    string      // initials written on every row; empty for none
	Hold  []plan.Held // bays to be left open, told once their count is on disk
	Width int         // columns of the screen; 0 for 80
	// Judge finds out about a job what the answers say, with orders in one section alone; nil for
	// all that a prompt says. Who has to answer on a slower machine leaves out what takes long.
	Judge func(job *model.Job, section string) *verify.Findings
	Bare  bool    // the driver says itself that nothing was written
	Wrote [][]Row // the entries of a sitting that this one goes on from, for undo
}

// Session is one sitting at the prompt. It is in one of two states: at rest, where a line is a
// command or a bay, or with a question open, whose answer goes to ask. A question leads to the next
// one by asking it from within ask; the state of a half-typed entry is in what ask has closed over,
// and is gone with it when the entry is dropped.
type Session struct {
	book Book
	opt  Options

	job     *model.Job       // as the log on disk says it
	f       *verify.Findings // of that job
	say     *say.Words       // in that job's units
	section string           // that lines at rest are about; empty where the job has none
	machine string           // or hose that they are about; empty where there is one

	out      strings.Builder      // what is said to the present line
	text     string               // what the next line answers; empty at rest
	ask      func(line string)    // takes the answer; nil at rest
	bad      *refused             // the last line where it was not written; nil where it was
	refusals int                  // lines that were not written
	half     *draft               // a bay whose line was left half typed; nil where there is none
	best     bool                 // the question offers readings of a line of which the first is taken where nobody answers
	lost     []Row                // rows that could not be written and are offered again; nil where there are none
	next     []string             // lines typed instead of an answer, to be taken once what was asked is done
	own      []deed               // the entries of this sitting, for undo
	told     map[plan.Held]string // the bays to be left open that were named already
	asked    bool                 // finish asked for the empties
	odd      string               // what looked odd in the last entry; empty where nothing did
	done     bool

	cautioned map[string]bool // the cautions of orders that were said whole already
}

// refused is a line that was not written.
type refused struct {
	rows []Row // that it came to; none where it was not understood
	fix  bool  // it was a fix itself: the next one is about the log again
}

// deed is what one entry of this sitting wrote: so it can be taken back.
type deed struct {
	rows []Row
	core Row // in the file of cores and test boxes; nil for none
}

// New starts a session on a log that reads without a fault; otherwise it returns the faults. A log
// with faults has to be mended first: no verdict could be told after an entry.
func New(book Book, opt Options) (*Session, []model.Fault) {
	s := &Session{book: book, opt: opt, told: map[plan.Held]string{}, cautioned: map[string]bool{}}
	if s.opt.Width <= 0 {
		s.opt.Width = 80
	}
	if s.opt.Judge == nil {
		s.opt.Judge = findings
	}
	for _, rows := range opt.Wrote {
		s.own = append(s.own, deed{rows: rows})
	}
	job, faults := book.Job()
	if len(faults) > 0 {
		return nil, faults
	}
	s.take(job)
	s.section = s.startSection()
	s.greet()
	return s, nil
}

// take makes a job the present one.
func (s *Session) take(job *model.Job) {
	s.accept(job, s.opt.Judge(job, s.section))
}

// findings are what the prompt shows of a job, computed anew after every entry (13 to 32 ms in a
// job of 500 bays). Advice is found by recomputing and asked for in one section alone while bays
// are typed; everywhere for an empty name.
func findings(job *model.Job, section string) *verify.Findings {
	return verify.Check(job, verify.Options{Advice: true, AdviceIn: section, Closings: true})
}

// reread takes the job as its files stand now, with the orders of the present section: a setting
// may have been mended while the prompt was open. Where the files no longer read, the next entry
// says so. Nobody mends them on a phone.
func (s *Session) reread() {
	job := s.job
	if now, faults := s.book.Job(); len(faults) == 0 && !s.opt.Bare {
		job = now
	}
	s.take(job)
}

// Opening returns what is said before the first line.
func (s *Session) Opening() string { return s.flush() }

// Prompt returns what the next line answers: a question, or at rest the section and the bay that
// bare figures go to.
func (s *Session) Prompt() string {
	if s.ask != nil {
		return s.text
	}
	name := s.nextName()
	if s.section != "" {
		name = s.section + ", " + name
	}
	return name + "> "
}

// Done tells whether the session is over.
func (s *Session) Done() bool { return s.done }

// Feed takes one line and returns what there is to say to it. While a question is open, cancel,
// undo and back end it without writing anything, finish ends the sitting, and what only shows
// something is answered before the question is asked again.
func (s *Session) Feed(line string) string {
	if strings.ContainsRune(line, utf8.RuneError) { // 5½ without its half is 5
		s.sayf("not written: the line holds a character that cannot be read; type it again, a half as 1/2")
		s.notWritten()
		return s.flush()
	}
	s.take1(strings.TrimSpace(keyed(line)))
	for s.ask == nil && len(s.next) > 0 && !s.done {
		line, s.next = s.next[0], s.next[1:]
		s.rest(line)
	}
	return s.flush()
}

// take1 takes one line: an answer, or at rest a command or a bay.
func (s *Session) take1(line string) {
	if s.ask == nil {
		s.rest(line)
		return
	}
	answer, text, best := s.ask, s.text, s.best
	s.ask, s.text, s.best = nil, "", false
	c := command(line)
	switch {
	case c == nil || c.during == answers:
		answer(line)
	case c.during == drops:
		s.half, s.lost = nil, nil
		s.sayf("Dropped. Nothing was written.")
	case c.during == ends && best:
		answer(line) // which takes the first and keeps the line for then
	case c.during == ends:
		c.run(s, "")
	default:
		c.run(s, "")
		s.question(text, answer)
		s.best = best
	}
}

// instead tells whether a line that was typed as an answer is none: the line of a bay, or a command
// with what belongs to it. It is taken as such, and what was typed of the bay before stays half
// typed. A bare yes is an answer, to be asked for a figure again.
func (s *Session) instead(line string) bool {
	if s.answer(line) != model.Unsaid {
		return false
	}
	word, tail := cut(line)
	tokens := strings.Fields(line)
	_, _, named := s.known(tokens)
	if !(tail != "" && command(word) != nil || named && len(tokens) > 1 && !numeric(tokens[0]) || !numeric(tokens[0]) && !isWord(tokens[0]) && tokens[0] != "shared" && tokens[0] != "no") {
		return false
	}
	s.setDown()
	s.queue(line)
	return true
}

// queue keeps a line that was typed instead of an answer for when what was asked is done.
func (s *Session) queue(line string) {
	if line != "" {
		s.next = append(s.next, line)
	}
}

// Close ends the session where the lines end, as finish does.
func (s *Session) Close() (text string) {
	for n := 0; !s.done && n < 3; n++ {
		text += s.Feed("finish")
	}
	return text
}

// flush returns what was said since the last line and forgets it.
func (s *Session) flush() string {
	text := s.out.String()
	s.out.Reset()
	return text
}

// question makes the next line an answer; text is what it answers.
func (s *Session) question(text string, then func(line string)) {
	s.text, s.ask = text, then
}

// sayf writes a paragraph in the crew's language, wrapped; further lines are indented as far as the
// first and two more. What stands in columns keeps its place: two spaces beside each other are no
// place to break.
func (s *Session) sayf(english string, args ...any) {
	for _, line := range strings.Split(s.say.F(english, args...), "\n") {
		body := strings.TrimLeft(line, " ")
		indent := line[:len(line)-len(body)]
		body = strings.ReplaceAll(screen.Clean(body), "  ", "\u00a0\u00a0")
		for _, part := range screen.Fill(indent, indent+"  ", body, s.opt.Width-1) {
			s.out.WriteString(part + "\n")
		}
	}
}

// refusef says why a line was not written, and keeps that it was not.
func (s *Session) refusef(english string, args ...any) {
	s.notTaken()
	if why := s.say.F(english, args...); s.opt.Bare {
		s.sayf("%s", why)
	} else {
		s.sayf("not written: %s", why)
	}
}

// usagef says how a command is typed whose line lacks something, and keeps that it was not written.
func (s *Session) usagef(english string, args ...any) {
	s.notTaken()
	s.sayf(english, args...)
}

// answer reads yes, no or ?; in a Spanish job also sí and no.
func (s *Session) answer(line string) model.Answer {
	a, _ := model.ParseAnswer(answerIn(s.say.Language, line))
	return a
}

// answerIn is a word as the grammar has it: a crew that reads Spanish may say sí for yes. Nothing
// else is translated: the words of the log are the same for everybody.
func answerIn(l lang.Language, word string) string {
	if l == lang.Spanish && slices.Contains([]string{"sí", "si", "s"}, strings.ToLower(word)) {
		return "yes"
	}
	return word
}

// Go makes a section, a machine in it and the initials of who types the present ones; orders are
// then those of its bays.
func (s *Session) Go(section, machine, by string) {
	s.machine, s.opt.By = machine, by
	s.ask, s.text, s.best = nil, "", false // nobody answers
	if strings.EqualFold(s.section, section) {
		return
	}
	s.section = section
	if sec := s.find(section); sec != nil {
		s.section = sec.Name
	}
	s.take(s.job)
}

// Again puts a row that was typed before, with whatever time it has, behind the log.
func (s *Session) Again(row Row) string {
	s.odd = ""
	s.put(row)
	return s.flush()
}

// Full tells whether every bay that the present section's table counts is filled, or left.
func (s *Session) Full() bool {
	sec := s.find(s.section)
	if sec == nil || sec.Expected < 1 {
		return false
	}
	done := 0
	for _, b := range baysOf(s.job, s.section) {
		if b.Fill != nil {
			done++
		}
	}
	for _, b := range s.job.Left {
		if b.Section == sec {
			done++
		}
	}
	return done >= sec.Expected
}

// Section is the present one.
func (s *Session) Section() string { return s.section }

// CanUndo tells whether there is an entry to take back.
func (s *Session) CanUndo() bool { return len(s.own) > 0 }

// Judge finds out about the job anew, where whoever judges knows more by now.
func (s *Session) Judge() { s.take(s.job) }

// Next is the bay of the present section that comes next.
func (s *Session) Next() string { return s.nextName() }

// Findings are those of the job as its log stands, with orders in the present section.
func (s *Session) Findings() *verify.Findings { return s.f }

// Odd is what looked odd in the last entry, with the word that mends it; empty where nothing did.
func (s *Session) Odd() string { return s.odd }

// Row is one row of the log to be: column to text as the file shall hold it. A column that is not
// in it is an empty cell. The driver adds the time.
type Row map[string]string

// Book is the log on disk.
type Book interface {
	// Job returns the job as its files stand, without anything of this sitting that is not in them.
	Job() (*model.Job, []model.Fault)
	// Try puts the job together as it would be with the rows after its log. It writes nothing.
	Try(rows ...Row) (*model.Job, []model.Fault)
	// Append writes one row and returns once it is on disk. ErrChanged means that nothing was
	// written because the file is no longer what this sitting last saw; Reload makes it known
	// again.
	Append(row Row) error
	// AppendCore writes a row into the file of cores and test boxes, by its columns.
	AppendCore(row Row) error
	// TakeBackCore takes the last of those rows out again.
	TakeBackCore() error
	// Reload reads the files again and says what another program made of the log.
	Reload() (Changed, error)
}

// Changed is what another program made of the log.
type Changed struct {
	Lost []Row  // rows that stood in it and are gone
	Kept string // the file that holds the log as it was; empty where nothing is gone
	Torn string // the file that a torn last line was set aside in; empty where there was none
}

// ErrChanged says that somebody else changed the log since the last look.
var ErrChanged = errors.New("the log was changed by another program")

// keyed takes out of a line what no key writes: control characters come from a paste.
func keyed(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, text)
}
