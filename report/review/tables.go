package review

import (
	"fmt"
	"math"
	"strings"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// results are the tables per crew, kind of section and month.
func (t *text) results() {
	t.groups("By crew", "crew", t.r.Crews)
	t.groups("By kind of section", "kind", t.r.Kinds)
	t.groups("By month", "month", t.r.Months)
}

func (t *text) groups(title, what string, groups []audit.Group) {
	if len(groups) < 2 {
		return
	}
	t.heading(title)
	var rows [][]string
	outside := false
	for i := range groups {
		g := &groups[i]
		n := &g.Tally
		mark := Outside(g)
		outside = outside || mark != ""
		rows = append(rows, []string{
			screen.Short(screen.Clean(nameOr(g.Name, "not said")), 16), fmt.Sprint(n.Jobs), fmt.Sprint(n.Filled), say.Rate(g.Pass) + mark,
			t.density(n.Density()), lower(t.u, n), say.Share(n.Mass, n.MassRequired), zero(int(n.ClosedHold)),
		})
	}
	t.table([]string{what, "jobs", "bays", "CLOSE (95 %)", "mean", "low", "in/need", "early"}, rows)
	if what == "crew" {
		t.item("", 0, t.paint(dim, "mean and low in "+t.u.Of(verify.Density).Name+"; low: what 19 bays in 20 exceed in the weakest section. early: closed though not CLOSE."))
		if outside {
			t.item("", 0, t.paint(dim, "! and !!: fewer or more CLOSE than 95 % and 99.8 % of crews with so many bays have, were all alike."))
		}
	}
}

// Outside marks a group that lies outside the funnel.
func Outside(g *audit.Group) string {
	switch g.Outside {
	case -2, 2:
		return "!!"
	case -1, 1:
		return "!"
	}
	return ""
}

func (t *text) density(x float64) string { return t.u.Density(x, math.NaN(), math.NaN()) }

func lower(u say.Units, n *audit.Tally) string {
	if n.LowerKnown == 0 {
		return ""
	}
	return u.Density(n.Lower, math.NaN(), math.NaN())
}

func zero(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

func nameOr(name, otherwise string) string {
	if name == "" {
		return otherwise
	}
	return name
}

func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
