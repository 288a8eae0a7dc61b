package review

import (
	"fmt"
	"math"
	"strings"

	"bayproof/report/say"
	"bayproof/report/screen"
	"bayproof/verify/audit"
	"bayproof/verify/stat"
)

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

type dot struct {
	X, Y, TextX, TextY float64
	Name, Class, Title string
	Anchor             string
}

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

func newDot(g *audit.Group, x, y, right float64, crews int) dot {
	d := dot{X: x, Y: y, TextX: x + 9, TextY: y + 4, Anchor: "start", Class: "in", Title: nameOr(g.Name, "not said") + ": " + say.Rate(g.Pass) + " of " + say.Count(g.Pass.N, "bay", "bays")}
	if crews <= mostNamed || g.Outside != 0 {
		d.Name = screen.Short(nameOr(g.Name, "not said"), 18)
	}
	if x > right-90 {
		d.TextX, d.Anchor = x-9, "end"
	}
	switch {
	case g.Outside < 0:
		d.Class = "below"
	case g.Outside > 0:
		d.Class = "above"
	}
	return d
}

// spread moves names apart that would lie on each other.
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

// limitPath draws the upper limit forth and the lower one back.
func limitPath(base, end, level float64, x, y func(float64) float64) string {
	var up, down []string
	for k := range 81 {
		n := math.Max(1, end*math.Pow(float64(k)/80, 2))
		lo, hi := stat.FunnelLimits(base, int(math.Round(n)), level)
		n = math.Round(n)
		up = append(up, fmt.Sprintf("%g,%g", x(n), y(hi)))
		down = append([]string{fmt.Sprintf("%g,%g", x(n), y(lo))}, down...)
	}
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
