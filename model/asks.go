package model

// Terms are the file of a program's terms that lies beside a log, and the evidence that it asks for. What its settings make of the job's
// stands in the settings themselves.
type Terms struct {
	Input
	Asks Asks
}

// Asks is the evidence that a programme asks for. The zero value asks for nothing.
type Asks struct {
	Photos    float64 // share of the filled bays with a photo
	Measured  float64 // share of the bays whose sizes were all measured
	Probes    float64 // share of the filled bays with a probe
	Stalls    float64 // share of the filled bays of which it is said whether the flow stalled
	Cores     int     // core samples or test boxes a job
	BagChecks int     // weighed bags a job
	Blower    bool    // blower pressure
	Signature bool    // installer and date, as they sign for the work
	Counted   bool    // bays counted from outside in every section
	Empties   bool    // bags loaded and left, or empties counted by section
	Times     bool    // a time on every row with material
	LabelR    bool    // the bag label's R-value in every section
}

// AskDef explains one ask for help and tables.
type AskDef struct {
	Name  string
	Kind  string // share, number, yes or no
	Means string
	Field func(*Asks) any // *float64, *int or *bool
}

// AskDefs is the table of what a programme can ask for, in the order in which lacks are listed.
func AskDefs() []AskDef {
	return []AskDef{
		{"ask_photos", "share", "of the filled bays with a photo that is there", func(a *Asks) any { return &a.Photos }},
		{"ask_measured", "share", "of the bays whose sizes were all measured", func(a *Asks) any { return &a.Measured }},
		{"ask_probes", "share", "of the filled bays with a rod, smoke or infrared look", func(a *Asks) any { return &a.Probes }},
		{"ask_stalls", "share", "of the filled bays of which it is said whether the flow stalled", func(a *Asks) any { return &a.Stalls }},
		{"ask_cores", "number", "of cores and test boxes a job", func(a *Asks) any { return &a.Cores }},
		{"ask_bag_checks", "number", "of weighed bags a job", func(a *Asks) any { return &a.BagChecks }},
		{"ask_blower_pressure", "yes or no", "the blower's pressure", func(a *Asks) any { return &a.Blower }},
		{"ask_signature", "yes or no", "the installer's name and the date, to be signed for", func(a *Asks) any { return &a.Signature }},
		{"ask_counted", "yes or no", "bays counted from outside in every section", func(a *Asks) any { return &a.Counted }},
		{"ask_empties", "yes or no", "bags loaded and left, or empties by section", func(a *Asks) any { return &a.Empties }},
		{"ask_times", "yes or no", "a time on every row with material", func(a *Asks) any { return &a.Times }},
		{"ask_label_r", "yes or no", "the bag label's R-value in every section", func(a *Asks) any { return &a.LabelR }},
	}
}

// Any tells whether anything is asked for.
func (a *Asks) Any() bool { return *a != Asks{} }
