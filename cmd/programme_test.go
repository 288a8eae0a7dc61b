package cmd_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// inventedCrew is a crew of the invented programme: how it packs, counts and keeps its log.
type inventedCrew struct {
	name     string
	mean, sd float64 // lb/ft³
	counting string  // ends, fresh, running, weight
	voids    float64
	early    bool // closes bays whatever the verdict
	backward bool // works its bags backwards from 3.7 lb/ft³
	late     bool // types everything in days later
}

func inventedCrews() []inventedCrew {
	return []inventedCrew{
		{name: "Alder", mean: 3.92, sd: 0.11, counting: "weight", voids: 0.03},
		{name: "Birch", mean: 3.88, sd: 0.12, counting: "running", voids: 0.05},
		{name: "Cedar", mean: 3.95, sd: 0.10, counting: "ends", backward: true},
		{name: "Elm", mean: 3.72, sd: 0.16, counting: "ends", voids: 0.12, early: true},
		{name: "Hazel", mean: 3.90, sd: 0.12, counting: "fresh", voids: 0.05},
	}
}

// writeProgramme writes thirty invented jobs below dir, one of them not readable, and a programme's settings.
func writeProgramme(dir string) error {
	r := rand.New(rand.NewPCG(11, 4))
	streets := []string{"Quarry Row", "Mill Bank", "Station Hill", "Orchard End", "Ferry Lane", "Kiln Yard", "Chapel Rise", "Harbour Steps", "Tannery Court", "Weir Side"}
	copied := ""
	for i := range 30 {
		crew := inventedCrews()[i%5]
		name := fmt.Sprintf("%02d %s %d", i+1, streets[(i*7)%10], 3+r.IntN(40))
		log := inventedLog(r, &crew, i)
		switch i {
		case 5:
			copied = log
		case 20: // the same crew's later job begins with the earlier one's rows
			log = pasteRows(log, copied, 9)
		case 13:
			log = strings.Replace(log, ",22.5,", ",-22.5,", 1)
		}
		if err := writeInventedJob(filepath.Join(dir, strings.ReplaceAll(strings.ToLower(name), " ", "-")), name, crew.name, i, log); err != nil {
			return err
		}
	}
	programme := "name,value\ntarget,3.5\nbag_weight,25 lb\nask_photos,20 %\nask_measured,80 %\nask_blower_pressure,yes\nask_signature,yes\nask_counted,yes\nask_cores,1\n"
	return os.WriteFile(filepath.Join(dir, "programme.csv"), []byte(programme), 0o644)
}

func inventedLog(r *rand.Rand, crew *inventedCrew, at int) string {
	column := map[string]string{"ends": "bags", "fresh": "bags", "running": "counter", "weight": "weight"}[crew.counting]
	var b strings.Builder
	fmt.Fprintf(&b, "section,bay,entry,width,depth,length,%s,reach,stall,photo,time\n", column)
	counter := 0.0
	hour := 0
	for s, section := range []string{"north slope", "knee wall"}[:1+at%2] {
		depth := [2]float64{5.5, 3.5}[s]
		n := 10 + r.IntN(12)
		for k := range n {
			length := 8 + float64(r.IntN(17))/2 + float64(r.IntN(2))/24*math.Floor(r.Float64()*2)
			if section == "knee wall" {
				length = 5 + float64(r.IntN(7))/2
			}
			density := crew.mean + crew.sd*r.NormFloat64()
			if r.Float64() < crew.voids {
				density *= 0.94 - 0.25*r.Float64()
			}
			bags := density * 22.5 * depth / 144 * length / 25
			amount := inventedAmount(r, crew, bags, 3.7*22.5*depth/144*length/25, &counter)
			day := 1 + at%27
			if crew.late {
				day += 2
			}
			hour++
			stamp := fmt.Sprintf("2026-%02d-%02dT%02d:%02d:00Z", 4+at/8, day, 8+hour/8, hour%8*7)
			photo := ""
			if k%5 == 0 && at%4 != 3 {
				photo = fmt.Sprintf("b%d.jpg", k+1)
			}
			fmt.Fprintf(&b, "%s,b%d,fill,22.5,%v,%.4g,%s,%.3g,yes,%s,%s\n", section, k+1, depth, length, amount, math.Max(length-1, 1), photo, stamp)
			if crew.early || crew.counting == "weight" && density > 3.8 {
				fmt.Fprintf(&b, "%s,b%d,closed,,,,,,,,%s\n", section, k+1, stamp)
			}
		}
	}
	return b.String()
}

// inventedAmount reads what went in as the crew does, or works it backwards.
func inventedAmount(r *rand.Rand, crew *inventedCrew, bags, backward float64, counter *float64) string {
	near := func(x float64) float64 { return math.Round(x*4) / 4 }
	switch {
	case crew.backward:
		return fmt.Sprint(near(backward))
	case crew.counting == "weight":
		return fmt.Sprintf("%.1f", bags*25+r.Float64()-0.5)
	case crew.counting == "running":
		*counter += bags
		return fmt.Sprint(near(*counter))
	case crew.counting == "fresh":
		return fmt.Sprint(near(bags))
	}
	start := 10 * r.Float64()
	return fmt.Sprint(near(start+bags) - near(start))
}

// pasteRows puts the first rows of another log in the place of a log's own.
func pasteRows(log, other string, n int) string {
	fills := func(text string) (out []string) {
		for _, line := range strings.SplitAfter(text, "\n") {
			if strings.HasPrefix(line, "north slope") && strings.Contains(line, ",fill,") {
				out = append(out, line)
			}
		}
		return out
	}
	head, _, _ := strings.Cut(log, "\n")
	rows := append(append([]string(nil), fills(other)[:n]...), fills(log)[n:]...)
	return head + "\n" + strings.Join(rows, "")
}

func writeInventedJob(dir, name, crew string, at int, log string) error {
	if err := os.MkdirAll(filepath.Join(dir, "photos"), 0o755); err != nil {
		return err
	}
	counting := map[string]string{"Hazel": "counting,fresh\n"}[crew]
	pressure := "blower_pressure,95 inwc\n"
	if at%6 == 4 {
		pressure = ""
	}
	job := fmt.Sprintf("name,value\njob,%s\ncrew,%s\ninstaller,%s lead\ndate,2026-%02d-%02d\nbag_weight,25 lb\n%s%s", name, crew, crew, 4+at/8, 1+at%27, counting, pressure)
	files := map[string]string{"job.csv": job, "bays.csv": log}
	if at%3 != 2 {
		if at%2 == 1 {
			files["sections.csv"] = fmt.Sprintf("section,kind,bays\nnorth slope,rafter,%d\nknee wall,knee wall,%d\n", rowsOf(log, "north slope")+at%10/9, rowsOf(log, "knee wall"))
		} else {
			files["sections.csv"] = fmt.Sprintf("section,kind,bays\nnorth slope,rafter,%d\n", rowsOf(log, "north slope"))
		}
	}
	if at%7 == 0 {
		files["cores.csv"] = "section,bay,kind,diameter,depth,weight,by\nnorth slope,b2,core,4,5.5,69,QA\nnorth slope,b5,core,4,5.5,71,QA\n"
	}
	for k := 0; k < 22; k += 5 {
		if at%4 != 3 && strings.Contains(log, fmt.Sprintf("b%d.jpg", k+1)) {
			picture := fmt.Sprintf("picture %d of job %d", k, at)
			if at == 16 && k == 5 {
				picture = "picture 0 of job 6" // another job's
			}
			files[filepath.Join("photos", fmt.Sprintf("b%d.jpg", k+1))] = picture
		}
	}
	for file, text := range files {
		if err := os.WriteFile(filepath.Join(dir, file), []byte(text), 0o644); err != nil {
			return err
		}
	}
	return nil
}

func rowsOf(log, section string) int {
	n := 0
	for _, line := range strings.Split(log, "\n") {
		if strings.HasPrefix(line, section) && strings.Contains(line, ",fill,") {
			n++
		}
	}
	return n
}

// TestInventedProgramme writes the programme, into the folder that BAYPROOF_PROGRAMME names where it is set.
func TestInventedProgramme(t *testing.T) {
	dir := os.Getenv("BAYPROOF_PROGRAMME")
	if dir == "" {
		dir = t.TempDir()
	}
	if err := writeProgramme(dir); err != nil {
		t.Fatal(err)
	}
}
