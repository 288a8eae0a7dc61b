package serve_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"math/rand/v2"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"

	"bayproof/cmd/pocket/serve"
	"bayproof/model/joblog"
)

// request is one as it goes over the wire.
type request struct {
	kind                       string
	method, path, host, origin string
	headers                    string
	body                       string
	want                       []int // status codes; none where the connection is closed
}

// hostile makes requests that change nothing: strangers' ones, damaged ones, rows that are no rows,
// and rows that are there already.
func hostile(rng *rand.Rand, r *running, good []byte) request {
	host := strings.TrimPrefix(r.own, "http://")
	token := strings.TrimPrefix(r.address, r.own)
	x := request{method: "POST", path: token + "/rows", host: host, origin: r.own, headers: "Content-Type: application/json\r\n", body: string(good)}
	set := func(key, value string) string { // the good entry with another value of the row
		var e map[string]any
		_ = json.Unmarshal(good, &e)
		row := e["rows"].([]any)[0].(map[string]any)
		if key == "id" || key == "after" || key == "by" {
			row[key] = value
		} else {
			row["row"].(map[string]any)[key] = value
		}
		b, _ := json.Marshal(e)
		return string(b)
	}
	pick := func(all ...string) string { return all[rng.IntN(len(all))] }
	switch kinds := 12; rng.IntN(kinds) {
	case 0:
		x.kind, x.want = "token", []int{404}
		wrong := []byte(token)
		switch at := 1 + rng.IntN(len(wrong)-1); rng.IntN(4) {
		case 0:
			wrong[at] = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"[(strings.IndexByte("ABCDEFGHIJKLMNOPQRSTUVWXYZ234567", wrong[at])+1)%32]
		case 1:
			wrong = wrong[:at]
		case 2:
			wrong = []byte(strings.ToLower(token))
		case 3:
			wrong = []byte(fmt.Sprintf("/%%%x%s", token[1], token[2:]))
		}
		x.path = string(wrong) + pick("", "/rows")
	case 1:
		x.kind, x.want, x.host = "host", []int{421}, pick("evil.example", "localhost"+host[strings.IndexByte(host, ':'):], "127.0.0.1", "127.0.0.1:1", host+".", "[::1]:80")
	case 2:
		x.kind, x.want, x.origin = "origin", []int{403}, pick("http://evil.example", "null", "https://"+host, "http://127.0.0.1", strings.ToUpper(r.own), "file://", "")
	case 3:
		x.kind, x.want = "size", []int{413}
		x.body = `{"rows":[{"id":"` + strings.Repeat("a", 64<<10+rng.IntN(64<<10)) + `"}]}`
	case 4:
		x.kind, x.want, x.method = "method", []int{405}, pick("PUT", "DELETE", "PATCH", "GET", "OPTIONS", "HEAD", "TRACE", "post")
	case 5:
		x.kind, x.want = "path", []int{404, 301}
		x.path = pick("/", "/bays.csv", token+"/", token+"/rows/", token+"/../bays.csv", token+"/rows?x=1", token+"/job.csv", "//"+token[1:], "*", "/favicon.ico", "/..%2f..%2fetc/passwd", r.own+token)
		if x.path == "*" {
			x.want = []int{400, 404}
		}
	case 6:
		x.kind, x.want = "half a row", []int{400}
		x.body = string(good[:rng.IntN(len(good)-1)])
	case 7:
		x.kind, x.want = "no row", []int{400}
		x.body = pick(`[]`, `{}`, `null`, `{"rows":[]}`, `{"rows":null}`, `{"rows":[{}]}`, `{"rows":[null]}`, `{"cores":[{"row":{}}]}`, string(good)+`{}`, string(good)+`x`, `{"rows":`+strings.Repeat("[", 5000), "\xff\xfe", "{\"rows\":[{\"row\":{\"entry\":\"\xff\"}}]}", set("by", "x"), set("job", "x"), set("colour", "x"), set("../bays.csv", "x"))
	case 8:
		x.kind, x.want = "no cell", []int{400}
		x.body = pick(set("time", ""), set("time", "yesterday"), set("time", "9999-01-01T00:00:00Z"), set("entry", ""), set("note", "a\nb"), set("note", "\x1b[2J"), set("note", strings.Repeat("x", 3000)), set("after", "zz"), set("after", ""), set("id", "<script>"), `{"rows":[`+strings.Repeat(`{"id":"a"},`, 30)+`{"id":"a"}]}`)
	case 9:
		x.kind, x.want = "kind", []int{415}
		x.headers = pick("", "Content-Type: text/plain\r\n", "Content-Type: application/x-www-form-urlencoded\r\n", "Content-Type: application/jsonx\r\n", "Content-Type: ;\r\n")
	case 10:
		x.kind, x.want = "replay", []int{200}
	case 11:
		x.kind, x.want = "refused", []int{200} // a row that the log cannot hold, or typed behind others
		x.body = pick(set("bay", "z9"), set("bags", "-1"), set("bags", "1e999"), set("entry", "fly"), set("width", "wide"), set("time", "2031-01-01T00:00:00Z"), set("machine", "two"), set("after", "0123456789abcdef"))
		if strings.Contains(x.body, "0123456789abcdef") {
			x.kind = "replay" // what it was typed behind does not matter once it is there
		}
	}
	return x
}

// send sends a request over a connection of its own, as bytes: a client's library would put some of
// them right.
func send(t *testing.T, at string, x request) (status int, said string) {
	t.Helper()
	c, err := net.Dial("tcp", at)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	_ = c.SetDeadline(time.Now().Add(time.Minute))
	origin := ""
	if x.origin != "" {
		origin = "Origin: " + x.origin + "\r\n"
	}
	fmt.Fprintf(c, "%s %s HTTP/1.1\r\nHost: %s\r\nConnection: close\r\n%s%sContent-Length: %d\r\n\r\n%s", x.method, x.path, x.host, origin, x.headers, len(x.body), x.body)
	answer, err := http.ReadResponse(bufio.NewReader(c), &http.Request{Method: x.method})
	if err != nil {
		return 0, err.Error()
	}
	defer answer.Body.Close()
	b := make([]byte, 4096)
	n, _ := answer.Body.Read(b)
	return answer.StatusCode, string(b[:n])
}

// However many strangers knock, the log and its journal stay as they are, and so does the memory.
func TestHostile(t *testing.T) {
	dir := newJob(t)
	r := start(t, dir, "")
	p := newPhone(t, dir, r.address, 4)
	for i := range 3 {
		p.fill("roof", "", fmt.Sprintf("a%d", i), sized(i, "bags", bags(i)))
	}
	q := p.queue[1]
	good, _ := json.Marshal(map[string]any{"rows": []any{map[string]any{"id": q.id, "row": q.Row, "after": q.After}}})
	stands := func() string {
		text := ""
		for _, name := range []string{"bays.csv", "bays.csv.journal", "job.csv", "sections.csv"} {
			b, err := os.ReadFile(filepath.Join(dir, name))
			if err != nil {
				t.Fatal(err)
			}
			text += string(b)
		}
		entries, _ := os.ReadDir(dir)
		return text + fmt.Sprint(len(entries))
	}
	heap := func() uint64 {
		runtime.GC()
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	before := stands()
	const seed = 1811
	rng := rand.New(rand.NewPCG(seed, 0))
	kinds := map[string]int{}
	requests := long(400, 10_000)
	at := strings.TrimPrefix(r.own, "http://")
	var warm uint64
	for n := range requests {
		x := hostile(rng, r, good)
		kinds[x.kind]++
		status, said := send(t, at, x)
		ok := false
		for _, want := range x.want {
			ok = ok || status == want
		}
		switch {
		case !ok:
			t.Fatalf("request %d (seed %d), %s: %s %s, host %q, origin %q: %d %s\n%.300s", n, seed, x.kind, x.method, x.path, x.host, x.origin, status, said, x.body)
		case x.kind == "replay" && !strings.Contains(said, `"taken":true`), x.kind == "refused" && !strings.Contains(said, `"refused"`):
			t.Fatalf("request %d, %s: %s\n%s", n, x.kind, said, x.body)
		case status != 200 && strings.Contains(said, "roof"):
			t.Fatalf("a stranger is told of the job: %s", said)
		}
		if n == requests/10 {
			warm = heap()
		}
	}
	if stands() != before {
		t.Error("the folder is another one")
	}
	grown := int64(heap()) - int64(warm)
	if grown > 2<<20 {
		t.Errorf("the memory grew by %d bytes", grown)
	}
	if status, _ := send(t, at, request{method: "POST", path: strings.TrimPrefix(r.address, r.own) + "/rows", host: at, origin: r.own, headers: "Content-Type: application/json\r\n", body: string(good)}); status != 200 {
		t.Errorf("a good request afterwards: %d", status)
	}
	n := r.stop()
	if n.Rows != 3 {
		t.Errorf("%d rows taken", n.Rows)
	}
	t.Logf("%d requests (seed %d) %v: nothing changed, the memory grew by %d bytes", requests, seed, kinds, grown)
}

// The page goes to who has the address, without a cache and without a frame around it; a connection
// that says nothing is closed.
func TestHandsOut(t *testing.T) {
	t.Parallel()
	r := start(t, newJob(t), "")
	answer, err := http.Get(r.address)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	for name, want := range map[string]string{"Cache-Control": "no-store", "Referrer-Policy": "no-referrer", "X-Frame-Options": "DENY", "Content-Type": "text/html; charset=utf-8"} {
		if got := answer.Header.Get(name); got != want {
			t.Errorf("%s is %q", name, got)
		}
	}
	if answer.StatusCode != 200 || answer.Header.Get("Access-Control-Allow-Origin") != "" {
		t.Errorf("%s, %v", answer.Status, answer.Header)
	}
	c, err := net.Dial("tcp", strings.TrimPrefix(r.own, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	_ = c.SetDeadline(time.Now().Add(time.Minute))
	from := time.Now()
	if _, err := c.Read(make([]byte, 1)); err == nil || time.Since(from) > 45*time.Second {
		t.Errorf("a silent connection was kept for %s: %v", time.Since(from), err)
	}
}

func TestAddress(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"": "127.0.0.1:48019", "192.168.1.20": "192.168.1.20:48019", "10.0.0.5:80": "10.0.0.5:80", "[fd00::7]:9000": "[fd00::7]:9000", "::1": "[::1]:48019", "169.254.3.4": "169.254.3.4:48019",
		"0.0.0.0": "", ":8080": "", "[::]:80": "", "8.8.8.8": "", "[2001:db8::1]:80": "", "truck": "", "192.168.1.20:99999": "", "fe80::1%eth0": "", "::ffff:10.0.0.1": "", "192.168.1": "",
	} {
		got, err := serve.Address(text)
		if (err != nil) != (want == "") || err == nil && got.String() != want {
			t.Errorf("%q: %v, %v; want %q", text, got, err, want)
		}
	}
}

// The code has the size that its text needs, a quiet zone of light parts around it, and a reader
// reads it.
func TestCode(t *testing.T) {
	t.Parallel()
	const address = "HTTP://192.168.100.200:48019/ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	code, err := serve.Code(address)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(code, "\n"), "\n")
	if len(lines) != 19 {
		t.Fatalf("%d lines", len(lines))
	}
	var parts [][]rune
	for i, line := range lines {
		line = strings.TrimSuffix(strings.TrimPrefix(line, "  \x1b[38;5;231;48;5;16m"), "\x1b[0m")
		parts = append(parts, []rune(line))
		if len(parts[i]) != 37 {
			t.Fatalf("line %d is %d wide", i, len(parts[i]))
		}
	}
	light := func(x, y int) bool {
		c := parts[y/2][x]
		return c == '█' || c == '▀' && y%2 == 0 || c == '▄' && y%2 == 1
	}
	for i := range 37 {
		for k := range 4 {
			if !light(i, k) || !light(k, i) || !light(36-k, i) || !light(i, 36-k) {
				t.Fatalf("no quiet zone at %d, %d", i, k)
			}
		}
	}
	img := image.NewGray(image.Rect(0, 0, 37*4, 37*4))
	for y := range 37 * 4 {
		for x := range 37 * 4 {
			if light(x/4, y/4) {
				img.SetGray(x, y, color.Gray{Y: 0xff})
			}
		}
	}
	bits, err := gozxing.NewBinaryBitmapFromImage(img)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := qrcode.NewQRCodeReader().Decode(bits, nil); err != nil || got.GetText() != address {
		t.Errorf("it reads %v, %v", got, err)
	}
}

// A crash in one request is told, answered as such, and leaves the server as it was: the next
// request is answered.
func TestACrashOfARequest(t *testing.T) {
	folder, err := joblog.Open(newJob(t))
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	crash, told := true, ""
	s := &serve.Server{Folder: folder, Token: "abc", Told: func(line string) { told += line + "\n" }, Page: func(string) ([]byte, error) {
		if crash {
			panic("a fault of the program")
		}
		return []byte("the page"), nil
	}}
	ask := func() *httptest.ResponseRecorder {
		r := httptest.NewRequest("GET", "/abc", nil)
		r.Host = ""
		w := httptest.NewRecorder()
		s.ServeHTTP(w, r)
		return w
	}
	if w := ask(); w.Code != http.StatusInternalServerError || told != "this is a fault of bayproof and not of your files: a fault of the program\n" {
		t.Errorf("%d, told %q", w.Code, told)
	}
	crash = false
	if w := ask(); w.Code != http.StatusOK || w.Body.String() != "the page" {
		t.Errorf("%d %q", w.Code, w.Body)
	}
}
