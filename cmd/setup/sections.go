package setup

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// Section is a row of sections.csv as start writes it, by its columns: cells as text, with a unit
// where they are not in the job's.
type Section map[string]string

// SectionsFile is a sections.csv of the sections that are added.
func (q *Questions) SectionsFile() []byte {
	rows := [][]string{{"section", "kind", "bays", "spacing", "shape", "width", "depth", "length", "face", "holes", "vent_space", "unvented", "climate_zone", "covers", "bags_used", "label_r", "note"}}
	for _, s := range q.Sections {
		var row []string
		for _, column := range rows[0] {
			row = append(row, s[column])
		}
		rows = append(rows, row)
	}
	return table(rows)
}

// about are the questions about one section, in the order of the cells after its name; which of
// them are asked hangs on what is known of it.
func (s Section) about(units model.System) []question {
	list := []question{
		{ask: "rafter, wall, floor or knee wall", why: "cautions and the record go by it", fallback: "rafter", more: "floor: an attic floor or a cantilever; knee wall: the triangle behind it.", take: s.kind},
		{ask: "how many bays, counted from outside", why: "so that none is forgotten", take: s.bays},
		{ask: "framing as in 2x6 at 24, or clear width x depth", why: "for the plan only; the tape counts", more: "Clear is between framing, where material can be: an old 2x6 is not 5 1/2.",
			take: func(text string) error { return s.framing(text, units) }},
		{ask: "length of a usual bay", why: "for the plan only", take: func(text string) error { return s.long(text, units) }},
		{ask: "what holds the material: rigid, netting or membrane", why: "netting and membrane stand out, and the bulge is measured", fallback: "rigid", more: "rigid: boards, drywall, siding. The bulge is measured after filling, at mid-width.", take: s.oneOf("face", "rigid", "netting", "membrane")},
	}
	if s["face"] == "rigid" {
		list = append(list, question{ask: "may another hole be made where a bay needs one: drill, ask or no", why: "orders go by it", fallback: "ask", more: "drill: the siding is off. ask: a finished face. no: another way is found.", take: s.oneOf("holes", "drill", "ask", "no")})
	}
	switch s["kind"] {
	case "rafter", "":
		list = append(list, question{ask: "is a channel left open for air under the sheathing: yes, no, or unvented", why: "depths are below it; an unvented roof has its own rules", more: "yes: 1 in or more, with eave vents. unvented: no ventilation above the bays by design; then the climate zone is asked.", take: s.channel})
	case "knee wall":
		list = append(list, question{ask: "shape of a bay: wedge (a triangle), box or taper", why: "a wedge holds half of a box", fallback: "wedge", take: s.oneOf("shape", "wedge", "box", "taper")})
	}
	if s["unvented"] == "yes" {
		list = append(list, question{ask: "climate zone, as in 4A", why: "the code's table for unvented roofs goes by it", take: func(text string) error { s["climate_zone"] = text; return nil }})
	}
	for i := range list {
		list[i].ask = "  " + s["section"] + ": " + list[i].ask
	}
	return list
}

// askSections asks for one section after the other, until there is no more. back at the first name
// goes back to the questions about the job, later into the section before.
func (q *Questions) askSections() (back bool) {
	blank := false
	for !q.Over() {
		n := len(q.Before) + len(q.Sections)
		answer, back := q.line(question{ask: fmt.Sprintf("section %d, a run of like bays as in north slope, or no more", n+1), why: "bays are compared within it; all on one line: north slope, rafter, 14, 2x6 at 24, 12, rigid, ask, no"})
		switch low := strings.ToLower(answer); {
		case back && len(q.Sections) == 0:
			return true
		case back:
			last := q.Sections[len(q.Sections)-1]
			q.Sections = q.Sections[:len(q.Sections)-1]
			q.askSection(last, len(last.about(q.units()))-1)
		case answer == "" && !q.Over() && !blank, low == "yes", low == "y":
			blank = true
			q.Tell("  ", "the next section's name, or no more")
		case answer == "", low == "no more", low == "no", low == "none", low == "done":
			return false
		default:
			blank = false
			s, known, err := q.parse(answer)
			switch {
			case err != nil:
				q.Tell("  ", err.Error())
			case q.named(s["section"]):
				q.Tell("  ", s["section"]+" is there already")
			default:
				q.askSection(s, known) // what the line left out
			}
		}
	}
	return false
}

// named tells whether a section of that name is there.
func (q *Questions) named(name string) bool {
	name = model.Fold(name)
	return slices.ContainsFunc(q.Before, func(other string) bool { return model.Fold(other) == name }) ||
		slices.ContainsFunc(q.Sections, func(s Section) bool { return model.Fold(s["section"]) == name })
}

// askSection asks what is known of a section from one of its questions on, each until the answer
// can be one.
func (q *Questions) askSection(s Section, from int) {
	if !q.through(from, func() []question { return s.about(q.units()) }) {
		q.Sections = append(q.Sections, s)
	}
}

// Add takes a section from one line, its name and the answers about it in their order. All but the
// name may be missing.
func (q *Questions) Add(line string) error {
	s, _, err := q.parse(line)
	if err == nil {
		q.Sections = append(q.Sections, s)
	}
	return err
}

// parse reads such a line; known is how many answers it has.
func (q *Questions) parse(line string) (s Section, known int, err error) {
	cells := strings.Split(line, ",")
	s = Section{"section": strings.TrimSpace(cells[0])}
	if s["section"] == "" {
		return s, 0, errors.New("a name is missing")
	}
	for _, text := range cells[1:] {
		list := s.about(q.units())
		if known == len(list) {
			return s, known, fmt.Errorf("%d values, not %d", len(cells), known+1)
		}
		if err := list[known].take(strings.TrimSpace(text)); err != nil {
			return s, known, err
		}
		known++
	}
	return s, known, nil
}

// oneOf takes one of a column's words, and nothing for none.
func (s Section) oneOf(column string, words ...string) func(string) error {
	return func(answer string) error {
		low := strings.ToLower(answer)
		if answer != "" && !slices.Contains(words, low) {
			return fmt.Errorf("%s: %s or %s", answer, strings.Join(words[:len(words)-1], ", "), words[len(words)-1])
		}
		s[column] = low
		return nil
	}
}

// kind takes what a section is. The triangle behind a knee wall holds half of a box.
func (s Section) kind(text string) error {
	if err := s.oneOf("kind", "rafter", "wall", "floor", "knee wall")(text); err != nil {
		return err
	}
	if s["shape"] = ""; s["kind"] == "knee wall" {
		s["shape"] = "wedge"
	}
	return nil
}

// bays takes how many there are.
func (s Section) bays(text string) error {
	if n, err := strconv.Atoi(text); text != "" && (err != nil || n < 0) {
		return fmt.Errorf("%s is no number of bays", text)
	}
	s["bays"] = text
	return nil
}

// long takes the length of a usual bay.
func (s Section) long(text string, units model.System) (err error) {
	if text, err = plain("length", text, units); err == nil {
		s["length"] = text
	}
	return err
}

// plain is a size as the file holds it.
func plain(column, text string, units model.System) (string, error) {
	form, _ := cell.Column(column, units)
	text, bad := form.Plain(text)
	if bad != nil {
		return "", errors.New(bad.What)
	}
	return text, nil
}

// thick is what a nominal 2-in member measures, in: the clear width is the spacing less it.
const thick = 1.5

// framing takes the framing of a usual bay: "2x6 at 24" as the clear width and depth between dressed
// members, and "22.5 x 5.5" as they are. Lumber is named by what it measured before it was dried and
// planed: a 2x6 is 1.5 by 5.5 in, so that members 24 in on center leave 22.5 in. Names of lumber are
// in inches whatever the job's units are, which the cells then say.
func (s Section) framing(text string, units model.System) error {
	text = strings.ToLower(strings.TrimSpace(text))
	if text == "" {
		s.framed("", "", "")
		return nil
	}
	if m := regexp.MustCompile(`^2 ?[x×] ?(\d+) ?(?:at|@|,)? ?(\d+(?:\.\d+)?) ?(?:in|oc|o\.c\.)?$`).FindStringSubmatch(text); m != nil {
		nominal, _ := strconv.Atoi(m[1])
		deep, ok := model.DressedInches(nominal)
		on, _ := strconv.ParseFloat(m[2], 64)
		if !ok || on <= thick {
			return fmt.Errorf("framing %s: 2x4, 2x6, 2x8, 2x10 or 2x12 at 12 to 24", text)
		}
		in := ""
		if units == model.SI {
			in = " in"
		}
		s.framed(cell.FormatNumber(on)+in, cell.FormatNumber(on-thick)+in, cell.FormatNumber(deep)+in)
		return nil
	}
	parts := regexp.MustCompile(`\s*[x×]\s*|\s+by\s+`).Split(text, -1)
	if len(parts) != 2 {
		return fmt.Errorf("framing %s: write 2x6 at 24, or clear width x depth as in 22.5 x 5.5", text)
	}
	width, err := plain("width", parts[0], units)
	if err != nil {
		return err
	}
	depth, err := plain("depth", parts[1], units)
	if err == nil {
		s.framed("", width, depth)
	}
	return err
}

// framed sets the cells of a framing.
func (s Section) framed(spacing, width, depth string) {
	s["spacing"], s["width"], s["depth"] = spacing, width, depth
}

// channel takes whether air passes under the sheathing: unvented is no, and by design.
func (s Section) channel(text string) error {
	a, ok := model.ParseAnswer(text)
	switch {
	case strings.EqualFold(text, "unvented"):
		s["vent_space"], s["unvented"] = "no", "yes"
	case !ok && text != "":
		return errors.New("yes, no or unvented")
	default:
		s["vent_space"], s["unvented"] = a.String(), ""
	}
	return nil
}
