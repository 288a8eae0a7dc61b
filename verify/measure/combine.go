package measure

import (
	"math"

	"bayproof/verify/stat"
)

// work is the room that the lots of a job take their small slices from.
type work struct {
	terms  []Term
	shares []Share
}

// weighLot fills in a lot's mass, density and uncertainty: ρ = m/V, ∂ρ/∂m = 1/V, ∂ρ/∂V = −ρ/V, first order in absolute
// terms (JCGM 100, 5.1.2), so that it stands at density 0 too.
func (m *Measured) weighLot(l *Lot, s *scale, sp *[Dims]Spread, room *work) parts {
	var w mass
	terms := room.terms
	for _, b := range l.Bays {
		for _, e := range b.Moves {
			terms = w.take(e, s, terms)
		}
	}
	l.Terms = terms[:len(terms):len(terms)]
	room.terms = terms[len(terms):]
	v := l.sizes.Volume
	l.Volume, l.Mass, l.Density = v, w.kg, w.kg/v
	l.Bags, l.Used = w.bags, w.used
	if !w.counted {
		l.Bags = math.NaN()
	}
	l.Interval = w.half / v
	l.CommonDOF = m.Bag.DOF
	var p parts
	p.material(l, &w, m.Bag.U, v)
	p.sizes(l, l.sizes, sp)
	p.combine(l, sp, m.Bag.DOF)
	if room.shares != nil {
		l.Budget = p.budget(&room.shares)
	}
	return p
}

// parts are the variances that make up a lot's, in (kg/m³)².
type parts struct {
	tape, random, ditto   [Dims]float64
	weigh, count, bagMass float64
}

// material fills in what the mass brings and scales the counter's terms to the density.
func (p *parts) material(l *Lot, w *mass, uBag, v float64) {
	p.weigh, p.count = w.weigh2/(v*v), (w.count2+w.half*w.half/3)/(v*v)
	l.Count = math.Sqrt(p.count)
	l.Common = w.coef * uBag / v
	if w.coef == 0 { // nothing was counted: an unknown bag weight does not matter
		l.Common = 0
	}
	p.bagMass = l.Common * l.Common
	for i := range l.Terms {
		t := &l.Terms[i]
		t.Coef /= v
		p.count += square(t.Coef * t.U)
	}
}

// sizes fills in what the tape brings.
func (p *parts) sizes(l *Lot, z *Sizes, sp *[Dims]Spread) {
	k := l.Density / z.Volume
	for d := range Dims {
		l.Tape[d] = -k * z.tape[d]
		p.tape[d] = l.Tape[d] * l.Tape[d]
		p.random[d] = k * k * z.rand[d] * square(sp[d].Reading)
		if z.ditto[d] != 0 {
			p.ditto[d] = k * k * (z.ditto[d]*z.ditto[d] + z.ditto2[d]) / 2 * square(sp[d].Ditto)
			l.Taken[d] = math.Sqrt(p.ditto[d])
		}
	}
}

// combine adds the variances and their degrees of freedom, those of the lot's own and of all.
func (p *parts) combine(l *Lot, sp *[Dims]Spread, bagDOF float64) {
	var own stat.Freedom
	inf := math.Inf(1)
	own.Add(p.weigh, inf)
	for d := range Dims {
		own.Add(p.tape[d], inf)
		if p.random[d] != 0 {
			own.Add(p.random[d], sp[d].ReadingDOF)
		}
		if p.ditto[d] != 0 {
			own.Add(p.ditto[d], sp[d].DittoDOF)
		}
	}
	l.Own, l.OwnDOF = own.U(), own.DOF()
	all := own
	all.Add(p.count, inf)
	all.Add(p.bagMass, bagDOF)
	l.U, l.DOF = all.U(), all.DOF()
}

// budget lists the inputs' shares of the variance, largest first; none where there is no variance to share.
func (p *parts) budget(room *[]Share) []Share {
	from := len(*room)
	out := *room
	var ditto, sum float64
	for d := range Dims {
		out = share(out, d.String(), p.tape[d]+p.random[d])
		ditto += p.ditto[d]
	}
	out = share(out, "ditto", ditto)
	out = share(out, "bags", p.count)
	out = share(out, "bag_weight", p.bagMass)
	out = share(out, "weight", p.weigh)
	mine := out[from:len(out):len(out)]
	for i := range mine {
		sum += mine[i].Share
	}
	for i := range mine {
		mine[i].Share /= sum
		for j := i; j > 0 && mine[j-1].Share < mine[j].Share; j-- {
			mine[j-1], mine[j] = mine[j], mine[j-1]
		}
	}
	*room = out
	return mine
}

func share(to []Share, input string, variance float64) []Share {
	if variance > 0 {
		to = append(to, Share{input, variance})
	}
	return to
}
