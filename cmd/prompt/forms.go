package prompt

import (
	"maps"
	"math"
	"slices"
	"strings"

	"bayproof/model"
	"bayproof/model/cell"
	"bayproof/report/say"
	"bayproof/report/say/lang"
	"bayproof/verify/plan"
)

// Form is what is asked to log one thing: the same questions as at the prompt, all at once, for
// whoever has keys instead of lines. What it asks hangs on the section: its shape, its face, how it
// counts, what was seen there before.
type Form struct {
	Action  string  `json:"action"` // a word of the entry column, amend or recount; what Enter takes
	Section string  `json:"section"`
	Bay     string  `json:"bay"`
	Title   string  `json:"title"`
	Order   string  `json:"order,omitempty"` // the order that it answers
	Fields  []Field `json:"fields"`
	Stalls  bool    `json:"stalls"` // whether the flow stalled is asked apart, last
}

// Field is one question of a form.
type Field struct {
	Column  string   `json:"column"` // of the log; further ones of the same column are more readings of it
	Label   string   `json:"label"`
	Keys    Keys     `json:"keys"`
	Unit    string   `json:"unit,omitempty"`    // of a bare figure
	Value   string   `json:"value,omitempty"`   // filled in
	Ditto   string   `json:"ditto,omitempty"`   // what nothing said takes over, as it is shown
	From    string   `json:"from,omitempty"`    // the bay that it is taken over from
	Hint    string   `json:"hint,omitempty"`    // where the counter stood, what is expected
	Choices []string `json:"choices,omitempty"` // words to choose from
	Says    []string `json:"says,omitempty"`    // what their keys say, where the crew reads another language than the log's
	Parts   []string `json:"parts,omitempty"`   // fractions that have a key: of a tape, of a bag
	Mass    string   `json:"mass,omitempty"`    // the unit of a part bag that is weighed
	For     string   `json:"for,omitempty"`     // asked only where the look is of this kind: rod, smoke, ir
	More    bool     `json:"more,omitempty"`    // seldom said here: asked on demand
	Must    bool     `json:"must,omitempty"`
}

// Keys are what a field is answered with.
type Keys string

// The kinds of keys. Only words need letters.
const (
	TapeKeys   Keys = "tape" // inches with the fractions of a tape, or millimeters
	FeetKeys   Keys = "feet" // feet and inches, or meters
	BagKeys    Keys = "bags" // bags with their fractions
	MassKeys   Keys = "mass"
	CountKeys  Keys = "number"
	TimeKeys   Keys = "time" // start and stop
	ChoiceKeys Keys = "choice"
	StopKeys   Keys = "stop"  // a length, and what is there
	PhotoKeys  Keys = "photo" // the camera
	WordKeys   Keys = "words"
)

// Form asks what an action needs of a bay in the present section. A fill of a bay that has sizes
// asks for none.
func (s *Session) Form(action, bay string) Form {
	f, ofJob := s.jobQuestions(action)
	if !ofJob {
		f = s.questions(action, bay)
	}
	f.Action, f.Section = action, s.section
	for i := range f.Fields {
		x := &f.Fields[i]
		x.Parts, x.Says = s.parts(x.Keys), s.keysSay(x.Choices)
		switch x.Keys {
		case TapeKeys, FeetKeys, StopKeys, MassKeys:
			x.Unit = s.unit(x.Column)
		case BagKeys:
			x.Mass = s.unit("weight")
		}
	}
	return f
}

// keysSay are words of the log as a crew that reads another language finds them on the keys: what
// is written stays the word. None in English.
func (s *Session) keysSay(words []string) (says []string) {
	if s.say.Language == lang.English {
		return nil
	}
	for _, w := range words {
		says = append(says, s.say.S(w))
	}
	return says
}

// parts are the fractions that a kind of keys has: the eighths of a tape, the parts of a bag that
// the crew tells apart.
func (s *Session) parts(keys Keys) []string {
	us := s.job.Settings.Units != model.SI
	step := s.job.Settings.BagStep
	if sec := s.find(s.section); sec != nil {
		step = sec.Settings.BagStep
	}
	switch {
	case keys == BagKeys && step < 0.25, us && keys == TapeKeys:
		return []string{"1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"}
	case keys == BagKeys && step < 0.5, us && (keys == FeetKeys || keys == StopKeys):
		return []string{"1/4", "1/2", "3/4"}
	case keys == BagKeys && step < 1:
		return []string{"1/2"}
	}
	return nil
}

// jobQuestions are those of a form that is about no bay; false for any other.
func (s *Session) jobQuestions(action string) (f Form, ofJob bool) {
	S := s.say.S
	switch action {
	case "empties":
		return Form{Title: S("Empty bags since they were counted last"), Fields: []Field{
			must("bags", S("Empties"), BagKeys), {Column: "note", Label: S("Count"), Keys: ChoiceKeys, Choices: []string{"recount"}, More: true}}}, true
	case "count":
		counter := must("counter", S("Counter"), BagKeys)
		counter.Hint = s.counterHint()
		return Form{Title: S("Where the counter starts"), Fields: []Field{counter}}, true
	case "set":
		return Form{Title: S("Machine setting or lot changed"), Fields: []Field{must("note", S("What changed"), WordKeys)}}, true
	case "elsewhere":
		_, weight := s.amountFields()
		weight.More = true
		return Form{Title: S("Bags that went elsewhere"), Fields: []Field{
			{Column: "bags", Label: S("Bags"), Keys: BagKeys}, weight, must("note", S("Where to"), WordKeys, "attic", "torn")}}, true
	}
	return Form{}, false
}

// must is a field that has to be answered.
func must(column, label string, keys Keys, choices ...string) Field {
	return Field{Column: column, Label: label, Keys: keys, Choices: choices, Must: true}
}

// questions are those of a form about a bay.
func (s *Session) questions(action, bay string) Form {
	S, b := s.say.S, s.bay(bay)
	f := Form{Bay: bay, Title: bay, Stalls: action == "fill" || action == "amend" || action == "topup"}
	amount, weight := s.amountFields()
	photo := Field{Column: "photo", Label: S("Photo"), Keys: PhotoKeys, More: true}
	note := Field{Column: "note", Label: S("Note"), Keys: WordKeys, More: true}
	shown := photo // where a picture is what matters
	shown.More = false
	switch action {
	case "fill", "amend":
		if action == "amend" || !measured(b) {
			f.Fields = s.sizeFields(bay)
		}
		f.Fields = slices.Concat(f.Fields, []Field{amount, weight}, s.seenFields(false), []Field{photo, note})
		if fill := filling(b); fill != nil && action == "amend" {
			s.fillIn(&f, s.restate(b, fill)[0])
		}
	case "size":
		f.Fields = append(s.sizeFields(bay), s.stopField(), photo, note)
	case "recount":
		first, other := amount, weight
		if fill := filling(b); fill != nil && fill.Material.Kind == model.MaterialWeight {
			first, other = weight, amount
		}
		first.More, other.More = false, true
		f.Fields = []Field{first, other}
	case "topup":
		f.Fields = append(s.topupFields(amount), photo, note)
	case "lost":
		weight.More, amount.More = false, true
		if amount.Column == "counter" { // a loss is no reading of it
			amount = Field{Column: "bags", Label: S("Bags"), Keys: BagKeys, More: true}
		}
		f.Fields = []Field{weight, amount, note}
	case "seen":
		f.Fields = slices.Concat(s.lookFields(), s.seenFields(true), []Field{shown, note})
	case "closed":
		f.Fields = []Field{shown, note}
	case "decided":
		f.Fields = []Field{must("by", S("Who decides"), WordKeys), must("note", S("Why"), WordKeys)}
	case "leave":
		f.Fields = []Field{must("note", S("Why it stays empty"), WordKeys, "flue", "wires", "wet", "duct")}
	case "strike":
		f.Fields = []Field{{Column: "note", Label: S("Why"), Keys: WordKeys}}
	}
	return f
}

// topupFields ask what went in later: its weight, and where the counter stood if the section runs by
// it.
func (s *Session) topupFields(amount Field) []Field {
	weight := must("weight", s.say.S("What went in"), MassKeys)
	if amount.Column == "counter" {
		return append([]Field{weight, amount}, s.seenFields(false)...)
	}
	amount.More = true
	return slices.Concat([]Field{weight}, s.seenFields(false), []Field{amount})
}

// lookFields ask what a look showed, and where.
func (s *Session) lookFields() []Field {
	S, degrees := s.say.S, map[model.System]string{model.US: "F", model.SI: "C"}
	return []Field{
		{Column: "probe", Label: S("Found"), Keys: ChoiceKeys, Choices: model.ProbeWords()},
		{Column: "way", Label: S("Rod went"), Keys: ChoiceKeys, Choices: model.RodWays(), For: "rod"},
		{Column: "pa", Label: S("Pressure across the face"), Keys: CountKeys, Unit: "Pa", For: "smoke"},
		{Column: "difference", Label: S("Inside to outside"), Keys: CountKeys, Unit: degrees[s.job.Settings.Units], For: "ir"},
		{Column: "at", Label: say.ByLowEnd(s.find(s.section), S("Where, from the eave"), S("Where, from the bottom plate"), S("Where, from the low end")), Keys: FeetKeys},
	}
}

// stopField asks where a rod stopped.
func (s *Session) stopField() Field {
	return Field{Column: "stop", Label: s.say.S("Rod stopped at"), Keys: StopKeys, Choices: model.StopWords(), More: true}
}

// unit is the unit of a bare figure of a column.
func (s *Session) unit(column string) string {
	form, _ := cell.Column(column, s.job.Settings.Units)
	return form.Unit.Symbol
}

// sizeLabels are the sizes in words, in the order of model.SizeNames.
func (s *Session) sizeLabels() [model.Sizes]string {
	S := s.say.S
	return [model.Sizes]string{S("Width"), S("Width, other end"), S("Depth"), S("Depth, other end"), S("Length"), S("Length, other side"), S("Bulge")}
}

// sizeFields ask for a bay's shape and sizes: those that its shape needs, further ones where the
// section has them, the rest on demand. Each shows what the bay above hands down.
func (s *Session) sizeFields(bay string) []Field {
	above := s.above(bay)
	asked, shape := s.usual(above)
	shapes := Field{Column: "shape", Label: s.say.S("Shape"), Keys: ChoiceKeys, Choices: model.ShapeWords(), More: !asked["shape"]}
	if above == nil && shape > model.ShapeBox {
		shapes.Value = shape.String() // that of the typical bay: no bay above hands it down
	}
	if above != nil && shape > model.ShapeBox {
		shapes.Ditto, shapes.From = shape.String(), above.Name
	}
	fields, labels := []Field{shapes}, s.sizeLabels()
	for i, name := range model.SizeNames() {
		keys := TapeKeys
		if strings.HasPrefix(name, "length") {
			keys = FeetKeys
		}
		f := Field{Column: name, Label: labels[i], Keys: keys, More: !asked[name]}
		if above != nil {
			if r := above.Pieces[0].Readings()[i]; len(r.Values) > 0 {
				f.Ditto, f.From = s.say.Size(r.Mean()), above.Name
				if keys == FeetKeys {
					f.Ditto = s.say.Measured(r.Mean())
				}
			}
		}
		fields = append(fields, f)
	}
	return fields
}

// usual are the sizes that bays of the present section have, and their shape: as the typical bay and
// the one above, which may be nil, have them.
func (s *Session) usual(above *model.Bay) (asked map[string]bool, shape model.Shape) {
	asked = map[string]bool{}
	with := func(p *model.Piece) {
		if p.Shape > model.ShapeBox {
			asked["shape"] = true
		}
		for i, r := range p.Readings() {
			if r.State == model.Measured {
				asked[model.SizeNames()[i]] = true
			}
		}
	}
	if sec := s.find(s.section); sec != nil {
		with(&sec.Typical)
		if shape = sec.Typical.Shape; sec.OpenFace() {
			asked["bulge"] = true
		}
	}
	if above != nil {
		with(above.Pieces[0])
		shape = above.Pieces[0].Shape
	}
	for _, name := range sizeNames(shape.String()) {
		asked[name] = true
	}
	return asked, shape
}

// amountFields ask for what went in: in the column that the section counts in, or as a weight,
// which is asked first where the last bay was weighed or no bag's weight is known.
func (s *Session) amountFields() (amount, weight Field) {
	amount = Field{Column: s.column(), Label: s.say.S("Bags"), Keys: BagKeys}
	if amount.Column == "counter" {
		amount.Label, amount.Hint = s.say.S("Counter at the stop"), s.counterHint()
	}
	weight = Field{Column: "weight", Label: s.say.S("Weight"), Keys: MassKeys, More: true}
	weighed := math.IsNaN(plan.BagWeight(&s.job.Settings))
	for _, b := range slices.Backward(baysOf(s.job, s.section)) {
		if b.Fill != nil {
			weighed = weighed || b.Fill.Material.Kind == model.MaterialWeight
			break
		}
	}
	if weighed {
		amount.More, weight.More = true, false
	}
	return amount, weight
}

// seenFields ask what was seen while a bay was filled, or after. What no bay of the section says is
// asked on demand; where the hole was is offered as it was last.
func (s *Session) seenFields(after bool) []Field {
	S, feedSeldom := s.say.S, true
	for i := range s.job.Log {
		if e := &s.job.Log[i]; e.Feed.Seconds > 0 && strings.EqualFold(e.Section, s.section) {
			feedSeldom = after
		}
	}
	return []Field{
		{Column: "reach", Label: S("Tube reached"), Keys: FeetKeys, More: after},
		{Column: "feed", Label: S("Feed time"), Keys: TimeKeys, More: feedSeldom},
		{Column: "hole", Label: say.ByLowEnd(s.find(s.section), S("Fill hole, from the eave"), S("Fill hole, from the bottom plate"), S("Fill hole, from the low end")), Keys: FeetKeys, More: true},
		s.stopField(),
		{Column: "existing", Label: S("Old material left in"), Keys: WordKeys, More: true},
	}
}

// fillIn sets what cells say as the answers of a form; what they say is asked.
func (s *Session) fillIn(f *Form, row Row) {
	for i := range f.Fields {
		x := &f.Fields[i]
		if text := row[x.Column]; text != "" && !cell.DittoMark(text) {
			x.Value, x.More = text, false
		}
	}
}

// Do is the form of a bay's order, filled in as the order's line says it (say.Line): what stands
// there as _ is left to be answered. It is false where the bay has no order, or one that no form
// reports.
func (s *Session) Do(bay string) (Form, bool) {
	x := of(s.f, s.bay(bay))
	if x == nil {
		return Form{}, false
	}
	line := s.say.Line(x)
	word, tail := cut(line)
	action := "fill" // the name and a blank
	// What an order's line begins with and the form that asks for it; none logs a core.
	forms := map[string]string{"top": "topup", "probe": "seen", "size": "size", "recount": "recount", "empties": "empties", "decide": "decided", "core": ""}
	if form, ok := forms[word]; ok && word != bay {
		action = form
		tail = strings.TrimSpace(strings.TrimPrefix(tail, bay))
	}
	if line == "" || action == "" {
		return Form{}, false
	}
	f := s.Form(action, bay)
	f.Order = s.say.BriefNow(x)
	switch {
	case x.Bay.Owes == model.OwesSizes, action == "fill", action == "decided", action == "recount":
	case action == "empties":
		f.Title = s.say.S("Count the empty bags again")
		s.fillIn(&f, Row{"note": "recount"})
	default:
		s.ordered(&f, strings.Fields(tail))
	}
	return f, true
}

// ordered fills a form in from the words of an order's line and leaves, of a size's row, the sizes
// that it asks for.
func (s *Session) ordered(f *Form, tokens []string) {
	asked := map[string]string{}
	column := ""
	for _, token := range tokens {
		word := strings.Trim(token, ";")
		switch {
		case lineWordOf(word) != nil && slices.Contains([]string{"rod", "hand", "smoke", "ir"}, word):
			column = "probe"
			asked[column] = word
		case slices.Contains(model.RodWays(), word):
			asked["way"] = word
		case lineWordOf(word) != nil:
			column = word
			asked[column] = ""
		case word == "Pa":
			asked["pa"], asked["probe"] = "50", "smoke"
		case column == "":
			asked["weight"] = ""
		case column == "probe":
		default:
			asked[column] = strings.TrimSpace(asked[column] + " " + token)
		}
	}
	for i := range f.Fields {
		x := &f.Fields[i]
		text, ok := asked[x.Column]
		switch {
		case !ok && f.Action != "topup" || !ok && x.Column != "weight" && x.Column != "counter":
			x.More = true
		case x.Column == "probe":
			x.More, x.Must = false, true
			x.Choices = slices.DeleteFunc(x.Choices, func(c string) bool { return !strings.HasPrefix(c, text+" ") })
		default:
			x.More, x.Must = false, true
			if n := strings.Count(text, "_"); n > 1 {
				x.Hint = s.say.F("%d readings", n)
			}
			if !strings.Contains(text, "_") {
				x.Value = text
			}
		}
	}
	f.Stalls = f.Stalls || slices.Contains(tokens, "stall")
}

// Enter takes the answers of a form, by column, as the prompt takes a line, and returns what there
// is to say. Nothing that a line would be refused for is written.
func (s *Session) Enter(action, bay string, said Row) string {
	given := said
	said = Row{}
	for column, text := range given {
		if strings.TrimSpace(text) != "" {
			said[column] = text
		}
	}
	s.ask, s.text, s.best, s.half, s.lost, s.bad, s.odd, s.next = nil, "", false, nil, nil, nil, "", nil
	look(said)
	b := s.bay(bay)
	switch action {
	case "fill":
		if b != nil && b.Fill != nil {
			s.refusef("%s is filled already. Top it up, or put its fill right.", b.Name)
			break
		}
		d := draft{name: bay, said: said}
		if !d.amountSaid() {
			s.refusef("What went in is missing: say bags, counter or weight.")
			break
		}
		s.submit(d, func() {})
	case "size":
		if b != nil && b.Fill != nil {
			said["entry"] = "size"
			s.put(s.rowOf(b.Name, said))
			break
		}
		s.submit(draft{name: bay, said: said, kind: "size"}, func() {})
	case "leave":
		s.put(s.rowOf(bay, Row{"entry": "leave", "note": said["note"]}))
	case "empties", "count", "set", "elsewhere":
		said["entry"] = action
		if sec := s.find(s.section); action == "empties" && said["note"] == "recount" && sec != nil && s.emptiedApart(sec) {
			said["section"] = sec.Name
		}
		s.put(s.rowIn("", "", said))
	case "undo":
		s.undo()
	default:
		s.later(action, b, said)
	}
	return s.flush()
}

// later is Enter for what is said of a bay that is in the log.
func (s *Session) later(action string, b *model.Bay, said Row) {
	if b == nil {
		s.refusef("There is no such bay here.")
		return
	}
	switch action {
	case "amend", "recount":
		fill := filling(b)
		if fill == nil {
			s.refusef("%s is not filled.", b.Name)
			return
		}
		if action == "recount" {
			s.recounted(b, fill, said)
			return
		}
		rows := s.restate(b, fill)
		for _, x := range s.Form("amend", b.Name).Fields { // an answer that was there and is wiped out is gone
			if x.Value != "" {
				delete(rows[0], x.Column)
			}
		}
		maps.Copy(rows[0], said)
		s.put(rows...)
	case "topup", "lost":
		s.moving(action, b, said)
	case "seen":
		s.seen(b, said)
	default: // closed, decided, strike
		said["entry"] = action
		s.put(s.rowOf(b.Name, said))
	}
}

// look puts the answers about a look together as its cell: rod firm along, smoke still 50 Pa, ir
// even 18 F.
func look(said Row) {
	method, _ := cut(said["probe"])
	for column, of := range map[string]string{"way": "rod", "pa": "smoke", "difference": "ir"} {
		if text := said[column]; text != "" && method == of {
			said["probe"] += " " + text
		}
		delete(said, column)
	}
}
