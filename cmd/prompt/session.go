package prompt

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"bayproof/model"
	"bayproof/report/say"
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

// Options are what the driver chooses.
type Options struct {
	Sheet Sheet
	By    string      // initials written on every row; empty for none
	Hold  []plan.Held // bays to be left open, told once their count is on disk
	Width int         // columns of the screen; 0 for 80
}

// Session is one sitting at the prompt.
type Session struct {
	book Book
	opt  Options

	job     *model.Job
	f       *verify.Findings
	say     *say.Words
	section string

	out  strings.Builder
	text string            // what the next line answers; empty at rest
	ask  func(line string) // takes the answer; nil at rest
	own  []deed
	told map[plan.Held]string
	done bool
}

// deed is one entry of this session, so that it can be taken back.
type deed struct {
	row    Row
	before *model.Job
}

// New starts a session on a log that reads without a fault; otherwise it returns the faults.
func New(book Book, opt Options) (*Session, []model.Fault) {
	s := &Session{book: book, opt: opt, told: map[plan.Held]string{}}
	if s.opt.Width <= 0 {
		s.opt.Width = 80
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
	s.accept(job, findings(job, s.section))
}

// findings are what the prompt shows of a job. Advice is found by recomputing and asked for in one section alone while
// bays are typed; everywhere for an empty name.
func findings(job *model.Job, section string) *verify.Findings {
	return verify.Check(job, verify.Options{Advice: true, AdviceIn: section, Closings: true})
}

// Opening returns what is said before the first line.
func (s *Session) Opening() string { return s.flush() }

// Prompt returns what the next line answers.
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

// Feed takes one line and returns what there is to say to it.
func (s *Session) Feed(line string) string {
	line = strings.TrimSpace(keyed(line))
	if s.ask == nil {
		s.rest(line)
		return s.flush()
	}
	answer := s.ask
	s.ask, s.text = nil, ""
	if word := strings.ToLower(line); word == "cancel" || word == "drop" {
		s.sayf("dropped; nothing was written")
		return s.flush()
	}
	answer(line)
	return s.flush()
}

// Close ends the session where the lines end, as finish does.
func (s *Session) Close() string {
	if !s.done {
		if s.ask != nil {
			s.ask, s.text = nil, ""
			s.sayf("the last entry was not finished and is not in the log")
		}
		s.finish()
	}
	return s.flush()
}

func (s *Session) flush() string {
	text := s.out.String()
	s.out.Reset()
	return text
}

// question makes the next line an answer.
func (s *Session) question(text string, then func(line string)) {
	s.text, s.ask = text, then
}

// sayf writes a paragraph, wrapped; further lines are indented as far as the first and two more. What stands in columns keeps
// its place: two spaces beside each other are no place to break.
func (s *Session) sayf(format string, args ...any) {
	for _, line := range strings.Split(fmt.Sprintf(format, args...), "\n") {
		body := strings.TrimLeft(line, " ")
		indent := line[:len(line)-len(body)]
		body = strings.ReplaceAll(screen.Clean(body), "  ", "\u00a0\u00a0")
		for _, part := range screen.Hang(indent, indent+"  ", body, s.opt.Width-1) {
			s.out.WriteString(part + "\n")
		}
	}
}

// Row is one row of the log to be: column to text as the file shall hold it. The driver adds the time.
type Row map[string]string

// Book is the log on disk.
type Book interface {
	// Job returns the job as its files stand, without anything of this session that is not in them.
	Job() (*model.Job, []model.Fault)
	// Try puts the job together as it would be with the rows after its log. It writes nothing.
	Try(rows ...Row) (*model.Job, []model.Fault)
	// Append writes one row and returns once it is on disk. ErrChanged means that nothing was written because the file
	// is no longer what this session last saw; Reload makes it known again.
	Append(row Row) error
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
		if unicode.IsControl(r) || r == utf8.RuneError {
			return ' '
		}
		return r
	}, text)
}
