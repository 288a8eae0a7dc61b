package crew

import (
	"math/rand/v2"

	"bayproof/model"
)

// row is one line of the simulation: a world, and what is asked of it. An asked value of 0 is not
// gated.
type row struct {
	name               string
	w                  world
	least, aim         float64 // share of the truly good bays closed
	everything, guard  float64 // the same with everything known, and by the guarded rule, as the target table has them
	short              float64 // most share of short among the closed
	told               float64 // least share of voids of a quarter or more named
	clean              float64 // least share of sections free of suspicion
	shortClosed        float64 // most share of the truly short bays closed
	ofGuarded          float64 // least share closed, in parts of what the guarded rule closes
	calibrated, enough bool    // stated probabilities hold; at least 1,000 closings
}

func mod(w world, f func(*world)) world {
	f(&w)
	return w
}

func running(w world) world { w.counting = model.CountingRunning; return w }

func eighth() world { return mod(quarter(), func(w *world) { w.step, w.readings = 0.125, 2 }) }

func weighed() world { return mod(quarter(), func(w *world) { w.weighed, w.readings = 0.5, 3 }) }

func thin() world { return mod(weighed(), func(w *world) { w.depth, w.scatter = 2.6, 0.2 }) }

func deep() world { return mod(quarter(), func(w *world) { w.depth, w.readings = 9.25, 2 }) }

// mainRows are the ways of measuring.
func mainRows() []row {
	rows := []row{
		{name: "bags to 1/4, 5½-in bays, one depth reading; `ends`", w: quarter(), least: 0.66, aim: 0.70, everything: 0.81, guard: 0.37, short: 0.012, told: 0.87},
		{name: "same, `running`", w: running(quarter()), least: 0.74, aim: 0.78, everything: 0.84, guard: 0.37, short: 0.012, told: 0.87},
		{name: "bags to 1/8, two readings; `ends`", w: eighth(), least: 0.88, aim: 0.91, everything: 0.94, guard: 0.62, short: 0.007, told: 0.97},
		{name: "same, `running`", w: running(eighth()), least: 0.90, aim: 0.92, everything: 0.94, guard: 0.62, short: 0.007, told: 0.97},
		{name: "weighed ± 0.5 lb, three readings", w: weighed(), least: 0.96, aim: 0.98, everything: 0.98, guard: 0.88, short: 0.007, told: 0.97},
		{name: "weighed ± 0.5 lb, 2.6 ± 0.2 in bays", w: thin(), least: 0.79, aim: 0.83, everything: 0.89, guard: 0.25, short: 0.007, told: 0.97},
		{name: "bags to 1/4, 9¼-in bays, two readings; `ends`", w: deep(), least: 0.86, aim: 0.88, everything: 0.92, guard: 0.62, short: 0.007, told: 0.97},
		{name: "same, `running`", w: running(deep()), least: 0.88, aim: 0.90, everything: 0.93, guard: 0.62, short: 0.007, told: 0.97},
	}
	for i := range rows {
		rows[i].calibrated = true
	}
	return rows
}

// both returns a row for `ends` and one for `running`.
func both(r row) []row {
	e, u := r, r
	e.name, u.name = r.name+"; `ends`", r.name+"; `running`"
	u.w = running(r.w)
	return []row{e, u}
}

// hardRows are crews that break what the rule supposes; short among the closed stays under 5 %.
func hardRows() []row {
	var rows []row
	add := func(name string, w world) {
		rows = append(rows, both(row{name: name, w: w, short: 0.05, ofGuarded: 0.6, enough: true})...)
	}
	add("half of the bays at 3.40, mixed", mod(quarter(), func(w *world) {
		w.mean = func(_, _ int, rng *rand.Rand) float64 { return 3.85 - 0.45*float64(rng.IntN(2)) }
	}))
	add("half of the bays at 3.40, in two blocks", mod(quarter(), func(w *world) {
		w.mean = func(i, n int, _ *rand.Rand) float64 { return 3.85 - 0.45*float64(2*i/n) }
	}))
	add("a quarter of the bays at 3.30", mod(quarter(), func(w *world) {
		w.mean = func(_, _ int, rng *rand.Rand) float64 {
			if rng.IntN(4) == 0 {
				return 3.30
			}
			return 3.85
		}
	}))
	add("drift 3.95 to 3.45", mod(quarter(), func(w *world) {
		w.mean = func(i, n int, _ *rand.Rand) float64 { return 3.95 - 0.5*float64(i)/float64(n-1) }
	}))
	add("half bad: 30 % voids, 20 % weak", mod(quarter(), func(w *world) { w.voids, w.weak = 0.3, 0.2 }))
	add("τ 0.30", mod(quarter(), func(w *world) { w.spread = 0.30 }))
	for _, n := range []int{4, 8, 60} {
		add(map[int]string{4: "4 bays", 8: "8 bays", 60: "60 bays"}[n], mod(quarter(), func(w *world) { w.bays = n }))
	}
	add("half bags stated as half", mod(quarter(), func(w *world) { w.step = 0.5 }))
	for _, mean := range []float64{3.50, 3.55} {
		rows = append(rows, row{name: map[float64]string{3.50: "`fresh`, like bays of 1.4 to 1.6 bags, at 3.50", 3.55: "`fresh`, like bays of 1.4 to 1.6 bags, at 3.55"}[mean],
			w: mod(quarter(), func(w *world) { w.mean, w.like, w.counting = steady(mean), true, model.CountingFresh }), short: 0.05, enough: true})
	}
	return rows
}

// lowRows are crews that pack too low; few truly short bays may close.
func lowRows() []row {
	var rows []row
	for _, mean := range []float64{3.6, 3.5} {
		name := map[float64]string{3.6: "crew at 3.6", 3.5: "crew at 3.5"}[mean]
		rows = append(rows, both(row{name: name, w: mod(quarter(), func(w *world) { w.mean = steady(mean) }), shortClosed: 0.02})...)
	}
	rows = append(rows, both(row{name: "τ 0.20", w: mod(quarter(), func(w *world) { w.spread = 0.20 }), calibrated: true})...)
	return append(rows, both(row{name: "crew at 3.70", w: mod(quarter(), func(w *world) { w.mean = steady(3.70) }), calibrated: true})...)
}

// cleanRows have nothing wrong in them.
func cleanRows() []row {
	clean := func(w world) world { w.voids, w.weak = 0, 0; return w }
	rows := both(row{name: "clean, bags to 1/4", w: clean(quarter()), clean: 0.9})
	rows = append(rows, both(row{name: "clean, bags to 1/8", w: clean(eighth()), clean: 0.9})...)
	rows = append(rows, row{name: "clean, weighed", w: clean(weighed()), clean: 0.9})
	return append(rows, both(row{name: "clean, bags to 1/4, τ 0.20", w: mod(clean(quarter()), func(w *world) { w.spread = 0.20 }), clean: 0.8})...)
}

// touchedRows have one bay over-full or one pair swapped.
func touchedRows() []row {
	var rows []row
	for _, base := range []row{{name: "bags to 1/4", w: quarter()}, {name: "bags to 1/8", w: eighth()}} {
		for _, r := range both(base) {
			rows = append(rows, r)
			over, swap := r, r
			over.name, over.w.over = r.name+", one over-full bay", true
			swap.name, swap.w.swap = r.name+", one swapped pair", true
			rows = append(rows, over, swap)
		}
	}
	return rows
}

// reportedRows are told and not gated.
func reportedRows() []row {
	var rows []row
	add := func(name string, w world) { rows = append(rows, both(row{name: name, w: w})...) }
	add("30 % of the bays at 3.45", mod(quarter(), func(w *world) {
		w.mean = func(_, _ int, rng *rand.Rand) float64 {
			if rng.Float64() < 0.3 {
				return 3.45
			}
			return 3.85
		}
	}))
	add("read to whole bags, stated as 1/4", mod(quarter(), func(w *world) { w.step, w.stated = 1, 0.25 }))
	add("verdicts as the bays are filled", mod(quarter(), func(w *world) { w.asFilled = true }))
	rows = append(rows, row{name: "weighed ± 1 lb (the default)", w: mod(weighed(), func(w *world) { w.weighed = 1 })})
	add("packing to 3.70, bags to 1/4", mod(quarter(), func(w *world) { w.mean = steady(3.70) }))
	add("packing to 3.70, bags to 1/8", mod(eighth(), func(w *world) { w.mean = steady(3.70) }))
	add("the first three bays weighed", mod(quarter(), func(w *world) { w.weighed, w.weighFirst = 0.5, 3 }))
	add("`fresh` instead", mod(quarter(), func(w *world) { w.counting = model.CountingFresh }))
	for _, r := range []row{{name: "bags to 1/4; `ends`", w: quarter()}, {name: "bags to 1/8; `running`", w: running(eighth())}, {name: "weighed", w: weighed()}, {name: "weighed, 2.6 ± 0.2 in bays", w: thin()}} {
		exact, own, one := r, r, r
		exact.name, exact.w.bias = r.name+", the tape true", 0
		own.name, own.w.bias = r.name+", tape off by up to ± 1/4 in, each bay by itself", 0.25
		one.name, one.w.bias, one.w.shareTape = r.name+", tape off by up to ± 1/4 in, all bays of a job alike", 0.25, true
		rows = append(rows, exact, own, one)
	}
	return rows
}

func fresh(w *world) { w.counting = model.CountingFresh }
