package lang

var pocket = map[string]string{}
