package say

import (
	"fmt"

	"bayproof/verify"
	"bayproof/verify/audit"
)

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
