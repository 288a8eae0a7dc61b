// Package disk opens files of a folder to write to so that nothing outside of it changes, and lets
// those who may use the folder use what is made in it, on every system. It imports the standard
// library.
package disk
