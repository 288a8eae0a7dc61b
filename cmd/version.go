package cmd

import (
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
)

// Version is what this build calls itself.
const Version = "0.1.0"

// newVersion builds the command that says which bayproof this is.
func newVersion(env *Env) *cobra.Command {
	var file string
	cmd := &cobra.Command{
		Use:   "version",
		Short: "which bayproof this is",
		Args:  noArgs,
		RunE: func(*cobra.Command, []string) error {
			return (&outputs{env: env}).result(dest{flag: "-o", file: file}, func(w io.Writer) error {
				_, err := fmt.Fprintf(w, "bayproof %s%s (%s, %s/%s)\n", Version, revision(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
				return err
			})
		},
	}
	outputFlag(cmd, &file, "write to `FILE` instead of the screen")
	return cmd
}

// revision returns the commit this was built from, where the build says so.
func revision() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return ""
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			return "+" + s.Value[:12]
		}
	}
	return ""
}

// family names the processor family, and the level of it that this was built for where that is not the first: from it hang
// the last bits of a sum (whether a product is rounded before it is added).
func family() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return runtime.GOARCH
	}
	for _, s := range info.Settings {
		if s.Key == "GO"+strings.ToUpper(runtime.GOARCH) && s.Value != "v1" && s.Value != "v8.0" {
			return runtime.GOARCH + " " + s.Value
		}
	}
	return runtime.GOARCH
}
