// Bayproof tells a dense-pack crew which bays may be closed.
package main

import (
	"os"

	"bayproof/cmd"
)

func main() {
	os.Exit(cmd.Run(os.Args[1:], cmd.System()))
}
