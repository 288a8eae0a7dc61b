// Package lang holds what a crew reads, sentence by sentence, in the languages that bayproof
// speaks. The English stands where it is said; a table here has the Spanish beside it. It imports
// the standard library.
package lang
