package model

// String returns us or si.
func (s System) String() string {
	if s == SI {
		return "si"
	}
	return "us"
}

// ParseSystem reads us or si.
func ParseSystem(s string) (System, bool) {
	i, ok := word(s, []string{"us", "si"})
	return System(i), ok
}

// String returns process or guarded.
func (r Rule) String() string {
	if r == RuleGuarded {
		return "guarded"
	}
	return "process"
}

// ParseRule reads process or guarded.
func ParseRule(s string) (Rule, bool) {
	i, ok := word(s, []string{"process", "guarded"})
	return Rule(i), ok
}

// String returns ends, fresh, running, or nothing.
func (c Counting) String() string {
	switch c {
	case CountingEnds:
		return "ends"
	case CountingFresh:
		return "fresh"
	case CountingRunning:
		return "running"
	}
	return ""
}

// ParseCounting reads ends, fresh or running.
func ParseCounting(s string) (Counting, bool) {
	i, ok := word(s, []string{"ends", "fresh", "running"})
	if !ok {
		return CountingUnsaid, false
	}
	return CountingEnds + Counting(i), true
}

// String says where a setting's value came from.
func (o Origin) String() string {
	switch o {
	case OriginJob:
		return "job.csv"
	case OriginSection:
		return "sections.csv"
	case OriginFlag:
		return "flag"
	}
	return "default"
}
