//go:build unix || js

package disk

import (
	"io/fs"
	"os"
	"syscall"
)

// namesOf counts the names that a file goes by.
func namesOf(_ *os.File, info fs.FileInfo) uint64 {
	if stat, ok := info.Sys().(*syscall.Stat_t); ok {
		return uint64(stat.Nlink)
	}
	return 1
}

// groupOf is the group that a folder belongs to, -1 where it has none.
func groupOf(info fs.FileInfo) int {
	if stat, ok := info.Sys().(*syscall.Stat_t); ok {
		return int(stat.Gid)
	}
	return -1
}
