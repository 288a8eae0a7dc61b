package cmd

import (
	"io"
	"slices"

	"bayproof/model"
	"bayproof/model/joblog"
)

// warned writes on stderr what the reader of the files found worth knowing, where the format on stdout has no place for
// it. What holds for a whole file is said once, and not for each of its jobs again.
type warned struct {
	stderr io.Writer
	told   map[string]bool
}

// tell writes the warnings of one job that were not written yet.
func (w *warned) tell(folder *joblog.Folder, warnings []model.Warning) {
	for _, x := range warnings {
		if x.Bay == "" && w.again(folder, x) {
			continue
		}
		printWarning(w.stderr, place(folder, x.Src)+x.Text)
	}
}

// again tells whether the same was said of the same file already; a file in another encoding has its warning in every
// part that shows it.
func (w *warned) again(folder *joblog.Folder, x model.Warning) bool {
	if x.Code == "encoding" {
		x.Src.Line = 0
	}
	key := place(folder, x.Src) + x.Text
	if w.told[key] {
		return true
	}
	if w.told == nil {
		w.told = map[string]bool{}
	}
	w.told[key] = true
	return false
}

// tellWarnings writes the warnings of one job.
func tellWarnings(stderr io.Writer, folder *joblog.Folder, warnings []model.Warning) {
	w := warned{stderr: stderr}
	w.tell(folder, warnings)
}

// ofFiles picks the warnings that are about a file and not about a bay.
func ofFiles(warnings []model.Warning) []model.Warning {
	return slices.DeleteFunc(slices.Clone(warnings), func(x model.Warning) bool { return x.Bay != "" })
}
