package model

// WarningDef describes a warning that the reading of a job can give.
type WarningDef struct{ Code, Means, Cure string }

// WarningDefs returns the table of the reader's warnings.
func WarningDefs() []WarningDef {
	return []WarningDef{
		{"encoding", "a file is not UTF-8 and was read as Windows-1252", "save it as CSV UTF-8"},
		{"unknown-column", "columns that no one knows are kept and not used", "name them as the format does, or leave them"},
		{"unknown-setting", "a row of job.csv names no setting", "bayproof fields lists them"},
		{"section-not-listed", "the log names a section that sections.csv lacks", "add its row, or write its name as there"},
		{"order", "times run backward: nothing is concluded from the order of filling", "put the rows back into the order of the work"},
		{"shared-open", "a bay shares a figure that is not logged, or was withdrawn: it counts as not filled", "log the next bay, or amend"},
		{"line-unended", "the last row ends in a figure and has no line end: the file may have been cut off there", "look at the figure, and end the line"},
		{"counter-start", "the first reading of the counter, with no count row before it, fills a bay over the ceiling: it is read from 0", "write a count row before it that says where the counter stood"},
		{"beyond-bay", "a place or a fill hole lies up to a foot beyond the bay's end: it is taken for the end", "look at its unit"},
		{"invisible", "a name holds characters that do not show: they are left out", "type the name anew"},
		{"photos", "a photo cannot be read", "look at the file"},
	}
}
