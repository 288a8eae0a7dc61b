package audit_test

import (
	"crypto/sha256"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"bayproof/model"
	"bayproof/model/joblog"
	"bayproof/verify"
	"bayproof/verify/audit"
)

// houseOf is one job of a simulated programme, with known truth. Everything about it can be faked.
type houseOf struct {
	crew     *crewOf
	name     string
	settings string // rows of job.csv beyond those of the crew
	lengths  []float64
	density  []float64 // true, lb/ft³
	amount   []float64 // as logged: bags, or lb of a weighing crew
	reach    []float64 // ft
	times    []time.Time
	depths   []float64 // in, as read
	empties  float64   // bags loaded and used up, by the count; NaN where nobody counted
	looks    [][4]uint64
	close    bool // every bay is closed whatever its verdict
}

// crewOf is a crew.
type crewOf struct {
	name    string
	mean    float64 // lb/ft³
	spread  float64 // lb/ft³ between the bays of a job
	between float64 // lb/ft³ between its jobs
	voids   float64 // share of the bays
	way     string  // ends, weight
	stopped bool    // nobody says that bays are blown to the stall
	counted bool    // empties are counted
	day     int     // of its next job
}

const (
	bagPounds = 25.0
	wide      = 22.5 // in
	deep      = 5.5  // in
)

// newHouse builds and fills a house of so many bays.
func (c *crewOf) newHouse(r *rand.Rand, name string, bays int) *houseOf {
	h := &houseOf{crew: c, name: name, empties: math.NaN()}
	at := time.Date(2026, 4, 1, 8, 0, 0, 0, time.UTC).AddDate(0, 0, c.day)
	c.day++
	mean := c.mean + c.between*r.NormFloat64()
	sum := 0.0
	for range bays {
		length := 8 + float64(r.IntN(17))/2
		true_ := deep + 0.06*r.NormFloat64() // the rafter is not what the tape says
		rho := mean + c.spread*r.NormFloat64()
		if r.Float64() < c.voids {
			rho *= 1 - 0.05 - 0.4*r.Float64()
		}
		pounds := rho * wide * true_ / 144 * length
		sum += pounds / bagPounds
		h.lengths, h.density = append(h.lengths, length), append(h.density, rho)
		h.depths = append(h.depths, math.Round(true_*8)/8)
		at = at.Add(time.Duration((3 + pounds/15 + 2*r.ExpFloat64()) * float64(time.Minute))) // 15 lb a minute, and the hose moved
		h.times = append(h.times, at)
		h.amount = append(h.amount, c.reads(r, pounds))
		h.reach = append(h.reach, length-float64(r.IntN(5))/4)
		h.looks = append(h.looks, [4]uint64{r.Uint64(), r.Uint64(), r.Uint64(), r.Uint64()})
	}
	if c.counted {
		h.empties = math.Round(sum + 0.3*r.NormFloat64())
	}
	return h
}

// reads is what a crew logs of what went in.
func (c *crewOf) reads(r *rand.Rand, pounds float64) float64 {
	if c.way == "weight" {
		return math.Round((pounds+0.6*r.Float64()-0.3)*10) / 10
	}
	start := 10 * r.Float64()
	near := func(x float64) float64 { return math.Round(x*4) / 4 }
	return near(start+pounds/bagPounds) - near(start)
}

// volume is a bay's, as measured, in ft³.
func (h *houseOf) volume(i int) float64 { return wide * h.depths[i] / 144 * h.lengths[i] }

// files are the job's folder.
func (h *houseOf) files() fstest.MapFS {
	c := h.crew
	set := fmt.Sprintf("name,value\njob,%s\ncrew,%s\nbag_weight,25 lb\ndate,%s\n", h.name, c.name, h.times[0].Format("2006-01-02"))
	if !c.stopped {
		set += "to_stall,yes\n"
	}
	if !math.IsNaN(h.empties) && c.way != "weight" {
		set += fmt.Sprintf("bags_loaded,%v\nbags_left,0\n", h.empties)
	}
	column := "bags"
	if c.way == "weight" {
		column = "weight"
		set += "weigh_within,0.5 lb\n"
	}
	var b strings.Builder
	fmt.Fprintf(&b, "bay,entry,width,depth,length,%s,reach,photo,time\n", column)
	for i := range h.lengths {
		fmt.Fprintf(&b, "b%d,fill,%v,%v,%v,%v,%v,p%d.jpg,%s\n", i+1, wide, h.depths[i], h.lengths[i], h.amount[i], h.reach[i], i+1, h.times[i].Format(time.RFC3339))
	}
	if h.close {
		for i := range h.lengths {
			fmt.Fprintf(&b, "b%d,closed,,,,,,,%s\n", i+1, h.times[i].Add(time.Hour).Format(time.RFC3339))
		}
	}
	return fstest.MapFS{"job.csv": {Data: []byte(set + h.settings)}, "bays.csv": {Data: []byte(b.String())}}
}

// review reads, judges and reviews a programme; photos are handed over as their hashes.
func review(t testing.TB, houses []*houseOf, opt audit.Options, inspections map[string][]model.Inspection) *audit.Review {
	t.Helper()
	terms := (&joblog.Terms{}).Complete()
	st, faults := joblog.TermsOf(nil, terms)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	opt.Terms = audit.NewTerms("", "", &st)
	b := audit.NewBuilder(opt)
	for _, h := range houses {
		job, faults := joblog.Read(h.files(), "", joblog.Options{Terms: terms})
		if job == nil {
			t.Fatal(h.name, faults)
		}
		for i, look := range h.looks {
			p := model.Photo{Name: fmt.Sprintf("p%d.jpg", i+1), Bytes: 1, Look: look}
			p.SHA256 = fmt.Sprintf("%x", sha256.Sum256(fmt.Append(nil, look)))
			job.Photos = append(job.Photos, p)
		}
		b.Add(audit.Summarize(verify.Check(job, verify.Options{Codes: true}), audit.Place{Input: h.name}, inspections[h.name], opt))
	}
	return b.Finish()
}
