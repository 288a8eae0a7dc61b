package crew

// tableNoise: a quotient of integrals below it is that of the tables' errors.
const tableNoise = 1e-5

// meanGood is the density of a lot with this reading if it is good, meanBad if it is bad, meanOver if it is over-full; the
// reading where that says nothing about it. The reading is no interval.
func (s *smear) meanGood(mu, tau float64) float64 {
	v := s.sd * s.sd
	return (s.x*tau*tau + mu*v) / (v + tau*tau)
}

func (s *smear) meanBad(mu float64) float64 {
	most := badMost * mu
	m, per := s.between(0, most), 1/most
	mass := tilted(m.mass, m.first, per)
	if mass < tableNoise {
		return s.x
	}
	return tilted(m.first, m.second, per) / mass
}

func (s *smear) meanOver(mu float64) float64 {
	m := s.between(overLeast*mu, overMost*mu)
	if m.mass < tableNoise {
		return s.x
	}
	return m.first / m.mass
}

// moments are integrals of the likelihood, of density times likelihood, and of the density's square times likelihood.
type moments struct{ mass, first, second float64 }

func (s *smear) between(low, high float64) moments {
	a, b := s.momentsUpTo(low), s.momentsUpTo(high)
	return moments{b.mass - a.mass, b.first - a.first, b.second - a.second}
}

func (s *smear) momentsUpTo(edge float64) moments {
	p, d := normal.at((edge - s.x) * s.inv)
	return moments{p, s.x*p - s.sd*d, (s.x*s.x+s.sd*s.sd)*p - s.sd*(edge+s.x)*d}
}
