package prompt

import (
	"strings"
	"testing"
)

// What a crew that reads Spanish types wrong is refused in Spanish, with what to type instead; what
// is no refusal that the table knows stays as it was said.
func TestRefusalsInSpanish(t *testing.T) {
	for line, want := range map[string]string{
		"b2 -3 5.5 12 1":             "no se anotó: width -3 es negativo; escriba un número mayor que 0",
		"b2 22.5 5.5 1200 1":         "no se anotó: length 1200 pasa de 100 ft; escriba 1200 mm si eso quiso decir",
		"b2 22.5 5.5 12 2 - 60 lb":   "no se anotó: bags 2 - 60 lb trae una parte de 60 lb, y la bolsa entera pesa 25 lb revise el peso y su unidad",
		"b2 22.5 5.5 12 40":          "no se anotó: bags 40 mete 1000 lb en north slope b2, donde caben 10.31 ft3: nada suelto empaca más de 20 lb/ft3 revise la cifra, las medidas y sus unidades",
		"b2 22.5 5.5 12 counter 900": "ponga antes una línea count que diga en cuánto estaba",
		"probe b1 rod soft at 40":    "no se anotó: at 40' pasa de la punta: north slope b1 mide 12' de largo escriba 40 in si eso quiso decir; mida desde abajo",
		"lost b1 500 lb":             "no se anotó: north slope b1 perdió 456.2 lb más de lo que entró",
		"leave b1 flue":              "no se anotó: leave para north slope b1, que se llenó en la línea 2",
		"recount b1 -1":              "no se anotó: bags -1 es negativo escriba 0 o más; si salió material use lost",
		"empties 1 + 30 lb":          "no es un número entero cuente bolsas vacías enteras",
		"probe b1 rod wet":           "¿rod qué? Una de estas: rod firm",
		"probe b1 stop 5":            "no dice en qué topó la varilla escriba 6 block, 6 wire, 6 pipe, 6 duct, 6 flue, o 6 ? si nadie sabe",
		"b2 round 12 8 1 depth 5":    "uno redondo no tiene fondo deje depth vacío",
	} {
		book := newPaperBook()
		book.jobCSV += "lang,es\n"
		text := strings.Join(strings.Fields(sitting(t, book, Options{}, "b1 22.5 5.5 12 1 3/4", line)), " ")
		if says(t, text, want); strings.Contains(text, "not written") {
			t.Errorf("%s: %s", line, text)
		}
	}
	book := newPaperBook()
	book.jobCSV = "name,value\nlang,es\n"
	says(t, sitting(t, book, Options{}, "b1 22.5 5.5 12 1"), "se cuentan bolsas, y falta el peso de la bolsa")
}

// Help fits a screen of 80 columns in both languages.
func TestHelpFits(t *testing.T) {
	for _, lang := range []string{"", "lang,es\n"} {
		book := newPaperBook()
		book.jobCSV += lang
		for _, l := range strings.Split(sitting(t, book, Options{}, "?", "help words"), "\n") {
			if n := len([]rune(l)); n > 80 {
				t.Errorf("%d columns: %s", n, l)
			}
		}
	}
}
