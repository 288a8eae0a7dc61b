// Package plausible sets jobs against each other and says what does not look as honest work does.
//
// Of keeps of a job's findings what is needed, a few hundred bytes and a key a row; a Table takes them in one by one, and Find
// returns what was found. Whatever says "unlikely" is a probability p under an honest crew that counts as this one did:
// by a ratio of likelihoods whose mean over honest data is at most 1 (backward.go), by a scan over a prior of how even crews
// pack (weights.go), by the bits that equal rows tell (copies.go, near.go), by the other crews' rates (habits.go), and by plain
// tests. All that was looked at is counted when false discoveries are held down, also what showed nothing. Beside it stands
// what is no matter of chance: pictures (photos.go), clocks, bag weights and terms (clock.go). None is a proof, none moves a
// verdict, and each names what would settle it (Codes).
//
// It is pure, and the same jobs give the same findings. It imports model, verify, verify/crew and verify/stat.
package plausible
