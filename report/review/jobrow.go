package review

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"net/url"
	"slices"
	"strings"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify"
	"bayproof/verify/audit"
	"bayproof/verify/stat"
)

// results are the figures of some bays in words, with the verdicts as a bar. Job, section and group show the same ones.
type results struct {
	Rate, Share, Density, Lower string
	Bays                        string // in the log, and of how many where more were counted from outside
	Bar                         bar
}

func newResults(u say.Units, n *audit.Tally, pass audit.Rate) results {
	bays := fmt.Sprint(n.Bays)
	if n.Expected != n.Bays {
		bays = fmt.Sprintf("%d of %d", n.Bays, n.Expected)
	}
	return results{say.Rate(pass), say.Share(n.Mass, n.MassRequired), density(u, n.Density()), lower(u, n), bays, newBar(n)}
}

// wayTo is a file's way as the address of a link: a folder may be called Job #12, a?b or x:y. What looks like an address of another kind is made a
// file's again.
func wayTo(file string) template.URL {
	return template.URL(strings.ReplaceAll((&url.URL{Path: file}).String(), ":", "%3A"))
}

// jobRow is one job: a line of the table, and the card that opens under it.
type jobRow struct {
	results
	At                                int    // in Review.Jobs
	Link                              string // the card's id on the page
	Name, Crew, Date, Input           string
	Record                            template.URL // the way to its record, escaped
	Close, Filled                     int
	Kinds                             []kindRow // what is open, the most urgent kind first
	Sections                          []sectionRow
	Open                              []openRow // the bays that were kept by name
	OpenMore                          int       // and how many more there are
	Lacks, Warnings, Findings, Opened []string
	Unaccounted                       string // bags; empty where nobody counted them
	Calm                              bool   // nobody is needed: the row is folded away
}

// kindRow are the bays of one kind that are open in a job.
type kindRow struct {
	Word, Short, Class, Names string // Short as on the tiles; Class colors it
	Count                     int
}

type sectionRow struct {
	results
	Name, Kind string
}

// openRow is a bay that needs someone. One that is not filled has no figures and no reason.
type openRow struct{ Section, Bay, State, Class, Density, Prob, Why string }

// jobs fills the table: what needs someone first, then the calm ones in the order of the inputs.
func (p *page) jobs(r *audit.Review, u say.Units, urgent []int) {
	order := append([]int(nil), urgent...)
	is := make([]bool, len(r.Jobs))
	for _, i := range urgent {
		is[i] = true
	}
	for i := range r.Jobs {
		if !is[i] {
			order = append(order, i)
		}
	}
	if len(order) > mostOnPage {
		p.Shown = fmt.Sprintf("Shown are the %d of %d jobs that need someone most; --format csv holds all.", mostOnPage, len(order))
		order = order[:mostOnPage]
	}
	said := map[int][]string{}
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Code == audit.PhotoBays {
			continue // told once, of all jobs together
		}
		for _, j := range f.Jobs {
			said[j] = append(said[j], say.SuspectTitle(f.Code)+": "+u.Suspect(f))
		}
	}
	for _, i := range order {
		row := newJobRow(u, r.Jobs[i], i)
		row.Findings, row.Calm = said[i], !is[i]
		p.Jobs = append(p.Jobs, row)
	}
	first := min(len(urgent), 8)
	p.First, p.More = p.Jobs[:first], len(urgent)-first
}

// newJobRow puts one job into words; at is its place in the review.
func newJobRow(u say.Units, j *audit.Job, at int) jobRow {
	n := &j.Tally
	row := jobRow{
		results: newResults(u, n, j.Tally.Pass()), At: at, Link: fmt.Sprintf("job-%d", at+1), Name: j.Name, Crew: j.Crew, Date: j.Date, Input: j.At.Input,
		Record: wayTo(j.At.Record), Close: int(n.Close), Filled: int(n.Filled), OpenMore: int(n.Open()) - len(j.Open),
	}
	for _, k := range openKinds(j) {
		names := strings.Join(k.Names, ", ")
		if more := k.Count - len(k.Names); more > 0 && names != "" {
			names += fmt.Sprintf(" and %d more", more)
		}
		row.Kinds = append(row.Kinds, kindRow{k.Word, strings.Replace(k.Word, "closed though not CLOSE", "EARLY", 1), k.Class, names, k.Count})
	}
	for i := range j.Sections {
		s := &j.Sections[i]
		row.Sections = append(row.Sections, sectionRow{newResults(u, &s.Tally, s.Tally.Pass()), cmp.Or(s.Name, "all bays"), s.Kind})
	}
	for i := range j.Open {
		row.Open = append(row.Open, newOpenRow(u, j, &j.Open[i]))
	}
	for _, l := range j.Missing {
		row.Lacks = append(row.Lacks, say.Lacking(l))
	}
	for i := range j.Warnings {
		row.Warnings = append(row.Warnings, warningLine(&j.Warnings[i]))
	}
	for i := range j.Opened {
		row.Opened = append(row.Opened, u.OpenedBay(&j.Opened[i]))
	}
	if n.UnaccountedJobs > 0 {
		row.Unaccounted = fmt.Sprintf("%+.2f", n.Unaccounted)
	}
	return row
}

func newOpenRow(u say.Units, j *audit.Job, b *audit.OpenBay) openRow {
	row := openRow{Section: j.SectionOf(b), Bay: b.Bay, State: u.OpenState(b), Class: strings.ToLower(say.Verdict(b.Verdict)), Why: say.ReasonTitle(b.Code)}
	if b.State == verify.NotFilled {
		row.Class, row.Why = "open", ""
		return row
	}
	row.Density, row.Prob = density(u, b.Density), say.Percent(b.Prob, math.NaN())
	return row
}

// bar is the verdicts of some bays as one bar, drawn as parts of 100, with the same in words for who cannot see it.
type bar struct {
	Parts []barPart
	Label string
}

type barPart struct {
	Class    string
	At, Wide float64
}

func newBar(n *audit.Tally) bar {
	total := float64(n.Filled + n.NotFilled + n.NotInLog)
	var b bar
	at := 0.0
	var words []string
	for _, x := range []struct {
		n           int32
		class, word string
	}{{n.Add, "add", "ADD"}, {n.Probe, "probe", "PROBE"}, {n.Measure, "measure", "MEASURE"}, {n.NotFilled + n.NotInLog, "open", "not filled or logged"}, {n.Close, "close", "CLOSE"}} {
		if x.n == 0 {
			continue
		}
		wide := 100 * float64(x.n) / total
		b.Parts = append(b.Parts, barPart{x.class, round2(at), round2(wide)})
		words = append(words, fmt.Sprintf("%d %s", x.n, x.word))
		at += wide
	}
	b.Label = strings.Join(words, ", ")
	return b
}

// round2 keeps two decimals: finer than a pixel, and the page stays small.
func round2(x float64) float64 { return math.Round(x*100) / 100 }

// funnel is the crews' shares of CLOSE over the number of their bays.
type funnel struct {
	Width, Height, Left, Foot, Right, Top float64
	Base                                  float64
	BaseLabel                             string
	Inner, Outer                          string // paths of both limits
	Dots                                  []dot
	XTicks, YTicks                        []tick
	Label                                 string
}

// dot is one crew, in the drawing's units, with its name beside it where there is room.
type dot struct {
	X, Y, TextX, TextY float64
	Name, Class, Title string
	Anchor             string
}

// tick is a mark on an axis and its figure.
type tick struct {
	At   float64
	Text string
}

const mostNamed = 24 // crews; with more only those outside the limits are named

// newFunnel draws the crews; nil with fewer than two.
func newFunnel(r *audit.Review) *funnel {
	most := 0
	for i := range r.Crews {
		most = max(most, r.Crews[i].Pass.N)
	}
	if len(r.Crews) < 2 || most == 0 || r.Pass.N == 0 {
		return nil
	}
	f := &funnel{Width: 640, Height: 320, Left: 48, Foot: 276, Right: 620, Top: 14}
	step := niceStep(float64(most) / 4)
	end := step * math.Ceil(float64(most)*1.06/step)
	x := func(n float64) float64 { return round2(f.Left + (f.Right-f.Left)*n/end) }
	y := func(p float64) float64 { return round2(f.Foot - (f.Foot-f.Top)*p) }
	base := r.Pass.Share()
	f.Base, f.BaseLabel = y(base), fmt.Sprintf("all: %.0f %%", 100*base)
	f.Inner, f.Outer = limitPath(base, end, audit.Level, x, y), limitPath(base, end, audit.OuterLevel, x, y)
	for i := range r.Crews {
		if g := &r.Crews[i]; g.Pass.N > 0 {
			f.Dots = append(f.Dots, newDot(g, x(float64(g.Pass.N)), y(g.Pass.Share()), f.Right, len(r.Crews)))
		}
	}
	spread(f.Dots)
	for n := 0.0; n <= end+1e-9; n += step {
		f.XTicks = append(f.XTicks, tick{x(n), group(n)})
	}
	for p := 0; p <= 100; p += 25 {
		f.YTicks = append(f.YTicks, tick{y(float64(p) / 100), fmt.Sprintf("%d %%", p)})
	}
	f.Label = fmt.Sprintf("Share of CLOSE of %d crews over the number of their bays, with limits that widen for few bays", len(r.Crews))
	return f
}

// newDot places a crew's name to the right of its dot, or to the left near the edge.
func newDot(g *audit.Group, x, y, right float64, crews int) dot {
	d := dot{X: x, Y: y, TextX: x + 9, TextY: y + 4, Anchor: "start", Class: "in", Title: cmp.Or(g.Name, "not said") + ": " + say.Rate(g.Pass) + " of " + say.Count(g.Pass.N, "bay", "bays")}
	if crews <= mostNamed || g.Outside != 0 {
		d.Name = screen.Short(cmp.Or(g.Name, "not said"), 18)
	}
	if x > right-90 {
		d.TextX, d.Anchor = x-9, "end"
	}
	if g.Outside < 0 {
		d.Class = "below"
	} else if g.Outside > 0 {
		d.Class = "above"
	}
	return d
}

// spread moves names down until none lies on another: each against all before it, again after every move, as a move may put
// it onto the next.
func spread(dots []dot) {
	const apart = 13
	for i := range dots {
		for moved := true; moved; {
			moved = false
			for k := range dots[:i] {
				if dots[i].Name != "" && dots[k].Name != "" && math.Abs(dots[i].TextX-dots[k].TextX) < 70 && math.Abs(dots[i].TextY-dots[k].TextY) < apart-0.5 {
					dots[i].TextY, moved = dots[k].TextY+apart, true
				}
			}
		}
	}
}

// limitPath draws the upper limit forth and the lower one back, as the path of one area. The steps are finer for few bays,
// where the limits bend most.
func limitPath(base, end, level float64, x, y func(float64) float64) string {
	var up, down []string
	for k := range 81 {
		n := math.Round(math.Max(1, end*math.Pow(float64(k)/80, 2)))
		lo, hi := stat.FunnelLimits(base, int(n), level)
		up = append(up, fmt.Sprintf("%g,%g", x(n), y(hi)))
		down = append(down, fmt.Sprintf("%g,%g", x(n), y(lo)))
	}
	slices.Reverse(down)
	return "M" + strings.Join(append(up, down...), " L") + " Z"
}

// niceStep is 1, 2 or 5 times a power of ten, at least x.
func niceStep(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(math.Max(x, 1))))
	for _, m := range [...]float64{1, 2, 5} {
		if m*power >= x {
			return m * power
		}
	}
	return 10 * power
}
