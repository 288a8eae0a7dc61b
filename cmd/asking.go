package cmd

import (
	"bufio"
	"errors"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/peterh/liner"
)

// asking is a person who answers, or a file that stands in for one.
type asking interface {
	// Ask shows a question and returns the answer; io.EOF where no more answers come.
	Ask(question string) (string, error)
	Close() error
}

// newAsking returns a line editor where someone types at a terminal, else a plain reader that shows no questions.
func newAsking(env *Env) asking {
	if env.StdinTerminal && env.StdoutTerminal && env.Getenv("TERM") != "dumb" {
		l := liner.NewLiner()
		l.SetCtrlCAborts(true)
		return &typing{l, env.Stdout}
	}
	return &piped{in: bufio.NewReader(env.Stdin), out: env.Stdout, show: env.StdinTerminal}
}

// typing is a terminal with line editing and a history of the sitting.
type typing struct {
	line *liner.State
	out  io.Writer
}

func (t *typing) Ask(question string) (string, error) {
	head, last := lastLine(question)
	if _, err := io.WriteString(t.out, head); err != nil {
		return "", err
	}
	answer, err := t.line.Prompt(last)
	if errors.Is(err, liner.ErrPromptAborted) {
		return "", io.EOF
	}
	if err == nil && strings.TrimSpace(answer) != "" {
		t.line.AppendHistory(answer)
	}
	return answer, err
}

// lastLine cuts a question into what is printed and the last line, behind which the answer is typed: a line editor
// wants the whole line on the screen, with room for the answer.
func lastLine(question string) (head, last string) {
	const room = 60
	var b strings.Builder
	for _, line := range strings.SplitAfter(question, "\n") {
		b.WriteString(last)
		last = line
		for utf8.RuneCountInString(last) > room {
			runes := []rune(last)
			cut := strings.LastIndex(strings.TrimRight(string(runes[:room]), " "), " ")
			if cut <= 0 {
				break
			}
			b.WriteString(last[:cut] + "\n")
			last = "  " + strings.TrimLeft(last[cut:], " ")
		}
	}
	return b.String(), last
}

func (t *typing) Close() error { return t.line.Close() }

// piped reads lines; questions are shown only where a person types at a terminal that cannot edit.
type piped struct {
	in   *bufio.Reader
	out  io.Writer
	show bool
}

func (p *piped) Ask(question string) (string, error) {
	if p.show {
		io.WriteString(p.out, question)
	}
	line, err := p.in.ReadString('\n')
	if err != nil && line == "" {
		return "", err
	}
	return strings.TrimRight(line, "\r\n"), nil
}

func (p *piped) Close() error { return nil }
