package say

import (
	"fmt"
	"math"
	"strconv"
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

// Suspect says a finding of the review with its numbers, without the job that it speaks about.
func (u Units) Suspect(f *audit.Finding) string {
	d := func(key string) string { return u.Datum(datumOf(f.Data, key)) }
	n := func(key string) int { return int(datumOf(f.Data, key).Value) }
	switch f.Code {
	case audit.NearestStep:
		return fmt.Sprintf("%d of %d bag counts are the nearest step to one density times the bay's volume; honest replays of these bays show %s",
			n("agree"), n("counts"), fixed(datumOf(f.Data, "usual").Value, 0))
	case audit.NearestOften:
		return fmt.Sprintf("in %d of %d jobs the counts lie close to one density times the volume; other crews: %s of the jobs", n("times"), n("of"), d("others"))
	case audit.LastDigits:
		return fmt.Sprintf("%d of %d weighed masses, read to %s, end in %d; the ten digits should be about even (chi-square %s)",
			n("times"), n("values"), plain(datumOf(f.Data, "step").Value, 2)+" "+u.Of(verify.Mass).Name, n("digit"), fixed(datumOf(f.Data, "chi_square").Value, 0))
	case audit.CopiedRows:
		return fmt.Sprintf("%d rows from line %d on are those from line %d on%s, cell for cell", n("rows"), n("line"), n("other_line"), ofOther(f))
	case audit.PhotoTwice:
		return fmt.Sprintf("photo %s%s is the same picture as %s%s%s", d("photo"), ofBay(f, "bay"), d("other_photo"), ofBay(f, "other_bay"), ofOther(f)) + places(f, n("photos"), n("places"))
	case audit.PhotoBays:
		return sharedPhotos(n("photos"), n("bays"), len(f.Jobs), d)
	case audit.BagsBought:
		return fmt.Sprintf("%s bags left the truck, the log has %s", d("bought"), d("logged"))
	case audit.Empties:
		return fmt.Sprintf("%s: %s empties counted, the log has %s bags", sectionOr(d("section")), d("counted"), d("logged"))
	case audit.CoarseStep:
		return fmt.Sprintf("%s: bags are said to be read to %s, but only %d of %d counts show it: the log looks like %s",
			sectionOr(d("section")), d("stated"), n("odd"), n("counts"), d("shown"))
	case audit.AllStalled:
		return fmt.Sprintf("all %d bays stalled; other crews say no in %s", n("of"), d("others"))
	case audit.LateTimes:
		return fmt.Sprintf("in %d of %d jobs every time lies after the day of the job; other crews: %s of the jobs", n("times"), n("of"), d("others"))
	case audit.RaisedAfter:
		return fmt.Sprintf("%d of %d bays were amended to a higher density after a verdict other than CLOSE; others: %s of the bays", n("times"), n("of"), d("others"))
	}
	return string(f.Code)
}

// places counts the files of the pictures, where they are more than the two that are named.
func places(f *audit.Finding, photos, n int) string {
	text := ""
	switch {
	case photos == 2:
		text = "; so is one more"
	case photos > 2:
		text = fmt.Sprintf("; so are %d more", photos-1)
	}
	if n > 2*photos {
		text += fmt.Sprintf("; %d files", n)
		if len(f.Jobs) > 1 {
			text += fmt.Sprintf(" in %d jobs", len(f.Jobs))
		}
	}
	return text
}

// sharedPhotos says that pictures stand at several bays each.
func sharedPhotos(photos, bays, jobs int, d func(string) string) string {
	as := fmt.Sprintf("%s at bay %s and at bay %s", d("photo"), d("bay"), d("other_bay"))
	if jobs > 1 {
		as = fmt.Sprintf("%s of %s at bay %s and at bay %s", d("photo"), d("job"), d("bay"), d("other_bay"))
	}
	if photos == 1 && bays == 2 {
		return "photo " + as
	}
	return fmt.Sprintf("%s at %d bays, as %s", Count(photos, "photo", "photos"), bays, as)
}

func datumOf(data []verify.Datum, key string) verify.Datum {
	d, _ := find(data, key)
	return d
}

func ofOther(f *audit.Finding) string {
	if len(f.Jobs) < 2 {
		return ""
	}
	return " of " + datumOf(f.Data, "other").Text
}

func ofBay(f *audit.Finding, key string) string {
	if bay := datumOf(f.Data, key).Text; bay != "" {
		return " (bay " + bay + ")"
	}
	return ""
}

func sectionOr(name string) string {
	if name == "" {
		return "all bays"
	}
	return name
}

// Innocent is the explanation that has to be ruled out before anyone is accused.
func Innocent(c verify.Code) string {
	switch c {
	case audit.NearestStep, audit.NearestOften:
		return "a crew that packs very evenly and always starts from a full hopper; a plan's figures kept as the count where they fitted"
	case audit.LastDigits:
		return "a scale that sticks or is read to the nearest five; figures typed over from a form that rounds"
	case audit.CopiedRows:
		return "twin houses with like bays, all read from full hoppers; a block pasted by mistake and not yet overwritten"
	case audit.PhotoTwice:
		return "one shot shows both bays; a file attached to the wrong job"
	case audit.PhotoBays:
		return "one picture can show two bays, and most of these will"
	case audit.BagsBought:
		return "bags lent to or taken from another job; torn bags; bags left in the hopper"
	case audit.Empties:
		return "empties thrown away or carried over to the next section"
	case audit.CoarseStep:
		return "the setting was never changed from its default; the hopper has no finer marks"
	case audit.AllStalled:
		return "a crew that runs the tube again until it stalls, and only then writes the row"
	case audit.LateTimes:
		return "sheets filled in on the roof and typed in later; a clock that is wrong"
	case audit.RaisedAfter:
		return "slips found because the verdict made the crew look: the hopper's part bag forgotten, a size in the wrong column"
	}
	return ""
}

// SuspectTitle names a kind of finding in a few words.
func SuspectTitle(c verify.Code) string {
	switch c {
	case audit.NearestStep:
		return "counts fit one density too well"
	case audit.NearestOften:
		return "a crew's counts often fit one density"
	case audit.LastDigits:
		return "last digits are uneven"
	case audit.CopiedRows:
		return "measured rows stand twice"
	case audit.PhotoTwice:
		return "photos that stand twice"
	case audit.PhotoBays:
		return "one photo, several bays"
	case audit.BagsBought:
		return "bags do not add up"
	case audit.Empties:
		return "empties do not add up"
	case audit.CoarseStep:
		return "step read is coarser than stated"
	case audit.AllStalled:
		return "never a bay that did not stall"
	case audit.LateTimes:
		return "times after the day"
	case audit.RaisedAfter:
		return "amended upward after a verdict"
	}
	return string(c)
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

// thousands writes a large number with two digits and the words for its zeros.
func thousands(x float64) string {
	switch {
	case x >= 1e6:
		return figures(roundTo(x/1e6, 2), 1) + " million"
	case x >= 1e4:
		return figures(roundTo(x/1e3, 2), 1) + ",000"
	}
	return figures(roundTo(x, 2), 1)
}

func roundTo(x float64, digits int) float64 {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', digits-1, 64), 64)
	return y
}
