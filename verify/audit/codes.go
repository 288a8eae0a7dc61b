package audit

import "bayproof/verify"

// Codes of what does not look as honest readings do.
const (
	NearestStep  verify.Code = "nearest-step"  // counts that are the nearest step to one density times the volume
	NearestOften verify.Code = "nearest-often" // a crew with more such jobs than others
	LastDigits   verify.Code = "last-digits"   // last digits of weighed masses that are not even
	CopiedRows   verify.Code = "copied-rows"   // a run of measured rows that stands twice
	PhotoTwice   verify.Code = "photo-twice"   // one picture in two jobs, or under two names
	PhotoBays    verify.Code = "photo-bays"    // one picture at two bays of a job
	BagsBought   verify.Code = "bags-bought"   // bags logged against bags that left the truck
	Empties      verify.Code = "empties"       // bags logged against empties counted
	CoarseStep   verify.Code = "coarse-step"   // a stated step finer than the log shows
	AllStalled   verify.Code = "all-stalled"   // not one bay that did not stall
	LateTimes    verify.Code = "late-times"    // times after the day
	RaisedAfter  verify.Code = "raised-after"  // amendments that raise the density after a verdict
)

// KindFinding is the kind of the codes above: they speak about jobs and crews set side by side and hold no verdict.
const KindFinding verify.Kind = "finding"

// Codes is the table of what a review can find, in the order in which it is looked for. Answers says what settles it.
func Codes() []verify.CodeInfo {
	find := func(c verify.Code, means, settles, data, source string) verify.CodeInfo {
		return verify.CodeInfo{Code: c, Kind: KindFinding, Means: means, Answers: settles, Data: data, Source: source}
	}
	const (
		replays = "this tool's own; sequential Monte Carlo (Besag and Clifford 1991)"
		peers   = "this tool's own; beta-binomial, the other crews' rates"
		files   = "SHA-256 of the files"
	)
	return []verify.CodeInfo{
		find(NearestStep, "bag counts that are the nearest step to one density times the volume, more of them than honest readings of these bays give",
			"part bags weighed on the next job; the crew's own tally sheet; a core", "agree, counts, usual, replays", replays),
		find(NearestOften, "a crew with more jobs than others whose counts lie close to one density times the volume",
			"part bags weighed on its next jobs; its tally sheets; cores", "times, of, others", peers),
		find(LastDigits, "last digits of weighed masses that are not even",
			"the scale looked at; the sheets it was read onto", "values, step, digit, times, chi_square", "this tool's own; Pearson's chi-square"),
		find(CopiedRows, "a run of measured rows that stands in two places, cell for cell",
			"the paper sheets of both; an amended entry where a block was pasted", "rows, line, other, other_line, bits", "this tool's own"),
		find(PhotoTwice, "one picture in two jobs, or under two names in one",
			"the camera's own files; the photo of the right bay", "photos, places, jobs, photo, bay, other, other_photo, other_bay", files),
		find(PhotoBays, "pictures named at two or more bays of a job",
			"nothing where it shows them all; else a photo of each", "photos, bays, photo, bay, other_bay, job", files),
		find(BagsBought, "bags that left the truck and bags logged that differ by more than the readings explain",
			"the delivery note and what came back; an amended count; a lost entry", "bought, logged", "JCGM 100"),
		find(Empties, "a section's empties and the bags logged for it that differ by more than the readings explain",
			"the empties counted again; an amended entry; a lost entry", "counted, logged, section", "JCGM 100"),
		find(CoarseStep, "counts that show a coarser step than the one stated",
			"the step that is really read, as bag_step; finer marks in the hopper", "stated, shown, odd, counts, section", "this tool's own"),
		find(AllStalled, "a crew of whose bays not one is said not to have stalled, while others have some",
			"a visit while bays are filled; how the crew decides that a bay has stalled", "times, of, others", peers),
		find(LateTimes, "a crew with more jobs than others in which every time lies after the day of the job",
			"the paper sheets; log at the truck; a clock set right", "times, of, others", peers),
		find(RaisedAfter, "bays amended to a higher density after a verdict other than CLOSE, more of them than others have",
			"what each amendment says why; the first rows, which stay in the record", "times, of, others", peers),
	}
}
