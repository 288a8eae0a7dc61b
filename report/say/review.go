package say

import (
	"fmt"
	"strings"

	"bayproof/verify"
	"bayproof/verify/audit"
)

// Lacking says one piece of missing evidence: "photos of 6 % of the bays, 100 % asked for".
func Lacking(l audit.Lack) string {
	what := LackName(l.Ask)
	switch {
	case l.Share:
		return fmt.Sprintf("%s: %s of the bays, %s asked for", what, wholePercent(l.Have), askedPercent(l.Want))
	case l.Want > 1 || l.Ask == "ask_cores" || l.Ask == "ask_bag_checks":
		return fmt.Sprintf("%s: %s, %s asked for", what, plain(l.Have, 0), plain(l.Want, 0))
	}
	return what
}

// LackName names a kind of evidence.
func LackName(ask string) string {
	switch ask {
	case "ask_photos":
		return "photos"
	case "ask_measured":
		return "sizes measured"
	case "ask_probes":
		return "probes"
	case "ask_stalls":
		return "stall said"
	case "ask_cores":
		return "cores"
	case "ask_bag_checks":
		return "weighed bags"
	case "ask_blower_pressure":
		return "blower pressure"
	case "ask_signature":
		return "installer and date"
	case "ask_counted":
		return "bays counted from outside"
	case "ask_empties":
		return "bags loaded and left, or empties"
	case "ask_times":
		return "times"
	case "ask_label_r":
		return "label's R-value"
	}
	return strings.TrimPrefix(ask, "ask_")
}

// wholePercent writes a share for a list; a share that does not exist is none.
func wholePercent(x float64) string {
	if !(x > 0) {
		return "0 %"
	}
	return Percent(x, nan())
}

// askedPercent writes a share that was set and not observed: 100 % is asked for as such.
func askedPercent(x float64) string { return plain(100*x, 2) + " %" }

// Rate writes a share of bays with its interval: "83 % (76 to 89)".
func Rate(r audit.Rate) string {
	if r.N == 0 {
		return "–"
	}
	return fixed(100*r.Share(), 0) + " % (" + fixed(100*r.Lo, 0) + " to " + fixed(100*r.Hi, 0) + ")"
}

// WhyDrawn says why a bay was drawn.
func WhyDrawn(s audit.Stratum) string {
	switch s {
	case audit.OpenHold:
		return "on hold and still open: costs nothing to look into"
	case audit.ClosedHold:
		return "closed though not CLOSE"
	case audit.Doubted:
		return "CLOSE, in a job that something speaks against"
	case audit.ByCrew:
		return "CLOSE with the crew's help"
	}
	return "CLOSE by its own count"
}

// OpenState says how a bay that needs someone stands.
func (u Units) OpenState(b *audit.OpenBay) string {
	switch {
	case b.State == verify.NotFilled:
		return "not filled"
	case b.State == verify.Closed && b.ClosedAs != verify.Close:
		return "closed as " + Verdict(b.ClosedAs) + ", now " + Verdict(b.Verdict)
	case b.State == verify.Closed:
		return "closed as CLOSE, now " + Verdict(b.Verdict)
	}
	return Verdict(b.Verdict)
}

// LackCell says one lack in a table: what there is, against what was asked for.
func LackCell(l audit.Lack) string {
	switch {
	case l.Share:
		return wholePercent(l.Have) + " of " + askedPercent(l.Want)
	case l.Want > 1 || l.Ask == "ask_cores" || l.Ask == "ask_bag_checks":
		return plain(l.Have, 0) + " of " + plain(l.Want, 0)
	}
	return "missing"
}

// OpenedBay says what an inspector found in a bay.
func (u Units) OpenedBay(o *audit.Opened) string {
	name := o.Bay
	if o.Section != "" {
		name = o.Section + " " + o.Bay
	}
	text := name + ": was " + Verdict(o.Before)
	if o.Core == o.Core { // a core was taken
		text += ", core " + u.Density(o.Core, nan(), nan()) + " " + u.Of(verify.Density).Name
	}
	if o.Soft {
		text += ", a probe found it not good"
	}
	if o.Short {
		return text + ": short"
	}
	return text + ": holds"
}
