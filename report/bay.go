package report

import (
	"bayproof/report/say"
	"bayproof/verify"
)

type bayDocument struct {
	Section           string           `json:"section"`
	Bay               string           `json:"bay"`
	Lines             []int            `json:"lines"`
	State             string           `json:"state"`
	SharedWith        []string         `json:"shared_with"`
	Volume            Number           `json:"volume"`
	Mass              Number           `json:"mass"`
	Bags              Number           `json:"bags"`
	Density           Number           `json:"density"`
	UDensity          Number           `json:"u_density"`
	DOF               Number           `json:"dof"`
	DensityLo         Number           `json:"density_lo"`
	DensityHi         Number           `json:"density_hi"`
	Level             Number           `json:"level"`
	ProbMeasured      Number           `json:"prob_measured"`
	ProbAtTarget      Number           `json:"prob_at_target"`
	Basis             word             `json:"basis"`
	Verdict           word             `json:"verdict"`
	VerdictWhenClosed word             `json:"verdict_when_closed"`
	Reasons           []reasonDocument `json:"reasons"`
	Now               actionDocument   `json:"now"`
	NextBay           adviceDocument   `json:"next_bay"`
	AddMass           Number           `json:"add_mass"`
	AddBags           Number           `json:"add_bags"`
	AddDensity        Number           `json:"add_density"`
	EmptyLength       Number           `json:"empty_length"`
	EmptyLengthLo     Number           `json:"empty_length_lo"`
	EmptyLengthHi     Number           `json:"empty_length_hi"`
	BlindLength       Number           `json:"blind_length"`
	Budget            []budgetDocument `json:"budget"`
}

type reasonDocument struct {
	Code     string `json:"code"`
	Text     string `json:"text"`
	Data     pairs  `json:"data"`
	Answered word   `json:"answered"` // the code of what answered it
}

type actionDocument struct {
	Action word  `json:"action"`
	Text   word  `json:"text"`
	Data   pairs `json:"data"`
}

type adviceDocument struct {
	Input word   `json:"input"`
	Text  word   `json:"text"`
	Prob  Number `json:"prob"`
}

type budgetDocument struct {
	Input string `json:"input"`
	Share Number `json:"share"`
}

func newBayDocument(w *say.Words, b *verify.Bay) bayDocument {
	density := func(x float64) Number { return Number(w.In(verify.Density, x)) }
	length := func(x float64) Number { return Number(w.In(verify.Length, x)) }
	d := bayDocument{
		Section: b.Bay.Section.Name, Bay: b.Bay.Name, Lines: lines(b), State: stateWord(b.State), SharedWith: sharedNames(b),
		Volume: Number(w.In(verify.Volume, b.Volume)), Mass: Number(w.In(verify.Mass, b.Mass)), Bags: Number(b.Bags),
		Density: density(b.Density), UDensity: density(b.U), DOF: Number(b.DOF),
		DensityLo: density(b.Lo), DensityHi: density(b.Hi), Level: Number(levelOf(b)),
		ProbMeasured: Number(b.ProbMeasured), ProbAtTarget: Number(b.ProbAtTarget), Basis: word(basisWord(b)),
		Verdict: word(verdictWord(b)), VerdictWhenClosed: word(closedWord(b)), Reasons: reasons(w, b.Reasons),
		Now:     actionDocument{word(b.Now.Code), word(w.Now(b)), evidence(w.Units, b.Now.Data)},
		NextBay: newAdvice(w, b),
		AddMass: Number(w.In(verify.Mass, b.AddMass)), AddBags: Number(b.AddBags), AddDensity: density(b.AddDensity),
		EmptyLength: length(b.EmptyLength), EmptyLengthLo: length(b.EmptyLengthLo), EmptyLengthHi: length(b.EmptyLengthHi),
		BlindLength: length(b.BlindLength), Budget: make([]budgetDocument, 0, len(b.Budget)),
	}
	for _, share := range b.Budget {
		d.Budget = append(d.Budget, budgetDocument{share.Input, Number(share.Share)})
	}
	return d
}

func newAdvice(w *say.Words, b *verify.Bay) adviceDocument {
	d := adviceDocument{Input: word(b.NextBay.Input), Text: word(w.NextBay(b)), Prob: Number(b.NextBay.Prob)}
	if b.NextBay.Input == "" {
		d.Prob = none()
	}
	return d
}

func reasons(w *say.Words, rs []verify.Reason) []reasonDocument {
	out := make([]reasonDocument, 0, len(rs))
	for _, r := range rs {
		out = append(out, reasonDocument{string(r.Code), w.Reason(r), evidence(w.Units, r.Data), word(r.Answered.Code)})
	}
	return out
}

// lines are the numbers of the log's lines that name the bay.
func lines(b *verify.Bay) []int {
	out := make([]int, 0, len(b.Bay.Rows))
	for _, row := range b.Bay.Rows {
		out = append(out, row.Src.Line)
	}
	return out
}

func sharedNames(b *verify.Bay) []string {
	out := make([]string, 0, len(b.SharedWith))
	for _, other := range b.SharedWith {
		out = append(out, other.Name)
	}
	return out
}
