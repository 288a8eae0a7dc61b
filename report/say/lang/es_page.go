package lang

// page is what the page for a phone says.
var page = map[string]string{
	"Starting the checker …": "Abriendo …",
	"This page needs its script, and it does not run here. Some phones run no script in a page from a file. Have the page put on a web host: bayproof pocket JOB --folder DIR": "Esta página necesita su programa, y aquí no corre. Algunos teléfonos no lo corren desde un archivo. Pida que pongan la página en un servidor: bayproof pocket JOB --folder DIR",
	"This browser is too old for this page. It needs WebAssembly and DecompressionStream.":                                                                                     "Este navegador es muy viejo. Necesita WebAssembly y DecompressionStream.",
	"The page ran into a fault. What you logged is kept. Open the page again.":                                                                                                 "La página falló. Lo anotado está guardado. Ábrala otra vez.",
	"Open again": "Abrir otra vez",

	"This browser keeps nothing. Share the log after each section.": "Este navegador no guarda nada. Comparta el registro después de cada sección.",
	"Rows are kept no more. Share the log after each section.":      "Ya no se guarda nada. Comparta el registro después de cada sección.",
	"The phone's storage is full.":                                  "El teléfono no tiene espacio.",
	"Open in another tab. This one only shows.":                     "Abierta en otra pestaña. Esta solo muestra.",
	"The address has changed. Read the code at the truck again.":    "Cambió la dirección. Lea otra vez el código en el camión.",
	"The truck is out of reach.":                                    "No se alcanza el camión.",
	"1 row waits on this phone.":                                    "1 línea espera en este teléfono.",
	"%s rows wait on this phone.":                                   "%s líneas esperan en este teléfono.",
	"NOT KEPT":                                                      "NO SE GUARDÓ",
	"The row is not on the phone's disk. Nothing of it is lost while this page stays open.": "La línea no quedó en el teléfono. No se pierde mientras esta página siga abierta.",
	"Try again":             "Probar otra vez",
	"Share what is logged":  "Compartir lo anotado",
	"Go on without keeping": "Seguir sin guardar",
	"Back to the form":      "Volver a lo escrito",

	"Back": "Atrás", "Bays": "Espacios", "All bays": "Todos los espacios", "Counter, empties, setting": "Contador, vacías, ajuste", "Who, which machine": "Quién, qué máquina",
	"Undo": "Quitar", "%s, closed": "%s, cerrado", "One more: %s": "Uno más: %s", "Fill %s": "Llenar %s", "Measure %s": "Medir %s", "Another name": "Otro nombre",
	"Why: %s": "Por qué: %s", "LOGGED": "ANOTADO", "If not, put it right.": "Si no, corríjalo.", "Done: log it": "Hecho: anotar", "Close %s": "Cerrar %s", "Next: %s": "Sigue: %s",

	"Which bay?": "¿Qué espacio?", "Its name": "Su nombre", "Fill it": "Llenar", "Measure it": "Medir", "Left empty on purpose": "Se queda vacío a propósito",
	"Empty bags counted": "Se contaron las vacías", "Who types": "Quién anota", "Initials, on every row": "Iniciales, en cada línea",
	"Machine or hose, where there are two": "Máquina o manguera, si hay dos", "Keep": "Guardar",

	"Close it": "Cerrar", "Looked": "Se revisó", "Topped up": "Se le agregó", "Measured again": "Medido otra vez", "Put right": "Corregir", "Counted again": "Contado otra vez",
	"Came out again": "Se salió", "Close all the same": "Cerrar de todos modos", "Decide by name": "Decidir con nombre", "Withdraw": "Retirar", "More …": "Más …",
	"needed": "falta", "″ %s as %s": "″ %s como %s", "Stalled? The answer logs it.": "¿Ya no le entró? Así se anota.", "Yes": "Sí", "No": "No", "Don't know": "No sé", "Log it": "Anotar",

	"Delete": "Borrar", "Next": "Sigue", "Next figure": "Siguiente cifra", "point": "punto", "and another": "y otra", "feet": "pies", "same as above": "igual al de arriba",
	"plus a weighed part bag": "más una bolsa empezada, pesada", "less what is left, weighed": "menos lo que queda, pesado", "shared": "juntos",
	"nobody can tell": "nadie sabe", "Start": "Empezar", "Start again": "Empezar otra vez", "Stop": "Parar", "Clear": "Borrar",
	"Take a photo": "Tomar foto", "No photo": "Sin foto",

	"Share": "Compartir", "Share %s": "Compartir %s", "Share. Rows not shared: %s": "Compartir. Líneas sin compartir: %s", "Share the log": "Compartir el registro",
	"Share the log and photos": "Compartir registro y fotos", "Download %s": "Descargar %s",
	"%s of %s rows are on this phone alone.": "%s de %s líneas están solo en este teléfono.", "%s rows, all handed over.": "%s líneas, todas entregadas.",
	"The truck takes rows by itself. Keep this page open. Out of the truck's reach it cannot be opened again. Photos are not sent: put them into the folder photos.": "El camión toma las líneas solo. Deje esta página abierta. Lejos del camión no se puede volver a abrir. Las fotos no se mandan: póngalas en la carpeta photos.",
	"At the truck: bayproof log %s --from bays.csv adds what is not there yet. Photos go into the folder photos.":                                                    "En el camión: bayproof log %s --from bays.csv agrega lo que falte. Las fotos van en la carpeta photos.",

	"The truck did not take": "El camión no tomó", "The truck cannot read it.": "El camión no lo puede leer.", "There: %s": "Allá: %s", "Hand it over all the same": "Entregar de todos modos",
	"Leave it out": "Dejarlo fuera", "Not in this log": "No está en este registro", "This phone keeps these rows of the job.": "Este teléfono guarda estas líneas del trabajo.", "Add it": "Agregar",

	"%s: %s was logged since. What this row leaves out would now mean that bay.": "%s: después se anotó %s. Lo que esta línea no dice ahora se tomaría de ese espacio.",
	"%s: the rows that it was typed behind are gone from the log.":               "%s: las líneas que había antes ya no están en el registro.",
}
