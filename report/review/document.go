package review

import (
	"bayproof/report"
)

// document is the review as JSON: numbers in the units of the first job, at full precision.
type document struct {
	Method   int               `json:"method"` // verify.Method
	Tool     report.Tool       `json:"tool"`
	Units    map[string]string `json:"units"`
	Totals   results           `json:"totals"`
	Crews    []results         `json:"crews"`
	Kinds    []results         `json:"section_kinds"`
	Months   []results         `json:"months"`
	Jobs     []jobResults      `json:"jobs"`
	Looked   int               `json:"looked_at"`
	Rate     report.Number     `json:"false_discovery_rate"`
	Findings []finding         `json:"findings"`
	Opened   *openedSum        `json:"opened"`
	Sample   *sample           `json:"sample"`
	Bad      []bad             `json:"not_read"`
}

// results are the figures of some bays.
type results struct {
	Name           string         `json:"name"`
	Jobs           int32          `json:"jobs"`
	Sections       int32          `json:"sections"`
	Bays           int32          `json:"bays"`
	Expected       int32          `json:"bays_expected"`
	Filled         int32          `json:"filled"`
	Close          int32          `json:"close"`
	CloseOwn       int32          `json:"close_own"`
	CloseCrew      int32          `json:"close_crew"`
	Add            int32          `json:"add"`
	Measure        int32          `json:"measure"`
	Probe          int32          `json:"probe"`
	NotFilled      int32          `json:"not_filled"`
	NotInLog       int32          `json:"not_in_log"`
	Closed         int32          `json:"closed"`
	ClosedNotClose int32          `json:"closed_not_close"`
	ClosedHold     int32          `json:"closed_now_or_then_not_close"`
	Measured       int32          `json:"bays_measured"`
	Pass           report.Number  `json:"pass_rate"`
	PassLo         report.Number  `json:"pass_rate_lo"`
	PassHi         report.Number  `json:"pass_rate_hi"`
	Shrunk         *report.Number `json:"pass_rate_shrunk,omitempty"`
	FunnelLo       *report.Number `json:"funnel_lo,omitempty"`
	FunnelHi       *report.Number `json:"funnel_hi,omitempty"`
	FunnelOuterLo  *report.Number `json:"funnel_outer_lo,omitempty"`
	FunnelOuterHi  *report.Number `json:"funnel_outer_hi,omitempty"`
	Volume         report.Number  `json:"volume"`
	Mass           report.Number  `json:"mass"`
	MassRequired   report.Number  `json:"mass_required"`
	Bags           report.Number  `json:"bags"`
	Density        report.Number  `json:"density"`
	Lower          report.Number  `json:"lower_tolerance"`
	LowerShort     int32          `json:"sections_lower_short"`
	LowerKnown     int32          `json:"sections_lower_known"`
	Unaccounted    report.Number  `json:"unaccounted_bags"`
}

type jobResults struct {
	results
	Crew     string    `json:"crew"`
	Site     string    `json:"site"`
	Date     string    `json:"date"`
	Input    string    `json:"input"`
	Record   *string   `json:"record"`
	Sections []results `json:"by_section"`
	Open     []openBay `json:"open_bays"`
	Missing  []lack    `json:"missing_evidence"`
	Opened   []opened  `json:"opened_bays"`
	Heard    []heard   `json:"reader_warnings"`
}

type openBay struct {
	Section string        `json:"section"`
	Bay     string        `json:"bay"`
	State   string        `json:"state"`
	Verdict string        `json:"verdict"`
	Density report.Number `json:"density"`
	Prob    report.Number `json:"prob_at_target"`
	Code    string        `json:"code"`
}

type lack struct {
	Ask  string        `json:"ask"`
	Have report.Number `json:"have"`
	Want report.Number `json:"want"`
	Text string        `json:"text"`
}

type opened struct {
	Section string        `json:"section"`
	Bay     string        `json:"bay"`
	Before  string        `json:"verdict_before"`
	Core    report.Number `json:"core"`
	Soft    bool          `json:"soft"`
	Short   bool          `json:"short"`
}

type finding struct {
	Code     string         `json:"code"`
	Crew     string         `json:"crew"`
	Jobs     []string       `json:"jobs"`
	Text     string         `json:"text"`
	Innocent string         `json:"innocent"`
	Prob     report.Number  `json:"prob_honest"`
	Q        report.Number  `json:"q"`
	Data     map[string]any `json:"data"`
}

type openedSum struct {
	Bays       int           `json:"bays"`
	Close      int           `json:"called_close"`
	CloseShort int           `json:"called_close_short"`
	ShareLo    report.Number `json:"called_close_short_lo"`
	ShareHi    report.Number `json:"called_close_short_hi"`
	Hold       int           `json:"on_hold"`
	HoldShort  int           `json:"on_hold_short"`
}

type sample struct {
	Seed    uint64  `json:"seed"`
	Asked   int     `json:"asked"`
	Bays    []drawn `json:"bays"`
	Classes []class `json:"classes"`
	Proofs  []proof `json:"proofs"`
}

type drawn struct {
	Job     string        `json:"job"`
	Section string        `json:"section"`
	Bay     string        `json:"bay"`
	Verdict string        `json:"verdict"`
	Density report.Number `json:"density"`
	Prob    report.Number `json:"prob_at_target"`
	Why     string        `json:"why"`
}

type class struct {
	Why   string        `json:"why"`
	Bays  int           `json:"bays"`
	Drawn int           `json:"drawn"`
	Left  int           `json:"bad_left_possible"`
	Level report.Number `json:"level"`
}

type proof struct {
	Rate report.Number `json:"rate"`
	Bays int           `json:"bays"`
	Need int           `json:"need"`
}

type bad struct {
	Place  string   `json:"place"`
	Faults []string `json:"faults"`
	More   int      `json:"more_faults"`
}
