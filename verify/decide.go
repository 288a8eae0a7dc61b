package verify

import (
	"math"

	"bayproof/model"
	"bayproof/verify/stat"
)

// ruleOf is the rule that decides this job.
func ruleOf(job *model.Job) model.Rule { return job.Settings.Rule }

// decide lets the job's rule decide about every lot of every section. Rule guarded takes the measurement alone: nothing
// that rests on the crew's other bays is looked at, and the findings say so.
func (w *work) decide() {
	if w.rule == model.RuleProcess {
		w.f.Priors = w.priors()
	}
	for s := range w.benches {
		w.decideSection(s)
	}
}

// decideSection decides about one section; it rests on what was measured and on no other section's decisions.
func (w *work) decideSection(s int) {
	guarded(&w.benches[s])
	if w.rule == model.RuleProcess {
		w.process(&w.benches[s])
	}
}

// guarded decides by the measurement alone (JCGM 106, decision with a guard band): prob_at_target is prob_measured.
// Its blind length is that of the lot's own uncertainty around the aim, as nothing is known of the crew's other bays.
func guarded(b *bench) {
	target, aim := b.sec.Settings.Target, b.sec.Settings.Aim
	for i := range b.lots {
		l, d := &b.lots[i], &b.out[i]
		d.prob, d.basis = stat.ProbAtLeast(l.Density, l.U, l.DOF, target), Own
		d.blind = BlindFactor * l.U / aim
		d.empty, d.emptyLo, d.emptyHi, d.reasons = math.NaN(), math.NaN(), math.NaN(), nil
	}
	b.section.Mean, b.section.SD, b.section.LowerTolerance = math.NaN(), math.NaN(), math.NaN()
}
