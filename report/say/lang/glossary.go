package lang

// Term is a word of the trade as the sentences use it. It was written from memory; two crew members
// read it before a release.
type Term struct {
	English, Spanish string
	Never            string // what some would say that means something else on site, or nothing
	Note             string
}

// Glossary are the terms of the trade, in the order of the work. A test holds the sentences to
// them.
func Glossary() []Term {
	return []Term{
		{"ADD", "AGREGAR", "", "a verdict: short, blow more"},
		{"CLOSE", "CERRAR", "", "a verdict: may be closed"},
		{"MEASURE", "MEDIR", "", "a verdict: can't tell yet"},
		{"PROBE", "REVISAR", "", "a verdict: look for a void"},
		{"bay", "espacio", "bahía", "one cavity that is filled as one"},
		{"section", "sección", "", "a run of like bays"},
		{"eave; bottom plate", "alero; placa de abajo", "", "the low end of a roof's bay; of a wall's"},
		{"width, depth, length", "ancho, fondo, largo", "profundidad", ""},
		{"bulge", "panza", "", "how far netting stands out"},
		{"netting; membrane", "malla; membrana", "red", ""},
		{"drywall", "tablaroca", "", ""},
		{"hole", "hoyo", "agujero", ""},
		{"void, gap", "hueco", "", ""},
		{"hose", "manguera", "", ""},
		{"fill tube", "manguera delgada", "tubo de llenado", "tubo is a pipe"},
		{"rod", "varilla", "", "wood or fiberglass, never steel"},
		{"to the stall", "hasta que ya no le entre", "se atoró", "nothing more goes in, and the hose is clear; what is stuck is a jam"},
		{"jam", "se tapó la manguera", "", ""},
		{"hopper", "tolva", "", ""},
		{"bag; part bag; empties", "bolsa; bolsa empezada; bolsas vacías", "", ""},
		{"count", "cuenta", "", ""},
		{"target", "mínimo", "", "the least density that is accepted"},
		{"aim", "meta", "", "the density that the crew packs to"},
		{"ceiling", "máximo", "", ""},
		{"pop", "tronido", "", "Pare al primer tronido"},
		{"crew", "cuadrilla", "", ""},
		{"hose man", "manguerero", "", ""},
		{"truck sheet; roof sheet", "hoja del camión; hoja del techo", "", ""},
		{"core", "muestra", "", ""},
		{"lead (in paint)", "plomo", "", ""},
	}
}
