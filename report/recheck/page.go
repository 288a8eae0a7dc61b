package recheck

import (
	"bytes"
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	xhtml "golang.org/x/net/html"

	"bayproof/report/record"
)

// A page is held against the page that is written again in two ways. Its elements, one by one, with
// all that is not seen: styles, scripts, drawings, attributes; that is what a record has to stand.
// Its lines, as somebody reads them: they say what differs in words, and are all that can be held
// against a page that a browser or a formatter wrote anew.

// element is one piece of a page: a start or an end of an element, a text, a comment.
type element struct {
	kind  xhtml.TokenType
	name  string // of the element; of a text that of the element that it stands in
	text  string // of a text, with its white space made one blank; of a comment as it is
	attrs []xhtml.Attribute
}

// line is what somebody reads as one piece of text, and where.
type line struct {
	text  string
	parts string // its texts, of elements of their own: between them alone a formatter may put blanks
	part  Part
	where string
	is    string // what figure it is, as the page marks those that are compared whatever its sentences are
}

// looked is a page taken apart.
type looked struct {
	elements []element
	lines    []line
	plots    []string // of a page that a browser wrote anew: its charts
	plotted  []string // and the texts in them
}

// inline are the elements that do not end a line of text.
var inline = map[string]bool{
	"a": true, "b": true, "bdi": true, "cite": true, "code": true, "em": true, "i": true, "s": true, "small": true, "span": true, "strong": true, "sub": true, "sup": true,
	"svg": true, "use": true, "path": true, "rect": true, "circle": true, "polygon": true, "g": true, "img": true,
}

// look takes a page apart that states a digest. Of a page that a browser wrote anew the words of the
// charts stand apart: it has kept them as the script drew them.
func look(page []byte, saved bool, digest string) *looked {
	r := reader{saved: saved, digest: digest}
	z := xhtml.NewTokenizer(bytes.NewReader(page))
	for z.Next() != xhtml.ErrorToken {
		r.token(z.Token())
	}
	r.end()
	return &r.looked
}

// token goes on by one token of the page.
func (r *reader) token(t xhtml.Token) {
	e := element{kind: t.Type, name: t.Data, attrs: t.Attr}
	r.withoutDigest(&e)
	// Outside of drawings a browser takes what closes itself for a start alone: all that follows
	// would stand in it.
	if t.Type == xhtml.SelfClosingTagToken && !drawn[t.Data] {
		t.Type, e.kind = xhtml.StartTagToken, xhtml.StartTagToken
	}
	switch t.Type {
	case xhtml.TextToken:
		e.name, e.text = last(r.open), strings.Join(strings.FieldsFunc(t.Data, collapses), " ")
		if e.text == "" {
			r.wantsSpace = true
			return
		}
		if r.shows && r.digest != "" && (e.text == r.digest || e.text == r.digest[:shortSize]) {
			e.text = "" // it has a check of its own
		}
	case xhtml.CommentToken:
		e.name, e.text = "", t.Data
	case xhtml.SelfClosingTagToken: // as the two that it stands for, which is how a browser writes it
		e.kind = xhtml.StartTagToken
		r.elements = append(r.elements, e, element{kind: xhtml.EndTagToken, name: t.Data})
		r.tag(t.Data, t.Attr)
		return
	case xhtml.StartTagToken:
		if !void[e.name] {
			r.open = append(r.open, e.name)
		}
		if r.veil == 0 && (slices.ContainsFunc(t.Attr, func(a xhtml.Attribute) bool { return a.Key == "hidden" }) || e.name != "html" && attr(t.Attr, "style") != "") {
			r.veil = len(r.open)
		}
		if r.saved && r.plot == 0 && e.name == "div" && attr(t.Attr, "class") == "plot" {
			r.plot = len(r.open)
			r.plots = append(r.plots, attr(t.Attr, "id"))
		}
	case xhtml.EndTagToken:
		for len(r.open) > 0 && last(r.open) != e.name {
			r.open = r.open[:len(r.open)-1]
		}
		if len(r.open) > 0 {
			r.open = r.open[:len(r.open)-1]
		}
		defer func(depth int) { // what ends here still stands in it
			if r.plot > depth {
				r.plot = 0
			}
			if r.veil > depth {
				r.veil = 0
			}
		}(len(r.open))
	}
	id := attr(e.attrs, "id")
	r.shows = e.kind == xhtml.StartTagToken && e.name == "code" && (id == "digest" || id == "short")
	r.elements = append(r.elements, e)
	switch {
	case r.plot == 0:
		r.take(e, t.Data)
	case e.kind == xhtml.TextToken && e.text != "":
		r.plotted = append(r.plotted, e.text)
	}
}

// collapses tells white space that a browser shows as one blank or as none. Blanks of another width,
// and those that do not break, it shows each.
func collapses(c rune) bool { return strings.ContainsRune(" \t\n\f\r", c) }

// shortSize is how many digits the digest has in short.
const shortSize = 12

// withoutDigest blanks the digest that the page states where a start of an element shows it: in the
// running head and as a square code.
func (r *reader) withoutDigest(e *element) {
	if r.digest == "" {
		return
	}
	for i, a := range e.attrs {
		switch {
		case e.name == "html" && a.Key == "style":
			e.attrs[i].Val = headDigest().ReplaceAllStringFunc(a.Val, func(s string) string { return strings.Replace(s, r.digest[:shortSize], "", 1) })
		case e.name == "path" && a.Key == "d" && attr(e.attrs, "id") == "code" && a.Val == record.SquareCode(r.digest):
			e.attrs[i].Val = ""
		}
	}
}

// headDigest finds the digest in short where the style of the running head states it.
var headDigest = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`--digest:\s*['"][0-9a-f]{12}['"]`) })

// drawn are the elements of a drawing, which may close themselves.
var drawn = map[string]bool{"svg": true, "use": true, "path": true, "rect": true, "circle": true, "polygon": true, "g": true, "defs": true, "symbol": true, "pattern": true}

// void are the elements that have no end.
var void = map[string]bool{"meta": true, "img": true, "br": true, "hr": true, "link": true, "input": true, "col": true, "wbr": true}

// last is the innermost of the elements that are open; empty outside all of them.
func last(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return list[len(list)-1]
}

// attr is an attribute's value; one that is not there reads as an empty one.
func attr(list []xhtml.Attribute, key string) string {
	for _, a := range list {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

// reader puts texts together to lines and keeps in mind where it is.
type reader struct {
	looked
	saved      bool
	digest     string   // that the page states, "" where it is read for its figures alone
	open       []string // the elements that are open
	plot       int      // how deep inside a chart, 0 outside
	veil       int      // how deep inside what is hidden or has a style of its own, 0 outside
	shows      bool     // the element before this one shows the digest
	text       strings.Builder
	parts      strings.Builder
	part, bay  string // the part of the page; the bay whose row or card it is, "" between them
	is         string
	wantsSpace bool
	secret     bool   // inside a script or a style sheet
	isEnd      string // the element that ends a marked figure
}

// take goes on by one element; raw is a text with its white space.
func (r *reader) take(e element, raw string) {
	switch e.kind {
	case xhtml.TextToken:
		if r.secret || e.text == "" {
			return
		}
		if (r.wantsSpace || raw[0] <= ' ') && r.text.Len() > 0 {
			r.text.WriteByte(' ')
		}
		r.wantsSpace = raw[len(raw)-1] <= ' '
		r.text.WriteString(e.text)
		r.parts.WriteString(e.text + "\n")
	case xhtml.StartTagToken:
		r.tag(e.name, e.attrs)
		r.secret = e.name == "script" || e.name == "style"
	case xhtml.EndTagToken:
		r.secret = false
		if !inline[e.name] || r.is != "" && e.name == r.isEnd {
			r.end()
		}
		switch e.name {
		case "tr", "article", "table":
			r.bay = ""
		}
	}
}

// tag notes what a start of an element says about the place.
func (r *reader) tag(name string, attrs []xhtml.Attribute) {
	is := attr(attrs, "data-is")
	if !inline[name] || is != "" {
		r.end()
	}
	if is != "" {
		r.is, r.isEnd = is, name
	}
	if of := attr(attrs, "data-of"); of != "" {
		r.bay = of
	}
	if id := attr(attrs, "id"); name == "section" || name == "header" {
		if _, known := partNames()[id]; known {
			r.part, r.bay = id, ""
		}
	}
}

// end ends a line.
func (r *reader) end() {
	text := strings.TrimFunc(r.text.String(), collapses)
	parts := r.parts.String()
	r.text.Reset()
	r.parts.Reset()
	r.wantsSpace = false
	is := r.is
	r.is, r.isEnd = "", ""
	if text == "" {
		return
	}
	if r.veil > 0 { // no figure of the page: nobody may see it
		is = ""
	}
	l := line{text: text, parts: parts, part: Rest, where: partNames()[r.part], is: is}
	switch {
	case is == "verdict":
		l.part = Verdict
	case r.bay != "":
		l.part = BayPart
	case r.part == "front":
		l.part = Headline
	case r.part == "charts":
		l.part = Section
	}
	if r.bay != "" {
		l.where = "bay " + r.bay
	}
	if l.where == "" {
		l.where = "the head of the page"
	}
	r.lines = append(r.lines, l)
}

// partNames says the parts of the page, by the id of their element, in words.
func partNames() map[string]string {
	return map[string]string{
		"front": "the first pages", "charts": "the charts", "bays": "the table of bays", "evidence": "the evidence of the bays",
		"papers": "the paperwork", "checks": "the design checks", "cautions": "the cautions", "method": "the settings and the method", "carry": "what is carried inside",
	}
}

// compared is what came of setting a page against the page written again.
type compared struct {
	same    bool         // every element is: nothing that is seen or not seen differs
	bytes   bool         // to the byte
	sealed  bool         // the digest is another's: whoever changed it put one in anew
	lines   []Difference // lines that read otherwise
	foreign []string     // styles and scripts that are not the page's own, or are gone
	unseen  []string     // what else differs and is not seen
}

// comparePages sets a page against the page that was written again. elsewhere allows drawings and
// the figures behind charts to differ in their last digits, as those of another processor do; words
// and figures that are read never.
func comparePages(o, again *record.Opened, elsewhere bool) compared {
	a, b := look(o.Page, o.SavedAs, o.Stated), look(again.Page, o.SavedAs, again.Stated)
	c := compared{lines: append(compareLines(a.lines, b.lines), comparePlots(a, b)...)}
	c.same = len(c.lines) == 0 && slices.EqualFunc(a.elements, b.elements, func(x, y element) bool { return x.equal(y, elsewhere) })
	if !c.same {
		c.foreign, c.unseen = compareUnseen(a.elements, b.elements)
	}
	return c
}

// comparePlots says what the charts of a page that a browser wrote anew show besides numbers and what
// they carry. It has kept them as the script drew them, so they cannot be compared line by line.
func comparePlots(a, b *looked) []Difference {
	var out []Difference
	if !slices.Equal(a.plots, b.plots) {
		out = append(out, Difference{Rest, partNames()["charts"], strings.Join(a.plots, ", "), strings.Join(b.plots, ", ")})
	}
	known := strings.Join(b.plotted, "\n")
	for i, e := range b.elements {
		var options any
		if i > 0 && attr(b.elements[i-1].attrs, "data-for") != "" && json.Unmarshal([]byte(e.text), &options) == nil {
			known += "\n" + strings.Join(texts(options), "\n")
		}
	}
	for _, text := range a.plotted {
		if !plain().MatchString(text) && !strings.Contains(known, text) {
			out = append(out, Difference{Rest, partNames()["charts"], text, ""})
		}
	}
	return out
}

// plain finds a number as an axis has it.
var plain = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[-−]?[0-9][0-9,.]*$`) })

// texts are the words in a value of JSON.
func texts(v any) []string {
	var out []string
	switch v := v.(type) {
	case string:
		out = append(out, v)
	case []any:
		for _, x := range v {
			out = append(out, texts(x)...)
		}
	case map[string]any:
		for _, x := range v {
			out = append(out, texts(x)...)
		}
	}
	return out
}

// equal tells whether two elements are one. The order of attributes says nothing.
func (e element) equal(o element, elsewhere bool) bool {
	if e.kind != o.kind || e.name != o.name || len(e.attrs) != len(o.attrs) {
		return false
	}
	if e.text != o.text && !(elsewhere && e.name == "script" && alike(e.text, o.text, 2e-4)) {
		return false
	}
	for _, a := range e.attrs {
		i := slices.IndexFunc(o.attrs, func(b xhtml.Attribute) bool { return a.Key == b.Key && a.Namespace == b.Namespace })
		if i < 0 || a.Val != o.attrs[i].Val && !(elsewhere && drawing[a.Key] && alike(a.Val, o.attrs[i].Val, 0.021)) {
			return false
		}
	}
	return true
}

// drawing are the attributes that place ink: numbers in hundredths of a pixel.
var drawing = map[string]bool{"d": true, "points": true, "x": true, "y": true, "x1": true, "x2": true, "y1": true, "y2": true, "width": true, "height": true, "cx": true, "cy": true, "viewbox": true}

// figure finds a number as a drawing, the data of a chart or a sentence writes it.
var figure = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`-?[0-9]+(?:\.[0-9]+)?(?:e[-+]?[0-9]+)?`) })

// alike tells whether two texts are the same but for numbers that lie within a width of each other;
// numbers near nothing and large ones by their share.
func alike(a, b string, within float64) bool {
	if figure().ReplaceAllString(a, "0") != figure().ReplaceAllString(b, "0") {
		return false
	}
	x, y := figure().FindAllString(a, -1), figure().FindAllString(b, -1)
	for i := range x {
		if x[i] == y[i] {
			continue
		}
		p, errA := strconv.ParseFloat(x[i], 64)
		q, errB := strconv.ParseFloat(y[i], 64)
		if errA != nil || errB != nil || math.Abs(p-q) > within {
			return false
		}
	}
	return true
}

// carried names what is data and neither said nor shown; between versions it may differ.
const carried = "what a chart or the record carries as data"

// compareUnseen says what differs besides the lines: by kind, each once.
func compareUnseen(a, b []element) (foreign, unseen []string) {
	x, y := kinds(a), kinds(b)
	say := func(list *[]string, key, more, gone string) {
		if subtract(x[key], y[key]) > 0 {
			*list = append(*list, more)
		} else if subtract(y[key], x[key]) > 0 {
			*list = append(*list, gone)
		}
	}
	say(&foreign, "script", "a script that is not ours", "a script of ours is gone")
	say(&foreign, "style", "a style sheet that is not ours", "our style sheet is gone")
	say(&foreign, "styling", "a style on an element that is not ours", "a style on an element is gone")
	say(&foreign, "handler", "a script on an element that is not ours", "a script on an element is gone")
	say(&unseen, "fetch", "something fetched or shown from elsewhere", "a picture is gone")
	say(&unseen, "comment", "a comment that nobody sees", "a comment is gone")
	say(&unseen, "hidden", "something hidden", "something that was hidden is shown")
	say(&unseen, "data", carried, carried)
	say(&unseen, "markup", "the markup", "the markup")
	return foreign, unseen
}

// kinds sorts what is not read of a page: by kind the texts, each with how often it stands.
func kinds(list []element) map[string]map[string]int {
	out := map[string]map[string]int{}
	add := func(key, text string) {
		if out[key] == nil {
			out[key] = map[string]int{}
		}
		out[key][text]++
	}
	for _, e := range list {
		switch {
		case e.kind == xhtml.CommentToken:
			add("comment", e.text)
		case e.kind == xhtml.TextToken && e.name == "script" && !strings.HasPrefix(e.text, "{"):
			add("script", e.text)
		case e.kind == xhtml.TextToken && e.name == "script":
			add("data", e.text)
		case e.kind == xhtml.TextToken && e.name == "style":
			add("style", e.text)
		}
		if e.kind == xhtml.StartTagToken {
			if e.name != "script" && e.name != "style" { // those count by what they hold
				add("markup", "<"+e.name)
			}
			switch e.name {
			case "link", "iframe", "object", "embed", "base", "form", "input", "video", "audio":
				add("fetch", e.name)
			}
		}
		for _, a := range e.attrs {
			switch {
			case a.Key == "style":
				add("styling", a.Val)
			case strings.HasPrefix(a.Key, "on"):
				add("handler", a.Val)
			case a.Key == "hidden" || a.Key == "aria-hidden":
				add("hidden", a.Key)
			case a.Key == "src" && e.name == "script":
				add("script", a.Val)
			case a.Key == "src":
				add("fetch", a.Val)
			default:
				add("markup", e.name+" "+a.Key+"="+a.Val)
			}
		}
	}
	return out
}

// subtract counts what stands more often in one than in another.
func subtract(a, b map[string]int) int {
	n := 0
	for text, k := range a {
		n += max(0, k-b[text])
	}
	return n
}

// compareLines says which lines read otherwise, in words of the page. The digest is left out: it
// has a check of its own.
func compareLines(a, b []line) []Difference {
	var out []Difference
	for _, e := range edits(a, b) {
		// Lines that came in the place of others are told together, one by one; those left over are
		// new or gone.
		for i := range max(len(e.gone), len(e.new)) {
			d := Difference{}
			if i < len(e.gone) {
				d = Difference{Part: e.gone[i].part, Where: e.gone[i].where, Stated: e.gone[i].text}
			}
			if i < len(e.new) {
				l := e.new[i]
				if d.Where == "" || slices.Index(parts(), l.part) < slices.Index(parts(), d.Part) {
					d.Part, d.Where = l.part, l.where
				}
				d.Now = l.text
			}
			if verdictIn(d.Stated) != verdictIn(d.Now) && d.Part == BayPart {
				d.Part = Verdict
			}
			out = append(out, d)
		}
	}
	return inOrder(out)
}

// verdictIn returns the verdict that a line names, "" for none.
func verdictIn(text string) string { return verdictWord().FindString(text) }

// verdictWord finds a verdict that stands as a word by itself.
var verdictWord = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\b(?:CLOSE|ADD|MEASURE|PROBE)\b`) })

// edit is a run of lines of one page that stands where another run stands in the other.
type edit struct{ gone, new []line }

// edits finds the runs in which two lists of lines differ (Myers 1986, the greedy way): from both
// ends what is the same is passed over, and between them the fewest lines that have to go or come;
// past mostEdits of these all that is left between is one run.
func edits(a, b []line) []edit {
	eq := func(x, y line) bool { return x.text == y.text || x.parts != "" && x.parts == y.parts }
	for len(a) > 0 && len(b) > 0 && eq(a[0], b[0]) {
		a, b = a[1:], b[1:]
	}
	for len(a) > 0 && len(b) > 0 && eq(a[len(a)-1], b[len(b)-1]) {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	if len(a)+len(b) == 0 {
		return nil
	}
	const mostEdits = 1500
	n, m := len(a), len(b)
	limit := min(n+m, mostEdits)
	reach := make([]int, 2*limit+3) // by diagonal: how far along a
	at := func(k int) int { return k + limit + 1 }
	var trail [][]int
	for d := 0; d <= limit; d++ {
		trail = append(trail, slices.Clone(reach[at(-d)-1:at(d)+2]))
		for k := -d; k <= d; k += 2 {
			x := reach[at(k-1)] + 1
			if k == -d || k != d && reach[at(k-1)] < reach[at(k+1)] {
				x = reach[at(k+1)]
			}
			for x < n && x-k < m && eq(a[x], b[x-k]) {
				x++
			}
			reach[at(k)] = x
			if x >= n && x-k >= m {
				return runs(a, b, trail)
			}
		}
	}
	return []edit{{a, b}}
}

// runs walks the trail of a comparison back and gathers what went and came between two lines that
// are the same.
func runs(a, b []line, trail [][]int) []edit {
	type step struct{ x, y, fromX, fromY int }
	var steps []step
	x, y := len(a), len(b)
	for d := len(trail) - 1; d > 0; d-- {
		reach := func(k int) int { return trail[d][k+d+1] }
		k := x - y
		from := k - 1
		if k == -d || k != d && reach(k-1) < reach(k+1) {
			from = k + 1
		}
		fromX, fromY := reach(from), reach(from)-from
		for x > fromX && y > fromY { // lines that are the same
			x, y = x-1, y-1
		}
		steps = append(steps, step{x, y, fromX, fromY})
		x, y = fromX, fromY
	}
	slices.Reverse(steps)
	var out []edit
	lastX, lastY := -1, -1
	for _, s := range steps {
		if s.fromX != lastX || s.fromY != lastY {
			out = append(out, edit{})
		}
		e := &out[len(out)-1]
		if s.x > s.fromX {
			e.gone = append(e.gone, a[s.fromX])
		} else {
			e.new = append(e.new, b[s.fromY])
		}
		lastX, lastY = s.x, s.y
	}
	return out
}
