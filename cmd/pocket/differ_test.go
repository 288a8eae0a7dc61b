package pocket_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"bayproof/cmd"
	"bayproof/cmd/pocket"
	"bayproof/cmd/prompt"
	"bayproof/model/joblog"
	"bayproof/report"
)

// FuzzPageAgainstCommand: whatever is typed on the page, the log that it shares is one that the
// command reads without a fault, with the same findings, to the last digit; and what the command
// finds no fault with is there.
func FuzzPageAgainstCommand(f *testing.F) {
	for _, x := range [][6]string{
		{"22.5", "5.5", "12", "1 3/4", "yes", "north corner"}, {"22 1/2", "", "", "2", "no", ""}, {"57 cm", "14 cm", "3.6 m", "1.5", "", "=1+1"}, {"", "", "", "1¾", "yes", "a;b\"c,d"},
		{"22.5±0.25", "5½", "11'10", "1 + 12 lb", "?", "é"}, {"\"", "\"", "\"", "shared", "yes", ""}, {"?", "?", "?", "40 lb", "yes", "duct"}, {"-3", "0", "1e9", "1/0", "perhaps", "\x1b[2J"},
	} {
		f.Add(x[0], x[1], x[2], x[3], x[4], x[5])
	}
	f.Fuzz(func(t *testing.T, width, depth, length, bags, stall, note string) {
		if len(width+depth+length+bags+stall+note) > 300 {
			return
		}
		dir := filepath.Join(t.TempDir(), "shed")
		for name, text := range map[string]string{
			"job.csv":      "name,value\nbag_weight,25 lb\nrule,guarded\n", // the quick one
			"sections.csv": "section,kind,bays,width,depth,length\nroof,rafter,6,22.5,5.5,12\n",
			"bays.csv":     "section,bay,entry,width,depth,length,bags,stall,by,note,time\nroof,b1,fill,22.5,5.5,12,1.75,yes,,,2026-03-02T08:00:00Z\n",
		} {
			put(t, filepath.Join(dir, name), []byte(text))
		}
		folder, err := joblog.Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		data, err := pocket.Pack(folder, nil)
		folder.Close()
		if err != nil {
			t.Fatal(err)
		}
		data.Text = report.TextDigest()
		clock := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
		page, _, err := pocket.New(data, nil, func() time.Time { clock = clock.Add(time.Minute); return clock }, func([]pocket.Kept) error { return nil })
		if err != nil {
			t.Fatal(err)
		}
		call := func(name string, ask pocket.Ask) any {
			ask.Section = "roof"
			got, err := page.Call(name, ask)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			return got
		}
		said := prompt.Row{"width": width, "depth": depth, "length": length, "bags": bags, "stall": stall, "note": note}
		call("enter", pocket.Ask{Action: "fill", Bay: "b2", Said: said})
		call("enter", pocket.Ask{Action: "fill", Bay: "b3", Said: prompt.Row{"bags": "2", "stall": "yes"}})
		call("enter", pocket.Ask{Action: "seen", Bay: "b2", Said: prompt.Row{"probe": "rod firm", "at": length, "note": note}})
		call("enter", pocket.Ask{Action: "closed", Bay: "b3"})
		log := call("share", pocket.Ask{}).([]byte)
		if !bytes.Contains(log, []byte("b3")) {
			t.Fatalf("b3 is not in the log:\n%s", log)
		}
		put(t, filepath.Join(dir, "bays.csv"), log)
		var stdout, stderr bytes.Buffer
		code := cmd.Run([]string{"check", dir, "--format", "json"}, &cmd.Env{Stdin: strings.NewReader(""), Stdout: &stdout, Stderr: &stderr,
			Now: time.Now, Getenv: func(string) string { return "" }})
		if code != 0 && code != 3 {
			t.Fatalf("the command refuses the page's log: exit code %d\n%s\n%s", code, &stderr, log)
		}
		if diff := cmp.Diff(document(t, stdout.Bytes()), document(t, call("check", pocket.Ask{}).(json.RawMessage))); diff != "" {
			t.Errorf("%q (-command +page):\n%s", said, diff)
		}
	})
}

// document is what a document says but for the tool that wrote it.
func document(t *testing.T, b []byte) (doc map[string]any) {
	t.Helper()
	if err := json.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	delete(doc, "tool")
	return doc
}

// put writes a file and the folder for it.
func put(t *testing.T, name string, data []byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, data, 0o666); err != nil {
		t.Fatal(err)
	}
}
