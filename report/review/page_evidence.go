package review

import (
	"bayproof/report/say"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// lacks is the table of missing evidence: a row a job, a column an ask.
func (p *page) lacks(r *audit.Review) {
	if !r.Asks.Any() {
		return
	}
	var names []string
	asked := map[string]bool{}
	for _, j := range r.Jobs {
		for _, l := range j.Missing {
			asked[l.Ask] = true
		}
	}
	for _, d := range audit.AskDefs() {
		if asked[d.Name] {
			names = append(names, d.Name)
			p.Asked = append(p.Asked, say.LackName(d.Name))
		}
	}
	for i, j := range r.Jobs {
		if len(j.Missing) == 0 {
			continue
		}
		if len(p.Lacks) == mostOnPage {
			p.LacksMore++
			continue
		}
		row := lackRow{Name: j.Name, Link: p.linkTo(i), Cells: make([]string, len(names))}
		for _, l := range j.Missing {
			for k, name := range names {
				if name == l.Ask {
					row.Cells[k] = say.LackCell(l)
				}
			}
		}
		p.Lacks = append(p.Lacks, row)
	}
}

type lackRow struct {
	Name, Link string
	Cells      []string
}

// shortOnes names the bays called CLOSE that an inspector found short.
func shortOnes(r *audit.Review, u say.Units) []string {
	var out []string
	for _, j := range r.Jobs {
		for _, o := range j.Opened {
			if o.Short && o.Before == verify.Close {
				out = append(out, j.Name+", "+u.OpenedBay(&o))
			}
		}
	}
	return out
}
