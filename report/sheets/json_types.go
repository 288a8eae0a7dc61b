package sheets

type document struct {
	Tool        Tool              `json:"tool"`
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
	Bags     number `json:"bags"`
	Left     number `json:"bags_left_to_open"`
	Used     number `json:"bags_used"`
	Expected number `json:"bags_expected"`
	U        number `json:"u_bags"`
	Mass     number `json:"mass"`
	Chance   number `json:"chance"`
}

type sectionDocument struct {
	Section  string        `json:"section"`
	Bays     int           `json:"bays"`
	Sized    int           `json:"sized"`
	Filled   int           `json:"filled"`
	Volume   number        `json:"volume"`
	Mass     number        `json:"mass"`
	Bags     number        `json:"bags"`
	BagsUsed number        `json:"bags_used"`
	Target   number        `json:"target"`
	Aim      number        `json:"aim"`
	Mean     number        `json:"mean"`
	SD       number        `json:"sd"`
	FromLog  bool          `json:"from_log"`
	BlindMin number        `json:"blind_length_min"`
	BlindMax number        `json:"blind_length_max"`
	Ways     []wayDocument `json:"ways"`
}

type wayDocument struct {
	Code     string `json:"code"`
	Counting string `json:"counting"`
	Step     number `json:"bag_step"`
	Within   number `json:"weigh_within"`
	Closed   number `json:"good_bays_closed"`
	AimFor   number `json:"aim_for_eight_in_ten"`
	More     number `json:"more_material"`
}

type bayDocument struct {
	Section  string        `json:"section"`
	Bay      string        `json:"bay"`
	State    string        `json:"state"`
	Volume   number        `json:"volume"`
	UVolume  number        `json:"u_volume"`
	Length   number        `json:"length"`
	Mass     number        `json:"mass"`
	Bags     number        `json:"bags"`
	InBags   marksDocument `json:"marks_bags"`
	InMass   marksDocument `json:"marks_mass"`
	BlindLen number        `json:"blind_length"`
}

type marksDocument struct {
	Short number `json:"short_below"`
	Fine  number `json:"fine_from"`
	Look  number `json:"look_from"`
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
