package cmd

import (
	"errors"
	"fmt"
	"maps"
	"time"

	"bayproof/cmd/prompt"
	"bayproof/model"
	"bayproof/model/joblog"
)

// logBook is a job's log on disk as the prompt sees it; it adds the time to each row.
type logBook struct {
	env    *Env
	folder *joblog.Folder
	writer *joblog.Writer
	flags  map[string]string
}

// Job returns the job as its files stand.
func (b *logBook) Job() (*model.Job, []model.Fault) { return b.Try() }

// Try puts the job together as it would be with the rows after its log.
func (b *logBook) Try(rows ...prompt.Row) (*model.Job, []model.Fault) {
	var stamped []map[string]string
	for _, row := range rows {
		stamped = append(stamped, b.stamp(row))
	}
	fsys, err := b.writer.With(stamped...)
	if err != nil {
		return nil, []model.Fault{faultOf(err)}
	}
	return joblog.Read(fsys, b.folder.Log, joblog.Options{Name: b.folder.Name, Flags: b.flags})
}

// Append writes one row and returns once it is on disk.
func (b *logBook) Append(row prompt.Row) error {
	err := b.writer.Append(b.stamp(row))
	switch {
	case err == nil:
		return nil
	case errors.Is(err, joblog.ErrChanged):
		return prompt.ErrChanged
	}
	if f := faultOf(err); f.Hint != "" {
		return fmt.Errorf("%w; %s", err, f.Hint)
	}
	return err
}

// Reload reads a log that another program changed. Rows that are gone from it are to be written with their own time where
// they stood after all that is left, else with that of writing: times that run backward would take the order's evidence.
func (b *logBook) Reload() (prompt.Changed, error) {
	c, err := b.writer.Reload()
	changed := prompt.Changed{Kept: c.Kept, Torn: c.Torn}
	for _, row := range c.Lost {
		again := maps.Clone(row)
		if !c.Tail {
			delete(again, "time")
		}
		changed.Lost = append(changed.Lost, again)
	}
	return changed, err
}

// stamp adds the time of writing, to the second, with its zone, where the row has none yet.
func (b *logBook) stamp(row prompt.Row) map[string]string {
	stamped := maps.Clone(row)
	if stamped["time"] == "" {
		stamped["time"] = b.env.Now().Truncate(time.Second).Format(time.RFC3339)
	}
	return stamped
}

// faultOf makes a fault of what keeps rows from being written at all.
func faultOf(err error) model.Fault {
	var t *joblog.Trouble
	if errors.As(err, &t) {
		return model.Fault{What: t.What, Hint: t.Hint}
	}
	return model.Fault{What: err.Error()}
}

// troubled adds to an error of the writer what would cure it.
func troubled(err error) error {
	f := faultOf(err)
	if f.Hint == "" {
		return err
	}
	return withHint(err, f.Hint)
}
