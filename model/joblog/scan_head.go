package joblog

import (
	"io"
	"strings"

	"golang.org/x/text/transform"

	"bayproof/model"
)

// start reads the header. It answers true where the log has a column job and its rows can be cut.
func (c *jobCutter) start() bool {
	for !c.ended && strings.Count(c.buf, "\n") < 3 {
		c.fill()
	}
	r := c.shared.reader
	buf, wide := c.buf, utf16Of(c.buf)
	if wide.wide() {
		buf, _ = wide.coder().NewDecoder().String(buf[:len(buf)&^1])
	}
	if strings.IndexByte(buf[:min(len(buf), 4096)], 0) >= 0 {
		return false
	}
	head, n := headerOf(buf)
	if n < 0 {
		return false
	}
	probe := faultList{}
	text, ok := decode(r.log, 1, buf[:n], &probe)
	if !ok {
		return false
	}
	s, ok := openSheet(r.log, text, bayColumns(), &probe)
	if !ok || s.field("job") < 0 {
		return false
	}
	if r.opt.Hash || r.opt.KeepRaw {
		r.hash(r.log)
	} else {
		r.inputs = append(r.inputs, model.Input{File: r.log})
	}
	r.beside()
	if c.shared.plan = r.plan(text); c.shared.plan == nil || len(r.f.list) > 0 {
		c.shared.failed = true
		return false
	}
	c.cut, c.field = c.shared.plan.sheet.cut, c.shared.plan.jobField
	c.head = head
	c.line = strings.Count(buf[:n], "\n")
	if wide.wide() { // from here on the file is read as UTF-8
		c.from = transform.NewReader(io.MultiReader(strings.NewReader(c.buf), c.from), wide.coder().NewDecoder())
		c.buf, c.ended = "", false
		for !c.ended && len(c.buf) < n {
			c.fill()
		}
	}
	c.buf = c.buf[n:]
	c.first = map[string]int{}
	return true
}

// headerOf finds the header line, the first that holds something and is no separator line, and where the rows begin; -1
// where there is none.
func headerOf(b string) (line string, rows int) {
	at := 0
	for at < len(b) {
		n := strings.IndexByte(b[at:], '\n')
		if n < 0 {
			return b[at:], len(b)
		}
		line = strings.TrimSuffix(b[at:at+n], "\r")
		at += n + 1
		text := strings.TrimPrefix(line, bom)
		if !blankLine(text) && sepLine(text) == 0 {
			return line, at
		}
	}
	return "", -1
}
