package pocket

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"bayproof/cmd/prompt"
)

// BenchmarkRow times what the page waits for between a tap and a verdict in a job of 500 bays in 20
// sections: a row tried, kept, judged and shown. In the browser it takes three to five times as
// long.
func BenchmarkRow(b *testing.B) {
	for _, counted := range []string{"bags", "counter"} {
		b.Run(counted, func(b *testing.B) {
			var log strings.Builder
			log.WriteString("section,bay,entry,width,depth,length,bags,counter,stall,by,note,time\n")
			at, total := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC), 0.0
			for i := range 500 {
				read := math.Round(4*(1.75+0.1*math.Sin(float64(i)))) / 4
				material := fmt.Sprintf("%g,", read)
				if total += read; counted == "counter" {
					material = fmt.Sprintf(",%g", total)
				}
				at = at.Add(7 * time.Minute)
				fmt.Fprintf(&log, "s%d,b%d,fill,%g,5.5; 5.625,%g,%s,yes,,,%s\n", i/25, i%25, 22.5+float64(i%3)/8, 11.5+float64(i%9)/8, material, at.Format(time.RFC3339))
			}
			data := Data{Name: "many", Job: "many", Log: "bays.csv", Files: map[string][]byte{"job.csv": []byte("name,value\nbag_weight,25 lb\nto_stall,yes\n"), "bays.csv": []byte(log.String())}}
			e, _, err := New(data, nil, time.Now, func([]Kept) error { return nil })
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				total += 1.75
				said := prompt.Row{"bags": "1.75", "stall": "yes"}
				if counted == "counter" {
					said = prompt.Row{"counter": fmt.Sprint(total), "stall": "yes"}
				}
				x, err := e.Call("enter", Ask{Section: "s19", Action: "fill", Bay: e.session.Next(), Said: said})
				if err != nil || len(x.(Reply).Wrote) != 1 {
					b.Fatal(err, x.(Reply).Text)
				}
			}
		})
	}
}
