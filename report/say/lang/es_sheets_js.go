package lang

// sheets are not printed from a phone: its page is the smaller without them.
var sheets map[string]string
