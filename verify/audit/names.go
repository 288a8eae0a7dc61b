package audit

// tellApart adds where it was found to the name of every job that shares it with another.
func tellApart(jobs []*Job) {
	with := make(map[string]int, len(jobs))
	for _, j := range jobs {
		with[j.Name]++
	}
	for _, j := range jobs {
		if with[j.Name] > 1 {
			j.Name += " (" + j.At.Input + ")"
		}
	}
}
