package cmd_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"testing"

	"bayproof/model"
)

// columns of the logs that are grown here, and one row of one.
const grownColumns = "section,bay,entry,width,depth,length,bags,reach,probe,at,photo,stall,note"

// grownRow is a row of those columns; cells are name and text in turn.
func grownRow(cells ...string) string {
	row := make([]string, strings.Count(grownColumns, ",")+1)
	for i := 0; i < len(cells); i += 2 {
		row[slices.Index(strings.Split(grownColumns, ","), cells[i])] = cells[i+1]
	}
	return strings.Join(row, ",") + "\n"
}

// grownFill is the fill of a bay; counts vary as an honest crew's do.
func grownFill(section, bay string, i int, cells ...string) string {
	bags := []string{"1.75", "2", "1.5", "1.75", "2", "1.75", "1.25"}[i%7]
	return grownRow(append([]string{"section", section, "bay", bay, "entry", "fill", "width", "22.5", "depth", "5.5", "length", "12", "bags", bags, "stall", "yes"}, cells...)...)
}

// grown is a log that has n of something, and what is to be done with it.
type grown struct {
	name string
	n    int // of the smaller one; the larger has twice as many
	make func(n int) map[string]string
	args []string // the command; JOB stands for the folder
}

// dimensions are the ways in which a job can grow.
func dimensions() []grown {
	log := func(rows string) map[string]string { return map[string]string{"bays.csv": grownColumns + "\n" + rows} }
	bays := func(n, inSection int, more func(section, bay string, i int) string) string {
		var b strings.Builder
		for i := range n {
			section, bay := fmt.Sprint("s", i/inSection), fmt.Sprint("b", i)
			b.WriteString(grownFill(section, bay, i))
			if more != nil {
				b.WriteString(more(section, bay, i))
			}
		}
		return b.String()
	}
	on := func(n int, cells ...string) string { // n rows of one bay
		return bays(10, 20, nil) + strings.Repeat(grownRow(append([]string{"section", "s0", "bay", "b1"}, cells...)...), n)
	}
	text, csv, record := []string{"check", "JOB"}, []string{"check", "JOB", "-f", "csv"}, []string{"record", "JOB"}
	amend := []string{"entry", "amend", "width", "22.5", "depth", "5.5", "length", "12", "bags", "1.75"}
	closed := func(section, bay string, _ int) string {
		return grownRow("section", section, "bay", bay, "entry", "closed")
	}
	return []grown{
		{"bays, in sections of 20", 200, func(n int) map[string]string { return log(bays(n, 20, nil)) }, text},
		{"bays of a record", 100, func(n int) map[string]string { return log(bays(n, 20, nil)) }, record},
		{"bays of a section", 250, func(n int) map[string]string { return log(bays(n, n, nil)) }, csv},
		{"sections", 100, func(n int) map[string]string { return log(bays(4*n, 4, nil)) }, csv},
		{"rows of a bay", 240, func(n int) map[string]string { return log(on(n, "entry", "seen", "note", "x")) }, csv},
		{"top-ups of a bay", 200, func(n int) map[string]string { return log(on(n, "entry", "topup", "bags", "0")) }, text},
		{"looks into a bay", 200, func(n int) map[string]string { return log(on(n, "entry", "seen", "probe", "rod firm", "at", "6")) }, text},
		{"amends of a bay", 100, func(n int) map[string]string { return log(on(n, amend...)) }, csv},
		{"closings", 100, func(n int) map[string]string { return log(bays(n, 20, closed)) }, csv},
		{"closings, as the text has them", 60, func(n int) map[string]string { return log(bays(n, 20, closed)) }, text},
		{"faulty cells", 2000, func(n int) map[string]string {
			return log(strings.Repeat(grownRow("section", "s", "bay", "b1", "width", "x"), n))
		}, csv},
		{"faulty rows", 240, func(n int) map[string]string {
			return log(strings.Repeat(grownRow("section", "s", "bay", "b1", "entry", "topup", "bags", "1"), n))
		}, csv},
		{"photos", 300, func(n int) map[string]string {
			files := log(bays(30, 30, nil) + strings.Repeat(grownRow("section", "s0", "bay", "b1", "entry", "seen", "photo", "b*.jpg"), 9))
			for i := range n {
				files[fmt.Sprintf("photos/b%d.jpg", i)] = "x"
			}
			return files
		}, record},
		{"jobs", 200, func(n int) map[string]string {
			var b strings.Builder
			for i := range n {
				for row := range strings.Lines(bays(5, 5, nil)) {
					fmt.Fprintf(&b, "j%d,%s", i, row)
				}
			}
			return map[string]string{"bays.csv": "job," + grownColumns + "\n" + b.String()}
		}, csv},
		{"cells of a row", 24, func(n int) map[string]string {
			head := grownColumns
			for i := range n {
				head += fmt.Sprint(",x", i)
			}
			return map[string]string{"bays.csv": head + "\n" + strings.ReplaceAll(bays(40, 20, nil), "\n", strings.Repeat(",", n)+"\n")}
		}, csv},
		{"width of a cell", 20_000, func(n int) map[string]string { return log(on(20, "entry", "seen", "note", strings.Repeat("w", n))) }, csv},
		{"settings", 400, func(n int) map[string]string {
			files := log(bays(10, 10, nil))
			files["job.csv"] = "name,value\n"
			for i := range n {
				files["job.csv"] += fmt.Sprintf("x%d,1\n", i)
			}
			return files
		}, csv},
		{"cores", 200, func(n int) map[string]string {
			files := log(bays(n, 20, nil))
			files["cores.csv"] = "section,bay,diameter,depth,weight\n"
			for i := range n {
				files["cores.csv"] += fmt.Sprintf("s%d,b%d,3,5.5,38\n", i/20, i)
			}
			return files
		}, csv},
	}
}

// written is a grown job on disk, and the command for it.
func (g *grown) written(t *testing.T, n int) []string {
	t.Helper()
	dir := t.TempDir()
	files := g.make(n)
	if _, given := files["job.csv"]; !given {
		files["job.csv"] = "name,value\n"
	}
	files["job.csv"] += "bag_weight,25 lb\n"
	for name, text := range files {
		name = filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	args := slices.Clone(g.args)
	for i := range args {
		if args[i] == "JOB" {
			args[i] = dir
		}
	}
	return args
}

// Twice the input is at most 2.2 times the work, counted in allocations and in the bytes of them,
// which no other program on the machine moves; `make torture` takes the time of it.
func TestTwiceTheInput(t *testing.T) {
	for _, g := range dimensions() {
		t.Run(g.name, func(t *testing.T) {
			of := func(n int) (pieces, size float64) {
				args := g.written(t, n)
				// What is kept to be used again is made when it is first asked for, and anew where
				// memory was collected or another processor goes on: the least of some runs has
				// none of that.
				defer debug.SetGCPercent(debug.SetGCPercent(-1))
				pieces, size = math.Inf(1), math.Inf(1)
				for range 4 {
					var before, after runtime.MemStats
					runtime.ReadMemStats(&before)
					code, stdout, stderr := runCommand(t, args...)
					runtime.ReadMemStats(&after)
					if faulty := strings.HasPrefix(g.name, "faulty"); code == 2 || (code == 1) != faulty || strings.Contains(stderr, fmt.Sprint("over ", model.MostRows)) {
						t.Fatalf("exit code %d\n%.500s%.500s", code, stderr, stdout)
					}
					pieces, size = min(pieces, float64(after.Mallocs-before.Mallocs)), min(size, float64(after.TotalAlloc-before.TotalAlloc))
				}
				return pieces, size
			}
			const most = 2.2
			pieces, size := of(g.n)
			morePieces, moreSize := of(2 * g.n)
			t.Logf("%d to %d: %.2f times the allocations, %.2f times the bytes", g.n, 2*g.n, morePieces/pieces, moreSize/size)
			if morePieces > most*pieces || moreSize > most*size {
				t.Errorf("twice as many take %.2f times the allocations, %.2f times the bytes; %.1f are wanted", morePieces/pieces, moreSize/size, most)
			}
		})
	}
}
