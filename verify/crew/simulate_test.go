package crew

import (
	"flag"
	"fmt"
	"testing"

	"bayproof/model"
)

var runSimulation = flag.Bool("simulate", false, "run the whole simulation and print its table")
var simulationJobs = flag.Int("jobs", 1000, "jobs a row")

func mod(w world, f func(*world)) world {
	f(&w)
	return w
}

func TestSimulate(t *testing.T) {
	if !*runSimulation {
		t.Skip("needs -args -simulate")
	}
	rows := []struct {
		name string
		w    world
	}{
		{"quarter ends", quarter()},
		{"quarter running", mod(quarter(), func(w *world) { w.counting = model.CountingRunning })},
		{"eighth ends", mod(quarter(), func(w *world) { w.step = .125; w.readings = 2 })},
		{"eighth running", mod(quarter(), func(w *world) { w.step = .125; w.readings = 2; w.counting = model.CountingRunning })},
		{"weighed", mod(quarter(), func(w *world) { w.weighed = .5; w.readings = 3 })},
		{"weighed 2.6 3", mod(quarter(), func(w *world) { w.weighed = .5; w.readings = 3; w.depth = 2.6; w.scatter = .2 })},
		{"weighed 2.6 2", mod(quarter(), func(w *world) { w.weighed = .5; w.readings = 2; w.depth = 2.6; w.scatter = .2 })},
		{"weighed 2.6 3 .2", mod(quarter(), func(w *world) { w.weighed = .5; w.readings = 3; w.depth = 2.6; w.scatter = .2; w.within = .2 })},
		{"weighed 2.6 1 .2", mod(quarter(), func(w *world) { w.weighed = .5; w.readings = 1; w.depth = 2.6; w.scatter = .115; w.within = .2 })},
		{"9.25 ends", mod(quarter(), func(w *world) { w.depth = 9.25; w.readings = 2 })},
		{"9.25 running", mod(quarter(), func(w *world) { w.depth = 9.25; w.readings = 2; w.counting = model.CountingRunning })},
		{"clean", mod(quarter(), func(w *world) { w.voids = 0; w.weak = 0 })},
		{"clean run", mod(quarter(), func(w *world) { w.voids = 0; w.weak = 0; w.counting = model.CountingRunning })},
		{"clean weighed", mod(quarter(), func(w *world) { w.voids = 0; w.weak = 0; w.weighed = .5; w.readings = 3 })},
		{"clean .2", mod(quarter(), func(w *world) { w.voids = 0; w.weak = 0; w.spread = .2 })},
		{"over", mod(quarter(), func(w *world) { w.over = true })},
		{"swap", mod(quarter(), func(w *world) { w.swap = true })},
		{"3.6", mod(quarter(), func(w *world) { w.mean = steady(3.6) })},
		{"3.5", mod(quarter(), func(w *world) { w.mean = steady(3.5) })},
		{"fresh", mod(quarter(), func(w *world) { w.counting = model.CountingFresh })},
	}
	for i, r := range rows {
		s := simulate(r.w, *simulationJobs, uint64(i+1))
		fmt.Printf("%-16s good closed %.3f others %.3f guarded %.3f known %.3f | short/closed %.4f far %.4f doubt %.4f | voids closed %.4f told %.3f n %d| clean %.3f bad %.3f over %.3f swap %.3f| calib %.4f | short closed %.4f\n", r.name,
			share(s.goodClosed, s.good), share(s.goodOthersClosed, s.goodOthers), share(s.goodGuarded, s.good), share(s.goodKnown, s.good), share(s.shortClosed, s.closed), share(s.closedFarShort, s.closed), s.doubt/float64(s.closed),
			share(s.voidsClosed, s.voids), share(s.voidsTold, s.voids), s.voids, share(s.clean, s.jobs), share(s.badTold, s.jobs), share(s.overTold, s.jobs), share(s.swapTold, s.jobs), s.calibration(), share(s.shortClosed, s.short))
	}
}
