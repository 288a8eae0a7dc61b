package lang

// screens is what check, the sentences of findings, orders and cautions, and quantities say.
var screens = map[string]string{}
