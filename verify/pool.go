package verify

func (w *work) pool() {}
