package fields

// Entry is one word of the entry column.
type Entry struct {
	Name    string
	Carries string // what its row may hold
	Meaning string
}

// Entries returns the words of the entry column in the order of their kinds.
func Entries() []Entry {
	return []Entry{
		{"size", "sizes", "measured, not filled yet; a second row adds readings"},
		{"fill", "material, observations, sizes unless measured before", "the bay was filled; one a bay"},
		{"piece", "sizes", "volume that belongs to the same bay too"},
		{"less", "sizes", "volume in the bay that cannot be filled: a duct, blocking"},
		{"topup", "material, also 0, observations", "blown into the bay afterwards; 0 with stall yes: tube run again, nothing went in"},
		{"lost", "material", "went in and came out, or never got in"},
		{"seen", "observations", "what a look into the bay found; the last word on each counts, probes add up"},
		{"closed", "", "the bay was closed; its verdict then is kept"},
		{"amend", "as fill", "a whole new fill instead of the one before; nothing is taken over from it"},
		{"strike", "", "withdraws the bay; its rows stay, struck through, and that it was closed stays a fact; with note closed: withdraws its last closing alone"},
		{"count", "counter, no bay", "the counter at the start of a day or after a reset"},
		{"set", "note, no bay", "machine setting or lot changed: fill order is judged afresh from here"},
	}
}
