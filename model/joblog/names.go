package joblog

import "strings"

// Photos is the folder of a job's photos.
const Photos = "photos"

// OwnFiles are the names of the files beside its photos that a job's folder has or may come to have, its log by that name
// first: what is read, what is made from it, and what stands beside the log while somebody writes to it.
func OwnFiles(log string) []string {
	return []string{
		log, "job.csv", "sections.csv", "cores.csv", "inspections.csv", "programme.csv",
		"record.html", "record.html.minisig", "sheets.html", "pocket.html",
		log + ".lock", log + ".torn", log + ".before", log + ".journal",
	}
}

// PlainName tells whether a name can be that of a file in a folder and of nothing else, on every system: no path, no
// drive or stream (the colon), no device of Windows, nothing that Windows cuts off the end, no control character. It does not
// depend on the system it runs on, since a log and a record travel.
func PlainName(name string) bool {
	switch {
	case name == "", name == ".", name == "..", len(name) > 255, strings.ContainsAny(name, `/\:`), device(name):
		return false
	case name[len(name)-1] == '.', name[len(name)-1] == ' ':
		return false
	}
	return strings.IndexFunc(name, func(r rune) bool { return r < ' ' || r == 0x7f }) < 0
}

// device tells whether Windows opens a device by this name, with whatever ending. Source: Microsoft, "Naming Files, Paths,
// and Namespaces".
func device(name string) bool {
	base, _, _ := strings.Cut(name, ".")
	base = strings.ToUpper(strings.TrimRight(base, " "))
	switch base {
	case "CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$":
		return true
	}
	port := strings.TrimPrefix(strings.TrimPrefix(base, "COM"), "LPT")
	if len(port) == len(base) {
		return false
	}
	switch port {
	case "0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "¹", "²", "³":
		return true
	}
	return false
}

// PlainPath tells whether a slash-separated name leads to a file in a folder or in one below it, and nowhere else.
func PlainPath(name string) bool {
	for part := range strings.SplitSeq(name, "/") {
		if !PlainName(part) {
			return false
		}
	}
	return true
}
