package sheets

import "bayproof/report"

type document struct {
	Method      int               `json:"method"` // verify.Method
	Tool        report.Tool       `json:"tool"`
	Job         string            `json:"job"`
	Units       unitsDocument     `json:"units"`
	Load        loadDocument      `json:"load"`
	WeighFirst  int               `json:"weigh_first"`
	Sections    []sectionDocument `json:"sections"`
	Bays        []bayDocument     `json:"bays"`
	NotPlanned  []string          `json:"not_planned"`
	Hold        []holdDocument    `json:"hold"`
	Cautions    []string          `json:"cautions"`
	Assumptions []assumption      `json:"assumptions"`
}

type unitsDocument struct {
	Length  string `json:"length"`
	Volume  string `json:"volume"`
	Mass    string `json:"mass"`
	Density string `json:"density"`
}

type loadDocument struct {
	Bags     report.Number `json:"bags"`
	Left     report.Number `json:"bags_left_to_open"`
	Used     report.Number `json:"bags_used"`
	Expected report.Number `json:"bags_expected"`
	U        report.Number `json:"u_bags"`
	Mass     report.Number `json:"mass"`
	Chance   report.Number `json:"chance"`
}

type sectionDocument struct {
	Section  string        `json:"section"`
	Bays     int           `json:"bays"`
	Sized    int           `json:"sized"`
	Filled   int           `json:"filled"`
	Volume   report.Number `json:"volume"`
	Mass     report.Number `json:"mass"`
	Bags     report.Number `json:"bags"`
	BagsUsed report.Number `json:"bags_used"`
	Target   report.Number `json:"target"`
	Aim      report.Number `json:"aim"`
	Mean     report.Number `json:"mean"`
	SD       report.Number `json:"sd"`
	FromLog  bool          `json:"from_log"`
	BlindMin report.Number `json:"blind_length_min"`
	BlindMax report.Number `json:"blind_length_max"`
	Ways     []wayDocument `json:"ways"`
}

type wayDocument struct {
	Code     string        `json:"code"`
	Counting string        `json:"counting"`
	Step     report.Number `json:"bag_step"`
	Within   report.Number `json:"weigh_within"`
	Closed   report.Number `json:"good_bays_closed"`
	AimFor   report.Number `json:"aim_for_eight_in_ten"`
	More     report.Number `json:"more_material"`
}

type bayDocument struct {
	Section  string        `json:"section"`
	Bay      string        `json:"bay"`
	State    string        `json:"state"`
	Volume   report.Number `json:"volume"`
	UVolume  report.Number `json:"u_volume"`
	Length   report.Number `json:"length"`
	Mass     report.Number `json:"mass"`
	Bags     report.Number `json:"bags"`
	InBags   marksDocument `json:"marks_bags"`
	InMass   marksDocument `json:"marks_mass"`
	BlindLen report.Number `json:"blind_length"`
}

type marksDocument struct {
	Short report.Number `json:"short_below"`
	Fine  report.Number `json:"fine_from"`
	Look  report.Number `json:"look_from"`
}

type holdDocument struct {
	Section string `json:"section"`
	Place   int    `json:"place"`
	Bay     string `json:"bay"`
	Seed    uint64 `json:"seed"`
}

type assumption struct {
	Name   string `json:"name"`
	Value  string `json:"value"`
	Unit   string `json:"unit"`
	Source string `json:"source"`
	Use    string `json:"use"`
}
