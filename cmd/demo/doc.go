// Package demo holds the demo job: an old boathouse turned into a home, two days of dense-packing
// in five sections, with good bays and bad ones, every kind of entry and every kind of probe.
// People, place and figures are invented.
//
// How the figures came about: each bay has a true size and a true density, drawn from 3.9 ± 0.11
// lb/ft³ for bays that were packed well, times 0.72 for b4 before its top-up and 0.75 for h5; what
// the log says is that truth read off with a tape, a scale and a hopper marked in quarters. The
// rest was written by hand.
//
// What a building inspector would ask holds: vented depths are below a channel, the unvented strip
// has the insulation of the published table above it, each label's R belongs to its depth, and the
// bay with old wires in it waits for the electrician.
//
// It imports the standard library only.
package demo
