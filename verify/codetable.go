package verify

import "bayproof/model"

// CodeInfo explains a code.
type CodeInfo struct {
	Code    Code
	Kind    Kind
	Means   string // what it says
	Answers string // of a reason: what answers it
	Data    string // keys of its evidence
	Source  string
}

// Codes is the one table of all codes, by kind in the order in which they are looked for.
func Codes() []CodeInfo {
	all := append(reasonCodes(), suspicionCodes()...)
	all = append(all, answerCodes()...)
	all = append(all, actionCodes()...)
	all = append(all, placeCodes()...)
	all = append(all, sectionCodes()...)
	all = append(all, warningCodes()...)
	return append(all, readerCodes()...)
}

const (
	own     = "this tool's own"
	common  = "common practice"
	jcgm106 = "JCGM 106"
)

func reasonCodes() []CodeInfo {
	const more = "a top-up by weight; further readings where a size dominates; the bays logged next, if it is left open"
	return []CodeInfo{
		{Short, KindReason, "shown to be below the target", "only material", "density, half_width, prob_short", jcgm106},
		{NoMaterial, KindReason, "nothing is in it", "only material", "", own},
		{NotShown, KindReason, "the target is neither shown nor ruled out", more, "density, half_width, prob", jcgm106},
		{NoFigure, KindReason, "no density can be had: a size or the bag weight is missing", "the missing figure", "", own},
		{SizeUnlike, KindReason, "no density can be had: a size was taken over from a bay above, and the section's bays are too unlike for that", "an amend with the size measured", "input", "JCGM 100, 5.1.2"},
	}
}

func suspicionCodes() []CodeInfo {
	const firm = "rod firm, ir even or smoke still within the length named; a top-up of 0 that stalled lowers the odds of a void"
	const tube = "rod firm or smoke still beyond the tube's last mark; the tube run again to within one throw, and stalled"
	return []CodeInfo{
		{ShortOfCrew, KindSuspicion, "so far below the crew's other bays that part of it may be empty", firm, "prob_bad, empty, empty_lo, empty_hi", own},
		{OverFull, KindSuspicion, "more material than the bay holds: some of it is elsewhere, or a size is wrong", "an amended size; a lost entry; never a rod", "density, ceiling, prob_over", common},
		{Reach, KindSuspicion, "a length that the tube did not pass, beyond one throw per dead end", tube, "missing, passed, length, from, to", common},
		{NoStall, KindSuspicion, "the flow was said not to have stalled", tube, "", common},
		{NeighbourSwap, KindSuspicion, "two bays filled one after the other differ, while together they do not: booked to the wrong bay, or open to each other", firm, "other, difference, z", own},
		{ProbeSoft, KindSuspicion, "a rod, smoke or infrared look found it soft, empty, moving or cold", "a later look at that place: rod firm for a rod, smoke still for smoke, ir even or rod firm for infrared", "finding, at", "SWS 4.1103.1 (smoke); common practice"},
		{CoreDisagrees, KindSuspicion, "a core's density and the bag density do not agree within their uncertainties", "an amended entry; a second core that agrees", "core, density, z", own},
	}
}

func answerCodes() []CodeInfo {
	return []CodeInfo{
		{ByRodFirm, KindAnswer, "a rod found it firm at the place", "", "", common},
		{BySmokeStill, KindAnswer, "smoke stood still at the place", "", "", "SWS 4.1103.1"},
		{ByIREven, KindAnswer, "infrared showed it even at the place", "", "", common},
		{ByTube, KindAnswer, "the tube was run again, to within one throw of the end, and the flow stalled", "", "", common},
		{ByTopupZero, KindAnswer, "the tube was run again, stalled, and nothing went in", "", "", own},
		{ByAmend, KindAnswer, "an entry was amended", "", "", own},
		{ByLost, KindAnswer, "material was booked as lost", "", "", own},
		{ByCore, KindAnswer, "a second core agrees with the bag density", "", "", own},
	}
}

func actionCodes() []CodeInfo {
	act := func(c Code, means, data string) CodeInfo { return CodeInfo{c, KindAction, means, "", data, common} }
	return []CodeInfo{
		act(ActClose, "close it", ""),
		act(ActAdd, "blow in the mass that brings it to the aim, tube to the far end, to stall", "mass, bags, density, place"),
		act(ActBlowToStall, "run the tube again and blow to stall, weighing what goes in; log the top-up, 0 too", "mass, prob_none, open_bays, prob_open, place, from, to"),
		act(ActRod, "probe with the rod at the places named and log what it finds", "place, from, to"),
		act(ActRerunTube, "run the tube to the place named, blow to stall and log reach and stall", "place, from, to"),
		act(ActMeasureDepth, "measure the depth again at other places", "prob, place, from, to"),
		act(ActMeasureSize, "measure a size that was taken over, and amend the row", "input"),
		act(ActLookAtFace, "stop and look at the face, the room and the ducts; then at the sizes", ""),
		act(ActLeaveOpen, "leave it open: the bays logged next may settle it", "open_bays, prob_open"),
		act(ActCheckEntry, "look at the entry: a figure is missing or wrong", ""),
		act(ActSecondCore, "take a second core; amend the entry if it was wrong", ""),
		act(ActLogCount, "log the bay that ends the shared count", ""),
		act(ActFill, "fill it", ""),
	}
}

func placeCodes() []CodeInfo {
	place := func(c Code, means string) CodeInfo { return CodeInfo{c, KindPlace, means, "", "from, to", common} }
	return []CodeInfo{
		place(AtFinding, "where a look found something"),
		place(BeyondMark, "beyond the tube's last mark"),
		place(ByHole, "the last foot by the fill hole"),
		place(Obstacles, "beside wires, pipes and blocking"),
		place(FarCorners, "the far corners of a bay over 20 in wide"),
	}
}

func sectionCodes() []CodeInfo {
	return []CodeInfo{
		{NotInLog, KindSectionReason, "bays that the sections table counts and the log lacks", "log them", "bays", own},
		{NotFilledBays, KindSectionReason, "bays measured and not filled", "fill them", "bays", own},
		{EmptiesDiffer, KindSectionReason, "empties counted and bags logged differ by more than the readings explain", "an amended entry or count; a lost entry", "counted, logged, z", own},
		{DriftFound, KindSectionReason, "the density moves along the order of filling", "look at the machine; a set row restarts it", "slope, z", own},
	}
}

// readerCodes are the warnings that the reading of a job gives.
func readerCodes() []CodeInfo {
	var codes []CodeInfo
	for _, d := range model.WarningDefs() {
		codes = append(codes, CodeInfo{Code(d.Code), KindWarning, d.Means, d.Cure, "", own})
	}
	return codes
}

func warningCodes() []CodeInfo {
	warn := func(c Code, means, cure, data, source string) CodeInfo {
		return CodeInfo{c, KindWarning, means, cure, data, source}
	}
	return []CodeInfo{
		warn(BlowerLow, "the blower's pressure is below 80 in of water", "clean filter and hose, close the air gate", "pressure", "SWS 4.1101.5"),
		warn(SpreadUnknown, "nothing was read twice: how far one reading scatters is unknown, not zero", "read some widths, depths and lengths twice", "input", "JCGM 100, 4.2"),
		warn(StepDoubled, "the log shows a coarser step than the one stated", "read finer, or state the step that is read", "stated, used, odd, counts, prob", own),
		warn(PhotoMissing, "photos that the log names are not there", "add them to photos/", "photo", own),
		warn(FlagOverride, "a verdict rests on a setting given by a flag", "write it into job.csv", "setting", own),
		warn(CrewNotAsked, "rule guarded: a bay is judged by itself; a void in a bay above the target cannot show", "rule process", "", own),
		warn(SpillNotTaken, "spill is not deducted", "give spill its share", "", own),
		warn(NoBulge, "the face is netting or a membrane and no bulge was measured", "measure the bulge at mid-width after filling", "face", "geometry"),
		warn(BagsUnaccounted, "bags loaded, left and logged do not add up within the readings", "an amended count; a lost entry", "bags, z", own),
		warn(BagChecksCoarse, "the weighed bags know the bag weight less well than the label, for the scale's own ±", "give weigh_within the scale's ±", "u, u_label", "JCGM 100"),
		warn(VentInDepth, "vent_space is yes and a depth is a rafter's whole depth: the channel is in it", "log the depth that is left below the channel", "depth, bays", "IRC R806.3; PS 20"),
		warn(SizesTakenOver, "sizes were taken over from the bay above, not measured", "measure more bays", "measured, bays", own),
	}
}
