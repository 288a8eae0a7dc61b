package prompt

import (
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"bayproof/model"
	"bayproof/report"
	"bayproof/verify"
)

// A crew that does to the letter what the orders say, in houses whose truth is known. It reads
// `now` of each bay from the JSON, does it with its hands, and logs it by filling in the blanks of
// `now.log` at the prompt.

var (
	simulateOrders = flag.Bool("simulate", false, "run the obedient crew for the table, which takes minutes")
	orderedJobs    = flag.Int("jobs", 1000, "jobs a row of the obedient crew")
	orderedFrom    = flag.Int("from", 0, "number of the first of these jobs: each is drawn by itself, so that parts of a row add up")
)

const (
	bagLb      = 25.0
	targetLb   = 3.5
	ceilingLb  = 4.5
	rounds     = 7    // of orders at most: a bay may wait for another one's order
	mostOrders = 3    // of a bay
	takesMore  = 0.05 // lb/ft³ that a bay packed to the stall takes from a hole that is there
	seesWithin = 0.5  // ft about a look in which it sees the truth
	wrongLook  = 0.05
	bulgeTrue  = 0.75 // in, of netting
)

// site is a crew and the way it counts.
type site struct {
	name     string
	counting string  // ends or running; empty: every bay is weighed
	step     float64 // bags
	mean     float64 // lb/ft³ that the crew packs to
	depths   int     // readings of the depth of each bay
	// wanted: least share of the good bays closed after two orders, most short among the closed,
	// most voids of a quarter closed
	closed, short, voids float64
}

// cavity is what nobody sees about a bay: sizes in inches and feet, densities in lb/ft³.
type cavity struct {
	name                 string
	width, depth, length float64 // in, in, ft
	bulge                float64 // in, of the netting
	density              float64 // of what is packed
	low, high            float64 // ft: the empty length, from and to; equal where there is none
	stop                 float64 // ft at which a rod stops; 0 for none
	at                   string  // what it stops at
	reach                float64 // ft that the tube's tip passed
	habit                float64 // in: what every reading of its depth is off by
	added                float64 // lb blown in by orders
	voidFilled           bool
	orders               []string
	shared               bool // with the bay after it
	closed               bool // a `closed` row stands
	good, short, bigVoid bool // before any order
}

func (c *cavity) volume() float64 {
	return c.width / 12 * (c.depth + 2./3*c.bulge) / 12 * c.length
}

// share of the length that is empty.
func (c *cavity) empty() float64 { return (c.high - c.low) / c.length }

// mean density of the bay, lb/ft³, with what was added.
func (c *cavity) mean() float64 { return c.density*(1-c.empty()) + c.added/c.volume() }

// house is one job under way.
type house struct {
	*site
	rng     *rand.Rand
	bays    []*cavity
	book    *paperBook
	bag     float64 // lb, true
	counter float64 // bags, true
	netting bool
	crewAt  float64 // lb/ft³
}

const bays = 24

// build draws a house and logs it as the crew fills it.
func (s *site) build(rng *rand.Rand) *house {
	h := &house{site: s, rng: rng, bag: bagLb * (1 + 0.015*h2(rng)), crewAt: s.mean}
	h.netting = rng.Float64() < 0.2
	narrow, share := rng.Float64() < 0.2, s.counting == "ends" && rng.Float64() < 0.2
	for i := range bays {
		c := &cavity{name: fmt.Sprintf("b%d", i+1), width: 22.5, depth: 5.5, length: [4]float64{9, 12, 12, 15}[i%4]}
		if narrow && i == 0 {
			c.width = 8.25
		}
		if h.netting {
			c.bulge = bulgeTrue + 0.25*h2(rng)
		}
		c.density, c.habit = s.mean+0.12*rng.NormFloat64(), 0.09*h2(rng)
		c.reach = c.length
		switch u := rng.Float64(); {
		case u < 0.10:
			h.hollow(c, 0.05+0.35*rng.Float64())
		case u < 0.15:
			c.density = 2.6 + 0.7*rng.Float64()
		}
		switch u := rng.Float64(); {
		case u < 0.04: // the tube did not get there; half of such ends are empty
			c.reach = c.length - 2 - rng.Float64()
			if c.empty() == 0 && rng.Float64() < 0.5 {
				c.low, c.high = 0, c.length-c.reach-1
			}
		case u < 0.08:
			c.stop = 2 + rng.Float64()*(c.length-4)
			c.at = [...]string{"block", "wire", "pipe", "?"}[rng.IntN(4)]
			if c.at == "block" && c.empty() == 0 && rng.Float64() < 0.5 {
				c.low, c.high = 0, c.stop
			}
		}
		if share && (i == 4 || i == 5) {
			c.shared = i == 4
			c.length = 4
			c.low, c.high, c.stop, c.reach = 0, 0, 0, 4
		}
		c.good, c.short, c.bigVoid = c.mean() >= targetLb && c.empty() == 0, c.mean() < targetLb, c.empty() >= 0.25
		h.bays = append(h.bays, c)
	}
	h.fill()
	return h
}

// hollow empties a share of a bay's length, at its far end or anywhere.
func (h *house) hollow(c *cavity, share float64) {
	c.low = 0
	if h.rng.Float64() < 0.5 {
		c.low = h.rng.Float64() * c.length * (1 - share)
	}
	c.high = c.low + share*c.length
}

func h2(rng *rand.Rand) float64 { return 2*rng.Float64() - 1 }

// fill writes the job's files.
func (h *house) fill() {
	face, counted := "", "bags"
	if h.netting {
		face = "netting"
	}
	switch h.counting {
	case "running":
		counted = "counter"
	case "":
		counted = "weight"
	}
	step := h.step
	if step == 0 {
		step = 0.25
	}
	h.book = &paperBook{
		jobCSV: fmt.Sprintf("name,value\njob,barn\nbag_weight,25 lb\nbag_step,%v\nweigh_within,0.5 lb\nto_stall,yes\ninstaller,Ash\ndate,2026-03-02\n", step),
		sections: fmt.Sprintf("section,kind,bays,face,holes\nroof,rafter,%d,%s,%s\n", bays, face,
			map[bool]string{true: "slit", false: "drill"}[h.netting]),
		log: header + "\n",
	}
	var pending float64 // lb of a bay whose count the next one has
	for _, c := range h.bays {
		row := Row{"section": "roof", "bay": c.name, "entry": "fill", "hole": inFeet(c.length), "reach": inFeet(c.reach)}
		row["width"], row["depth"], row["length"] = h.tape("width", c, 1), h.tape("depth", c, h.depths), h.tape("length", c, 1)
		if h.netting && h.rng.Float64() < 0.9 {
			row["bulge"] = h.tape("bulge", c, 1)
		}
		if c.stop > 0 {
			row["stop"] = inFeet(c.stop) + " " + c.at
		}
		mass := c.mean()*c.volume() + pending
		pending = 0
		if c.shared {
			row[counted], pending = "shared", mass
			h.book.log += line(row)
			continue
		}
		switch h.counting {
		case "ends":
			start := 10 * h.rng.Float64()
			row["bags"] = number(near(start+mass/h.bag, step) - near(start, step))
		case "running":
			h.counter += mass / h.bag
			row["counter"] = number(near(h.counter, step))
		default:
			row["weight"] = fmt.Sprintf("%.2f lb", mass+0.5*h2(h.rng))
		}
		h.book.log += line(row)
	}
}

func near(x, step float64) float64 { return math.Round(x/step) * step }

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func inFeet(x float64) string { return fmt.Sprintf("%.2f ft", x) }

// inWholeInches is a place as the prompt takes it, to the inch.
func inWholeInches(x float64) string { return fmt.Sprintf("%.3fft", math.Round(12*x)/12) }

// tape reads a dimension so many times.
func (h *house) tape(dimension string, c *cavity, n int) string {
	var cells []string
	for range n {
		switch dimension {
		case "width":
			cells = append(cells, fmt.Sprintf("%.3f in", c.width+0.125*h2(h.rng)))
		case "depth":
			cells = append(cells, fmt.Sprintf("%.3f in", c.depth+c.habit+0.125*h.rng.NormFloat64()))
		case "length":
			cells = append(cells, fmt.Sprintf("%.3f ft", c.length+0.5/12*h2(h.rng)))
		case "bulge":
			cells = append(cells, fmt.Sprintf("%.3f in", c.bulge+0.0625*h2(h.rng)))
		}
	}
	for i := range len(cells) - 1 { // a unit after the last holds for all
		cells[i] = strings.Fields(cells[i])[0]
	}
	return strings.Join(cells, "; ")
}

// order is `now` of a bay as the JSON has it.
type order struct {
	Action string          `json:"action"`
	Text   string          `json:"text"`
	Data   json.RawMessage `json:"data"`
	Log    string          `json:"log"`
}

// read judges the house and returns its bays as the JSON has them.
func (h *house) read(t *testing.T, opt verify.Options) []judged {
	job, faults := h.book.Job()
	if len(faults) > 0 {
		t.Fatalf("%v\n%s", faults, h.book.log)
	}
	f := verify.Check(job, opt)
	text, err := report.AppendJSON(nil, f, report.Tool{}, false)
	if err != nil {
		t.Fatal(err)
	}
	var out struct{ Bays []judged }
	if err := json.Unmarshal(text, &out); err != nil {
		t.Fatal(err)
	}
	for i := range out.Bays {
		if out.Bays[i].Now.Action == "" {
			out.Bays[i].Now = nil
		}
	}
	return out.Bays
}

type judged struct {
	Bay, Verdict, State string
	Mass, Volume        float64
	Prob                float64 `json:"prob_at_target"`
	Now                 *order
	Decided             json.RawMessage
	Reasons             []struct {
		Code     string
		Answered json.RawMessage
	}
}

// lead are the reasons that stand.
func (b *judged) lead() string {
	var codes []string
	for _, r := range b.Reasons {
		if string(r.Answered) == "null" {
			codes = append(codes, r.Code)
		}
	}
	return strings.Join(codes, "+")
}

// sinceBlown are the orders since the last one to blow, that one among them: the look into a place
// that was blown into since is another one.
func (c *cavity) sinceBlown() []string {
	for i := len(c.orders) - 1; i >= 0; i-- {
		if strings.HasPrefix(c.orders[i], "blow ") {
			return c.orders[i:]
		}
	}
	return c.orders
}

// history is what was ordered of a bay, in a word each.
func (c *cavity) history() string {
	var words []string
	for _, o := range c.orders {
		word, _, _ := strings.Cut(o, " ")
		words = append(words, word)
	}
	return strings.Join(words, ", ")
}

// done is what became of a house's bays.
type done struct {
	jobs, good, goodTwo, goodEnd                  int
	closed, shortClosed, bigVoids, bigClosed      int
	openAtEnd, tooMany, twice, tiny, over, atWire int
	decided, all                                  int
	needless, blown                               float64 // lb
	// Bays that took more after their stall than a full one would, with nothing found in them;
	// those of them that are still below 0.97 of the crew's density, which is what the rule calls
	// bad; and those of these in the upper third below that.
	tookMore, stillBad, upperThird int
	minutes                        [rounds]float64
	refused                        int
	examples                       []string
	left, slipped                  map[string]int // good bays left open and short ones closed, by what was ordered
}

func (d *done) example(format string, args ...any) {
	if len(d.examples) < 12 {
		d.examples = append(d.examples, fmt.Sprintf(format, args...))
	}
}

// obey runs one house through its rounds of orders, until none is left that somebody can do. A bay
// that is CLOSE is closed, and asked for nothing from then on.
func (h *house) obey(t *testing.T, d *done) {
	d.jobs++
	for round, busy := 0, true; busy; round++ {
		found := h.read(t, verify.Options{Advice: true})
		busy = false
		for i := range found {
			b, c := &found[i], h.bays[i]
			if c.closed { // that it is asked for nothing any more is tried by TestCommitment
				b.Verdict, b.Now = "CLOSE", nil
			}
			if b.Verdict == "CLOSE" && !c.closed {
				c.closed = true
				if c.good && len(c.orders) <= 2 {
					d.goodTwo++
				}
				h.book.log += line(Row{"section": "roof", "bay": c.name, "entry": "closed"})
			}
			busy = busy || b.Now != nil && b.Now.Action != "decide" && b.Now.Action != "wait"
			if !settled(b) && len(c.orders) >= mostOrders && b.Now != nil {
				d.tooMany++
				d.example("a fourth order of %s: %s %s after %q", c.name, b.Now.Action, b.Now.Data, c.orders)
			}
		}
		if busy = busy && round < rounds-1; busy {
			h.round(t, found, d, round)
			continue
		}
		for i := range found {
			b := &found[i]
			d.all++
			if b.Now != nil && b.Now.Action == "decide" {
				d.decided++
			}
			h.tally(h.bays[i], b, d, settled(b) || b.Now == nil && h.partner(found, i))
		}
	}
}

// settled tells whether a bay is CLOSE or left to a person.
func settled(b *judged) bool { return b.Verdict == "CLOSE" || b.Now != nil && b.Now.Action == "decide" }

// partner tells whether a bay without an order shares its count with one that has it or is settled.
func (h *house) partner(found []judged, i int) bool {
	return h.bays[i].shared && (found[i+1].Verdict == "CLOSE" || found[i+1].Now != nil && found[i+1].Now.Action == "decide")
}

// tally counts a bay after the last round.
func (h *house) tally(c *cavity, b *judged, d *done, settled bool) {
	if !settled {
		d.openAtEnd++
		d.example("open at the end: %s %s %s after %q", c.name, b.Verdict, b.lead(), c.orders)
		if b.Now != nil {
			d.example("  its order: %s %s", b.Now.Action, b.Now.Data)
		}
	}
	if c.good {
		d.good++
		if b.Verdict == "CLOSE" {
			d.goodEnd++
		} else {
			d.left[b.Verdict+" "+b.lead()+" after "+c.history()]++
		}
	}
	if c.bigVoid {
		d.bigVoids++
	}
	if b.Verdict == "CLOSE" {
		d.closed++
		d.slipped["all closed after "+c.history()]++
		if c.mean() < targetLb {
			d.shortClosed++
			kind := "packed like the rest"
			switch {
			case c.shared || h.sharing(c):
				kind = "shared"
			case c.voidFilled || c.empty() > 0:
				kind = "void"
			case c.density < 3.3:
				kind = "weak"
			}
			if c.width < 20 {
				kind += " narrow"
			}
			d.slipped[kind+" after "+c.history()]++
		}
		if c.bigVoid && !c.voidFilled {
			d.bigClosed++
		}
	}
}

// round does every order once and logs it at the prompt.
func (h *house) round(t *testing.T, found []judged, d *done, round int) {
	s, faults := New(h.book, Options{Judge: func(job *model.Job, _ string) *verify.Findings { // what it answers is not read here
		was := job.Settings.Rule
		defer func() { job.Settings.Rule = was }()
		job.Settings.Rule = model.RuleGuarded
		return verify.Check(job, verify.Options{})
	}})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	s.Opening()
	for i, b := range found {
		c := h.bays[i]
		if b.Now == nil || c.closed || b.Now.Action == "decide" || b.Now.Action == "wait" {
			continue
		}
		if said := b.Now.Action + " " + string(b.Now.Data); contains(c.sinceBlown(), said) {
			d.twice++
			d.example("twice: %s %s", c.name, said)
		}
		c.orders = append(c.orders, b.Now.Action+" "+string(b.Now.Data))
		var data orderData
		if err := json.Unmarshal(b.Now.Data, &data); err != nil {
			t.Fatalf("%v in %s", err, b.Now.Data)
		}
		d.minutes[round] += data.Minutes
		for _, l := range h.do(t, c, &b, &data, d) {
			rows := strings.Count(h.book.log, "\n")
			text := s.Feed(l)
			for range 3 { // a question that is still open takes yes
				if s.ask == nil {
					break
				}
				text += s.Feed("y")
			}
			if strings.Count(h.book.log, "\n") == rows {
				d.refused++
				d.example("not taken: %q: %s", l, text)
			}
		}
	}
	s.Close()
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// data of an order.
type orderData struct {
	Mass      *float64        `json:"mass"`
	MassMost  *float64        `json:"mass_most"`
	Hole      *float64        `json:"hole"`
	At        json.RawMessage `json:"at"`
	With      json.RawMessage `json:"with"`
	Column    string          `json:"column"`
	Dimension string          `json:"dimension"`
	Minutes   float64         `json:"minutes"`
}

func list(raw json.RawMessage) (out []float64) {
	if json.Unmarshal(raw, &out) != nil {
		var one float64
		if json.Unmarshal(raw, &one) == nil {
			out = []float64{one}
		}
	}
	return out
}

// do carries an order out and returns the lines that report it.
func (h *house) do(t *testing.T, c *cavity, b *judged, data *orderData, d *done) []string {
	o := b.Now
	switch o.Action {
	case "blow":
		if data.Mass == nil || *data.Mass < 2 {
			d.tiny++
			d.example("tiny: %s %s", c.name, o.Data)
		}
		if data.MassMost == nil || *data.MassMost < *data.Mass || (b.Mass+*data.MassMost)/b.Volume > ceilingLb*(1+1e-9) && !h.sharing(c) {
			d.over++
			d.example("over the ceiling: %s %s", c.name, o.Data)
		}
		pounds := h.blow(c, data, d)
		stalled := "yes"
		if data.MassMost != nil && pounds > *data.MassMost {
			pounds, stalled = *data.MassMost, "no" // stop and look
		}
		c.added += pounds
		if pounds > takesMore*c.volume()+0.5 && !strings.Contains(h.book.log, ","+c.name+",seen,") {
			d.tookMore++
			if bad := 0.97 * h.crewAt; c.mean() < bad {
				d.stillBad++
				if c.mean() > bad*2/3 {
					d.upperThird++
				}
			}
		}
		d.blown += pounds
		if c.good {
			d.needless += pounds
		}
		blanks := []string{fmt.Sprintf("%.1f", math.Max(pounds+0.25*h2(h.rng), 0))}
		if strings.Contains(o.Log, "counter _") {
			h.counter += pounds / h.bag
			blanks = append(blanks, number(near(h.counter, math.Max(h.step, 0.25))))
		} else if h.counting == "running" {
			h.counter += pounds / h.bag
		}
		return []string{filled(o.Log, append(blanks, stalled)...)}
	case "look":
		return h.look(c, o, data)
	case "measure":
		n, dimensions, read := strings.Count(o.Log, "_"), strings.Split(data.Dimension, ", "), []string(nil)
		for _, d := range dimensions {
			read = append(read, strings.Split(h.tape(d, c, n/len(dimensions)), "; ")...)
		}
		return []string{filled(o.Log, read...)}
	case "say":
		if data.Column == "bulge" {
			return []string{filled(o.Log, h.tape("bulge", c, 1))}
		}
		return []string{filled(o.Log, "yes")}
	case "recount":
		return []string{filled(o.Log, h.recount(c))}
	}
	t.Fatalf("nobody can do %q: %s", o.Action, o.Text)
	return nil
}

// sharing tells whether a bay shares its count with the one before it: the pounds are then for
// both.
func (h *house) sharing(c *cavity) bool {
	return slices.ContainsFunc(h.bays[:len(h.bays)-1], func(o *cavity) bool { return o.shared && (o == c || h.bays[slices.Index(h.bays, o)+1] == c) })
}

// recount is what the log has already: the crew counted right.
func (h *house) recount(c *cavity) string {
	at := strings.Index(h.book.log, ","+c.name+",fill,")
	cells := strings.Split(h.book.log[at+1:], ",")
	for i, column := range strings.Split(header, ",")[1:] {
		if (column == "bags" || column == "counter" || column == "weight") && cells[i] != "" {
			return strings.TrimSuffix(cells[i], " lb")
		}
	}
	return "?"
}

// blow is what a bay takes through a hole, lb: the one that is there where the order names none.
func (h *house) blow(c *cavity, data *orderData, d *done) float64 {
	hole := c.length
	if data.Hole != nil {
		hole = *data.Hole
		if c.stop > 0 && c.at != "block" && math.Abs(hole-c.stop) < 0.99 {
			d.atWire++
			d.example("hole at %v, %s at %v", hole, c.at, c.stop)
		}
	}
	v := c.volume()
	between := c.stop > 0 && (hole-c.stop)*((c.low+c.high)/2-c.stop) < 0
	if c.empty() > 0 && hole > c.low-1 && hole < c.high+1 && !between {
		pounds := c.empty() * v * (h.crewAt + 0.12*h.rng.NormFloat64())
		c.voidFilled = true
		c.density *= 1 - c.empty() // spread over the whole bay, which keeps its mass
		c.low, c.high = 0, 0
		return pounds
	}
	if data.Hole != nil && c.density+c.added/v < 3.3 { // light all over: it gives way within three feet of a new hole
		return math.Min(6, c.length) / c.length * v * math.Max(h.crewAt-c.density-c.added/v, 0)
	}
	return takesMore * v * h.rng.Float64()
}

// look puts the rod, or the hand, where the order says.
func (h *house) look(c *cavity, o *order, data *orderData) []string {
	firm, soft := "firm", "empty"
	switch {
	case strings.Contains(o.Log, " hand "):
		soft = "soft"
	case strings.Contains(o.Log, " smoke "):
		firm, soft = "still", "moves"
	case strings.Contains(o.Log, " ir "):
		firm, soft = "even", "cold"
	}
	places := list(data.At)
	if strings.Contains(o.Log, " along") { // pushed from the fill hole, each way as far as it is told
		var reached, gave []string
		for _, to := range places {
			from, to := math.Min(to, c.length), math.Max(to, c.length)
			if c.stop > 0 {
				from = math.Max(from, c.stop)
			}
			hits := c.empty() > 0 && c.low < to && c.high > from
			if hits != (h.rng.Float64() < wrongLook) {
				gave = append(gave, inWholeInches(math.Max(math.Min(c.high, to), from)))
			} else {
				reached = append(reached, inWholeInches(from))
			}
		}
		if len(gave) > 0 {
			return []string{filled(o.Log, soft, strings.Join(gave, "; "))}
		}
		return []string{filled(o.Log, firm, strings.Join(reached, "; "))}
	}
	var firmAt, softAt []float64
	for _, at := range places {
		empty := c.empty() > 0 && at > c.low-seesWithin && at < c.high+seesWithin
		if empty != (h.rng.Float64() < wrongLook) {
			softAt = append(softAt, at)
		} else {
			firmAt = append(firmAt, at)
		}
	}
	if len(softAt) == 0 || len(firmAt) == 0 {
		if len(softAt) > 0 {
			firm = soft
		}
		return []string{filled(o.Log, firm)}
	}
	before, _, _ := strings.Cut(o.Log, " at ")
	at := func(list []float64) string {
		var cells []string
		for _, x := range list {
			cells = append(cells, inWholeInches(x))
		}
		return " at " + strings.Join(cells, "; ")
	}
	return []string{filled(before+at(firmAt), firm), filled(before+at(softAt), soft)}
}

// filled puts words into the blanks of a line, in their order.
func filled(line string, words ...string) string {
	for _, w := range words {
		line = strings.Replace(line, "_", w, 1)
	}
	return line
}

func sites() []site {
	return []site{
		{name: "quarter bags, `ends`", counting: "ends", step: 0.25, mean: 3.85, depths: 1, closed: 0.85, short: 0.012, voids: 0.005},
		{name: "quarter bags, `running`", counting: "running", step: 0.25, mean: 3.85, depths: 1, closed: 0.91, short: 0.010, voids: 0.005},
		{name: "weighed", mean: 3.85, depths: 3, closed: 0.97, short: 0.005, voids: 0.005},
		{name: "crew at 3.70, quarter `ends` (reported)", counting: "ends", step: 0.25, mean: 3.70, depths: 1},
		{name: "half bags, `ends` (reported)", counting: "ends", step: 0.5, mean: 3.85, depths: 1},
	}
}

func obeyed(t *testing.T, s *site, jobs int, seed uint64) *done {
	d := &done{left: map[string]int{}, slipped: map[string]int{}}
	for i := range jobs {
		s.build(drawn(seed, *orderedFrom+i)).obey(t, d)
	}
	return d
}

// drawn is what job number n of a row is drawn from.
func drawn(seed uint64, n int) *rand.Rand {
	return rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15+uint64(n)))
}

func share(n, of int) float64 { return float64(n) / float64(max(of, 1)) }

// TestObedientCrew prints the table of the obedient crew, seeds counting up from 201, and fails
// where an order breaks a law: one given twice, one under two pounds or over the ceiling, a hole
// beside a wire, a line that the prompt does not take, a bay that is neither closed nor left to a
// person after three orders. Floors are shown beside what is reached and fail nothing.
func TestObedientCrew(t *testing.T) {
	jobs := 3
	if *simulateOrders {
		jobs = *orderedJobs
	}
	for i, s := range sites() {
		if only := os.Getenv("ROW"); only != "" && !strings.Contains(s.name, only) {
			continue
		}
		d := obeyed(t, &s, jobs, uint64(201+i))
		floor := func(x float64) string {
			if x == 0 {
				return ""
			}
			return fmt.Sprintf(" (%.4g)", x)
		}
		var minutes []string
		for _, m := range d.minutes {
			if m > 0 {
				minutes = append(minutes, fmt.Sprintf("%.0f", m/float64(d.jobs)))
			}
		}
		t.Logf("| %d | %s | %d | %.3f%s | %.3f | %.2f%s | %.2f%s | %.3f | %.1f of %.1f | %s |", 201+i, s.name, d.jobs, share(d.goodTwo, d.good), floor(s.closed),
			share(d.goodEnd, d.good), 100*share(d.shortClosed, d.closed), floor(100*s.short), 100*share(d.bigClosed, d.bigVoids), floor(100*s.voids),
			share(d.decided, d.all), d.needless/float64(d.jobs), d.blown/float64(d.jobs), strings.Join(minutes, ", "))
		t.Logf("  jobs %d to %d: good bays %d, closed after two orders %d, at the end %d; closed %d, short of these %d; voids of a quarter %d, closed empty %d; bays %d, decided %d; lb blown %.1f, into good bays %.1f; minutes %.0f",
			*orderedFrom, *orderedFrom+d.jobs-1, d.good, d.goodTwo, d.goodEnd, d.closed, d.shortClosed, d.bigVoids, d.bigClosed, d.all, d.decided, d.blown, d.needless, d.minutes)
		t.Logf("  took more after the stall than a full bay, nothing found: %d, still not like the rest %d, of these in the upper third of such bays %d", d.tookMore, d.stillBad, d.upperThird)
		t.Logf("  broken: a fourth order %d, open at the end %d, twice %d, under two pounds %d, over the ceiling %d, beside a stop %d, not taken %d",
			d.tooMany, d.openAtEnd, d.twice, d.tiny, d.over, d.atWire, d.refused)
		if *simulateOrders {
			d.whatWith(t)
		}
		for _, e := range d.examples {
			t.Log("  e.g. " + e)
		}
		if d.openAtEnd+d.tooMany+d.twice+d.tiny+d.over+d.atWire+d.refused > 0 {
			t.Errorf("%s: an order broke a law", s.name)
		}
	}
}

// whatWith shows what good bays were left open with, and after what short ones were closed.
func (d *done) whatWith(t *testing.T) {
	for name, all := range map[string]map[string]int{"left": d.left, "slipped": d.slipped} {
		keys := slices.SortedFunc(maps.Keys(all), func(a, b string) int { return all[b] - all[a] })
		for _, k := range keys[:min(len(keys), 25)] {
			t.Logf("  %s %d: %s", name, all[k], k)
		}
	}
}

// TestCommitment fills houses bay by bay and closes each bay as soon as it is CLOSE: what is logged
// of other bays after it asks for nothing at one that is closed. Rows of the table take turns,
// seeds as there.
func TestCommitment(t *testing.T) {
	jobs := 6
	if *simulateOrders {
		jobs = 2*(*orderedJobs) + 1
	}
	closed, other := 0, 0
	for i, s := range sites()[:3] {
		for n := range jobs / 3 { // 667 of a row make 2,000
			h := s.build(drawn(uint64(201+i), *orderedFrom+n))
			h.closeAsFilled(t)
			job, faults := h.book.Job()
			if len(faults) > 0 {
				t.Fatal(faults)
			}
			f := verify.Check(job, verify.Options{Advice: true, Closings: true})
			for k := range f.Bays {
				b := &f.Bays[k]
				if b.State != verify.Closed {
					continue
				}
				if closed++; b.VerdictToday != verify.Close {
					other++
				}
				if b.Now.Action != "" || b.Verdict != verify.Close {
					t.Errorf("%s, closed %s is asked for: %s %v", s.name, b.Bay.Name, b.Now.Action, b.Now.Data)
				}
			}
		}
	}
	t.Logf("%d jobs from %d of each row on: %d bays closed on CLOSE, of which %d would read otherwise by the bays since", jobs/3*3, *orderedFrom, closed, other)
}

// closeAsFilled puts the rows of the house into its log one by one, each bay closed once it is
// CLOSE. It is judged by the rows without closings, which say nothing about a verdict and would
// have every one of them judged anew each time.
func (h *house) closeAsFilled(t *testing.T) {
	rows := strings.SplitAfter(h.book.log, "\n")
	open, logged := rows[0], rows[0]
	done := map[string]bool{}
	for _, row := range rows[1:] {
		open, logged = open+row, logged+row
		if strings.Contains(row, ",shared,") || row == "" {
			continue
		}
		h.book.log = open
		job, faults := h.book.Job()
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		f := verify.Check(job, verify.Options{})
		for i := range f.Bays {
			if b := &f.Bays[i]; b.Verdict == verify.Close && b.Judged() && !done[b.Bay.Name] {
				done[b.Bay.Name] = true
				logged += line(Row{"section": "roof", "bay": b.Bay.Name, "entry": "closed"})
			}
		}
	}
	h.book.log = logged
}
