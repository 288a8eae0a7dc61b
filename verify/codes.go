package verify

// Kind says what a code names.
type Kind string

const (
	KindReason        Kind = "reason"         // speaks about a bay's figure and holds its verdict until answered
	KindSuspicion     Kind = "suspicion"      // a reason for PROBE
	KindAnswer        Kind = "answer"         // what answered a reason
	KindAction        Kind = "action"         // what to do now
	KindPlace         Kind = "place"          // where to probe, in the data of an action
	KindSectionReason Kind = "section-reason" // speaks about a section
	KindWarning       Kind = "warning"        // worth knowing, holds no verdict
)

// Reasons of a bay that rest on its figure.
const (
	NotShown   Code = "not-shown"
	Short      Code = "short"
	NoMaterial Code = "no-material"
	NoFigure   Code = "no-figure"
	SizeUnlike Code = "size-unlike"
)

// Suspicions.
const (
	ShortOfCrew   Code = "short-of-crew"
	OverFull      Code = "over-full"
	Reach         Code = "reach"
	NoStall       Code = "no-stall"
	NeighbourSwap Code = "neighbour-swap"
	ProbeSoft     Code = "probe-soft"
	CoreDisagrees Code = "core-disagrees"
)

// Answers.
const (
	ByRodFirm    Code = "rod-firm"
	BySmokeStill Code = "smoke-still"
	ByIREven     Code = "ir-even"
	ByTube       Code = "tube"
	ByTopupZero  Code = "topup-zero"
	ByAmend      Code = "amended"
	ByLost       Code = "lost"
	ByCore       Code = "core"
)

// Actions.
const (
	ActClose        Code = "close"
	ActAdd          Code = "add"
	ActBlowToStall  Code = "blow-to-stall"
	ActRod          Code = "rod"
	ActRerunTube    Code = "rerun-tube"
	ActMeasureDepth Code = "measure-depth"
	ActMeasureSize  Code = "measure-size"
	ActLookAtFace   Code = "look-at-face"
	ActLeaveOpen    Code = "leave-open"
	ActCheckEntry   Code = "check-entry"
	ActSecondCore   Code = "second-core"
	ActLogCount     Code = "log-count"
	ActFill         Code = "fill"
)

// Places.
const (
	BeyondMark Code = "beyond-mark"
	ByHole     Code = "by-hole"
	Obstacles  Code = "obstacles"
	FarCorners Code = "far-corners"
	AtFinding  Code = "at-finding"
)

// Reasons of a section.
const (
	NotInLog      Code = "not-in-log"
	NotFilledBays Code = "not-filled"
	EmptiesDiffer Code = "empties-differ"
	DriftFound    Code = "drift"
)

// Warnings.
const (
	BlowerLow       Code = "blower-low"
	SpreadUnknown   Code = "spread-unknown"
	StepDoubled     Code = "step-doubled"
	PhotoMissing    Code = "photo-missing"
	FlagOverride    Code = "flag-override"
	SpillNotTaken   Code = "spill-not-deducted"
	CrewNotAsked    Code = "crew-not-asked"
	NoBulge         Code = "no-bulge"
	BagsUnaccounted Code = "bags-unaccounted"
	BagChecksCoarse Code = "bag-checks-coarse"
	SizesTakenOver  Code = "sizes-taken-over"
	VentInDepth     Code = "vent-in-depth"
)

// isSuspicion tells the reasons for PROBE from those that rest on the figure.
func isSuspicion(c Code) bool {
	switch c {
	case ShortOfCrew, OverFull, Reach, NoStall, NeighbourSwap, ProbeSoft, CoreDisagrees:
		return true
	}
	return false
}
