// Package inspect says which bays an inspector opens, what finding none bad among them would prove,
// and, once the inspectors' rows are there, what the verdicts were worth.
//
// A House holds of one job how many bays it has in each class and those of them with the lowest
// tickets; NewPlan draws from all houses (plan.go), its bound holds for the very design that was
// drawn (bound.go), and Judge sets what was found against what was stated (found.go).
//
// It is pure: the draw depends on its seed and on names, not on the order of the jobs. It imports
// model, verify, verify/audit/compare and verify/stat.
package inspect
