package verify

// Kind says what a code names.
type Kind string

const (
	KindReason        Kind = "reason"         // speaks about a bay and holds its verdict until answered
	KindSuspicion     Kind = "suspicion"      // a reason for PROBE
	KindAnswer        Kind = "answer"         // what answered a reason
	KindAction        Kind = "action"         // what to do now
	KindSectionReason Kind = "section-reason" // speaks about a section
	KindWarning       Kind = "warning"        // worth knowing, holds no verdict
	KindPlace         Kind = "place"          // where to probe
)

// Reasons of a bay that rest on its figures.
const (
	NotShown   Code = "not-shown"
	Short      Code = "short"
	NoMaterial Code = "no-material"
	NoFigure   Code = "no-figure"
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

// Actions.
const (
	ActClose       Code = "close"
	ActAdd         Code = "add"
	ActBlowToStall Code = "blow-to-stall"
	ActRod         Code = "rod"
	ActRerunTube   Code = "rerun-tube"
	ActLookAtFace  Code = "look-at-face"
	ActCheckEntry  Code = "check-entry"
	ActSecondCore  Code = "second-core"
	ActFill        Code = "fill"
)

func isSuspicion(c Code) bool {
	switch c {
	case ShortOfCrew, OverFull, Reach, NoStall, NeighbourSwap, ProbeSoft, CoreDisagrees:
		return true
	}
	return false
}
