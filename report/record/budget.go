package record

import (
	"bayproof/verify"
)

// shareFigure shows what the uncertainty of the densities comes from, by section.
type shareFigure struct {
	Title  string
	Inputs []string
	Rows   []shareRow
}

type shareRow struct {
	Name  string
	Parts []sharePart
	Cells []string
}

// sharePart is one stretch of a bar, in percent of it, with the number of its pattern.
type sharePart struct {
	X, Width float64
	Class    int
	Label    string
}

// budgetFigure averages the bays' budgets over each section; nil where there is none.
func (b *builder) budgetFigure() *shareFigure {
	inputs := []string{}
	means := make([]map[string]float64, len(b.f.Sections))
	overall := map[string]float64{}
	for i := range b.f.Sections {
		means[i] = b.meanBudget(&b.f.Sections[i])
	}
	for i := range b.f.Bays {
		for _, s := range b.f.Bays[i].Budget {
			if _, seen := overall[s.Input]; !seen {
				inputs = append(inputs, s.Input)
			}
			overall[s.Input] += s.Share
		}
	}
	if len(inputs) == 0 {
		return nil
	}
	sortByShare(inputs, overall)
	f := &shareFigure{Title: "What limits certainty here: the " + inputName(inputs[0])}
	for _, in := range inputs {
		f.Inputs = append(f.Inputs, inputName(in))
	}
	for i := range b.f.Sections {
		if len(means[i]) > 0 {
			f.Rows = append(f.Rows, shareRowOf(brief(sectionName(b.f.Sections[i].Section)), inputs, means[i]))
		}
	}
	return f
}

func (b *builder) meanBudget(s *verify.Section) map[string]float64 {
	mean, n := map[string]float64{}, 0.0
	for _, bay := range baysOf(b.f, s.Section) {
		if len(bay.Budget) == 0 {
			continue
		}
		n++
		for _, share := range bay.Budget {
			mean[share.Input] += share.Share
		}
	}
	for in := range mean {
		mean[in] /= n
	}
	return mean
}

func shareRowOf(name string, inputs []string, mean map[string]float64) shareRow {
	row, x := shareRow{Name: name}, 0.0
	for i, in := range inputs {
		w := 100 * mean[in]
		row.Cells = append(row.Cells, number(w, 0)+" %")
		if w > 0 {
			row.Parts = append(row.Parts, sharePart{round2(x), round2(w), min(i, 5), inputName(in) + " " + number(w, 0) + " %"})
		}
		x += w
	}
	return row
}

// sortByShare puts the largest share first; equal ones keep their order.
func sortByShare(inputs []string, share map[string]float64) {
	for i := 1; i < len(inputs); i++ {
		for j := i; j > 0 && share[inputs[j]] > share[inputs[j-1]]; j-- {
			inputs[j], inputs[j-1] = inputs[j-1], inputs[j]
		}
	}
}
