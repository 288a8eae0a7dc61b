package lang

// sheets is empty in a browser, where nothing is printed: the checker's size is limited.
var sheets map[string]string
