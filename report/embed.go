package report

import (
	"embed"
	"io/fs"
	"sync"

	"bayproof/report/say"
)

//go:embed assets all:assets/npm
var assets embed.FS

// Assets returns what the record is built from: templates, style sheet, boot script and, where `make` has copied it
// there, the chart library with its licence under assets/npm.
func Assets() fs.FS {
	sub, err := fs.Sub(assets, "assets")
	if err != nil {
		panic(err) // the directory is named in the directive above
	}
	return sub
}

// textDigest names the sentences of this build and the templates that they stand in. It is worked out once.
var textDigest = sync.OnceValue(func() string {
	var templates [][]byte
	names, _ := fs.Glob(assets, "assets/*.html") // the pattern is sound
	for _, name := range names {
		b, _ := assets.ReadFile(name) // it was found just now
		templates = append(templates, b)
	}
	return say.TextDigest(templates...)
})
