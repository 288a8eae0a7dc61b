package pocket

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"strings"

	"bayproof/report/say/lang"
)

//go:embed page.html script.js style.css worker.js all:built
var files embed.FS

// ErrNotBuilt says that this build has no checker for the browser.
var ErrNotBuilt = errors.New("this build has no checker for the phone")

// Job is what a page is written for: the document that the checker reads (cmd/pocket.Data), and
// what the layout needs of it.
type Job struct {
	Name string
	Data []byte // JSON
	Lang lang.Language
	Path string // of a page that a server hands out: where its rows go, below the page's own address; empty for none
}

// source reads a file that is embedded.
func source(name string) string {
	b, err := files.ReadFile(name)
	if err != nil {
		panic(err) // it is named in the directive above
	}
	return string(b)
}

// bare is a script or a style sheet without what only its author reads: indents, and unless they
// are to stay lines that are a comment as a whole. No text in them goes over several lines.
func bare(text string, comments bool) string {
	var out strings.Builder
	for line := range strings.Lines(text) {
		if line = strings.TrimLeft(line, " \t"); line != "\n" && (comments || !strings.HasPrefix(line, "//")) {
			out.WriteString(line)
		}
	}
	return out.String()
}

// checker is the checker, compressed, and the script of the Go distribution that starts it.
func checker() (wasm []byte, start string, err error) {
	wasm, err = files.ReadFile("built/checker.wasm.gz")
	b, err2 := files.ReadFile("built/wasm_exec.js")
	if err != nil || err2 != nil {
		return nil, "", ErrNotBuilt
	}
	return wasm, string(b), nil
}

// Built tells whether this build can write a page.
func Built() bool { _, _, err := checker(); return err == nil }

// Append appends the page of a job.
func Append(dst []byte, job Job) ([]byte, error) { return page(dst, job, false) }

// page appends the page. One of a site may ask its own host for the site's files; one that a server
// hands out, to take its rows.
func page(dst []byte, job Job, site bool) ([]byte, error) {
	wasm, start, err := checker()
	if err != nil {
		return dst, err
	}
	script, style, start := bare(source("script.js"), false), bare(source("style.css"), false), bare(start, true) // its comments hold its licence
	policy := "default-src 'none'; script-src '" + hash(start) + "' '" + hash(script) + "' 'wasm-unsafe-eval'; style-src '" + hash(style) +
		"'; img-src data: blob:; base-uri 'none'; form-action 'none'"
	head := ""
	if site {
		policy = strings.Replace(policy, "img-src", "worker-src 'self'; manifest-src 'self'; img-src 'self'", 1)
		head = `<link rel="manifest" href="manifest.webmanifest"><link rel="icon" href="icon-192.png"><link rel="apple-touch-icon" href="icon-192.png">`
	}
	if job.Path != "" {
		policy += "; connect-src 'self'"
		head = `<link rel="icon" href="data:,">` // else the browser asks for one
	}
	config, err := json.Marshal(struct {
		Site bool   `json:"site"`
		Path string `json:"path"`
	}{site, job.Path})
	if err != nil {
		return dst, err
	}
	said := words(job.Lang)
	table, err := json.Marshal(said)
	if err != nil {
		return dst, err
	}
	var text bytes.Buffer
	json.HTMLEscape(&text, job.Data) // a name from the log must not end the element it stands in
	out := strings.NewReplacer(
		"{{policy}}", html.EscapeString(policy), "{{head}}", head, "{{title}}", html.EscapeString(job.Name),
		"{{style}}", style, "{{job}}", text.String(), "{{config}}", string(config),
		"{{lang}}", cmp.Or(string(job.Lang), "en"), "{{words}}", string(table), "{{starting}}", html.EscapeString(said["starting"]), "{{noScript}}", html.EscapeString(said["noScript"]),
		"{{checker}}", base64.StdEncoding.EncodeToString(wasm), "{{start}}", start, "{{script}}", script,
	).Replace(source("page.html"))
	return append(dst, out...), nil
}

// hash is the source expression of an inline script or style: its SHA-256, by which the policy
// knows it.
func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

// File is one file of a site.
type File struct {
	Name string
	Data []byte
}

// Site returns the page as a site: put on any https host, a phone keeps it and opens it without a
// network. The worker's cache is named after the page, so that a new page takes the place of an old
// one.
func Site(job Job) ([]File, error) {
	index, err := page(nil, job, true)
	if err != nil {
		return nil, err
	}
	manifest, err := json.MarshalIndent(map[string]any{
		"name": job.Name + ", bayproof", "short_name": job.Name, "start_url": "./", "scope": "./", "display": "standalone",
		"background_color": "#ffffff", "theme_color": "#16201c",
		"icons": []map[string]string{{"src": "icon-192.png", "sizes": "192x192", "type": "image/png"}, {"src": "icon-512.png", "sizes": "512x512", "type": "image/png"}},
	}, "", "  ")
	if err != nil {
		return nil, err
	}
	worker := strings.Replace(source("worker.js"), "{{cache}}", fmt.Sprintf("bayproof %x", sha256.Sum256(index)), 1)
	list := []File{{"index.html", index}, {"manifest.webmanifest", manifest}, {"worker.js", []byte(worker)}}
	for _, size := range []int{192, 512} {
		var b bytes.Buffer
		if err := icon(&b, size); err != nil {
			return nil, err
		}
		list = append(list, File{fmt.Sprintf("icon-%d.png", size), b.Bytes()})
	}
	return list, nil
}

// icon draws what stands on a home screen: the full square of CLOSE between two rafters, so many
// pixels wide.
func icon(w io.Writer, size int) error {
	img := image.NewPaletted(image.Rect(0, 0, size, size), color.Palette{color.RGBA{0x16, 0x20, 0x1c, 0xff}, color.RGBA{0xc9, 0xd2, 0xcd, 0xff}, color.RGBA{0x74, 0xcf, 0xa6, 0xff}})
	part := func(x0, y0, x1, y1 int, c int) {
		draw.Draw(img, image.Rect(x0*size/16, y0*size/16, x1*size/16, y1*size/16), image.NewUniform(img.Palette[c]), image.Point{}, draw.Src)
	}
	part(3, 3, 4, 13, 1)
	part(12, 3, 13, 13, 1)
	part(5, 5, 11, 11, 2)
	return png.Encode(w, img)
}
