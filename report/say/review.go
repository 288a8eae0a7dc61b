package say

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"

	"bayproof/model"
	"bayproof/verify"
	"bayproof/verify/audit"
	"bayproof/verify/audit/inspect"
	"bayproof/verify/audit/plausible"
)

// Lacking says one piece of missing evidence: "photos: 6 % of the bays, 100 % asked for".
func Lacking(l verify.Lack) string {
	have, want := lackFigures(l)
	switch {
	case want == "":
		return LackName(l.Ask)
	case l.Share:
		have += " of the bays"
	}
	return LackName(l.Ask) + ": " + have + ", " + want + " asked for"
}

// asked says one piece of missing evidence to the crew: "photos (6 % so far, 100 % wanted)".
func (u Units) asked(l verify.Lack) string {
	if have, want := lackFigures(l); want != "" {
		return u.F("%s (%s so far, %s wanted)", u.S(LackName(l.Ask)), have, want)
	}
	return u.S(LackName(l.Ask))
}

// LackCell says one lack in a table: what there is, against what was asked for.
func LackCell(l verify.Lack) string {
	if have, want := lackFigures(l); want != "" {
		return have + " of " + want
	}
	return "missing"
}

// lackFigures writes what there is and what was asked for; nothing where evidence is there or not.
// What was asked for was set, so it is written as it was; a share that was observed is rounded
// down.
func lackFigures(l verify.Lack) (have, want string) {
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
	return cmp.Or(lackNames[ask], strings.TrimPrefix(ask, "ask_"))
}

// wholePercent writes a share for a list; a share that does not exist is none.
func wholePercent(x float64) string {
	if !(x > 0) {
		return "0 %"
	}
	return Percent(x, nan())
}

// Rate writes a share of bays with its interval, in percent: "83 % (76 to 89)". Of no bays there is
// none.
func Rate(r audit.Rate) string {
	if r.N == 0 {
		return "–"
	}
	return fixed(100*r.Share(), 0) + " % (" + fixed(100*r.Lo, 0) + " to " + fixed(100*r.Hi, 0) + ")"
}

// WhyDrawn says why a bay was drawn.
func WhyDrawn(c inspect.Class) string {
	switch c {
	case inspect.OpenHold:
		return "on hold and still open"
	case inspect.ClosedHold:
		return "closed though not CLOSE"
	case inspect.Doubtful:
		return "CLOSE, with the crew's help, under 98 % sure, or in a job with a finding"
	}
	return "CLOSE by its own count, 98 % sure or more"
}

// OpenState says how a bay that needs someone stands.
func (u Units) OpenState(b *audit.BayOf) string {
	switch b.Plight {
	case audit.ShortClosed, audit.Contradicted, audit.NotFilled:
		_, words := Plight(b.Plight)
		return words
	case audit.Decided:
		return "decided by " + b.By + ", " + Verdict(b.Verdict)
	case audit.ClosedDoubt:
		return "closed as " + Verdict(b.ClosedAs) + ", now " + Verdict(b.Verdict)
	}
	return Verdict(b.Verdict)
}

// Plight names how bays stand, with a mark in front.
func Plight(p audit.Plight) (mark, words string) {
	x := [audit.Plights][2]string{{"✕", "short and closed"}, {"✕", "closed, and the empties say less went in"}, {"✓", "decided by a person"}, {"◇", "closed though not CLOSE"},
		{"▲", "ADD, still open"}, {"◆", "PROBE, still open"}, {"○", "MEASURE, still open"}, {"□", "not filled"}, {"□", "not in the log"}}[p]
	return x[0], x[1]
}

// QueueWord says what is to be done.
func QueueWord(q audit.Queue) string { return [...]string{"Mend", "Look", "Ask"}[q] }

// Face writes an area of faces, whole square feet.
func (u Units) Face(x float64) string {
	unit, digits := u.Area(), 0
	if u.System == model.SI {
		digits = 1
	}
	return fixed(x/unit.SI, digits) + " " + unit.Name
}

// ShortBay says of one bay that is short by how much, how large it is, who closed it and when: "b4,
// 2.10 lb/ft³, 1.40 short, 22 ft², AB, 2026-03-02".
func (u Units) ShortBay(j *audit.Job, b *audit.BayOf, name string) string {
	unit := u.Of(verify.Density)
	text := name
	if !math.IsNaN(b.Density) {
		text += ", " + fixed(b.Density/unit.SI, 2) + " " + unit.Name
	}
	if short := j.ShortBy(b); short > 0 {
		text += ", " + fixed(short/unit.SI, 2) + " short"
	}
	if b.Area > 0 {
		text += ", " + u.Face(b.Area)
	}
	for _, s := range []string{b.By, b.Day()} {
		if s != "" {
			text += ", " + s
		}
	}
	return text
}

// TermsOfJobs counts the jobs of a review by the terms that their crews had.
type TermsOfJobs struct {
	Own               int // that set other values of what the terms govern
	Same, Other, None int // whose folder or record has the review's program file, another, none
}

// TermsLine says by what all jobs were judged, how many set other terms of their own, and under
// which file their crews worked.
func (u Units) TermsLine(t *audit.Terms, n TermsOfJobs) string {
	from := "no program file: the published target and the usual terms"
	if t.File != "" {
		from = t.File + ", SHA-256 " + t.Digest[:min(12, len(t.Digest))] + "…"
	}
	text := "Judged at " + u.Density(t.Target, nan(), nan()) + " " + u.Of(verify.Density).Name + ", " + Percent(t.Confidence, nan()) + ", rule " + t.Rule.String() + " (" + from + ")"
	if n.Own > 0 {
		text += "; " + Count(n.Own, "job", "jobs") + " set other terms"
	}
	switch {
	case t.File == "" && n.Other > 0:
		text += ". " + Count(n.Other, "job has", "jobs have") + " a program file beside the log: --programme FILE judges by it"
	case t.File != "" && n.Other > 0:
		text += ". " + Count(n.Other, "job was", "jobs were") + " worked under another program file, " + strconv.Itoa(n.None) + " under none"
	case t.File != "" && n.None > 0 && n.Same > 0:
		text += ". " + Count(n.None, "job was", "jobs were") + " worked under no program file"
	}
	return text + "."
}

// Bound says what finding none bad would prove.
func Bound(b inspect.Bound) string {
	who := fmt.Sprintf("the %d bays called CLOSE", b.Bays)
	if b.Crew != "" {
		who = fmt.Sprintf("%s's %d", b.Crew, b.Bays)
	}
	share := max(0, math.Ceil(1000*b.Share()-1e-9)) / 10 // percent to a tenth, rounded up
	return fmt.Sprintf("None bad in %d would prove, 95 %% sure: at most %d of %s are bad (%s %%)", b.Drawn, b.Most, who, fixed(share, 1))
}

// Found says what inspections say about the bays that were CLOSE.
func Found(r *inspect.Row) string {
	return "stated " + fixed(100*r.Stated, 1) + " % short, found " + fixed(100*r.Found.Share, 1) + " % (" + fixed(100*r.Found.Lo, 1) + "–" + fixed(100*r.Found.Hi, 1) + ")"
}

// Inspected says what an inspector found in a bay, beside its verdict.
func (u Units) Inspected(r *inspect.Result) string {
	text := strings.TrimPrefix(r.Section+" "+r.Bay, " ") + ": was " + Verdict(r.Verdict)
	if r.Found != model.FoundNothing {
		text += ", found " + r.Found.String()
	}
	if !math.IsNaN(r.Density) {
		text += ", " + u.Density(r.Density, nan(), nan()) + " " + u.Of(verify.Density).Name
	}
	switch {
	case !r.Counts():
		return text
	case r.Short:
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

// suspicions has a row for every code of a review's findings; a test holds it against the table of
// codes.
var suspicions = map[verify.Code]suspicion{
	plausible.NearestStep: {"counts fit one density too well",
		"{agree} of {counts} bag counts are the nearest step to one density times the bay's volume; honest ones would be {usual.0}",
		"a crew that packs very evenly and always starts from a full hopper; a plan's figures kept as the count where they fitted"},
	plausible.NearestOften: {"a crew's counts often fit one density",
		"in {of} jobs together {agree} of {counts} bag counts are the nearest step to one density times the bay's volume, more than any honest reading of both ends gives",
		"a crew that always starts from a full hopper and does not say so; a plan's figures kept as the count where they fitted"},
	plausible.MadeWeights: {"weights follow the tape too closely",
		"{within} of {bays} weighed bays lie within {close_to} % of one density, {one_density}: closer than bays are packed and a tape is read",
		"weights worked out from a target by a sheet that fills itself in; bays filled from bags that were weighed out beforehand"},
	plausible.CopiedNear: {"rows copied and changed a little",
		"{rows} rows from line {line} on have the sizes of those from line {other_line} on[ of {other_job}], and weights within a quarter of a pound",
		"twin houses filled from bags that were weighed out beforehand"},
	plausible.CopiedShuffled: {"rows copied in another order",
		"{rows} weighed rows, the first in line {line}, stand in {other} too, in another order",
		"the same house logged twice; one file kept for two names"},
	plausible.PhotoAlike: {"a photo saved anew",
		"photo {photo}[ (bay {bay})] is {other_photo}[ (bay {other_bay})] of {other} saved anew[; so are {more} more]",
		"two shots of one wall, a second apart, in a house that was logged as two jobs"},
	plausible.LastDigits: {"last digits are uneven",
		"{times} of {values} weighed masses, read to {read_to}, end in {digit}; the ten digits should be about even (chi-square {chi_square.0})",
		"a scale that sticks or is read to the nearest five; figures typed over from a form that rounds"},
	plausible.CopiedRows: {"measured rows stand twice",
		"{rows} rows from line {line} on are those from line {other_line} on[ of {other_job}], cell for cell",
		"twin houses with like bays, all read from full hoppers; a block pasted by mistake and not yet overwritten; one job in two folders"},
	plausible.PhotoTwice: {"photos that stand twice",
		"photo {photo}[ (bay {bay})] is the same picture as {other_photo}[ (bay {other_bay})][ of {other_job}][; so is {one_more} more][; so are {more} more][; {files} files[ in {in_jobs} jobs]]",
		"one shot shows both bays; a file attached to the wrong job; one job in two folders"},
	plausible.PhotoBays: {"one photo, several bays",
		"[{lone} ][{several|photo|photos} at {bays} bays, as ]{photo}[ of {of_job}] at bay {bay} and at bay {other_bay}",
		"one picture can show two bays, and most of these will"},
	plausible.BagsBought: {"bags do not add up",
		"{bought} bags left the truck, the log has {logged}",
		"bags lent to or taken from another job; torn bags; bags left in the hopper"},
	plausible.Empties: {"empties do not add up",
		"{where}: {counted} empties counted, the log has {logged} bags",
		"empties thrown away or carried over to the next section"},
	plausible.CrewTotals: {"a crew's logs hold more than its empties",
		"all its jobs together log {excess} bags more than the empties say went in, {per_bay} a bay over {bays} bays",
		"empties thrown away before they are counted; bags left in the hopper and used on the next job"},
	plausible.NeverCounted: {"empties never counted",
		"in none of {of} jobs were the empties counted; other crews do so in {others}",
		"nobody told the crew; a truck that serves several crews"},
	plausible.OddBag: {"an odd bag weight",
		"bags are said to hold {bag}; in {others} other jobs[ with {product}] it is {usual}",
		"another size of bag of the same product; a label that has changed"},
	plausible.CoarseStep: {"step read is coarser than stated",
		"{where}: bags are said to be read to {stated}, but only {odd} of {counts} counts show it: the log looks like {shown}",
		"the setting was never changed from its default; the hopper has no finer marks"},
	plausible.AllStalled: {"never a bay that did not stall",
		"all {of} bays stalled; other crews say no in {others}",
		"a crew that runs the tube again until it stalls, and only then writes the row"},
	plausible.TooFast: {"faster than a machine feeds",
		"{bays} bays, {mass}, in {minutes} minutes by their times; no machine feeds that in less than {needs}",
		"rows typed in after the work, from paper"},
	plausible.TwoPlaces: {"in two houses at once",
		"bays were filled here and in {other} in the same {minutes} minutes",
		"a crew with two trucks; a clock that is wrong; rows typed in after the work; one job in two folders"},
	plausible.LateTimes: {"times after the day",
		"in {times} of {of} jobs every time lies after the day of the job; other crews: {others} of the jobs",
		"sheets filled in on the roof and typed in later; a clock that is wrong"},
	plausible.RaisedAfter: {"amended upward after a verdict",
		"{times} of {of} bays were amended to a higher density after a verdict other than CLOSE; others: {others} of the bays",
		"slips found because the verdict made the crew look: the hopper's part bag forgotten, a size in the wrong column"},
	plausible.OwnTerms: {"terms of its own",
		"{own} in its own files, judged at {used}: {close_own} of {bays} bays CLOSE by its own terms, {close} by the program's",
		"a setting from before the program; another program's job"},
}

// Innocent is the explanation that has to be ruled out before anyone is accused.
func Innocent(c verify.Code) string { return suspicions[c].innocent }

// SuspectTitle names a kind of finding in a few words.
func SuspectTitle(c verify.Code) string {
	return cmp.Or(suspicions[c].title, string(c))
}

// Suspect says a finding of the review with its numbers, without the job that it speaks about.
func (u Units) Suspect(f *plausible.Finding) string {
	s, ok := suspicions[f.Code]
	if !ok {
		return string(f.Code)
	}
	return u.phrase(s.text, append(f.Data[:len(f.Data):len(f.Data)], u.derived(f)...))
}

// derived is what a sentence needs besides a finding's own data: most of it stands only where there
// is something to say.
func (u Units) derived(f *plausible.Finding) []verify.Datum {
	var out []verify.Datum
	text := func(key, text string) { out = append(out, word(key, text)) }
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
	case plausible.LastDigits:
		text("read_to", plain(of("step").Value, 2)+" "+u.Of(verify.Mass).Name)
	case plausible.Empties, plausible.CoarseStep:
		text("where", cmp.Or(of("section").Text, "all bays"))
	case plausible.PhotoTwice:
		if photos == 2 {
			text("one_more", "one")
		} else if photos > 2 {
			number("more", photos-1)
		}
		if files := of("places").Value; files > 2*photos {
			number("files", files)
		}
	case plausible.MadeWeights:
		close := "less than 0.01"
		if w := of("width").Value; w >= 0.005 {
			close = plain(w, 2)
		}
		text("close_to", close)
		text("one_density", u.Density(of("density").Value, nan(), nan())+" "+u.Of(verify.Density).Name)
	case plausible.PhotoAlike:
		if photos > 1 {
			number("more", photos-1)
		}
	case plausible.PhotoBays:
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
		return "no chance in it: it stands in the files"
	case p <= 0:
		return "honest data: never by chance"
	case p < 1e-9:
		return "honest data: less than once in a billion"
	}
	return "honest data: once in " + thousands(1/p)
}

// thousands writes a large number with two digits and the words for its zeros: nobody knows it
// better than that.
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
