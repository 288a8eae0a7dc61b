package report

import (
	"encoding/json"
	"math"
)

// Tool names the program that made a document.
type Tool struct {
	Name    string `json:"name"`
	Version string `json:"version"`
}

// Number is a float64 that is null in JSON where it does not exist; infinite degrees of freedom do not either.
type Number float64

// MarshalJSON writes full precision.
func (n Number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}
