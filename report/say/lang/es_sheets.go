package lang

// sheets is what stands on the tally sheets and the list of what is left to do.
var sheets = map[string]string{}
