package lang

// sheets is empty in a browser, which says none of it: the size of the checker is limited.
var sheets map[string]string
