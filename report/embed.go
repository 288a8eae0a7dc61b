package report

import (
	"embed"
	"io/fs"
	"sync"

	"bayproof/report/say"
)

//go:embed assets all:assets/npm
var assets embed.FS

// templates are the record's own once more: what names the sentences of a build would otherwise
// carry the chart library with it, into the phone's page too.
//
//go:embed assets/*.html
var templates embed.FS

// Assets returns what the record is built from: templates, style sheet, boot script and, where
// `make` has copied it there, the chart library with its licence under assets/npm.
func Assets() fs.FS {
	sub, err := fs.Sub(assets, "assets")
	if err != nil {
		panic(err) // the directory is named in the directive above
	}
	return sub
}

// textDigest names the sentences of this build and the templates that they stand in. It is worked
// out once.
var textDigest = sync.OnceValue(func() string {
	var texts [][]byte
	names, _ := fs.Glob(templates, "assets/*.html") // the pattern is sound
	for _, name := range names {
		b, _ := templates.ReadFile(name) // it was found just now
		texts = append(texts, b)
	}
	return say.TextDigest(texts...)
})
