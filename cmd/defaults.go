package cmd

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/model/joblog"
)

// defaultsFile is the user's own file of defaults, in the platform's usual place.
func defaultsFile() (string, error) {
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, "bayproof", "defaults.csv"), nil
}

// defaults takes the user's own defaults, which stand behind flags and answers.
func (q *questions) defaults() error {
	file, err := defaultsFile()
	if err != nil {
		return nil // no such place here
	}
	data, err := os.ReadFile(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil // none kept
	case err != nil: // not to be taken for none: the job would be set up without them
		return withHint(plainPath(err), "your defaults: mend the permissions of "+file+", or delete it")
	}
	files := joblog.Overlay(joblog.Overlay(nothing{}, "job.csv", data), joblog.LogName, []byte(emptyLog))
	job, faults := joblog.Read(files, "", joblog.Options{})
	if len(faults) > 0 {
		return withHint(fmt.Errorf("%s:%d: %s", file, faults[0].Src.Line, faults[0].What), faults[0].Hint, "mend or delete "+file)
	}
	for _, def := range model.SettingDefs() {
		if job.Settings.From[def.Name] == model.OriginJob && !slices.Contains(ofOneJob(), def.Name) {
			q.values[def.Name] = job.Settings.Raw[def.Name]
			q.kept = append(q.kept, def.Name)
		}
	}
	if len(q.kept) > 0 {
		fmt.Fprintf(q.o.env.Stderr, "bayproof: your defaults (%s): %s\n", file, strings.Join(q.kept, ", "))
	}
	return nil
}

// ofOneJob are the settings that belong to one job and are never kept for the next.
func ofOneJob() []string {
	return []string{"job", "site", "date", "work_order", "lot", "delivery", "bag_checks", "bag_tare", "bags_loaded", "bags_left", "blower_pressure", "cfm50_before", "cfm50_after"}
}

// keep offers to keep what jobs have in common, where nothing is kept yet.
func (q *questions) keep() {
	file, err := defaultsFile()
	if err != nil || q.over || len(q.kept) > 0 {
		return
	}
	answer := q.line("keep crew, bag and counting as your defaults for the next job", file, "no")
	if a, _ := model.ParseAnswer(answer); a != model.Yes {
		return
	}
	rows := [][]string{{"name", "value"}}
	for _, def := range model.SettingDefs() {
		if v := q.values[def.Name]; v != "" && !slices.Contains(ofOneJob(), def.Name) {
			rows = append(rows, []string{def.Name, cell.GuardText(v)})
		}
	}
	if err = os.MkdirAll(filepath.Dir(file), 0o777); err == nil {
		err = writeNew(file, table(rows))
	}
	if err != nil {
		printWarning(q.o.env.Stderr, "defaults not kept: "+err.Error())
	}
}
