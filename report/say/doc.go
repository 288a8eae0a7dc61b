// Package say puts findings into words: quantities in the job's units with digits that follow from
// their uncertainty, and every code of package verify as a sentence that can be said on a roof. It
// is the one place where sentences about bays are made; text, JSON, HTML and the prompt all take
// them from here.
//
// It computes nothing that a verdict could rest on. It imports model, verify, verify/audit,
// verify/audit/inspect, verify/audit/plausible, report/say/lang and the standard library.
package say
