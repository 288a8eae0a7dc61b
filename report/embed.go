package report

import (
	"embed"
	"io/fs"

	"bayproof/report/say"
)

//go:embed assets all:assets/npm
var assets embed.FS

// Assets returns what the record is built from: templates, style sheet, boot script and, where
// `make` has copied it there, the chart library with its licence under assets/npm.
func Assets() fs.FS {
	sub, err := fs.Sub(assets, "assets")
	if err != nil {
		panic(err) // the directory is named in the directive above
	}
	return sub
}

// TextDigest names the sentences of this build, the templates that they stand in and the keys of
// its findings, for Tool.
func TextDigest() string {
	keys, err := AppendSchema(nil, "check")
	if err != nil {
		panic(err) // it is in the table of schemas
	}
	texts := [][]byte{keys}
	names, _ := fs.Glob(assets, "assets/*.html") // the pattern is sound
	for _, name := range names {
		b, _ := assets.ReadFile(name) // it was found just now
		texts = append(texts, b)
	}
	return say.TextDigest(texts...)
}
