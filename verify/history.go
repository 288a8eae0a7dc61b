package verify

func (w *work) history() {}
