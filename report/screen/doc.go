// Package screen lays text out for a terminal and keeps what stands in a file from being obeyed there. It knows nothing of
// bays.
//
// It imports the standard library only.
package screen
