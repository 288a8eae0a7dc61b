package prompt

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"bayproof/report/say"
	"bayproof/verify"
)

// helpLine is one thing that can be typed, with what it means in the crew's language; a heading has
// no meaning.
type helpLine struct{ typed, means string }

// helpLines are all of them. What is typed is the same in every language.
func (s *Session) helpLines() []helpLine {
	S := s.say.S
	return []helpLine{
		{S("A bay:"), ""},
		{`b8 14.5 2 1/4;2 1/2 11'6 1 3/4`, S("name, width, depth, length, bags")},
		{"1 3/4", S("the next bay, sizes as the one above")},
		{"b8 14.5, 5.5, 12, 3/4", S("commas keep 12 and 3/4 apart")},
		{"Enter", S("it asks, one size at a time")},
		{"width 8 1/4 1/2", S("this one is narrower, the rest as above (w d l)")},
		{"38 lb", S("weighed")},
		{"1 + 14.5 lb", S("one bag, and a part bag by weight")},
		{"shared", S("one count with the next bay")},
		{S("Behind it, in any order:"), ""},
		{"stall, no stall", S("the flow stopped by itself, or did not")},
		{"reach 11", S("how far the tube went in, feet")},
		{"hole 2", S("where the tube went in, feet from the low end")},
		{"rod firm along", S("or soft, empty; across; hand firm")},
		{"smoke still 50 Pa", S("or moves; ir even 20 F, or cold")},
		{"at 9; 11", S("where you looked, feet from the low end")},
		{"wedge", S("or taper, round; width2 depth2 length2 bulge")},
		{"photo b8.jpg, by AB", S("a photo's name, your initials")},
		{"note wet", S("the rest of the line is the note")},
		{S("Later:"), ""},
		{"top b7 8 lb stall", S("topped up; top b7 0 stall: it took none")},
		{"probe b7 rod firm at 9", S("looked at, once it is filled")},
		{"lost b7 5 lb", S("came out again, or never got in")},
		{"piece b7 14.5 5.5 3", S("more room; less b7 and sizes: less room")},
		{"size b9 14.5 5.5 12", S("measured, not filled yet")},
		{"close b7", S("closed up")},
		{"do b7", S("its order, and the line that reports it")},
		{"why b7", S("what its verdict rests on")},
		{"decide b7 AB: reason", S("a person closes it as it is")},
		{"leave b7 flue", S("left empty on purpose")},
		{"machine B", S("of two machines, the one you type for")},
		{"set gate to 4", S("machine setting or lot changed")},
		{"count 0", S("where the counter starts")},
		{"empties 6", S("empty bags since the last count")},
		{"box 12.4 lb 3.5 ft3", S("a test box, blown to the stall and weighed")},
		{"core b7 27 g diameter 2.5 depth 5.5 at 3", S("a core")},
		{S("A slip:"), ""},
		{"undo", S("takes back the last entry")},
		{"fix width 22.5", S("a slip in the last bay; fix b7 bags 2")},
		{"recount b7 1 3/4", S("what went in, counted again")},
		{"amend b7 14.5 5.5 12 2", S("the whole fill anew")},
		{"strike b7", S("the bay is out; strike b7 closed: only that row")},
		{S("Look:"), ""},
		{"list, list all, show", S("the bays; what is left to do")},
		{"section hip", S("go to another section")},
		{"help words", S("what the words mean")},
		{"finish", S("the end of the sitting")},
	}
}

// wordLines are the words that the answers use.
func (s *Session) wordLines() []helpLine {
	S := s.say.S
	verdict := func(v verify.Verdict, means string) helpLine {
		return helpLine{say.Mark(v) + " " + s.say.Verdict(v), means}
	}
	return []helpLine{
		verdict(verify.Close, S("The pounds are in, and nothing points to a void.")),
		verdict(verify.Add, S("Short. The numbers prove it.")),
		verdict(verify.Probe, S("Pounds look right, but there may be a hole.")),
		verdict(verify.Measure, S("Can't tell yet.")),
		{"stall", S("The flow stopped by itself. A jam is no stall.")},
		{"hole", S("Where the tube went in, from the low end.")},
		{S("the low end"), S("The eave, or a wall's bottom plate.")},
		{S("aim"), S("What to pack to: the target and some more.")},
		{S("ditto"), S("Taken from the bay above, not measured here.")},
		{"±", S("19 times in 20 the truth lies within it.")},
	}
}

// help lists what can be typed, or what the words mean.
func (s *Session) help(tail string) {
	lines, column := s.helpLines(), 23
	if strings.EqualFold(tail, "words") {
		lines = s.wordLines()
	}
	for _, l := range lines {
		switch {
		case l.means == "":
			s.sayf("%s", l.typed)
		default:
			pad := max(column-utf8.RuneCountInString(l.typed), 1)
			s.sayf("%s", fmt.Sprintf("  %s%s %s", l.typed, strings.Repeat(" ", pad), l.means))
		}
	}
}
