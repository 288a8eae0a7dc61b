package review

import (
	"fmt"
	"math"

	"bayproof/report/say"
	"bayproof/verify/audit"
)

type groupTable struct {
	Title, What, Note string
	Rows              []groupRow
}

type groupRow struct {
	Name, Rate, Shrunk, Density, Lower, Share, Flag string
	Jobs, Bays, Early                               int32
	Bar                                             bar
}

func groupTables(r *audit.Review, u say.Units) []groupTable {
	var out []groupTable
	for _, x := range []struct {
		title, what string
		groups      []audit.Group
	}{{"Crews", "crew", r.Crews}, {"Kinds of section", "kind", r.Kinds}, {"Months", "month", r.Months}} {
		if len(x.groups) < 2 {
			continue
		}
		t := groupTable{Title: x.title, What: x.what}
		for i := range x.groups {
			t.Rows = append(t.Rows, newGroupRow(u, &x.groups[i]))
		}
		out = append(out, t)
	}
	return out
}

func newGroupRow(u say.Units, g *audit.Group) groupRow {
	n := &g.Tally
	row := groupRow{
		Name: nameOr(g.Name, "not said"), Rate: say.Rate(g.Pass), Shrunk: fmt.Sprintf("%.0f %%", 100*g.Shrunk),
		Density: u.Density(n.Density(), math.NaN(), math.NaN()), Lower: lower(u, n), Share: say.Share(n.Mass, n.MassRequired),
		Jobs: n.Jobs, Bays: n.Filled, Early: n.ClosedHold, Bar: newBar(n),
	}
	switch g.Outside {
	case -2, -1:
		row.Flag = "▼ below"
	case 1, 2:
		row.Flag = "above"
	}
	return row
}
