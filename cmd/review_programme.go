package cmd

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/model/joblog"
	"bayproof/verify/audit"
)

// askHelp lists what a programme can ask for.
func askHelp() string {
	var b strings.Builder
	for _, d := range audit.AskDefs() {
		hanging(&b, fmt.Sprintf("  %-20s ", d.Name), d.Kind+": "+d.Means)
	}
	return b.String()
}

// readProgramme reads the programme's settings. What stands on the command line beats them.
func (o *reviewOptions) readProgramme() error {
	if o.programme == "" {
		return nil
	}
	f, err := os.Open(o.programme)
	if err != nil {
		return plainPath(err)
	}
	defer f.Close()
	in := csv.NewReader(&skipBOM{r: f})
	in.FieldsPerRecord, in.TrimLeadingSpace, in.LazyQuotes = -1, true, true
	seen := map[string]int{}
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("%s: %w", o.programme, err)
		}
		line, _ := in.FieldPos(0)
		name, value := strings.ToLower(strings.ReplaceAll(strings.TrimSpace(row[0]), " ", "_")), ""
		if len(row) > 1 {
			value = strings.TrimSpace(row[1])
		}
		if name == "" || name == "name" || value == "" {
			continue
		}
		if first, again := seen[name]; again {
			return fmt.Errorf("%s:%d: %s stands in line %d already", o.programme, line, name, first)
		}
		seen[name] = line
		if err := o.programmeRow(name, value); err != nil {
			return withHint(fmt.Errorf("%s:%d:2: %w", o.programme, line, err), programmeHint(name))
		}
	}
}

// programmeRow takes one row: a setting of the jobs, or evidence that is asked for.
func (o *reviewOptions) programmeRow(name, value string) error {
	for _, d := range model.SettingDefs() {
		if d.Name == name {
			if _, given := o.settings[name]; !given {
				o.settings[name] = value
			}
			return nil
		}
	}
	for _, d := range audit.AskDefs() {
		if d.Name == name {
			return setAsk(d, &o.audit.Asks, value)
		}
	}
	return fmt.Errorf("%s is no setting and nothing that can be asked for", name)
}

// setAsk reads the value of an ask: a share, a number, or yes or no.
func setAsk(d audit.AskDef, asks *audit.Asks, value string) error {
	switch p := d.Field(asks).(type) {
	case *float64:
		if answer, bad := cell.YesNo(d.Name, value); bad == nil {
			*p = map[model.Answer]float64{model.Yes: 1}[answer]
			return nil
		}
		form := joblog.SettingForm(model.SettingDef{Name: d.Name, Kind: model.SettingShare, Zero: true, Max: 1}, model.US, false)
		v, bad := form.Number(value)
		if bad != nil || math.IsNaN(v) {
			return fmt.Errorf("%s %s: a share up to 1, a percentage, or yes or no", d.Name, value)
		}
		*p = v
	case *int:
		n, err := strconv.Atoi(value)
		if err != nil || n < 0 || n > 1000 {
			return fmt.Errorf("%s %s: a whole number from 0 to 1000", d.Name, value)
		}
		*p = n
	case *bool:
		answer, bad := cell.YesNo(d.Name, value)
		if bad != nil {
			return fmt.Errorf("%s %s: yes or no", d.Name, value)
		}
		*p = answer == model.Yes
	}
	return nil
}

// programmeHint guesses what was meant.
func programmeHint(name string) string {
	var known []string
	for _, d := range model.SettingDefs() {
		known = append(known, d.Name)
	}
	for _, d := range audit.AskDefs() {
		known = append(known, d.Name)
	}
	if near := cell.Nearest(name, known); near != "" && near != name {
		return "did you mean " + near + "?"
	}
	return "bayproof review --help lists what can be asked for"
}

// skipBOM leaves out the mark that spreadsheets put before UTF-8.
type skipBOM struct {
	r       io.Reader
	started bool
}

func (s *skipBOM) Read(p []byte) (int, error) {
	n, err := s.r.Read(p)
	if !s.started && n > 0 {
		s.started = true
		if n >= 3 && string(p[:3]) == "\ufeff" {
			n = copy(p, p[3:n])
		}
	}
	return n, err
}
