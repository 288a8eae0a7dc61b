package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html/template"
	"sort"
	"strconv"
	"time"

	"bayproof/verify"
)

// carry is what a record has inside so that it can be computed again.
type carry struct {
	Inputs   []inputRow
	Sources  template.JS // raw files, flags, photos and tool, as JSON
	Findings template.JS // the findings as JSON
	Tool     Tool
	Method   int // verify.Method
}

type inputRow struct{ File, SHA256, Bytes string }

// Carried is the first of the two JSON blocks of a record.
type Carried struct {
	Tool     Tool              `json:"tool"`
	Name     string            `json:"name"`
	Flags    map[string]string `json:"flags"`
	Files    []File            `json:"files"`
	Photos   []CarriedPhoto    `json:"photos"`
	Pictures []Picture         `json:"pictures,omitempty"`
}

// File is one raw input, byte for byte (base64 in JSON).
type File struct {
	Name string `json:"name"`
	Raw  []byte `json:"raw"`
}

// CarriedPhoto is what is known of a photo that the record does not carry.
type CarriedPhoto struct {
	Name   string    `json:"name"`
	SHA256 string    `json:"sha256"`
	Bytes  int64     `json:"bytes"`
	Taken  time.Time `json:"taken,omitzero"`
	Place  string    `json:"place,omitempty"` // latitude and longitude in degrees; only where the job asks to keep it
}

// Places tells where the carried photos were taken, by name; nil where none says so.
func (c *Carried) Places() map[string]string {
	var out map[string]string
	for _, p := range c.Photos {
		if p.Place != "" {
			if out == nil {
				out = map[string]string{}
			}
			out[p.Name] = p.Place
		}
	}
	return out
}

func (b *builder) carry() (carry, error) {
	job := b.f.Job
	flags := b.in.Flags
	if flags == nil { // none given is the same however the caller says it
		flags = map[string]string{}
	}
	src := Carried{Tool: b.in.Tool, Name: job.Name, Flags: flags, Files: []File{}, Photos: []CarriedPhoto{}, Pictures: b.in.Pictures}
	c := carry{Tool: b.in.Tool, Method: verify.Method}
	for _, in := range job.Inputs {
		src.Files = append(src.Files, File{in.File, in.Raw})
		c.Inputs = append(c.Inputs, inputRow{in.File, in.SHA256, strconv.Itoa(len(in.Raw))})
	}
	for _, p := range job.Photos {
		src.Photos = append(src.Photos, CarriedPhoto{p.Name, p.SHA256, p.Bytes, p.Taken, b.in.Places[p.Name]})
	}
	sort.SliceStable(src.Photos, func(i, j int) bool { return src.Photos[i].Name < src.Photos[j].Name })
	sources, err := json.Marshal(src) // escapes < > & and sorts the flags by name
	if err != nil {
		return c, fmt.Errorf("what the record carries: %w", err)
	}
	var findings bytes.Buffer
	json.HTMLEscape(&findings, bytes.TrimSpace(b.in.JSON))
	c.Sources, c.Findings = template.JS(escapeDirection(sources)), template.JS(escapeDirection(findings.Bytes()))
	return c, nil
}
