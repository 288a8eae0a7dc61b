package lang

import (
	"regexp"
	"strings"
	"sync"
)

// refusals are what the reader of a log says of a row that cannot stand, and what to type instead,
// by the English that it says them in. What was typed, names and figures stand at %s, in the same
// order in both languages. These are the ones that a crew meets while it types; a sentence that is
// not among them stays English.
var refusals = [][2]string{
	{"%s is negative", "%s es negativo"},
	{"%s is zero", "%s es cero"},
	{"%s is over %s", "%s pasa de %s"},
	{"%s is under %s", "%s es menos de %s"},
	{"%s is not a number", "%s no es un número"},
	{"%s is not a whole number", "%s no es un número entero"},
	{"%s is no time", "%s no es un tiempo"},
	{"%s is not one of its words", "%s no es una de sus palabras"},
	{"%s is a weight in a column of bags", "%s es un peso donde van bolsas"},
	{"%s has a bad fraction", "%s trae una fracción mala"},
	{"%s has two numbers side by side", "%s trae dos números juntos"},
	{"%s has more than one value", "%s trae más de un valor"},
	{"%s has %s, which is no unit", "%s trae %s, que no es una unidad"},
	{"%s has %s, and a count of bags has no unit", "%s trae %s, y una cuenta de bolsas no lleva unidad"},
	{"%s has a part with no unit", "%s trae una parte sin unidad"},
	{"%s has a part of %s, and a whole bag is %s", "%s trae una parte de %s, y la bolsa entera pesa %s"},
	{"%s has a ± as large as the size itself", "%s trae un ± tan grande como la medida"},
	{"%s needs a number before %s", "a %s le falta un número antes de %s"},
	{"%s puts %s into %s, which holds %s: no loose fill packs past %s", "%s mete %s en %s, donde caben %s: nada suelto empaca más de %s"},
	{"%s was filled already, in row %s", "%s ya se llenó, en la línea %s"},
	{"%s is past the end: %s is %s long", "%s pasa de la punta: %s mide %s de largo"},
	{"%s lost %s more than went in", "%s perdió %s más de lo que entró"},
	{"%s comes before the fill of %s", "%s va antes de llenar %s"},
	{"%s does not say at what the rod stopped", "%s no dice en qué topó la varilla"},
	{"%s does not say where the rod stopped", "%s no dice dónde topó la varilla"},
	{"leave for %s, which was filled in row %s", "leave para %s, que se llenó en la línea %s"},
	{"strike of a %s row of %s, but there is none above it", "strike de una línea %s de %s, pero arriba no hay ninguna"},
	{"a round has no depth", "uno redondo no tiene fondo"},
	{"a %s has no %s", "un espacio %s no lleva %s"},
	{"bags are counted, and nobody gave the bag_weight", "se cuentan bolsas, y falta el peso de la bolsa (bag_weight)"},

	{`write bag_weight,25 lb in job.csv, or type --bag-weight "25 lb"`, `escriba bag_weight,25 lb en job.csv, o empiece con --bag-weight "25 lb"`},
	{"write a number above 0", "escriba un número mayor que 0"},
	{"write what you measured, or leave the cell empty", "escriba lo que midió, o déjelo vacío"},
	{"write %s if you meant that", "escriba %s si eso quiso decir"},
	{"write %s if you meant that; measure places from the low end; if the bay is longer, correct its length", "escriba %s si eso quiso decir; mida desde abajo; si el espacio es más largo, corrija su largo"},
	{"write %s if you meant that; write two ways as two values with ; between: the tube passes a bay once", "escriba %s si eso quiso decir; dos tramos van con ; en medio"},
	{"check the weight and its unit", "revise el peso y su unidad"},
	{"check the weight and its unit; for more than a bag write %s", "revise el peso y su unidad; si es más de una bolsa escriba %s"},
	{"check both rows and their units; for a bay that was emptied write an amend with what is in it", "revise las dos líneas y sus unidades; si el espacio se vació use amend con lo que hay"},
	{"write 0 or more; for material that came out use lost", "escriba 0 o más; si salió material use lost"},
	{"write topup to add material, piece to add volume, amend to replace the fill", "top agrega material, piece agrega lugar, amend cambia todo lo que entró"},
	{"write strike to withdraw the fill; leave is for a bay that stays empty", "strike retira lo que entró; leave es para uno que se queda vacío"},
	{"leave the note blank to withdraw the whole bay", "sin palabra detrás se retira todo el espacio"},
	{"fill it first; was the file sorted?", "primero llénelo"},
	{"count whole empty bags", "cuente bolsas vacías enteras"},
	{"say it in weight, or write %s", "dígalo con weight, o escriba %s"},
	{"write 4:10 or 250 s, bursts with ; between, or shared", "escriba 4:10 o 250 s, los ratos con ; en medio, o shared"},
	{"write taper in shape for a bay with another end", "escriba taper si la otra punta mide distinto"},
	{"leave depth blank: the width is the diameter; if only the bay above is round, write this one's shape", "deje depth vacío: el ancho es el diámetro; si solo el de arriba es redondo, diga la forma de este"},
	{"write how far off it may be, to either side", "escriba cuánto puede fallar, a cada lado"},
	{"write %s, or %s if nobody can tell", "escriba %s, o %s si nadie sabe"},
	{"write %s, or with a unit %s", "escriba %s, o con unidad %s"},
	{"write one value", "escriba un solo valor"},
	{"write one number, or a whole number and a fraction as in 14 1/2", "escriba un solo número, o un entero y una fracción como 14 1/2"},
	{"write 1.75, 1 3/4 or 1-3/4", "escriba 1.75, 1 3/4 o 1-3/4"},
	{"write 1.75, 1 3/4, 1 + 14.5 lb or 2 - 10.5 lb", "escriba 1.75, 1 3/4, 1 + 14.5 lb o 2 - 10.5 lb"},
	{"count 0 goes before it after a reset; was the file sorted?", "si el contador volvió a cero, antes va count 0"},
	{"count and where it stood goes before the next reading", "antes de la otra lectura va count y en cuánto estaba"},
	{"measure or fill it first; was the file sorted?", "primero mídalo o llénelo"},
	{"fill it to bring it back", "llénelo para que vuelva"},
	{"write a count row before it that says where the counter stood", "ponga antes una línea count que diga en cuánto estaba"},
	{"check the figure, the sizes and their units", "revise la cifra, las medidas y sus unidades"},
}

// refusal is one of them as it is found: the English as a pattern.
type refusal struct {
	english *regexp.Regexp
	spanish string
}

// spanishRefusals are the refusals made ready once: each English sentence a pattern whose groups
// are its figures.
var spanishRefusals = sync.OnceValue(func() []refusal {
	var out []refusal
	for _, r := range refusals {
		pattern := strings.ReplaceAll(regexp.QuoteMeta(r[0]), "%s", "(.+)")
		out = append(out, refusal{regexp.MustCompile("^" + pattern + "$"), r[1]})
	}
	return out
})

// Told is what the reader of the log said, in the language; English where the table has none of it.
func (l Language) Told(english string) string {
	if l != Spanish {
		return english
	}
	for _, r := range spanishRefusals() {
		if m := r.english.FindStringSubmatch(english); m != nil {
			parts := strings.Split(r.spanish, "%s")
			text := parts[0]
			for i, part := range parts[1:] {
				text += m[1+i] + part
			}
			return text
		}
	}
	return english
}
