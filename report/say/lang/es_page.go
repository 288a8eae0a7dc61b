package lang

// page is what the page for a phone says.
var page = map[string]string{}
