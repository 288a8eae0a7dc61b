package say

import (
	"math"
	"strconv"
	"strings"

	"bayproof/verify"
	"bayproof/verify/audit"
)

// Lacking says one piece of missing evidence: "photos: 6 % of the bays, 100 % asked for".
func Lacking(l audit.Lack) string {
	have, want := lackFigures(l)
	switch {
	case want == "":
		return LackName(l.Ask)
	case l.Share:
		have += " of the bays"
	}
	return LackName(l.Ask) + ": " + have + ", " + want + " asked for"
}

// LackCell says one lack in a table: what there is, against what was asked for.
func LackCell(l audit.Lack) string {
	if have, want := lackFigures(l); want != "" {
		return have + " of " + want
	}
	return "missing"
}

// lackFigures writes what there is and what was asked for; nothing where evidence is there or not. What was asked for was
// set, so it is written as it was; a share that was observed is rounded down.
func lackFigures(l audit.Lack) (have, want string) {
	switch {
	case l.Share:
		return wholePercent(l.Have), plain(100*l.Want, 2) + " %"
	case l.Want > 1 || l.Ask == "ask_cores" || l.Ask == "ask_bag_checks":
		return plain(l.Have, 0), plain(l.Want, 0)
	}
	return "", ""
}

// lackNames names the kinds of evidence that a program may ask for.
var lackNames = map[string]string{
	"ask_photos":          "photos",
	"ask_measured":        "sizes measured",
	"ask_probes":          "probes",
	"ask_stalls":          "stall said",
	"ask_cores":           "cores",
	"ask_bag_checks":      "weighed bags",
	"ask_blower_pressure": "blower pressure",
	"ask_signature":       "installer and date",
	"ask_counted":         "bays counted from outside",
	"ask_empties":         "bags loaded and left, or empties",
	"ask_times":           "times",
	"ask_label_r":         "label's R-value",
}

// LackName names a kind of evidence.
func LackName(ask string) string {
	if name, ok := lackNames[ask]; ok {
		return name
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

// Rate writes a share of bays with its interval, in percent: "83 % (76 to 89)". Of no bays there is none.
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
	case b.By != "":
		return "decided by " + b.By + ", " + Verdict(b.Verdict)
	case b.State == verify.Closed && b.ClosedAs != verify.Close:
		return "closed as " + Verdict(b.ClosedAs) + ", now " + Verdict(b.Verdict)
	case b.State == verify.Closed:
		return "closed as CLOSE, now " + Verdict(b.Verdict)
	}
	return Verdict(b.Verdict)
}

// OpenedBay says what an inspector found in a bay, beside the verdict that it had before: the test of the rule on a real roof.
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

// suspicion is what is said about one code of a review's findings.
type suspicion struct {
	title    string // a few words, without figures
	text     string // with its numbers, see phrase; see also Suspect for what is added to them
	innocent string // the explanation that has to be ruled out before anyone is accused
}

// suspicions has a row for every code of a review's findings; a test holds it against the table of codes.
var suspicions = map[verify.Code]suspicion{
	audit.NearestStep: {"counts fit one density too well",
		"{agree} of {counts} bag counts are the nearest step to one density times the bay's volume; honest replays of these bays show {usual.0}",
		"a crew that packs very evenly and always starts from a full hopper; a plan's figures kept as the count where they fitted"},
	audit.NearestOften: {"a crew's counts often fit one density",
		"in {times} of {of} jobs the counts lie close to one density times the volume; other crews: {others} of the jobs",
		"a crew that packs very evenly and always starts from a full hopper; a plan's figures kept as the count where they fitted"},
	audit.LastDigits: {"last digits are uneven",
		"{times} of {values} weighed masses, read to {read_to}, end in {digit}; the ten digits should be about even (chi-square {chi_square.0})",
		"a scale that sticks or is read to the nearest five; figures typed over from a form that rounds"},
	audit.CopiedRows: {"measured rows stand twice",
		"{rows} rows from line {line} on are those from line {other_line} on[ of {other_job}], cell for cell",
		"twin houses with like bays, all read from full hoppers; a block pasted by mistake and not yet overwritten"},
	audit.PhotoTwice: {"photos that stand twice",
		"photo {photo}[ (bay {bay})] is the same picture as {other_photo}[ (bay {other_bay})][ of {other_job}][; so is {one_more} more][; so are {more} more][; {files} files[ in {in_jobs} jobs]]",
		"one shot shows both bays; a file attached to the wrong job"},
	audit.PhotoBays: {"one photo, several bays",
		"[{lone} ][{several|photo|photos} at {bays} bays, as ]{photo}[ of {of_job}] at bay {bay} and at bay {other_bay}",
		"one picture can show two bays, and most of these will"},
	audit.BagsBought: {"bags do not add up",
		"{bought} bags left the truck, the log has {logged}",
		"bags lent to or taken from another job; torn bags; bags left in the hopper"},
	audit.Empties: {"empties do not add up",
		"{where}: {counted} empties counted, the log has {logged} bags",
		"empties thrown away or carried over to the next section"},
	audit.CoarseStep: {"step read is coarser than stated",
		"{where}: bags are said to be read to {stated}, but only {odd} of {counts} counts show it: the log looks like {shown}",
		"the setting was never changed from its default; the hopper has no finer marks"},
	audit.AllStalled: {"never a bay that did not stall",
		"all {of} bays stalled; other crews say no in {others}",
		"a crew that runs the tube again until it stalls, and only then writes the row"},
	audit.LateTimes: {"times after the day",
		"in {times} of {of} jobs every time lies after the day of the job; other crews: {others} of the jobs",
		"sheets filled in on the roof and typed in later; a clock that is wrong"},
	audit.RaisedAfter: {"amended upward after a verdict",
		"{times} of {of} bays were amended to a higher density after a verdict other than CLOSE; others: {others} of the bays",
		"slips found because the verdict made the crew look: the hopper's part bag forgotten, a size in the wrong column"},
}

// Innocent is the explanation that has to be ruled out before anyone is accused.
func Innocent(c verify.Code) string { return suspicions[c].innocent }

// SuspectTitle names a kind of finding in a few words.
func SuspectTitle(c verify.Code) string {
	if s, ok := suspicions[c]; ok {
		return s.title
	}
	return string(c)
}

// Suspect says a finding of the review with its numbers, without the job that it speaks about.
func (u Units) Suspect(f *audit.Finding) string {
	s, ok := suspicions[f.Code]
	if !ok {
		return string(f.Code)
	}
	return u.phrase(s.text, append(f.Data[:len(f.Data):len(f.Data)], u.derived(f)...))
}

// derived is what a sentence needs besides a finding's own data: most of it stands only where there is something to say.
func (u Units) derived(f *audit.Finding) []verify.Datum {
	var out []verify.Datum
	text := func(key, text string) { out = append(out, verify.Datum{Key: key, Text: text, Dim: verify.Name}) }
	number := func(key string, x float64) { out = append(out, verify.Datum{Key: key, Value: x}) }
	of := func(key string) verify.Datum {
		d, _ := find(f.Data, key)
		return d
	}
	if len(f.Jobs) > 1 {
		text("other_job", of("other").Text)
		text("of_job", of("job").Text)
		number("in_jobs", float64(len(f.Jobs)))
	}
	photos := of("photos").Value
	switch f.Code {
	case audit.LastDigits:
		text("read_to", plain(of("step").Value, 2)+" "+u.Of(verify.Mass).Name)
	case audit.Empties, audit.CoarseStep:
		where := of("section").Text
		if where == "" {
			where = "all bays"
		}
		text("where", where)
	case audit.PhotoTwice:
		if photos == 2 {
			text("one_more", "one")
		} else if photos > 2 {
			number("more", photos-1)
		}
		if files := of("places").Value; files > 2*photos {
			number("files", files)
		}
	case audit.PhotoBays:
		if photos == 1 && of("bays").Value == 2 {
			text("lone", "photo")
		} else {
			number("several", photos)
		}
	}
	return out
}

// HowOften says how often honest data look like a finding.
func HowOften(p float64) string {
	switch {
	case math.IsNaN(p):
		return "no chance in it: the same bytes"
	case p <= 0:
		return "honest data: never by chance"
	case p < 1e-9:
		return "honest data: less than once in a billion"
	}
	return "honest data: once in " + thousands(1/p)
}

// thousands writes a large number with two digits and the words for its zeros: nobody knows it better than that.
func thousands(x float64) string {
	switch {
	case x >= 1e6:
		return figures(roundTo(x/1e6, 2), 1) + " million"
	case x >= 1e4:
		return figures(roundTo(x/1e3, 2), 1) + ",000"
	}
	return figures(roundTo(x, 2), 1)
}

// roundTo rounds x to so many significant digits.
func roundTo(x float64, digits int) float64 {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', digits-1, 64), 64)
	return y
}
