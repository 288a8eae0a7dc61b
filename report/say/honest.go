package say

import (
	"math"
	"strconv"

	"bayproof/verify"
	"bayproof/verify/audit"
)

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
