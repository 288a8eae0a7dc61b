package demo

import (
	"embed"
	"io/fs"
)

//go:embed job
var files embed.FS

// Job returns the job folder of the demo.
func Job() fs.FS {
	job, err := fs.Sub(files, "job")
	if err != nil {
		panic(err) // the name is a constant and valid
	}
	return job
}
