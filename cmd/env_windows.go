package cmd

import "golang.org/x/sys/windows"

// The console is asked for its code page. Where there is no console nobody looks.
func init() {
	consoleUTF8 = func(getenv func(string) string) bool {
		page, err := windows.GetConsoleOutputCP()
		return err != nil || codePageUTF8(page, getenv)
	}
}
