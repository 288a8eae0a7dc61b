package say

import "bayproof/verify"

// warningSentence is what is said for a warning that verify gives; see phrase for the places in it.
func warningSentence(code verify.Code) string {
	return string(code)
}
