// Package verify turns a job into findings: volume, mass and density of every bay with its uncertainty, a verdict that
// is an action, the reasons for it and what answers them. It is the part that a closed roof rests on.
//
// It is pure: no files, no clock, no printing. It writes no sentences either: a reason is a code with numbers, and
// package report says it in the job's units. It imports model and its own sub-packages.
package verify
