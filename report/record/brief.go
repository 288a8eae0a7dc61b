package record

// briefly is the most characters of a name that a drawing or a title shows; the bay's card has it whole.
const briefly = 24

// brief cuts a name that would push everything else off a drawing.
func brief(name string) string {
	r := []rune(name)
	if len(r) <= briefly {
		return name
	}
	return string(r[:briefly-1]) + "…"
}
