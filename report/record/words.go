package record

import (
	"math"
	"strconv"
	"strings"

	"bayproof/verify"
	"bayproof/verify/measure"
)

func nan() float64 { return math.NaN() }

func (b *builder) data(ds []verify.Datum) string {
	parts := make([]string, len(ds))
	for i, d := range ds {
		parts[i] = d.Key + " " + b.Datum(d)
	}
	return strings.Join(parts, ", ")
}

// doNow says what can be done about a bay in two minutes; a dash where nothing is to be done.
func (b *builder) doNow(bay *verify.Bay) string {
	if bay.State == verify.Struck {
		return "withdrawn"
	}
	if bay.State == verify.NotFilled {
		return "no material in the log yet"
	}
	return b.said(b.words.Now(bay), bay.Now.Code, bay.Now.Data)
}

// nextBay says what would have settled this bay, for the next one.
func (b *builder) nextBay(bay *verify.Bay) string { return b.words.NextBay(bay) }

func (b *builder) reasonText(r verify.Reason) string {
	return b.said(b.words.Reason(r), r.Code, r.Data)
}

func (b *builder) answerText(r verify.Reason) string { return b.words.Answered(r) }

// said falls back on the code and its figures where there is no sentence for it.
func (b *builder) said(text string, code verify.Code, data []verify.Datum) string {
	if text != "" || code == "" {
		return text
	}
	return joined(": ", string(code), b.data(data))
}

// level names an interval's level.
func level(p float64) string {
	if unknown(p) {
		return "level unknown"
	}
	return strconv.FormatFloat(math.Round(p*1000)/10, 'f', -1, 64) + " % interval"
}

// freedom writes effective degrees of freedom, which are not rounded before use.
func freedom(dof float64) string {
	switch {
	case math.IsNaN(dof):
		return "ν unknown"
	case math.IsInf(dof, 1) || dof > 1000:
		return "ν unlimited"
	}
	return "ν = " + number(dof, 1)
}

func (b *builder) densityRange(lo, hi, half float64) string {
	if unknown(lo) || unknown(hi) {
		return "cannot be stated"
	}
	return b.figure(lo, half) + " to " + b.figure(hi, half) + " " + b.unit(verify.Density)
}

// inputName says an input's name in the words of the trade.
func inputName(input string) string {
	switch input {
	case "bags":
		return "counting"
	case "bag_weight":
		return "bag weight"
	case "weight":
		return "weighing"
	case "ditto":
		return "sizes taken over"
	}
	return strings.ReplaceAll(input, "_", " ")
}

func budgetLine(shares []measure.Share) string {
	var parts []string
	for _, s := range shares {
		if s.Share >= 0.005 {
			parts = append(parts, inputName(s.Input)+" "+number(s.Share*100, 0)+" %")
		}
	}
	return strings.Join(parts, ", ")
}
