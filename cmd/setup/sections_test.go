package setup

import (
	"fmt"
	"testing"

	"bayproof/model"
)

// What is typed at start against PS 20, American Softwood Lumber Standard, dressed dry (read in a
// reprint), and the clear widths between 1½-in members at the usual spacings. The cells are exact:
// a spreadsheet shows them.
func TestFramingOfDressedLumber(t *testing.T) {
	depths := map[int]string{2: "1.5", 3: "2.5", 4: "3.5", 5: "4.5", 6: "5.5", 8: "7.25", 10: "9.25", 12: "11.25"}
	for on, clear := range map[string]string{"12": "10.5", "16": "14.5", "19.2": "17.7", "24": "22.5"} {
		for nominal, deep := range depths {
			for units, in := range map[model.System]string{model.US: "", model.SI: " in"} {
				text := fmt.Sprintf("2x%d at %s", nominal, on)
				s := Section{}
				if err := s.framing(text, units); err != nil || s["spacing"] != on+in || s["width"] != clear+in || s["depth"] != deep+in {
					t.Errorf("%s: %v, %v; want %s, %s × %s", text, s, err, on, clear, deep)
				}
			}
		}
	}
	for _, text := range []string{"2x7 at 16", "2x6 at 1.5", "2x1 at 24"} {
		if (Section{}).framing(text, model.US) == nil {
			t.Errorf("%s is read", text)
		}
	}
}
