package verify

// act says what to do about a bay now.
func (w *work) act(b *Bay) Action {
	switch b.Verdict {
	case Close:
		return Action{Code: ActClose}
	case Add:
		return Action{Code: ActAdd}
	}
	return Action{Code: ActBlowToStall}
}

func (w *work) advise() {}
