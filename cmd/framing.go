package cmd

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
)

// sectionRow is a row of sections.csv as start writes it.
type sectionRow struct{ name, kind, bays, spacing, width, depth, length string }

// thick is what a nominal 2-in member measures, in: the clear width is the spacing less it.
const thick = 1.5

// framing reads "2x6 at 24" as the clear width and depth between dressed members, and "22.5 x 5.5" as they are.
func framing(text string, units model.System) (spacing, width, depth string, err error) {
	text = strings.ToLower(strings.TrimSpace(text))
	if text == "" {
		return "", "", "", nil
	}
	if m := regexp.MustCompile(`^2 ?[x×] ?(\d+) ?(?:at|@|,)? ?(\d+(?:\.\d+)?) ?(?:in|oc|o\.c\.)?$`).FindStringSubmatch(text); m != nil {
		nominal, _ := strconv.Atoi(m[1])
		deep, ok := model.DressedInches(nominal)
		on, _ := strconv.ParseFloat(m[2], 64)
		if !ok || on <= thick {
			return "", "", "", fmt.Errorf("framing %s: 2x4, 2x6, 2x8, 2x10 or 2x12 at 12 to 24", text)
		}
		in := ""
		if units == model.SI {
			in = " in"
		}
		return cell.FormatNumber(on) + in, cell.FormatNumber(on-thick) + in, cell.FormatNumber(deep) + in, nil
	}
	parts := regexp.MustCompile(`\s*[x×]\s*|\s+by\s+`).Split(text, -1)
	if len(parts) != 2 {
		return "", "", "", fmt.Errorf("framing %s: write 2x6 at 24, or clear width x depth as in 22.5 x 5.5", text)
	}
	for i, name := range []string{"width", "depth"} {
		form, _ := cell.Column(name, units)
		plain, bad := form.Plain(parts[i])
		if bad != nil {
			return "", "", "", fmt.Errorf("%s", bad.What)
		}
		parts[i] = plain
	}
	return "", parts[0], parts[1], nil
}

// parseSection reads name, kind, bays, framing, length.
func parseSection(cells []string, units model.System) (sectionRow, error) {
	for len(cells) < 5 {
		cells = append(cells, "")
	}
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	row := sectionRow{name: cells[0], kind: cells[1], bays: cells[2]}
	if row.name == "" {
		return row, fmt.Errorf("a name is missing")
	}
	if len(cells) > 5 {
		return row, fmt.Errorf("%d values, not five", len(cells))
	}
	if err := sectionKind(row.kind); err != nil {
		return row, err
	}
	if n, err := strconv.Atoi(row.bays); row.bays != "" && (err != nil || n < 0) {
		return row, fmt.Errorf("%s is no number of bays", row.bays)
	}
	var err error
	if row.spacing, row.width, row.depth, err = framing(cells[3], units); err != nil {
		return row, err
	}
	form, _ := cell.Column("length", units)
	plain, bad := form.Plain(cells[4])
	if bad != nil {
		return row, fmt.Errorf("%s", bad.What)
	}
	row.length = plain
	return row, nil
}

// kinds are the kinds of section that sections.csv knows.
func kinds() []string { return []string{"rafter", "wall", "floor", "knee wall"} }

// sectionKind refuses a word that sections.csv would refuse later.
func sectionKind(text string) error {
	for _, k := range kinds() {
		if text == "" || strings.EqualFold(text, k) {
			return nil
		}
	}
	return fmt.Errorf("%s is no kind of section: %s", text, strings.Join(kinds(), ", "))
}

// askSections asks for one section after the other until a name stays empty.
func (q *questions) askSections() {
	for n := 1; !q.over; n++ {
		name := q.line(fmt.Sprintf("section %d, a run of like bays as in north slope", n), "bays are compared within it; Enter: no more", "")
		if name == "" {
			return
		}
		q.askSection(name)
	}
}

// askSection asks what is known of a section, each thing until the answer can be one.
func (q *questions) askSection(name string) {
	cells := []string{name, "", "", "", ""}
	for i, x := range []question{
		{ask: "rafter, wall, floor or knee wall", why: "cautions and the record go by it", fallback: "rafter"},
		{ask: "how many bays, counted from outside", why: "so that none is forgotten"},
		{ask: "framing as in 2x6 at 24, or clear width x depth", why: "for the plan only; the tape counts"},
		{ask: "length of a usual bay", why: "for the plan only"},
	} {
		for !q.over {
			cells[i+1] = q.line("  "+name+": "+x.ask, x.why, x.fallback)
			_, err := parseSection(cells, q.units())
			if err == nil {
				break
			}
			fmt.Fprintf(q.o.env.Stdout, "  %s\n", err)
			cells[i+1] = ""
		}
	}
	row, err := parseSection(cells, q.units())
	if err == nil {
		q.sections = append(q.sections, row)
	}
}

// sectionTable is sections.csv.
func (q *questions) sectionTable() []byte {
	rows := [][]string{{"section", "kind", "bays", "spacing", "width", "depth", "length", "covers", "bags_used", "label_r", "note"}}
	for _, s := range q.sections {
		rows = append(rows, []string{cell.GuardText(s.name), s.kind, s.bays, s.spacing, s.width, s.depth, s.length, "", "", "", ""})
	}
	return table(rows)
}
