package cmd_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// inventedCrew is a crew of the invented program: how it packs, counts and keeps its log, and how
// it cheats.
type inventedCrew struct {
	name     string
	mean, sd float64 // lb/ft³
	counting string  // ends, fresh, running, weight
	voids    float64
	early    bool   // closes bays whatever the verdict
	settings string // rows of job.csv of its own
	invents  string // backward: works its bags backwards from 3.7 lb/ft³; weights: its weights from 3.72; more: a quarter too much in every bay
}

// inventedCrews are ten, six of which cheat; Spruce does it in four ways, in a job each (see
// writeProgramme).
func inventedCrews() []inventedCrew {
	return []inventedCrew{
		{name: "Alder", mean: 3.92, sd: 0.11, counting: "weight", voids: 0.03},
		{name: "Birch", mean: 3.88, sd: 0.12, counting: "running", voids: 0.04},
		{name: "Maple", mean: 3.93, sd: 0.12, counting: "ends", voids: 0.03},
		{name: "Hazel", mean: 3.90, sd: 0.12, counting: "fresh", voids: 0.04},
		{name: "Spruce", mean: 3.91, sd: 0.11, counting: "weight", voids: 0.02},
		{name: "Elm", mean: 3.55, sd: 0.20, counting: "ends", voids: 0.15, early: true},
		{name: "Cedar", mean: 3.75, sd: 0.12, counting: "ends", invents: "backward"},
		{name: "Ash", mean: 3.40, sd: 0.11, counting: "weight", voids: 0.03, early: true, settings: "target,3.0 lb/ft3\naim,3.3 lb/ft3\nconfidence,0.6\n"},
		{name: "Larch", mean: 3.70, sd: 0.12, counting: "weight", invents: "weights"},
		{name: "Linden", mean: 3.60, sd: 0.12, counting: "ends", voids: 0.03, invents: "more"},
	}
}

const (
	inventedJobs = 60
	badSign      = 13 // the job in which a width has a minus sign: it cannot be read
)

// inventedJob is one job: the rows of its log as they will be written, in order.
type inventedJob struct {
	name, crew string
	at         int
	counting   string
	settings   string
	fills      []inventedFill
	bought     float64 // bags that left the truck and did not come back
	early      bool
	photos     map[string][]byte
}

type inventedFill struct {
	section              string
	width, depth, length float64 // in, in, ft
	amount               float64 // as logged
	reach                float64 // ft
	photo                string
	time                 time.Time
}

// writeProgramme writes sixty invented jobs of ten crews below dir, one of them not readable, and a
// program's terms.
func writeProgramme(dir string) error {
	r := rand.New(rand.NewPCG(11, 4))
	streets := []string{"Quarry Row", "Mill Bank", "Station Hill", "Orchard End", "Ferry Lane", "Kiln Yard", "Chapel Rise", "Harbour Steps", "Tannery Court", "Weir Side"}
	var jobs []*inventedJob
	for i := range inventedJobs {
		crew := inventedCrews()[i%10]
		j := newInventedJob(r, &crew, i)
		j.name = fmt.Sprintf("%02d %s %d", i+1, streets[(i*7)%10], 3+r.IntN(40))
		switch { // Spruce: one job each with rows of Alder's, changed and as they are, a day that no machine can fill, a picture saved anew
		case i == 14:
			j.copyRows(r, jobs[10], 12, 0.2)
		case i == 44:
			j.copyRows(r, jobs[20], 9, 0)
		case i == 24:
			for k := range j.fills {
				j.fills[k].time = j.fills[0].time.Add(time.Duration(k) * 20 * time.Second)
			}
		case i == 34:
			j.photos["b1.jpg"] = savedAnew(jobs[30].photos["b1.jpg"])
		case i == 51: // one file in the wrong folder
			j.photos["b6.jpg"] = jobs[41].photos["b1.jpg"]
		case i == badSign:
			j.fills[2].width = -22.5
		}
		jobs = append(jobs, j)
	}
	for _, j := range jobs {
		if err := j.write(filepath.Join(dir, strings.ReplaceAll(strings.ToLower(j.name), " ", "-"))); err != nil {
			return err
		}
	}
	programme := "name,value\ntarget,3.5\nask_photos,15 %\nask_measured,80 %\nask_blower_pressure,yes\nask_signature,yes\nask_counted,yes\n"
	return os.WriteFile(filepath.Join(dir, "programme.csv"), []byte(programme), 0o644)
}

// newInventedJob packs and logs a house as its crew does.
func newInventedJob(r *rand.Rand, crew *inventedCrew, at int) *inventedJob {
	j := &inventedJob{crew: crew.name, at: at, counting: crew.counting, settings: crew.settings, early: crew.early, photos: map[string][]byte{}}
	now := time.Date(2026, time.Month(4+at/10), 1+at%28, 8, 0, 0, 0, time.UTC)
	mean, counter, sum := crew.mean+0.05*r.NormFloat64(), 0.0, 0.0
	for s, section := range []string{"north slope", "south slope"}[:1+at%2] {
		depth := []float64{5.5, 7.25}[s]
		for k := range 12 + r.IntN(8) {
			f := inventedFill{section: section, width: 22.5, depth: depth + float64(r.IntN(3)-1)/8, length: 8 + float64(r.IntN(17))/2}
			density := mean + crew.sd*r.NormFloat64()
			if r.Float64() < crew.voids {
				density *= 0.94 - 0.3*r.Float64()
			}
			volume := f.width * f.depth / 144 * f.length
			pounds := density * volume
			sum += pounds / 25
			f.amount = crew.amount(r, pounds, volume, &counter)
			f.reach = f.length - float64(r.IntN(5))/4
			now = now.Add(time.Duration((3 + pounds/15 + 2*r.ExpFloat64()) * float64(time.Minute)))
			f.time = now
			if k%5 == 0 && at%4 != 3 && s == 0 {
				f.photo = fmt.Sprintf("b%d.jpg", k+1)
				j.photos[f.photo] = inventedPicture(r)
			}
			j.fills = append(j.fills, f)
		}
	}
	j.bought = math.Round(sum + 0.3*r.NormFloat64())
	return j
}

// amount is what the crew logs of what went in.
func (c *inventedCrew) amount(r *rand.Rand, pounds, volume float64, counter *float64) float64 {
	quarter := func(x float64) float64 { return math.Round(x*4) / 4 }
	bags := pounds / 25
	switch {
	case c.invents == "backward":
		return quarter(3.7 * volume / 25)
	case c.invents == "weights":
		return math.Round(3.72*volume*10) / 10
	case c.counting == "weight":
		return math.Round((pounds+0.6*r.Float64()-0.3)*10) / 10
	case c.counting == "running":
		*counter += bags
		return quarter(*counter)
	case c.counting == "fresh":
		return quarter(bags)
	}
	start := 10 * r.Float64()
	amount := quarter(start+bags) - quarter(start)
	if c.invents == "more" {
		amount += 0.25
	}
	return amount
}

// copyRows puts the first rows of another job in the place of its own, their weights changed by so
// many pounds at most.
func (j *inventedJob) copyRows(r *rand.Rand, other *inventedJob, n int, changed float64) {
	for k := range n {
		f, from := &j.fills[k], other.fills[k]
		f.width, f.depth, f.length, f.reach = from.width, from.depth, from.length, from.reach
		f.amount = math.Round((from.amount+changed*(2*r.Float64()-1))*10) / 10
	}
}

// inventedPicture draws boards of every gray across each other, another wall each time.
func inventedPicture(r *rand.Rand) []byte {
	p := image.NewGray(image.Rect(0, 0, 96, 72))
	for range 60 {
		x, y := r.IntN(96), r.IntN(72)
		board := image.Rect(x, y, x+3+r.IntN(30), y+3+r.IntN(30))
		draw.Draw(p, board, image.NewUniform(color.Gray{uint8(r.IntN(256))}), image.Point{}, draw.Src)
	}
	return inJPEG(p, 92)
}

// savedAnew is the picture once more, in a poorer quality.
func savedAnew(picture []byte) []byte {
	p, _ := jpeg.Decode(bytes.NewReader(picture))
	return inJPEG(p, 70)
}

func inJPEG(p image.Image, quality int) []byte {
	var b bytes.Buffer
	_ = jpeg.Encode(&b, p, &jpeg.Options{Quality: quality})
	return b.Bytes()
}

// write writes the job's folder.
func (j *inventedJob) write(dir string) error {
	if err := os.MkdirAll(filepath.Join(dir, "photos"), 0o755); err != nil {
		return err
	}
	day := time.Date(2026, time.Month(4+j.at/10), 1+j.at%28, 0, 0, 0, 0, time.UTC).Format("2006-01-02")
	job := fmt.Sprintf("name,value\njob,%s\ncrew,%s\ninstaller,%s lead\ndate,%s\nbag_weight,25 lb\nto_stall,yes\n", j.name, j.crew, j.crew, day) + j.settings
	column := map[string]string{"ends": "bags", "fresh": "bags", "running": "counter", "weight": "weight"}[j.counting]
	switch {
	case j.counting == "weight":
		job += "weigh_within,0.5 lb\n"
	case j.counting == "fresh":
		job += "counting,fresh\n"
		fallthrough
	default:
		job += fmt.Sprintf("bags_loaded,%v\nbags_left,0\n", j.bought)
	}
	if j.at%6 != 4 {
		job += "blower_pressure,95 inwc\n"
	}
	var log strings.Builder
	fmt.Fprintf(&log, "section,bay,entry,width,depth,length,%s,reach,photo,by,time\n", column)
	rows := map[string]int{}
	for _, f := range j.fills {
		rows[f.section]++
		at := fmt.Sprintf("%s,b%d", f.section, rows[f.section])
		fmt.Fprintf(&log, "%s,fill,%v,%v,%v,%v,%v,%s,%.2s,%s\n", at, f.width, f.depth, f.length, f.amount, f.reach, f.photo, j.crew, f.time.Format(time.RFC3339))
		if j.early {
			fmt.Fprintf(&log, "%s,closed,,,,,,,%.2s,%s\n", at, j.crew, f.time.Format(time.RFC3339))
		}
	}
	files := map[string][]byte{"job.csv": []byte(job), "bays.csv": []byte(log.String())}
	if j.at%3 != 2 {
		sections := "section,kind,bays\n"
		for _, name := range []string{"north slope", "south slope"} {
			if n := rows[name]; n > 0 {
				sections += fmt.Sprintf("%s,rafter,%d\n", name, n+j.at%10/9)
			}
		}
		files["sections.csv"] = []byte(sections)
	}
	for name, picture := range j.photos {
		files[filepath.Join("photos", name)] = picture
	}
	for file, data := range files {
		if err := os.WriteFile(filepath.Join(dir, file), data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// TestInventedProgramme writes the program, into the folder that BAYPROOF_PROGRAMME names where it
// is set.
func TestInventedProgramme(t *testing.T) {
	t.Parallel()
	dir := os.Getenv("BAYPROOF_PROGRAMME")
	if dir == "" {
		dir = t.TempDir()
	}
	if err := writeProgramme(dir); err != nil {
		t.Fatal(err)
	}
}
