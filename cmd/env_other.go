//go:build !windows

package cmd

// consoleUTF8 asks the environment for the locale.
func consoleUTF8(getenv func(string) string) bool { return localeUTF8(getenv) }
