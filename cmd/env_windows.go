package cmd

import "golang.org/x/sys/windows"

// consoleUTF8 asks the console for its code page. Where there is no console nobody looks.
func consoleUTF8(getenv func(string) string) bool {
	page, err := windows.GetConsoleOutputCP()
	return err != nil || codePageUTF8(page, getenv)
}
