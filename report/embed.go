package report

import (
	"embed"
	"io/fs"
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
